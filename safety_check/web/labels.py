"""The labels of the fields, by form: on the pages and in the summary of errors."""

from __future__ import annotations

from safety_check.use_cases.plan_request import MOVEMENT

QUANTITIES = {  # whose limits the forms change
    "wind_speed": "wind",
    "wind_speed_of_gust": "gusts",
    "sea_surface_wave_significant_height": "waves",
}
MOVEMENT_EXAMPLES = {
    "current": "1.5 kt from NE, slack 09:20; none",
    "high_water": "08:10, or 08:10 2.1 m, low 14:20 0.4 m",
    "gauge": "2.1 ft rising",
    "release": "none, or 14:00",
}
MOVEMENT_AHEAD = {  # over several days each time needs its day
    **MOVEMENT_EXAMPLES,
    "current": "1.5 kt from NE, slack sat 09:20, slack sat 15:30; none",
    "high_water": "sat 08:10, low sat 14:20, sun 08:50",
    "release": "none, or sat 14:00",
}
PLAN = {
    "place": "Water and launch",
    "point": "Or another launch",
    "start": "Start, in the water's local time",
    "hours": "Hours on the water",
    "reach": "Greatest distance from the launch",
    "from_shore": "Greatest distance from the shore",
    "craft": "Craft",
    "water_temperature": "Measured water temperature",
    "night": "I plan to be out in the dark, with a light",
    "life_jacket": "Life jacket",
    "wearing": "Immersion clothing",
    "company": "Company",
    "light": "White light",
    "current": "Current",
    "high_water": "High water",
    "gauge": "River gauge",
    "release": "Dam releases",
    "read_at": "None in force, read at",
}
LIMIT = {
    "quantity": "Limit for",
    "marginal": "Caution from",
    "no_go": "No-go from",
    "loosen": "Allow a limit that is looser than the default; every report will say so",
}
TRIP = {
    "went": "Did you go?",
    "began": "Start, in the water's local time",
    "ended": "Back, in the water's local time",
    "wind": "Wind",
    "look": "Or how the water looked",
    "gust": "Gusts",
    "waves": "Waves",
    "comfort": "How it felt",
    "notes": "Notes",
}
OUTLOOK = {
    "places": "Waters and launches",
    "days": "Days, today included",
    "hours": "Shortest trip, in hours",
    "craft": PLAN["craft"],
    "reach": PLAN["reach"],
    "from_shore": PLAN["from_shore"],
    "water_temperature": PLAN["water_temperature"],
    **{name: PLAN[name] for name in (*MOVEMENT, "read_at")},
}

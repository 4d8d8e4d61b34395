"""The labels of the fields, by form: on the pages and in the summary of errors."""

from __future__ import annotations

QUANTITIES = {  # whose limits the forms change
    "wind_speed": "wind",
    "wind_speed_of_gust": "gusts",
    "sea_surface_wave_significant_height": "waves",
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

"""Values for the forms of the live pages: the choices, and what was chosen before."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from safety_check.model.place import Water, WaterKind
from safety_check.report.page import page
from safety_check.report.trips import trip_lines
from safety_check.settings.crafts import load_craft_classes
from safety_check.settings.settings import Settings
from safety_check.units import Preferences, show
from safety_check.use_cases.amounts_in_words import parse_hours
from safety_check.use_cases.own_units import at_own_waters
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.use_cases.planning import DEFAULT_REACH
from safety_check.web import forms
from safety_check.web.session import Session, StoredCheck

QUANTITIES = {
    "wind_speed": "wind",
    "wind_speed_of_gust": "gusts",
    "sea_surface_wave_significant_height": "waves",
}
EXAMPLE_WINDS = (3.6, 5.4, 8.0)  # m/s
EXAMPLE_SHORE = 140.0  # m
EXAMPLE_WATER = 287.6  # K
EXAMPLE_WAVES = (0.3048, 0.6096)  # m
EARLY, USUAL = 6, 5.0  # the proposed hour of the start, and the hours on the water
READINESS = {
    "life_jacket": ("Life jacket", ("worn", "carried", "none")),
    "wearing": ("Immersion clothing", ("none", "wetsuit", "drysuit")),
    "company": ("Company", ("alone", "group")),
    "light": ("White light", ("yes", "no")),
}
MOVEMENT = ("current", "high_water", "gauge", "release")
FIELDS = (
    *("place", "point", "craft", "start", "hours", "reach", "from_shore", "read_at"),
    *MOVEMENT,
)
NOTHING_YET = dict.fromkeys((*FIELDS, "water_temperature", "night", *READINESS), "")


def home(session: Session, given: Mapping[str, str] | None = None) -> dict[str, Any]:
    """Return the values of the form; `given` is what the user typed before an error."""
    settings, waters = session.settings(), session.waters()
    last = session.last()
    before = last.asked if last else session.first
    return {
        "places": [place for water in waters for place in _places(water)],
        "crafts": _crafts(settings),
        "readiness": _readiness(settings),
        "value": NOTHING_YET | dict(_values(before, settings, waters) if given is None else given),
        "moves": any(water.kind is not WaterKind.STILL for water in waters),
        "last": last,
        "fixed": session.as_of,
        "examples": _home_examples(at_own_waters(settings).preferences),
    }


def _home_examples(prefer: Preferences) -> dict[str, str]:
    """Return examples of what the form takes, in the units of the user's waters."""
    shore = show(EXAMPLE_SHORE, "length", prefer.small_distance)
    water = show(EXAMPLE_WATER, "temperature", prefer.temperature)
    return {
        "from_shore": f"{shore}; empty: no limit within that distance",
        "water_temperature": f"{water}; empty: value of a station nearby",
    }


def _places(water: Water) -> list[tuple[str, str, str]]:
    """Return each launch of a water: key, water and launch."""
    names = [launch.name for launch in water.launches] or [""]
    return [(forms.place(water.name, name), water.name, name) for name in names]


def _crafts(settings: Settings) -> list[tuple[str, str]]:
    classes = load_craft_classes()
    own = [
        (name, f"{name} ({classes[craft.kind].label})")
        for name, craft in settings.user.craft.items()
    ]
    return [*own, *((name, craft_class.label) for name, craft_class in classes.items())]


def _readiness(settings: Settings) -> dict[str, tuple[str, list[tuple[str, str]]]]:
    """Return the choices of what a paddler brings, starting with the declared one."""
    words = {True: "yes", False: "no", None: "not declared"}
    declared = asdict(settings.paddler)
    return {
        name: (
            label,
            [
                ("", f"as in your settings: {words.get(declared[name], declared[name])}"),
                *((choice, choice) for choice in choices),
            ],
        )
        for name, (label, choices) in READINESS.items()
    }


def _values(before: PlanRequest, settings: Settings, waters: list[Water]) -> dict[str, str]:
    """Return the first values of the fields: those of the last request, else defaults."""
    names = [water.name for water in waters]
    water = before.water or (names[0] if names else "")
    launches = [name for place in waters if place.name == water for _, _, name in _places(place)]
    launch = before.launch or (launches[0] if launches else "")
    known = launch in launches
    return {
        "place": forms.place(water, launch if known or not launches else launches[0]),
        "point": "" if known else launch,
        "craft": before.craft or settings.user.default_craft or "",
        "start": before.start or _tomorrow(waters),
        "hours": _hours(before) or f"{USUAL:g}",
        "reach": before.reach or DEFAULT_REACH,
        "from_shore": before.from_shore or "",
        "water_temperature": before.water_temperature or "",
        "night": "yes" if before.night else "",
        "read_at": before.read_at or "",
        **{name: _word(getattr(before, name)) for name in (*READINESS, *MOVEMENT)},
    }


def _word(said: str | bool | None) -> str:
    if isinstance(said, bool):
        return "yes" if said else "no"
    return said or ""


def _tomorrow(waters: list[Water]) -> str:
    zone = ZoneInfo(waters[0].time_zone if waters else "UTC")
    day = datetime.now(zone).date() + timedelta(days=1)
    return f"{day.isoformat()}T{EARLY:02}:00"


def result(done: StoredCheck) -> dict[str, Any]:
    """Return a check as its page shows it, with the values of its forms."""
    craft = done.verdict.plan.craft
    limits = {
        finding.quantity: finding.limit
        for finding in done.verdict.findings
        if finding.limit is not None
    }
    return page.view(done.verdict, done.settings, done.lake) | {
        "number": done.number,
        "news": done.news,
        "remarks": done.remarks,
        "again": _fields(done.asked),
        "read_at": done.asked.read_at or "",
        "craft": craft,
        "quantities": {name: word for name, word in QUANTITIES.items() if name in limits},
        "own": [limit for limit in done.settings.user.limit if limit.craft == craft.name],
        "words": QUANTITIES,
        "examples": _examples(done.settings.preferences),
        "began": f"{done.verdict.plan.start.astimezone(_zone(done)):%Y-%m-%dT%H:%M}",
    }


def _examples(prefer: Preferences) -> dict[str, str]:
    """Return examples of what a form takes, in the units of the water."""
    low, middle, high = (show(speed, "speed", prefer.pace) for speed in EXAMPLE_WINDS)
    wave, wave_higher = (show(height, "length", prefer.wave) for height in EXAMPLE_WAVES)
    return {
        "marginal": f"{low}, {wave}",
        "no_go": f"{middle}, {wave_higher}",
        "wind": f"{middle}, or what you saw: whitecaps",
        "gust": high,
        "waves": f"{wave}, or flat",
    }


def _zone(done: StoredCheck) -> ZoneInfo:
    return ZoneInfo(done.verdict.plan.water.time_zone)


def _fields(asked: PlanRequest) -> dict[str, str]:
    """Return the fields of a form that repeats a request."""
    said = {
        "place": forms.place(asked.water or "", asked.launch or ""),
        "craft": asked.craft,
        "start": asked.start,
        "hours": _hours(asked),
        "reach": asked.reach,
        "from_shore": asked.from_shore,
        "water_temperature": asked.water_temperature,
        "night": "yes" if asked.night else None,
        **{name: _word(getattr(asked, name)) for name in (*READINESS, *MOVEMENT)},
    }
    return {name: text for name, text in said.items() if text}


def _hours(asked: PlanRequest) -> str | None:
    """Return the length of a trip as the form's number."""
    return None if asked.hours is None else f"{parse_hours(asked.hours, 'hours'):g}"


def trips(session: Session) -> dict[str, Any]:
    """Return the trip log."""
    return {"lines": trip_lines(session.trips(), at_own_waters(session.settings()).preferences)}

"""Values for the forms of the live pages: the choices, and what was chosen before."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from safety_check.model.place import Water, WaterKind
from safety_check.report.page import page
from safety_check.settings.crafts import load_craft_classes
from safety_check.settings.settings import Settings
from safety_check.settings.user_file import PADDLER_CHOICES
from safety_check.units import Preferences, show
from safety_check.use_cases.amounts_in_words import parse_hours
from safety_check.use_cases.own_units import at_own_waters
from safety_check.use_cases.plan_request import MOVEMENT, PlanRequest
from safety_check.use_cases.planning import DEFAULT_REACH
from safety_check.use_cases.suggest_limits import Look, load_trip_words
from safety_check.web import forms, labels
from safety_check.web.form_fields import UNITS, own_units, parted
from safety_check.web.other_plans import fields_of
from safety_check.web.session import Session, StoredCheck

WHOSE = ("water", "launch", "craft")  # hidden in the form of a trip
EXAMPLE_WINDS = (3.6, 5.4)  # m/s
EXAMPLE_WAVES = (0.3048, 0.6096)  # m
EARLY, USUAL = 6, 5.0  # the proposed hour of the start, and the hours on the water
READINESS: dict[str, tuple[str, ...]] = {**PADDLER_CHOICES, "light": ("yes", "no")}
FIELDS = (
    *("place", "point", "craft", "start", "hours", "reach", "from_shore", "read_at"),
    *MOVEMENT,
)
AMOUNTS = {"reach": "distance", "from_shore": "shore", "water_temperature": "temperature"}
NOTHING_YET = dict.fromkeys((*FIELDS, "water_temperature", "night", *READINESS), "")


def home(session: Session, given: Mapping[str, str] | None = None) -> dict[str, Any]:
    """Return the values of the form; `given` is what the user typed before an error."""
    settings, waters = session.settings(), session.waters()
    own, before = own_units(at_own_waters(settings).preferences), session.proposed()
    return {
        "places": [place for water in waters for place in _places(water)],
        "crafts": _crafts(settings),
        "readiness": _readiness(settings),
        "labels": labels.PLAN,
        "movement": labels.MOVEMENT_EXAMPLES,
        "units": UNITS,
        "value": NOTHING_YET
        | _parted({}, own)
        | dict(_parted(_values(before, settings, waters), own) if given is None else given),
        "moves": any(water.kind is not WaterKind.STILL for water in waters),
        "fixed": session.as_of,
    }


def _parted(values: Mapping[str, str], own: Mapping[str, str]) -> dict[str, str]:
    """Return the values of the form with each unit apart; `own` is the unit of each kind."""
    split = {name: parted(name, values.get(name, ""), own[kind]) for name, kind in AMOUNTS.items()}
    return {**values, **{name: text for pair in split.values() for name, text in pair.items()}}


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


def _readiness(settings: Settings) -> dict[str, list[tuple[str, str]]]:
    """Return the choices of what a paddler brings, starting with the declared one."""
    words = {True: "yes", False: "no", None: "not declared"}
    declared = asdict(settings.paddler)
    return {
        name: [
            ("", f"as in your settings: {words.get(declared[name], declared[name])}"),
            *((choice, choice) for choice in choices),
        ]
        for name, choices in READINESS.items()
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


def result(done: StoredCheck, news: Sequence[str] = (), over: bool = False) -> dict[str, Any]:
    """Return a check as its page shows it, with the values of its forms.

    Parameters
    ----------
    done
        The check.
    news
        What changed since the check before it, in sentences.
    over
        Whether the trip is over, so that it can't be checked again.
    """
    return page.view(done.verdict, done.settings, done.lake) | _live_values(done, news, over)


def _live_values(done: StoredCheck, news: Sequence[str], over: bool) -> dict[str, Any]:
    """Return what the live page of a check has besides; no name of them is one of the page's."""
    return (
        limit_form(done)
        | trip_form(done)
        | {
            "labels": labels.PLAN | labels.LIMIT | labels.TRIP,
            "news": news,
            "over": over,
            "remarks": tuple(filter(None, (*done.remarks, done.no_map))),
            "others": {
                number: fields_of(one, repeat_fields(done.asked) | _read_at(done.asked))
                for number, one in enumerate(done.verdict.alternatives or ())
            },
            "read_at": done.asked.read_at or "",
        }
    )


def limit_form(done: StoredCheck, given: Mapping[str, str] | None = None) -> dict[str, Any]:
    """Return the values of the form that changes a limit of a check's craft."""
    craft, prefer = done.verdict.plan.craft, done.settings.preferences
    limits = {
        finding.quantity: finding.limit
        for finding in done.verdict.findings
        if finding.limit is not None
    }
    return {
        "labels": labels.LIMIT,
        "number": done.number,
        "craft": craft,
        "quantities": {name: word for name, word in labels.QUANTITIES.items() if name in limits},
        "own": [limit for limit in done.settings.user.limit if limit.craft == craft.name],
        "words": labels.QUANTITIES,
        "examples": _examples(prefer),
        "limit_units": (*UNITS["wind"], *UNITS["wave"]),
        "limit_value": {
            **dict.fromkeys(labels.LIMIT, ""),
            **dict.fromkeys(("marginal_unit", "no_go_unit"), prefer.pace),
            **(given or {}),
        },
    }


def trip_form(done: StoredCheck) -> dict[str, Any]:
    """Return the values of the form that logs a check's trip; its times are those of the plan."""
    plan = done.verdict.plan
    zone = ZoneInfo(plan.water.time_zone)
    times = {"began": plan.start, "ended": plan.end}
    told = {name: f"{moment.astimezone(zone):%Y-%m-%dT%H:%M}" for name, moment in times.items()}
    whose = {"water": plan.water.name, "launch": plan.launch.name, "craft": plan.craft.name}
    return trip_form_again(told | whose, done.settings)


def trip_form_again(given: Mapping[str, str], settings: Settings) -> dict[str, Any]:
    """Return the values of the same form with what was typed into it."""
    own = own_units(settings.preferences)
    units = {"wind_unit": own["wind"], "gust_unit": own["wind"], "waves_unit": own["wave"]}
    return {
        "labels": labels.TRIP,
        "trip_of": {name: given[name] for name in WHOSE if name in given},
        "trip_value": {**dict.fromkeys(labels.TRIP, ""), **units, **given},
        "looks": [("", "no words"), *((look.words[0], _look(look)) for look in _looks())],
        "units": UNITS,
    }


def _looks() -> list[Look]:
    return load_trip_words().look


def _look(look: Look) -> str:
    """Return what a Beaufort number looks like, in its first two words."""
    return " or ".join(look.words[:2])


def _examples(prefer: Preferences) -> dict[str, str]:
    """Return examples of what a form takes, in the units of the water."""
    low, middle = (show(speed, "speed", prefer.pace) for speed in EXAMPLE_WINDS)
    wave, wave_higher = (show(height, "length", prefer.wave) for height in EXAMPLE_WAVES)
    return {
        "marginal": f"{low}, {wave}",
        "no_go": f"{middle}, {wave_higher}",
    }


def repeat_fields(asked: PlanRequest) -> dict[str, str]:
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


def _read_at(asked: PlanRequest) -> dict[str, str]:
    return {"read_at": asked.read_at} if asked.read_at else {}


def _hours(asked: PlanRequest) -> str | None:
    """Return the length of a trip as the form's number."""
    return None if asked.hours is None else f"{parse_hours(asked.hours, 'hours'):g}"

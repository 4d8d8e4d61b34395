"""Limits that the trip log suggests, with their trips and the command that sets them."""

from __future__ import annotations

import math
import shlex
import textwrap
from dataclasses import dataclass
from itertools import groupby
from typing import Any
from zoneinfo import ZoneInfo

from safety_check.model.trip import SuggestedLimits, Suggestion, Trip
from safety_check.report.layout import WIDTH
from safety_check.rules.hazards import quantity_label
from safety_check.units import LENGTH, SPEED, Preferences, show, show_limit

SHORT = {
    "wind_speed": "wind",
    "wind_speed_of_gust": "gust",
    "sea_surface_wave_significant_height": "waves",
}
LEVELS = {"marginal": "caution", "no_go": "no-go"}
STEP = {"ft": 0.1, "m": 0.01, "m/s": 0.1}  # of a bound in a command, downwards; else 1


def describe_suggestions(learnt: SuggestedLimits, prefer: Preferences) -> str:
    """Return what the log suggests, for a person."""
    said = [_counted(quantity, learnt) for quantity in learnt.rated_trips]
    for quantity, group in groupby(learnt.found, key=lambda suggestion: suggestion.quantity):
        said += ["", *(line for suggestion in group for line in _one(suggestion, prefer))]
        said += [f"  To set it: {command(quantity, learnt, prefer)}"]
    nothing = "Nothing to change: the log suggests no other limit."
    yours = "Nothing was changed. Only you can change a limit."
    return "\n".join([*said, "", yours if learnt.found else nothing])


def _counted(quantity: str, learnt: SuggestedLimits) -> str:
    count, least = learnt.rated_trips[quantity], learnt.least_trips
    few = f"; suggestions need {least}" if count < least else ""
    trips = "trip" if count == 1 else "trips"
    label = quantity_label(quantity).capitalize()
    return f"{label}: logged with a comfort rating on {count} {trips}{few}."


def _one(suggestion: Suggestion, prefer: Preferences) -> list[str]:
    row = _row(suggestion, prefer)
    lines = textwrap.wrap(f"{row.head} {row.felt}", WIDTH, subsequent_indent="  ")
    return lines + [f"  - {trip}" for trip in row.trips]


def _row(suggestion: Suggestion, prefer: Preferences) -> SuggestionRow:
    direction = "TIGHTER" if suggestion.tighter else "LOOSER"
    now = "never" if suggestion.now is None else _limit(suggestion.now, suggestion.quantity, prefer)
    bound = _limit(suggestion.bound, suggestion.quantity, prefer)
    felt = "You were uneasy in:" if suggestion.tighter else "You were at ease in:"
    label = quantity_label(suggestion.quantity)
    head = f"{direction}: {label}, {LEVELS[suggestion.level]} from {bound}, now {now}."
    return SuggestionRow(
        head,
        felt,
        tuple(
            _trip(trip, _shown(value, suggestion.quantity, prefer))
            for trip, value in zip(suggestion.trips, suggestion.met, strict=True)
        ),
    )


def _trip(trip: Trip, value: str) -> str:
    day = trip.start.astimezone(ZoneInfo(trip.time_zone))
    return f"{day:%Y-%m-%d} {trip.water}: {value}, comfort {trip.comfort} of 5"


@dataclass(frozen=True)
class TypedLimit:
    """A suggested limit as the user would type it; None where a bound stays the default."""

    quantity: str
    craft: str
    marginal: str | None
    no_go: str | None
    loosen: bool


def typed_limit(quantity: str, learnt: SuggestedLimits, prefer: Preferences) -> TypedLimit:
    """Return the suggested limit as the user would set it; the user's other bound stays.

    A bound is rounded down in the user's units. It is loosened where the new bound is looser
    than the default, or the user has loosened this limit before.
    """
    found = [suggestion for suggestion in learnt.found if suggestion.quantity == quantity]
    own, default = learnt.own.get(quantity), learnt.defaults[quantity].marginal
    bounds = {
        "marginal": None if own is None else own.marginal,
        "no_go": None if own is None else own.no_go,
    }
    bounds |= {suggestion.level: _typed(suggestion.bound, quantity, prefer) for suggestion in found}
    looser = any(
        not suggestion.tighter and suggestion.bound > (default or 0.0) for suggestion in found
    )
    loosen = looser or (own is not None and own.loosen)
    return TypedLimit(quantity, learnt.craft, bounds["marginal"], bounds["no_go"], loosen)


def command(quantity: str, learnt: SuggestedLimits, prefer: Preferences) -> str:
    """Return the command that sets the suggested limit."""
    limit = typed_limit(quantity, learnt, prefer)
    said = ["safety-check", "limits", "set", SHORT[quantity], "--craft", learnt.craft]
    for bound, option in ((limit.marginal, "--marginal"), (limit.no_go, "--no-go")):
        said += [option, bound] if bound else []
    return shlex.join([*said, *(["--loosen"] if limit.loosen else [])])


@dataclass(frozen=True)
class SuggestionRow:
    """What is said of one suggested bound: its direction, the change, and the trips behind it."""

    head: str
    felt: str
    trips: tuple[str, ...]


def rows_of(learnt: SuggestedLimits, prefer: Preferences) -> dict[str, tuple[SuggestionRow, ...]]:
    """Return what the log suggests, by quantity."""
    return {
        quantity: tuple(_row(suggestion, prefer) for suggestion in group)
        for quantity, group in groupby(learnt.found, key=lambda suggestion: suggestion.quantity)
    }


def as_json(learnt: SuggestedLimits, prefer: Preferences) -> dict[str, Any]:
    """Return the same as plain values, SI."""
    return {
        "craft": learnt.craft,
        "least_trips": learnt.least_trips,
        "rated_trips": dict(learnt.rated_trips),
        "suggestions": [
            {
                "quantity": suggestion.quantity,
                "level": suggestion.level,
                "bound": suggestion.bound,
                "now": suggestion.now,
                "tighter": suggestion.tighter,
                "trips": [trip.id for trip in suggestion.trips],
                "command": command(suggestion.quantity, learnt, prefer),
            }
            for suggestion in learnt.found
        ],
    }


def _unit(quantity: str, prefer: Preferences) -> tuple[str, str]:
    wave = quantity == "sea_surface_wave_significant_height"
    return ("length", prefer.wave) if wave else ("speed", prefer.pace)


def _shown(value: float, quantity: str, prefer: Preferences) -> str:
    return show(value, *_unit(quantity, prefer))


def _limit(value: float, quantity: str, prefer: Preferences) -> str:
    return show_limit(value, *_unit(quantity, prefer))


def _typed(value: float, quantity: str, prefer: Preferences) -> str:
    kind, unit = _unit(quantity, prefer)
    step = STEP.get(unit, 1.0)
    number = math.floor(value / (SPEED if kind == "speed" else LENGTH)[unit] / step + 1e-9) * step
    return f"{number:.10g} {unit}"

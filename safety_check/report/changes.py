"""What changed since the last check, for a terminal and as JSON."""

from __future__ import annotations

import math
import textwrap
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from rich.console import Console
from rich.text import Text

from safety_check.model.changes import (
    Changes,
    ForecastChange,
    HazardChange,
    ObservedDifference,
    SeverityChange,
)
from safety_check.model.verdict import Severity, Verdict
from safety_check.report.json import Level, Part, Report, build_report
from safety_check.report.terminal import STYLE, WIDTH, age
from safety_check.units import Preferences, show

NAMES = {
    "wind_speed": "wind",
    "wind_speed_of_gust": "gusts",
    "wind_from_direction": "from",
    "sea_surface_wave_significant_height": "waves",
    "water_temperature": "water",
}
POINTS = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")


def show_changes(verdict: Verdict, changes: Changes, prefer: Preferences, console: Console) -> None:
    """Print what changed since the last check; the verdict stands on the first line."""
    zone = ZoneInfo(verdict.plan.water.time_zone)
    first, rest = headline(changes, verdict.at, zone).split(",", 1)
    console.print(Text(first, STYLE[changes.after]) + Text(f",{rest}"))
    console.print()
    console.print(Text("What changed", style="bold"))
    for line in lines(changes, prefer, zone):
        wrapped = textwrap.fill(
            line, WIDTH, initial_indent=" - ", subsequent_indent="   ", break_on_hyphens=False
        )
        console.print(Text(wrapped))
    console.print()


def headline(changes: Changes, at: datetime, zone: ZoneInfo) -> str:
    """Return the verdict beside that of the last check."""
    then = changes.since.astimezone(zone)
    when = f"the last check ({then:%a} {then.day} {then:%b} {then:%H:%M}, {age(at - then)} ago)"
    if changes.after == changes.before:
        return f"{changes.after}, as at {when}"
    return f"{changes.after}, was {changes.before} at {when}"


def lines(changes: Changes, prefer: Preferences, zone: ZoneInfo) -> list[str]:
    """Return what changed, each in a sentence or two; the gravest first."""
    told = [*_seen(changes, prefer)]
    told += [_turn(each, zone) for each in changes.turns]
    told += [f"New official warning: {each}." for each in changes.warned]
    told += [f"No longer in force: {each}." for each in changes.ended]
    told += [
        f"{each.after.hazard.replace('_', ' ')}: {each.before or Severity.GO} became"
        f" {each.after.severity}."
        for each in changes.hazards
    ]
    told += [_move(each, prefer, zone) for each in changes.moves]
    if changes.water_temperature:
        then, now = (
            show(each, "temperature", prefer.temperature) for each in changes.water_temperature
        )
        told.append(f"Water: {now}, {then} was entered before; the colder counts.")
    told += [f"No longer answers: {each}." for each in changes.silent]
    told += [f"Answers again: {each}." for each in changes.speaking]
    same = changes.same_forecast
    quiet = "" if told else "Nothing that is weighed here. "
    return [*told, quiet + _forecast(same, changes)]


def _seen(changes: Changes, prefer: Preferences) -> list[str]:
    if not changes.sights:
        return []
    parts = ", ".join(_sight(each, prefer) for each in changes.sights)
    if changes.alone == changes.after:
        effect = f"Without that it would be {changes.alone} too."
    else:
        effect = f"Without that it would be {changes.alone}; with it, it is {changes.after}."
    return [f"You see {parts}. {effect}"]


def _sight(sight: ObservedDifference, prefer: Preferences) -> str:
    said = f"{NAMES[sight.quantity]} {_amount(sight.quantity, sight.value, prefer)}"
    if math.isnan(sight.forecast):
        return said
    return f"{said} (expected {_amount(sight.quantity, sight.forecast, prefer)})"


def _amount(quantity: str, value: float, prefer: Preferences) -> str:
    if quantity == "wind_from_direction":
        return POINTS[round(value / 45) % 8]
    kinds = {
        "wind_speed": ("speed", prefer.wind),
        "wind_speed_of_gust": ("speed", prefer.wind),
        "sea_surface_wave_significant_height": ("length", prefer.wave),
        "water_temperature": ("temperature", prefer.temperature),
    }
    return show(value, *kinds[quantity])


def _turn(turn: SeverityChange, zone: ZoneInfo) -> str:
    start, end = turn.start.astimezone(zone), turn.end.astimezone(zone)
    return f"{start:%H:%M} to {end:%H:%M}: {turn.before} became {turn.after}."


def _move(move: ForecastChange, prefer: Preferences, zone: ZoneInfo) -> str:
    quantity = move.quantity.removesuffix("_high")
    before, after = (_amount(quantity, each, prefer) for each in (move.before, move.after))
    hour = move.time.astimezone(zone)
    return f"Forecast {NAMES[quantity]} at {hour:%H:%M}: up to {after} now, {before} then."


def _forecast(same: bool | None, changes: Changes) -> str:
    if same is None or changes.forecast_age is None:
        return "There is no forecast."
    if same:
        return f"No newer forecast came in; this one is {age(changes.forecast_age)} old."
    return f"A newer forecast came in, at most {age(changes.forecast_age)} old."


# -- JSON --------------------------------------------------------------------------------------


class HoursTurned(Part):
    """Hours whose verdict changed in one way."""

    start: datetime
    end: datetime
    before: Level
    after: Level


class Turned(Part):
    """A hazard whose verdict changed; null where it was not weighed before."""

    hazard: str
    before: Level | None
    after: Level
    reason: str


class Moved(Part):
    """Where a forecast moved most, at its high side; SI."""

    quantity: str
    time: datetime
    before: float
    after: float


class Sighted(Part):
    """What is seen, beside the forecast for that hour; SI, null is not known."""

    quantity: str
    value: float
    forecast: float | None


class Since(Part):
    """What changed since the last check; `alone` is the verdict without what is seen."""

    last_check: datetime
    before: Level
    alone: Level
    after: Level
    hours: list[HoursTurned]
    hazards: list[Turned]
    moves: list[Moved]
    seen: list[Sighted]
    same_forecast: bool | None
    forecast_age: float | None
    warned: list[str]
    ended: list[str]
    silent: list[str]
    speaking: list[str]
    told: list[str]


class Rechecked(Report):
    """The report of a check, and what changed since the last one."""

    since: Since


def as_json(
    verdict: Verdict, changes: Changes, prefer: Preferences, program: str, status: int
) -> dict[str, Any]:
    """Return the report of a re-check as plain values."""
    told = lines(changes, prefer, ZoneInfo(verdict.plan.water.time_zone))
    age_then = changes.forecast_age
    known = _plain(changes) | {
        "last_check": changes.since,
        "hours": [_plain(each) for each in changes.turns],
        "hazards": [_turned(each) for each in changes.hazards],
        "moves": [_plain(each) for each in changes.moves],
        "seen": [_plain(each) for each in changes.sights],
        "forecast_age": None if age_then is None else age_then.total_seconds(),
        "told": told,
    }
    since = Since(**{name: known[name] for name in Since.model_fields})
    made = build_report(verdict, program, status)
    return Rechecked(**dict(made), since=since).model_dump(mode="json")


def _turned(turn: HazardChange) -> dict[str, Any]:
    after = turn.after
    return _plain(turn) | {
        "hazard": after.hazard,
        "after": str(after.severity),
        "reason": after.reason,
    }


def _plain(item: object) -> dict[str, Any]:
    """Return a dataclass's values, severities as words, what is not known as None."""
    return {name: _value(value) for name, value in vars(item).items()}


def _value(value: Any) -> Any:
    if isinstance(value, Severity):
        return str(value)
    return None if isinstance(value, float) and math.isnan(value) else value

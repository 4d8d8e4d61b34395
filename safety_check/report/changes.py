"""What changed since the last check, for a terminal and as JSON."""

from __future__ import annotations

import math
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from safety_check.model.changes import (
    Changes,
    ForecastChange,
    HazardChange,
    ObservedDifference,
    SeverityChange,
)
from safety_check.model.local_clock import LocalClock
from safety_check.model.verdict import Severity, Verdict
from safety_check.report.json import Level, Part, Report, build_report
from safety_check.report.layout import Layout
from safety_check.report.words import age, clock, day
from safety_check.rules.missed_words import least_wind
from safety_check.units import Preferences, compass, show

NAMES = {
    "wind_speed": "wind",
    "wind_speed_of_gust": "gusts",
    "wind_from_direction": "wind from",
    "sea_surface_wave_significant_height": "waves",
    "water_temperature": "water",
}


def add_changes(verdict: Verdict, changes: Changes, prefer: Preferences, layout: Layout) -> None:
    """Add what changed since the last check; the verdict is on the first line."""
    zone = ZoneInfo(verdict.plan.water.time_zone)
    layout.paragraph(headline(changes, verdict.at, zone))
    layout.section("What changed")
    for text in describe_changes(changes, prefer, LocalClock.of(verdict.plan)):
        layout.item(text)
    layout.paragraph("")


def headline(changes: Changes, at: datetime, zone: ZoneInfo) -> str:
    """Return the verdict beside that of the last check."""
    then = changes.since.astimezone(zone)
    when = f"the last check ({day(then)} {clock(then)}, {age(at - then)} ago)"
    if changes.after == changes.before:
        return f"{changes.after}, the same as at {when}"
    return f"{changes.after}, was {changes.before} at {when}"


def describe_changes(changes: Changes, prefer: Preferences, local: LocalClock) -> list[str]:
    """Return what changed, each in a sentence or two; the most serious first."""
    said = [
        *_observed(changes, prefer),
        *(_hours(change, local) for change in changes.turns),
        *(f"New official warning: {headline}." for headline in changes.warned),
        *(f"No longer in force: {headline}." for headline in changes.ended),
        *map(_hazard, changes.hazards),
        *(_forecast(change, prefer, local) for change in changes.moves),
    ]
    if changes.water_temperature:
        then, now = (
            show(value, "temperature", prefer.temperature) for value in changes.water_temperature
        )
        said.append(f"Water temperature: {now} now, {then} before; using the lower.")
    said += [f"No longer answering: {source}." for source in changes.silent]
    said += [f"Answering again: {source}." for source in changes.speaking]
    unchanged = [] if said else ["None of the weighed conditions changed."]
    return [*said, " ".join([*unchanged, _newer_forecast(changes)])]


def _observed(changes: Changes, prefer: Preferences) -> list[str]:
    if not changes.sights:
        return []
    parts = ", ".join(_difference(difference, prefer) for difference in changes.sights)
    if changes.alone == changes.after:
        effect = f"Without that the verdict would also be {changes.alone}."
    else:
        effect = f"Without that the verdict would be {changes.alone}; with it, {changes.after}."
    return [f"You see {parts}. {effect}"]


def _difference(difference: ObservedDifference, prefer: Preferences) -> str:
    quantity = difference.quantity
    said = f"{NAMES[quantity]} {_amount(quantity, difference.value, prefer)}"
    if difference.sign:
        said = least_wind(difference.sign, difference.value, prefer.wind)
    if math.isnan(difference.forecast):
        return said
    return f"{said} (forecast: {_amount(quantity, difference.forecast, prefer)})"


def _amount(quantity: str, value: float, prefer: Preferences) -> str:
    if quantity == "wind_from_direction":
        return compass(value)
    kinds = {
        "wind_speed": ("speed", prefer.wind),
        "wind_speed_of_gust": ("speed", prefer.wind),
        "sea_surface_wave_significant_height": ("length", prefer.wave),
        "water_temperature": ("temperature", prefer.temperature),
    }
    return show(value, *kinds[quantity])


def _hours(change: SeverityChange, local: LocalClock) -> str:
    return f"{local.span(change.start, change.end)}: {change.before} became {change.after}."


def _hazard(change: HazardChange) -> str:
    name = change.after.hazard.replace("_", " ").capitalize()
    return f"{name}: {change.before or Severity.GO} became {change.after.severity}."


def _forecast(change: ForecastChange, prefer: Preferences, local: LocalClock) -> str:
    quantity = change.quantity.removesuffix("_high")
    before, after = (_amount(quantity, value, prefer) for value in (change.before, change.after))
    name, hour = NAMES[quantity], local.time(change.time)
    return f"Forecast {name} at {hour}: up to {after} now, up to {before} before."


def _newer_forecast(changes: Changes) -> str:
    if changes.same_forecast is None or changes.forecast_age is None:
        return "There is no forecast."
    old = age(changes.forecast_age)
    if changes.same_forecast:
        return f"No newer forecast is available; this one is {old} old."
    return f"A newer forecast is used, at most {old} old."


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
    """Where the high end of a forecast changed most; SI."""

    quantity: str
    time: datetime
    before: float
    after: float


class Sighted(Part):
    """An observation beside the forecast for that hour; SI, null is not known.

    With a `sign`, such as "whitecaps", the value is only the least that the sign means.
    """

    quantity: str
    value: float
    forecast: float | None
    sign: str


class Since(Part):
    """What changed since the last check; `alone` is the verdict without the observations."""

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
    told = describe_changes(changes, prefer, LocalClock.of(verdict.plan))
    age_then = changes.forecast_age
    known = _plain(changes) | {
        "last_check": changes.since,
        "hours": [_plain(change) for change in changes.turns],
        "hazards": [_turned(change) for change in changes.hazards],
        "moves": [_plain(change) for change in changes.moves],
        "seen": [_plain(difference) for difference in changes.sights],
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
    """Return a dataclass's values, severities as words, unknown values as None."""
    return {name: _value(value) for name, value in vars(item).items()}


def _value(value: Any) -> Any:
    if isinstance(value, Severity):
        return str(value)
    return None if isinstance(value, float) and math.isnan(value) else value

"""The hours as the page shows them one by one: in the strip, in the table, in the words."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from safety_check.model.local_clock import LocalClock
from safety_check.model.verdict import HourVerdict, Severity, Verdict
from safety_check.report import words
from safety_check.report.hour_limits import NAMES, bounds_of, limit_text
from safety_check.report.page.decision import holds_throughout
from safety_check.units import Preferences


@dataclass(frozen=True)
class Row:
    """One hour in words.

    Parameters
    ----------
    hour
        The hour.
    clock, when, label
        Its local time: alone, with what the plan needs to name its day, and with the weekday where
        a day or the trip begins.
    day
        Its day, where another one begins; empty elsewhere.
    in_trip
        Whether the trip touches it.
    text, odds
        Its figures, and the share of the forecasts at each severity.
    short, more
        Its figures in one sentence; what decides it, and its limits.
    """

    hour: HourVerdict
    clock: str
    when: str
    label: str
    day: str
    in_trip: bool
    text: words.HourText
    odds: tuple[tuple[Severity, str], ...]
    short: str
    more: str


def build_rows(verdict: Verdict, preferences: Preferences) -> list[Row]:
    """Return the hours around the trip in words; the row number of the page is their index."""
    hours = verdict.around or verdict.hours
    days = [_local(hour, verdict).date() for hour in hours]
    new = [at == 0 or day != days[at - 1] for at, day in enumerate(days)]
    return [
        _row(hour, begins, verdict, preferences) for hour, begins in zip(hours, new, strict=True)
    ]


def _local(hour: HourVerdict, verdict: Verdict) -> datetime:
    return hour.time.astimezone(ZoneInfo(verdict.plan.water.time_zone))


def _row(hour: HourVerdict, new_day: bool, verdict: Verdict, preferences: Preferences) -> Row:
    local, trip = _local(hour, verdict), [one.time for one in verdict.hours]
    text = words.hour_text(hour, preferences)
    when = LocalClock.of(verdict.plan).time(hour.time)
    named = new_day or hour.time == trip[0]
    short = f"{when}: {hour.severity}; {_figures(text, preferences)}"
    return Row(
        hour=hour,
        clock=words.clock(local),
        when=when,
        label=f"{words.weekday(local) if named else ''} {words.clock(local)}".strip(),
        day=words.day(local) if new_day else "",
        in_trip=hour.time in trip,
        text=text,
        odds=tuple((level, words.percent(hour.odds.get(level, 0.0))) for level in Severity),
        short=short,
        more=" ".join(filter(None, (_because(hour, verdict), _limits(hour, preferences)))),
    )


def worst_row(rows: list[Row]) -> int:
    """Return the first hour of the trip at its worst severity."""
    return max(range(len(rows)), key=lambda row: rows[row].in_trip and rows[row].hour.severity + 1)


def _figures(text: words.HourText, preferences: Preferences) -> str:
    wind, wave = preferences.wind, preferences.wave
    return (
        f"wind {text.wind} {wind} from {text.direction}, gusts {text.gusts} {wind},"
        f" waves {text.waves} {wave}"
    )


def _because(hour: HourVerdict, verdict: Verdict) -> str:
    """Return the hazards that decide an hour, without those of the whole trip."""
    throughout = {one.hazard for one in verdict.findings if holds_throughout(one, verdict)}
    names = [name.replace("_", " ") for name in hour.because if name not in throughout]
    return f"Because: {', '.join(names)}." if names else ""


def _limits(hour: HourVerdict, preferences: Preferences) -> str:
    """Return the limits that hold in an hour: no-go where one is passed, else caution."""
    no_go = hour.severity == Severity.NO_GO
    bounds = {name: bounds_of(hour, quantity)[no_go] for quantity, name in NAMES.items()}
    told = [
        f"{name.lower()} {limit_text(bounds[name], quantity, preferences)}"
        for quantity, name in NAMES.items()
        if math.isfinite(bounds[name])
    ]
    return f"{'No-go' if no_go else 'Caution'} limits: {', '.join(told)}." if told else ""

"""The hours as the page shows them one by one: in the strip, in the table, in the words."""

from __future__ import annotations

from dataclasses import dataclass
from zoneinfo import ZoneInfo

from safety_check.model.local_clock import LocalClock
from safety_check.model.verdict import HourVerdict, Severity, Verdict
from safety_check.report import words
from safety_check.units import Preferences


@dataclass(frozen=True)
class Row:
    """One hour in words.

    Parameters
    ----------
    hour
        The hour.
    clock, when
        Its local time, alone and with what the plan needs to name its day.
    day
        Its day, where another one begins; empty elsewhere.
    in_trip
        Whether the trip touches it.
    text, odds
        Its figures, and the share of the forecasts at each severity.
    said
        All of it in one sentence.
    """

    hour: HourVerdict
    clock: str
    when: str
    day: str
    in_trip: bool
    text: words.HourText
    odds: tuple[tuple[Severity, str], ...]
    said: str


def build_rows(verdict: Verdict, preferences: Preferences) -> list[Row]:
    """Return the hours around the trip in words; the row number of the page is their index."""
    trip = {hour.time for hour in verdict.hours}
    zone, local_clock = ZoneInfo(verdict.plan.water.time_zone), LocalClock.of(verdict.plan)
    rows: list[Row] = []
    before = ""
    for hour in verdict.around or verdict.hours:
        local = hour.time.astimezone(zone)
        day, when = words.day(local), local_clock.time(hour.time)
        text = words.hour_text(hour, preferences)
        rows.append(
            Row(
                hour=hour,
                clock=words.clock(local),
                when=when,
                day=day if day != before else "",
                in_trip=hour.time in trip,
                text=text,
                odds=tuple((level, words.percent(hour.odds.get(level, 0.0))) for level in Severity),
                said=f"{when}: {hour.severity}; {_figures(text, preferences)}",
            )
        )
        before = day
    return rows


def worst_row(rows: list[Row]) -> int:
    """Return the first hour of the trip at its worst severity."""
    return max(range(len(rows)), key=lambda row: rows[row].in_trip and rows[row].hour.severity + 1)


def _figures(text: words.HourText, preferences: Preferences) -> str:
    wind, wave = preferences.wind, preferences.wave
    return (
        f"wind {text.wind} {wind} from {text.direction}, gusts {text.gusts} {wind},"
        f" waves {text.waves} {wave}"
    )

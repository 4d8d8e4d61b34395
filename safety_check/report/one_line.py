"""The verdict in one line that can be sent as a text message."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from safety_check.model.local_clock import LocalClock
from safety_check.model.verdict import Severity, Verdict
from safety_check.report.advice import round_down
from safety_check.report.words import clock, day, hours_text
from safety_check.units import Preferences

NAME = 24  # characters of a water's name at most


def one_line(verdict: Verdict, preferences: Preferences) -> str:
    """Return verdict, hours, place, wind and the time to turn back, or when it is a GO instead."""
    plan, zone = verdict.plan, ZoneInfo(verdict.plan.water.time_zone)
    start, end = plan.start.astimezone(zone), plan.end.astimezone(zone)
    until = clock(end) if start.date() == end.date() else f"{day(end)} {clock(end)}"
    water = plan.water.name if len(plan.water.name) <= NAME else plan.water.name[: NAME - 1] + "…"
    parts = [
        f"{verdict.severity} {clock(start)}-{until} {day(start)}, {water}",
        _weather(verdict, preferences),
        _instead(verdict) if verdict.severity > Severity.MARGINAL else _turn_back(verdict),
    ]
    return ", ".join(filter(None, parts))


def _weather(verdict: Verdict, preferences: Preferences) -> str:
    text = hours_text(verdict.hours, preferences)
    wind = text.wind.rsplit("-", 1)[-1]
    return (
        f"wind {wind} gusts {text.gusts} {preferences.wind}, waves"
        f" {text.waves.rsplit('-', 1)[-1]} {preferences.wave}"
    )


def _turn_back(verdict: Verdict) -> str:
    if verdict.advice is None or verdict.advice.getting_home.turn_back is None:
        return ""
    latest = round_down(verdict.advice.getting_home.turn_back)
    return f"turn back by {LocalClock.of(verdict.plan).time(latest)}"


def _instead(verdict: Verdict) -> str:
    better = next((one for one in verdict.windows if one.severity == Severity.GO), None)
    if better is None or better.severity >= verdict.severity:
        return ""
    local = LocalClock.of(verdict.plan)
    return f"GO {local.time(better.start)}-{local.time(better.end)} instead"

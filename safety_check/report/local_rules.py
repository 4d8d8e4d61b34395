"""The user's own rules for a water, in words and as JSON."""

from __future__ import annotations

from datetime import datetime

import numpy as np
from pydantic import BaseModel, ConfigDict

from safety_check.model.local_clock import LocalClock
from safety_check.model.place import LocalRule
from safety_check.model.verdict import LocalRuleUse, Verdict
from safety_check.report.words import spans
from safety_check.units import Preferences, compass, show

TITLE = "Your rules for this water"


class LocalRuleItem(BaseModel):
    """A rule of the user's for the water; `wind_added` in m/s, null is all day or every wind.

    `hours` are minutes of the local day, `sector` degrees true, clockwise. `counted` holds the
    hours of the trip in which it adds wind.
    """

    model_config = ConfigDict(extra="forbid")

    name: str
    wind_added: float
    hours: tuple[int, int] | None
    sector: tuple[float, float] | None
    counted: list[datetime]


def describe_rule(rule: LocalRule, preferences: Preferences) -> str:
    """Return a rule as a sentence without its full stop."""
    added = show(rule.wind_added, "speed", preferences.pace)
    hours = "all day" if rule.hours is None else "-".join(map(_clock, rule.hours))
    wind = "any wind" if rule.sector is None else _sector(rule.sector)
    return f'"{rule.name}": {added} more wind and gusts, {hours}, {wind}'


def _clock(minute: int) -> str:
    return f"{minute // 60:02d}:{minute % 60:02d}"


def _sector(sector: tuple[float, float]) -> str:
    first, last = (compass(bearing) for bearing in sector)
    return f"wind from {first} to {last} ({sector[0]:.0f}° to {sector[1]:.0f}°)"


def local_rule_lines(verdict: Verdict, preferences: Preferences) -> list[str]:
    """Return a sentence for each rule of the plan's water, with the hours in which it counts."""
    clock = LocalClock.of(verdict.plan)
    return [_line(one, clock, preferences) for one in verdict.local_rules]


def _line(one: LocalRuleUse, clock: LocalClock, preferences: Preferences) -> str:
    words = describe_rule(one.rule, preferences)
    if not one.hours:
        return f"{words}. It does not count on this trip."
    hours = np.array([hour.replace(tzinfo=None) for hour in one.hours], dtype="datetime64[s]")
    return f"{words}. It counts {spans(hours, clock)}."


def local_rules_part(verdict: Verdict) -> list[LocalRuleItem]:
    """Return the rules of the plan's water for a program."""
    return [
        LocalRuleItem(
            name=one.rule.name,
            wind_added=one.rule.wind_added,
            hours=one.rule.hours,
            sector=one.rule.sector,
            counted=[*one.hours],
        )
        for one in verdict.local_rules
    ]

"""The coming days, as the outlook shows them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from safety_check.model.plan import Plan
from safety_check.model.verdict import Finding, Severity, Unknown, WaterReading, Window
from safety_check.model.weather import Briefing


@dataclass(frozen=True)
class Day:
    """One local day at one launch.

    Parameters
    ----------
    date
        The local day.
    plan
        Who, where and in what; start and end are those of the best trip of the asked
        length, or of the whole outlook where the day's light leaves none.
    severity
        Of the best trip; None where the day's light leaves none.
    odds
        Share of the forecasts in which the best trip stays GO from launch to return.
    window
        The longest run of daylight hours, the hour of return included, in which that
        verdict holds; None where it is worse than MARGINAL.
    why
        What keeps the best trip from a better verdict; None for a GO, and where only
        the failure of a source does.
    ends
        What first ends the window; None where the day's light or the outlook does.
    shorter
        A better window, but shorter than asked.
    beyond_warnings
        True where the best trip ends later than official warnings are issued ahead.
    """

    date: date
    plan: Plan
    severity: Severity | None = None
    odds: float = 0.0
    window: Window | None = None
    why: Finding | None = None
    ends: Finding | None = None
    shorter: Window | None = None
    beyond_warnings: bool = False


@dataclass(frozen=True)
class Outlook:
    """The coming days at one launch.

    Parameters
    ----------
    plan
        Who, where and in what, from the clock of the outlook to the end of its last day.
    hours
        The length of trip that was asked for. [h]
    days
        In order.
    unknown
        What is not known in any hour, and which sources did not answer.
    briefing
        What it rests on.
    loosened
        What the user has loosened, in sentences.
    widening
        In words, what was done to the forecasts before they were weighed.
    warnings_until
        How far official warnings are issued ahead; None where nobody's word on them counts.
    water
        The temperature of the water, and who says so.
    """

    plan: Plan
    hours: int
    days: tuple[Day, ...]
    unknown: tuple[Unknown, ...]
    briefing: Briefing
    widening: tuple[str, ...] = ()
    loosened: tuple[str, ...] = ()
    warnings_until: datetime | None = None
    water: WaterReading | None = None

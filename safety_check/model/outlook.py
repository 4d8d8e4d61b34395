"""The coming days, as the outlook shows them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from safety_check.model.plan import Plan
from safety_check.model.verdict import Finding, Severity, Unknown, WaterReading, Window
from safety_check.model.water_movement import Turn
from safety_check.model.weather import Briefing, Provenance


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
        What keeps the best trip from a better verdict; None for a GO, and where it is only the
        failure of a source.
    ends
        The hazard that ends the window; None where it ends with the daylight or the outlook.
    shorter
        A better window, but shorter than asked.
    beyond_warnings
        True where the best trip ends later than official warnings are issued ahead.
    water
        The temperature of the water during the best trip, and its source; None without a trip.
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
    water: WaterReading | None = None


@dataclass(frozen=True)
class Outlook:
    """The coming days at one launch.

    Parameters
    ----------
    plan
        Who, where and in what, from the time of the outlook to the end of its last day.
    hours
        The length of trip that was asked for. [h]
    days
        In order.
    unknown
        What is not known in any hour, and which sources did not answer.
    briefing
        The forecasts, observations and warnings that it uses.
    loosened
        What the user has loosened, in sentences.
    widening
        In words, how the forecasts were changed before they were weighed.
    warnings_until
        How far ahead official warnings are issued; None where they are not known here.
    water
        The temperature of the water over all days, and its source.
    turns
        Events of tide and current; empty on water that does not move, or where they are not known.
    air
        Where the air temperatures come from that an estimate of the water rests on.
    """

    plan: Plan
    hours: int
    days: tuple[Day, ...]
    unknown: tuple[Unknown, ...]
    briefing: Briefing
    widening: tuple[str, ...] = ()
    loosened: tuple[str, ...] = ()
    turns: tuple[Turn, ...] = ()
    warnings_until: datetime | None = None
    water: WaterReading | None = None
    air: tuple[Provenance, ...] = ()

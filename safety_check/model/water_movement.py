"""The movement of a water during a trip, as a report tells it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True)
class Turn:
    """An event of tide or current.

    Parameters
    ----------
    time
        UTC.
    what
        "high water", "low water", "slack", "flood" or "ebb"; the last two are the strongest.
    value
        Height or speed [m, m s⁻¹]; NaN where it is not known.
    """

    time: datetime
    what: str
    value: float


@dataclass(frozen=True)
class Movement:
    """Tide, current and river around a trip.

    Parameters
    ----------
    turns
        Events of the shown hours, in order.
    against
        From when on the current sets against the way home; None where it never does, or where
        that is not known.
    wet
        When the launch has water, each from and until, UTC; None where it never dries.
    height, current
        Height of the tide at the start of each shown hour, and the strongest current in it
        [m, m s⁻¹]; NaN where not known, empty on water without.
    river
        What is known of the river, in words for each part; empty without.
    origin
        Where tide and current are predicted, in words.
    """

    turns: tuple[Turn, ...] = ()
    against: datetime | None = None
    wet: tuple[tuple[datetime, datetime], ...] | None = None
    height: tuple[float, ...] = ()
    current: tuple[float, ...] = ()
    river: tuple[tuple[str, float], ...] = ()
    origin: tuple[str, ...] = ()

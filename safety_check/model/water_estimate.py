"""What a water's temperature is estimated from, and the estimate."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from safety_check.arrays import FloatArray, TimeArray
from safety_check.model.weather import Provenance

POND, RESERVOIR, DEEP, NOT_DEEP = "pond", "reservoir", "deep", "not deep"
DEPTH_CLASSES = (POND, RESERVOIR, DEEP, NOT_DEEP)
EXCLUSIONS = {
    "dam": "it lies below a dam, which may release cold water from the deep",
    "melt": "it is fed by a glacier, snow melt or springs",
    "sea": "it is connected with the sea",
    "great lake": "it is a great lake, where cold deep water rises",
}
"""What rules out an estimate, and why."""


@dataclass(frozen=True)
class EstimateBasis:
    """What the user declared about a water, so that its temperature may be estimated.

    Parameters
    ----------
    depth
        One of `DEPTH_CLASSES`; empty where the mean depth is given.
    mean_depth
        None where not known. [m]
    excluded
        Those of `EXCLUSIONS` that hold; None where that was not declared.
    """

    depth: str = ""
    mean_depth: float | None = None
    excluded: tuple[str, ...] | None = None


@dataclass(frozen=True)
class DailyAir:
    """Air temperature at a place, day by day.

    Parameters
    ----------
    day : array (day,)
        Successive days, UTC.
    temperature : array (day,)
        Daily means; NaN where not known. [K]
    ahead : array (day,)
        How many days ahead the value was forecast; 0 for days that are over. [d]
    provenance
        Where the values come from.
    """

    day: TimeArray
    temperature: FloatArray
    ahead: FloatArray
    provenance: tuple[Provenance, ...] = ()


@dataclass(frozen=True)
class DayRange:
    """The range in which the temperature of a water lies on one day, UTC. [K]."""

    day: date
    cold: float
    warm: float


@dataclass(frozen=True)
class WaterEstimate:
    """The range in which the temperature of a water lies, as estimated from the air.

    Parameters
    ----------
    cold, warm
        The coldest and the warmest of all days; NaN where it can't be estimated. [K]
    why_not
        Why it can't; empty where it can.
    logged
        How many logged water temperatures of this water count in it.
    days
        The range of each day; empty where one range holds for all.
    provenance
        Where the air temperatures come from.
    """

    cold: float
    warm: float
    why_not: str = ""
    logged: int = 0
    days: tuple[DayRange, ...] = ()
    provenance: tuple[Provenance, ...] = ()

    def on(self, days: Iterable[date]) -> tuple[float, float]:
        """Return the coldest and the warmest of some days; NaN where none of them is known. [K]."""
        if not self.days:
            return self.cold, self.warm
        wanted = set(days)
        known = [one for one in self.days if one.day in wanted]
        if not known:
            return math.nan, math.nan
        return min(one.cold for one in known), max(one.warm for one in known)

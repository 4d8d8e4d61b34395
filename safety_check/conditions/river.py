"""What a river's readings say of each hour of a trip. Nothing here is imported for still water."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np

from safety_check.arrays import BoolArray, FloatArray, TimeArray, to_datetime64
from safety_check.model.moving_water import FloodCategory, MovingWater, RiverReading
from safety_check.settings.moving_water import RiverRule

CATEGORY = "river_flood_category"
PERCENTILE = "river_percentile"
RISING = "river_percentile_while_rising"
STAGE = "river_gauge_height"
DISCHARGE = "river_discharge"
SAME_PLACE = 300.0  # m; two services round the place of one gauge differently
LEVELS = {
    FloodCategory.NONE: 0.0,
    FloodCategory.ACTION: 1.0,
    FloodCategory.MINOR: 2.0,
    FloodCategory.MODERATE: 3.0,
    FloodCategory.MAJOR: 4.0,
    FloodCategory.UNKNOWN: math.nan,
}
FLOODED = tuple(category for category, level in LEVELS.items() if level > 0)


@dataclass(frozen=True)
class OwnGauge:
    """What the limits of a river ask of its readings.

    Parameters
    ----------
    stage, discharge
        Whether the user has a limit of their own for it.
    ranks
        Every bound on the percentile of the day. [1]
    """

    stage: bool = False
    discharge: bool = False
    ranks: tuple[float, ...] = ()

    def holds(self, reading: RiverReading) -> bool:
        """Return whether a limit of the user's judges what the reading knows."""
        by_stage = self.stage and math.isfinite(reading.stage)
        return by_stage or (self.discharge and math.isfinite(reading.discharge))


def river_quantities(
    moving: MovingWater, hours: TimeArray, at: datetime, own: OwnGauge, rule: RiverRule
) -> dict[str, FloatArray]:
    """Return what is weighed of a river, each array (1, hour); NaN where it is not known.

    Parameters
    ----------
    moving
        Its readings, the user's own among them.
    hours : array (hour,)
        Start of each hour, UTC.
    at
        The time of the check.
    own
        What the limits ask of the readings.
    rule
        How old a reading may be, and for how long it counts.

    Notes
    -----
    A category or percentile that is not known is excused only by a limit of the user's own for a
    reading that is known, and no category is excused while the river rises.
    """
    reading = current_reading(moving, at, rule)
    if reading is None:
        nothing = np.full((1, len(hours)), np.nan)
        return {name: nothing for name in (CATEGORY, PERCENTILE, RISING, *_weighed(own))}
    excused = own.holds(reading)
    found = {
        CATEGORY: _category(reading, excused),
        PERCENTILE: _percentile(reading, excused, own.ranks),
        RISING: _while_rising(reading, excused, own.ranks),
        STAGE: reading.stage,
        DISCHARGE: reading.discharge,
    }
    within = _within(reading, hours, rule)
    kept = (CATEGORY, PERCENTILE, RISING, *_weighed(own))
    return {name: np.where(within, found[name], np.nan)[None, :] for name in kept}


def current_reading(moving: MovingWater, at: datetime, rule: RiverRule) -> RiverReading | None:
    """Return the readings of the nearest gauge that are recent enough, as one; None without."""
    return count_together([one for one in _nearest(moving.rivers) if _fresh(one, at, rule)])


def _weighed(own: OwnGauge) -> list[str]:
    return [name for name, set_ in ((STAGE, own.stage), (DISCHARGE, own.discharge)) if set_]


def _nearest(readings: Sequence[RiverReading]) -> list[RiverReading]:
    """Return the user's own readings, and those of the nearest gauge, which may be in two parts."""
    own = [one for one in readings if one.station.distance is None]
    away = [(one, one.station.distance) for one in readings if one.station.distance is not None]
    nearest = min((far for _, far in away), default=math.inf)
    return [*own, *(one for one, far in away if far <= nearest + SAME_PLACE)]


def _fresh(reading: RiverReading, at: datetime, rule: RiverRule) -> bool:
    """Return whether a reading is recent enough; one without a time is not."""
    if reading.time is None:
        return False
    return abs((at - reading.time).total_seconds()) <= rule.greatest_age


def _within(reading: RiverReading, hours: TimeArray, rule: RiverRule) -> BoolArray:
    assert reading.time is not None
    ends = to_datetime64(reading.time) + np.timedelta64(round(rule.holds), "s")
    within: BoolArray = hours <= ends
    return within


def count_together(readings: Sequence[RiverReading]) -> RiverReading | None:
    """Return readings of one place as one, the user's own first; None without any."""
    if not readings:
        return None
    first, *others = readings
    for other in others:
        first = replace(
            first,
            time=min(filter(None, (first.time, other.time))),
            stage=_first(first.stage, other.stage),
            discharge=_first(first.discharge, other.discharge),
            rise=_steepest(first.rise, other.rise),
            percentile=_rank_of(first, other),
            category=_worse(_worse(first.category, other.category), _reached(first, other)),
            forecast_category=_worse(first.forecast_category, other.forecast_category),
        )
    return first


def _rank_of(first: RiverReading, other: RiverReading) -> tuple[float, float] | None:
    """Return the rank of the first reading's discharge, or of another one's.

    Above a discharge whose rank is known, only the lower end of that rank still holds.
    """
    if first.percentile is not None or other.percentile is None:
        return first.percentile
    more = first.discharge > other.discharge
    return (other.percentile[0], 1.0) if more else other.percentile


def _reached(first: RiverReading, other: RiverReading) -> FloodCategory:
    """Return the worst category that the first reading reaches at the other one's gauge."""
    levels = ((first.stage, other.stages), (first.discharge, other.flows))
    reached = [
        category
        for level, bounds in levels
        for category in FLOODED
        if (bound := getattr(bounds, category.value)) is not None and level >= bound
    ]
    return max(reached, key=LEVELS.__getitem__, default=FloodCategory.UNKNOWN)


def _steepest(one: float, other: float) -> float:
    """Return the faster rise of two; the user may see one that the gauge does not."""
    return max(_first(one, other), _first(other, one))


def _first(one: float, other: float) -> float:
    return other if math.isnan(one) else one


def _worse(one: FloodCategory, other: FloodCategory) -> FloodCategory:
    """Return the worse of two categories; a known one before one that is not known."""
    known = [category for category in (one, other) if category is not FloodCategory.UNKNOWN]
    return max(known, key=LEVELS.__getitem__, default=FloodCategory.UNKNOWN)


def _category(reading: RiverReading, excused: bool) -> float:
    worst = LEVELS[reading.category]
    ahead = LEVELS[reading.forecast_category]
    if math.isnan(worst):
        flood_ahead = ahead >= LEVELS[FloodCategory.MINOR]
        still = excused and reading.rise <= 0
        return ahead if flood_ahead or (still and ahead > 0) else (0.0 if still else math.nan)
    return worst if math.isnan(ahead) else max(worst, ahead)


def _percentile(reading: RiverReading, excused: bool, bounds: Sequence[float]) -> float:
    """Return the percentile that counts: the one that is reached, where no bound lies above it.

    The statistics name a few percentiles, and a discharge lies between two of them. A bound that
    lies between these may be reached, so the higher one counts then.
    """
    if reading.percentile is None:
        return 0.0 if excused else math.nan
    least, greatest = reading.percentile
    return greatest if any(least < bound < greatest for bound in bounds) else least


def _while_rising(reading: RiverReading, excused: bool, bounds: Sequence[float]) -> float:
    """Return the percentile of a river that rises or may rise; 0 where it does not rise."""
    return 0.0 if reading.rise <= 0 else _percentile(reading, excused, bounds)

"""Use a water temperature measured days ago, taken as colder the older it is."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from safety_check.model.verdict import WaterReading
from safety_check.model.weather import Observation


@dataclass(frozen=True)
class WaterMemoryTrust:
    """How long a measured water temperature is used, and how far it may have fallen since.

    Parameters
    ----------
    greatest_age
        An older one is not used. [s]
    drop
        How far below the measurement the water falls in the end. [K]
    rate
        How fast it gets there. [s⁻¹]
    together
        Measurements no farther apart than this count as one, the coldest. [s]
    coldest
        Open water is never colder. [K]
    """

    greatest_age: float
    drop: float
    rate: float
    together: float
    coldest: float


def recall_water(
    stored: Iterable[Observation], at: datetime, trust: WaterMemoryTrust
) -> WaterReading:
    """Return the newest measurement and the coldest that the water may be now.

    The value is NaN where there is no usable measurement.

    Parameters
    ----------
    stored
        Measured water temperatures of this water, in any order.
    at
        The time of the check; later measurements are ignored.
    trust
        From config.
    """
    known = [reading for reading in stored if math.isfinite(reading.value) and not reading.flagged]
    usable = [reading for reading in known if 0 <= _age(reading, at) <= trust.greatest_age]
    if not usable:
        return WaterReading(math.nan)
    newest = max(reading.time for reading in usable)
    near = [
        reading for reading in usable if newest - reading.time <= timedelta(seconds=trust.together)
    ]
    lowest = min(near, key=lambda reading: cold_end(reading.value, _age(reading, at), trust))
    counts_as = cold_end(lowest.value, _age(lowest, at), trust)
    return WaterReading(counts_as, lowest.station, lowest.time, lowest.value)


def cold_end(measured: float, age: float, trust: WaterMemoryTrust) -> float:
    """Return the lowest temperature of water some time after a measurement. [K].

    The water falls exponentially towards a temperature `drop` below the measurement.
    NaN beyond the greatest age.

    Examples
    --------
    >>> trust = WaterMemoryTrust(14 * 86400.0, 10.0, 0.4 / 86400, 86400.0, 271.15)
    >>> [round(cold_end(293.0, days * 86400, trust), 1) for days in (0, 1, 7, 15)]
    [293.0, 289.7, 283.6, nan]
    """
    if not 0 <= age <= trust.greatest_age:
        return math.nan
    fallen = trust.drop * -math.expm1(-trust.rate * age)
    return min(measured, max(measured - fallen, trust.coldest))


def _age(measured: Observation, at: datetime) -> float:
    return (at - measured.time).total_seconds()

"""How far a logged temperature reaches, and how often the best of all bands could decide."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from benchmarks.lake_fit import SEASONS, band_of, runs_alone
from benchmarks.lake_series import LakeSeries
from safety_check.arrays import FloatArray
from safety_check.conditions.lake_band import Band
from safety_check.conditions.lake_learning import learn_band
from safety_check.conditions.lake_model import LakeModel

AGES = (1, 3, 7, 14, 30, 60, 120, 180, 365)  # d
OPEN = (4, 5, 6, 7, 8, 9, 10, 11)  # months without ice
READINGS = (1, 5, 20)
SPACING = 17  # d between the readings; no multiple of a week


def falls_with_age(lake: LakeSeries, band: Band) -> FloatArray:
    """Return for each age how much lower the error was later, on one day in twenty. [K]."""
    error = np.where(lake.usable & np.isin(lake.month, OPEN), lake.water - band.middle, np.nan)
    found = []
    for age in AGES:
        change = error[age:] - error[:-age]
        found.append(-float(np.quantile(change[np.isfinite(change)], 0.05)))
    return np.array(found)


def ideal_band(lake: LakeSeries, model: LakeModel) -> Band:
    """Return the band with the lake's own errors by season, which nobody knows in advance."""
    bare = runs_alone(lake, model)
    cold, warm = np.array(bare.cold), np.array(bare.warm)
    for months in SEASONS.values():
        season = np.isin(lake.month, months)
        days = season & lake.usable
        if days.any():
            cold[season] += np.quantile((lake.water - bare.cold)[days], 0.05)
            warm[season] += np.quantile((lake.water - bare.warm)[days], 0.95)
    return Band(cold, bare.middle, warm)


def learnt_bands(lake: LakeSeries, band: Band, count: int, model: LakeModel) -> Band:
    """Return the band of each day with so many readings of the days before it."""
    cold, warm = np.array(band.cold), np.array(band.warm)
    usable = np.flatnonzero(lake.usable)
    for block in np.split(usable, np.arange(SPACING, len(usable), SPACING)):
        read = block[0] - SPACING * np.arange(1, count + 1)
        read = read[(read >= 0) & lake.usable[np.maximum(read, 0)]]
        if read.size < count:
            cold[block] = np.nan
            continue
        first = int(read.min())
        span = slice(first, int(block[-1]) + 1)
        known = [(int(day) - first, float(lake.water[day])) for day in read]
        part = Band(band.cold[span], band.middle[span], band.warm[span])
        found = learn_band(part, known, model.learning)
        cold[block], warm[block] = found.cold[block - first], found.warm[block - first]
    return Band(cold, band.middle, warm)


def days_of(lake: LakeSeries, band: Band) -> LakeSeries:
    """Return a lake of which only the days count that the band knows."""
    return replace(lake, usable=lake.usable & np.isfinite(band.cold))


def as_used(band: Band, model: LakeModel) -> Band:
    """Return a band with the allowance for air of a model's grid cell."""
    wider = model.allowance.reanalysis
    return Band(np.maximum(0.0, band.cold - wider), band.middle, band.warm + wider)


def print_ages(lakes: Sequence[LakeSeries], models: Mapping[str, LakeModel]) -> None:
    """Print by age how much lower the water lay than a reading told, and what is allowed."""
    print("\nhow much lower the error was than so many days before, one day in twenty [K]")
    print(f"{'days':<15}" + " ".join(f"{age:5d}" for age in AGES))
    falls = np.array([falls_with_age(lake, band_of(lake, models[lake.name])) for lake in lakes])
    by = models[lakes[0].name].learning
    allowed = by.left + by.grows * -np.expm1(-np.array(AGES) / by.grows_over)
    for name, row in (("mean", falls.mean(axis=0)), ("worst lake", falls.max(axis=0)),
                      ("allowed", allowed)):  # fmt: skip
        print(f"{name:<15}" + " ".join(f"{value:5.1f}" for value in row))

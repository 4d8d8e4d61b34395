"""The range of a water's temperature where nobody measured it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from safety_check.arrays import BoolArray, FloatArray, IntArray, TimeArray
from safety_check.conditions.lake_band import Band, find_band
from safety_check.conditions.lake_learning import learn_band
from safety_check.conditions.lake_model import LakeModel
from safety_check.model.water_estimate import (
    DEEP,
    EXCLUSIONS,
    NOT_DEEP,
    POND,
    RESERVOIR,
    DailyAir,
    DayRange,
    EstimateBasis,
    WaterEstimate,
)
from safety_check.physics.lake_temperature import daily_insolation
from safety_check.settings.lake_file import Range

ZERO_CELSIUS = 273.15  # K


@dataclass(frozen=True)
class LakeSite:
    """Where a water lies and how large it is.

    Parameters
    ----------
    latitude
        North positive. [deg]
    basis
        What the user declared.
    elevation
        Of the surface above sea level; None where it is not declared. [m]
    area, length
        Of the shoreline; NaN where none is known. [m², m]
    unlike_a_lake
        Why it is none, such as the tide; empty for a lake.
    """

    latitude: float
    basis: EstimateBasis
    elevation: float | None
    area: float = math.nan
    length: float = math.nan
    unlike_a_lake: str = ""


def estimate_water(
    air: DailyAir,
    site: LakeSite,
    days: tuple[date, date],
    logged: Sequence[tuple[date, float]],
    model: LakeModel,
) -> WaterEstimate:
    """Return the range of a water's temperature over some days.

    Parameters
    ----------
    air
        At least the last twelve months, and the days of the estimate.
    site
        Where the water is, and what was declared about it.
    days
        First and last; of them those count for which the air temperature is known.
    logged
        Water temperatures that were measured here, with their days. [K]
    model
        From config.
    """
    why_not = out_of_range(site, model)
    if why_not:
        return unknown_water(why_not)
    celsius, known = fill_gaps(air.temperature - ZERO_CELSIUS, model.allowance.longest_gap)
    first, last = (_number(day, air) for day in days)
    last = min(last, _last_known(known, first))
    gaps = np.flatnonzero(~known[: last + 1])
    begin = int(gaps[-1]) + 1 if gaps.size else 0
    if first - begin < model.allowance.spin_up or first > last:
        return unknown_water("the air temperature of the last twelve months is not known in full")
    band = _band(air, celsius, slice(begin, last + 1), site, model)
    ready = begin + model.allowance.spin_up
    readings = [(number - begin, value - ZERO_CELSIUS)
                for number, value in ((_number(day, air), value) for day, value in logged)
                if ready <= number <= last]  # fmt: skip
    learnt = learn_band(band, readings, model.learning)
    ranges = _ranges(learnt, air.day[begin : last + 1], first - begin)
    low, high = min(one.cold for one in ranges), max(one.warm for one in ranges)
    return WaterEstimate(low, high, logged=len(readings), days=ranges, provenance=air.provenance)


def unknown_water(why_not: str) -> WaterEstimate:
    """Return that nothing can be said of a water's temperature, and why."""
    return WaterEstimate(math.nan, math.nan, why_not)


def out_of_range(site: LakeSite, model: LakeModel) -> str:
    """Return why a water's temperature can't be estimated; empty where it can."""
    excluded, height = site.basis.excluded, site.elevation
    if site.unlike_a_lake:
        return site.unlike_a_lake
    if excluded is None:
        return "whether a dam, melt water or the sea rules it out is not declared"
    if excluded:
        return EXCLUSIONS.get(excluded[0], "it is excluded")
    (south, north), (lowest, highest) = model.range.latitude, model.range.elevation
    if not south <= site.latitude <= north:
        return f"the estimate was tested only on lakes from {south:g} to {north:g} degrees north"
    if height is None or not lowest <= height <= highest:
        known = "its elevation is not declared" if height is None else f"it lies at {height:.0f} m"
        return f"{known}, and the estimate was tested only on lakes up to {highest:.0f} m"
    return _too_deep(site, model.range)


def _too_deep(site: LakeSite, bounds: Range) -> str:
    """Return why a water's depth rules out an estimate; empty where it does not."""
    depth = site.basis.mean_depth
    if depth is not None:
        fits = 0 < depth <= bounds.deepest
        return "" if fits else f"its mean depth is not above 0 and up to {bounds.deepest:g} m"
    if site.basis.depth not in (POND, RESERVOIR, NOT_DEEP):
        return "it is deep" if site.basis.depth == DEEP else "its depth is not declared"
    if math.isnan(site.area):
        return "its size is not known, and its mean depth is not declared"
    if site.area > bounds.great_lake:
        return "so large a lake may be deep, and its mean depth is not declared"
    return ""


def depths_of(basis: EstimateBasis, model: LakeModel) -> FloatArray:
    """Return the mean depths that a water may have. [m]."""
    if basis.mean_depth is not None:
        return np.array([basis.mean_depth])
    bounds = model.range
    tried = {POND: bounds.pond, RESERVOIR: bounds.reservoir, NOT_DEEP: bounds.not_deep}
    return np.array(tried[basis.depth])


def fill_gaps(air: FloatArray, longest: int) -> tuple[FloatArray, BoolArray]:
    """Return daily air with short gaps filled by the colder of their two sides, and what is known.

    Parameters
    ----------
    air : array (day,)
        NaN where not known. [degC]
    longest
        Gaps of more days stay unknown, and so do days before the first and after the last value.
    """
    number = np.arange(len(air))
    here = np.isfinite(air)
    before = np.maximum.accumulate(np.where(here, number, -1))
    after = np.minimum.accumulate(np.where(here, number, len(air))[::-1])[::-1]
    known = here | ((before >= 0) & (after < len(air)) & (after - before - 1 <= longest))
    sides = (np.take(air, np.clip(side, 0, len(air) - 1)) for side in (before, after))
    return np.where(known, np.minimum(*sides), np.nan), known


def _band(
    air: DailyAir, celsius: FloatArray, days: slice, site: LakeSite, model: LakeModel
) -> Band:
    """Return the band of some days, as wide as air from a model and the wind call for."""
    day = air.day[days]
    number: IntArray = (day - day.astype("datetime64[Y]")).astype(np.int64) + 1
    month: IntArray = day.astype("datetime64[M]").astype(np.int64) % 12 + 1
    sun = daily_insolation(site.latitude, number)
    found = find_band(celsius[days], sun, month, depths_of(site.basis, model), model)
    allowed = model.allowance
    wider = allowed.reanalysis + allowed.per_day_ahead * air.ahead[days]
    begins, ends = allowed.stratified
    stratified = (month >= begins) & (month <= ends)
    short = site.length <= allowed.upwelling_length  # an unknown length is not known to be short
    rising = np.where(stratified & (not short), allowed.upwelling, 0.0)
    return Band(np.maximum(0.0, found.cold - wider - rising), found.middle, found.warm + wider)


def _ranges(band: Band, day: TimeArray, first: int) -> tuple[DayRange, ...]:
    """Return the range of each day from the first that is asked for. [K]."""
    return tuple(
        DayRange(when.astype("datetime64[D]").item(), cold, warm)
        for when, cold, warm in zip(
            day[first:],
            (ZERO_CELSIUS + band.cold[first:]).tolist(),
            (ZERO_CELSIUS + band.warm[first:]).tolist(),
            strict=True,
        )
    )


def _last_known(known: BoolArray, first: int) -> int:
    """Return the last day of the run of known ones from the first; -1 where that is unknown."""
    if not 0 <= first < len(known) or not known[first]:
        return -1
    lost = np.flatnonzero(~known[first:])
    return first + int(lost[0]) - 1 if lost.size else len(known) - 1


def _number(day: date, air: DailyAir) -> int:
    """Return how many days after the first a day is."""
    return int((np.datetime64(day, "D") - air.day[0].astype("datetime64[D]")).astype(np.int64))

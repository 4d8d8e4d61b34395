"""The waves that the trip may meet: raised on this water, forecast, or observed."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.conditions.course import water_within
from safety_check.conditions.ensemble import FROM, SEA, Ensemble, raise_by_observation
from safety_check.conditions.hour_parts import LEAD_IN, HourParts, max_of_parts
from safety_check.model.place import OpenWater
from safety_check.physics.growth_through_hours import height_through_hours
from safety_check.physics.off_wind import largest_sea


def waves_met(members: Ensemble, water: OpenWater) -> tuple[FloatArray, tuple[float, float]]:
    """Return the highest significant wave that the trip may meet, and where it stands."""
    wind, envelope = members.quantities["wind_speed"], water.fetch.max(axis=1)

    def sea(direction: FloatArray) -> FloatArray:
        return height_through_hours(wind, direction, water.bearings, envelope, water.depth)

    own = worst_over_directions(members, sea)
    height = with_other_seas(members, own)
    return height, _highest_place(wind, members.quantities[FROM], own, water)


def with_other_seas(members: Ensemble, own: FloatArray) -> FloatArray:
    """Return the waves of this water [m], raised where a forecast or an observation is higher."""
    height = np.maximum(own, _forecast_sea(members.quantities[SEA]))
    for seen in members.seen.get(SEA, ()):
        height = raise_by_observation(members.time, height, seen)
    return height


def waves_within(
    members: Ensemble, water: OpenWater, height: FloatArray, parts: HourParts, within: FloatArray
) -> FloatArray:
    """Return the highest significant wave in each hour that the trip may meet from there.

    Parameters
    ----------
    members, water
        The forecasts, and all the water that the trip may reach.
    height : array (member, instant)
        From `waves_met` on all that water. [m]
    parts
        Which part of each hour is judged.
    within : array (hour,)
        How far from the launch the trip can be in those parts; infinite for anywhere. [m]
    """
    highest = max_of_parts(height, parts)
    for far in np.unique(within[np.isfinite(within)]):
        near = water_within(water, float(far))
        if near is not water:
            at = within == far
            highest[:, at] = max_of_parts(waves_met(members, near)[0], parts)[:, at]
    return highest


def worst_over_directions(members: Ensemble, of: Callable[[FloatArray], FloatArray]) -> FloatArray:
    """Return a quantity for the forecast or the observed wind direction, whichever is worse."""
    direction = members.quantities[FROM]
    value = of(direction)
    for seen in members.seen.get(FROM, ()):
        weight = seen.weight(members.time)
        other = of(np.where(weight > 0, seen.value, direction))
        value = np.where(other > value, value + (other - value) * weight, value)
    return value


def sea_complete(height: FloatArray) -> FloatArray:
    """Return 1 where every forecast that gives waves has them at that instant, else NaN."""
    gives = np.isfinite(height).any(axis=1, keepdims=True)
    gap = (gives & ~np.isfinite(height)).any(axis=0, keepdims=True)
    return np.where(gap, np.nan, 1.0)


def _forecast_sea(height: FloatArray) -> FloatArray:
    """Return the highest sea of any wave model at an instant, 0 without any: it can only add."""
    highest: FloatArray = np.where(np.isfinite(height), height, 0.0).max(axis=0)
    return highest


def _highest_place(
    wind: FloatArray, direction: FloatArray, height: FloatArray, water: OpenWater
) -> tuple[float, float]:
    """Return the worst point in the worst hour of the worst member."""
    shown = np.where(np.isfinite(height), height, -1.0)[:, LEAD_IN:]
    member, hour = np.unravel_index(int(np.argmax(shown)), shown.shape)
    if shown[member, hour] <= 0:
        return 0.0, 0.0
    at_worst = member, hour + LEAD_IN
    sea = largest_sea(wind[at_worst], direction[at_worst], water.radials, water.depth)
    at = int(np.argmax(np.where(np.isfinite(sea.height), sea.height, -1.0)))
    return float(water.points[at, 0]), float(water.points[at, 1])

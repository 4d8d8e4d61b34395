"""The waves that the trip may meet: raised on this water, forecast, or observed."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.conditions.course import equal_hours, within_reach
from safety_check.conditions.ensemble import (
    FROM,
    SEA,
    Ensemble,
    raise_by_observation,
    until_instant,
)
from safety_check.conditions.hour_parts import LEAD_IN, HourParts, max_of_parts
from safety_check.model.place import OpenWater
from safety_check.physics.growth_through_hours import height_through_hours
from safety_check.physics.off_wind import largest_sea


def waves_of_wind(members: Ensemble, envelope: FloatArray, water: OpenWater) -> FloatArray:
    """Return the highest significant wave that the wind raises (..., member, instant) [m].

    Parameters
    ----------
    members, water
        The forecasts, and the bearings and the depth of the water.
    envelope : array (..., bearing)
        The longest open water on each bearing. [m]
    """
    wind, law = members.quantities["wind_speed"], members.law or height_through_hours

    def sea(direction: FloatArray) -> FloatArray:
        return law(wind, direction, water.bearings, envelope, water.depth)

    return worst_over_directions(members, sea)


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
    height : array (..., member, instant)
        On all that water, from `with_other_seas`. [m]
    parts
        Which part of each hour is judged.
    within : array (..., hour)
        How far from the launch the trip can be in those parts; infinite for anywhere. [m]
    """
    highest = max_of_parts(height, parts)
    for far, at in equal_hours(within):
        near = within_reach(water, far)
        if not near.all():
            envelope = np.where(near[..., None, :], water.fetch, -np.inf).max(axis=-1)
            until = LEAD_IN + int(at[-1]) + 2  # no later hour counts
            then = until_instant(members, until)
            there = with_other_seas(then, waves_of_wind(then, envelope, water))
            highest[..., at] = max_of_parts(there, parts.some(slice(0, int(at[-1]) + 1)))[..., at]
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
    gives = np.isfinite(height).any(axis=-1, keepdims=True)
    gap = (gives & ~np.isfinite(height)).any(axis=-2, keepdims=True)
    return np.where(gap, np.nan, 1.0)


def _forecast_sea(height: FloatArray) -> FloatArray:
    """Return the highest sea of any wave model at an instant, 0 without any: it can only add."""
    known = np.where(np.isfinite(height), height, 0.0)
    highest: FloatArray = known.max(axis=-2, keepdims=True)
    return highest


def highest_place(members: Ensemble, height: FloatArray, water: OpenWater) -> tuple[float, float]:
    """Return the worst point in the worst hour of the worst member, at one site.

    Parameters
    ----------
    members, water
        The forecasts, and all the water that the trip may reach.
    height : array (member, instant)
        From `waves_of_wind`. [m]
    """
    wind, direction = members.quantities["wind_speed"], members.quantities[FROM]
    shown = np.where(np.isfinite(height), height, -np.inf)[:, LEAD_IN:]
    member, hour = np.unravel_index(int(np.argmax(shown)), shown.shape)
    if shown[member, hour] <= 0:
        return 0.0, 0.0
    at_worst = member, hour + LEAD_IN
    sea = largest_sea(wind[at_worst], direction[at_worst], water.radials, water.depth)
    at = int(np.argmax(np.where(np.isfinite(sea.height), sea.height, -np.inf)))
    return float(water.points[at, 0]), float(water.points[at, 1])

"""Two quick bounds of the sea of `sea_through_hours`: none at all, and the most that can stand."""

from __future__ import annotations

import numpy as np

from safety_check.arrays import BoolArray, FloatArray
from safety_check.physics.decay import left_after_an_hour
from safety_check.physics.growth_through_hours import SECTORS, SPREAD
from safety_check.physics.off_wind import smoothed_radials
from safety_check.physics.sea_memory import GLANCING
from safety_check.physics.waves import STRONGEST_WIND, significant_height
from safety_check.physics.wind_stress import stress_wind


def no_sea(
    wind_speed: FloatArray,
    wind_from_direction: FloatArray,
    bearing: FloatArray,
    fetch: FloatArray,
    depth: float = np.inf,
) -> FloatArray:
    """Return flat water wherever the sea is known.

    Parameters
    ----------
    wind_speed, wind_from_direction, bearing, fetch, depth
        As for `sea_through_hours`.

    Returns
    -------
    array (member, hour)
        0; NaN as from `sea_through_hours`.

    Examples
    --------
    >>> around, water = np.arange(0.0, 360.0, 45.0), np.full(8, 4000.0)
    >>> no_sea(np.array([[8.0, np.nan]]), np.zeros((1, 2)), around, water)
    array([[ 0., nan]])
    """
    radials = smoothed_radials(bearing, fetch)
    known = _known(wind_speed, wind_from_direction, radials, depth)
    return np.where(known, 0.0, np.nan)


def most_sea(
    wind_speed: FloatArray,
    wind_from_direction: FloatArray,
    bearing: FloatArray,
    fetch: FloatArray,
    depth: float = np.inf,
) -> FloatArray:
    """Return a height that the sea of `sea_through_hours` never exceeds.

    Parameters
    ----------
    wind_speed, wind_from_direction, bearing, fetch, depth
        As for `sea_through_hours`.

    Returns
    -------
    array (member, hour)
        [m]; NaN as from `sea_through_hours`.

    Notes
    -----
    As there, each sector of 15° holds its share of the energy and loses it as an old sea. But here
    every wind raises its whole sea at once, over the longest water there is. That takes one wave
    for each hour, where `sea_through_hours` takes several hundred.

    Examples
    --------
    >>> around, water = np.arange(0.0, 360.0, 45.0), np.full(8, 4000.0)
    >>> wind = np.array([[8.0, 8.0, 2.0]])
    >>> most_sea(wind, np.zeros((1, 3)), around, water).round(2)
    array([[0.34, 0.34, 0.14]])
    """
    radials = smoothed_radials(bearing, fetch)
    known = _known(wind_speed, wind_from_direction, radials, depth)
    wind = np.where(known, wind_speed, 0.0)
    wind = np.maximum(wind, np.minimum(stress_wind(wind), STRONGEST_WIND))
    raised = significant_height(wind, float(radials.max()), depth) ** 2
    facing = np.where(known & np.isfinite(wind_from_direction), wind_from_direction, 0.0)
    along = np.maximum(np.cos(np.radians(SECTORS - facing[..., None])), GLANCING)
    by_sector = _standing(along**2 * raised[..., None], radials[SECTORS.astype(np.int64)])
    straight = _standing(raised[..., None], np.array([radials.max()]))
    energy = np.maximum(by_sector.sum(axis=-1) / SPREAD, straight[..., 0])
    return np.where(known, np.sqrt(energy), np.nan)


def _standing(raised: FloatArray, water: FloatArray) -> FloatArray:
    """Return the energy of each hour: what it raises, or what is left of the hour before.

    Parameters
    ----------
    raised : array (..., hour, sector)
        [m²]
    water : array (sector,)
        [m]
    """
    standing = raised.copy()
    for hour in range(1, raised.shape[-2]):
        left = left_after_an_hour(standing[..., hour - 1, :], water)
        standing[..., hour, :] = np.maximum(raised[..., hour, :], left)
    return standing


def _known(
    wind_speed: FloatArray, wind_from_direction: FloatArray, radials: FloatArray, depth: float
) -> BoolArray:
    """Return where `sea_through_hours` knows the sea."""
    moves = np.isfinite(wind_from_direction) | (wind_speed == 0)
    within = (wind_speed >= 0) & (wind_speed <= STRONGEST_WIND)
    known: BoolArray = moves & within & np.isfinite(radials).all() & (depth > 0)
    return known

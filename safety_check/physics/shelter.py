"""Shelter: the strongest wind at which waves at a place stay below a given height."""

from __future__ import annotations

import numpy as np

from safety_check.arrays import BoolArray, FloatArray, IntArray
from safety_check.physics.decay import left_after_an_hour
from safety_check.physics.waves import STRONGEST_WIND, equivalent_fetch, significant_height

FAINTEST = 0.1
"""Weaker winds count as this one. [m s⁻¹]"""

STEPS = 2000
"""Steps of the tables of winds and lengths of open water: 0.3 % and 0.7 %."""

SHORTEST, LONGEST = 1.0, 1e6
"""Lengths of open water in the table. [m]"""


def strongest_wind(
    radials: FloatArray, facing: IntArray, height: float, depth: float = np.inf
) -> FloatArray:
    """Wind at which the sea of a place reaches a height, for winds from some of the radials.

    Parameters
    ----------
    radials : array (bearing, point)
        Open water along bearings evenly spread from 0°, smoothed as for the off-wind search. [m]
    facing : array (direction,)
        Which of the bearings the wind blows from.
    height
        Significant wave height that must not be reached. [m]
    depth
        Of the whole water. [m]

    Returns
    -------
    array (direction, point)
        [m s⁻¹]; infinite where no wind up to 60 m s⁻¹ raises that sea, 0 where a length of
        open water that counts is not known.

    Notes
    -----
    The inverse of the off-wind search: along a radial φ off the wind the height is reached when
    U cos φ is the wind that raises it there, and the least such U counts. Rounded down, by
    0.6 % at most. Only the given bearings are searched, every 5° for a map: on the invented lakes
    of the test this is within 2 % of the search by whole degrees.

    References
    ----------
    .. [Breugem2007] As in `significant_height` (from memory, not read).
    .. [ACES1992] As in `largest_sea`.

    Examples
    --------
    >>> round_lake = np.full((72, 1), 5000.0)
    >>> strongest_wind(round_lake, np.array([0]), 0.4839).round(1)
    array([[10.]])
    """
    along = _wind_along(radials, height, depth)
    step = 360.0 / len(radials)
    strongest = np.full((len(facing), radials.shape[1]), np.inf)
    for turn in range(-int(89.0 // step), int(89.0 // step) + 1):
        off_wind = along[(facing + turn) % len(radials)] / np.cos(np.radians(turn * step))
        np.minimum(strongest, off_wind, out=strongest)
    return strongest


def exceeded(strongest: FloatArray, wind: FloatArray, direction: FloatArray) -> BoolArray:
    """Whether each wind exceeds the shelter of each place; an unknown wind counts as exceeding it.

    Parameters
    ----------
    strongest : array (bearing, point)
        For bearings evenly spread from 0°. [m s⁻¹]
    wind, direction : arrays (member,)
        [m s⁻¹, deg true from]

    Returns
    -------
    array (member, point) of bool
        Between two bearings the weaker of their winds counts; in a calm nothing is exceeded.

    Examples
    --------
    >>> exceeded(np.array([[5.0], [9.0]]), np.array([6.0, 6.0, 0.0]), np.array([0.0, 180, np.nan]))
    array([[ True],
           [False],
           [False]])
    """
    known = np.isfinite(direction)
    place = np.where(known, direction, 0.0) % 360 * len(strongest) / 360
    below = np.floor(place).astype(np.int64) % len(strongest)
    above = np.ceil(place).astype(np.int64) % len(strongest)
    borne = np.minimum(strongest[below], strongest[above])
    lawful = known & (wind <= STRONGEST_WIND)
    reached: BoolArray = ~((lawful[:, None] & (wind[:, None] < borne)) | (wind[:, None] == 0))
    return reached


def winds_left(wind: FloatArray, fetch: float, depth: float, hours: int) -> list[FloatArray]:
    """Winds that would raise at least the sea that is left hours after each wind.

    Parameters
    ----------
    wind : array of any shape
        [m s⁻¹]
    fetch
        The longest open water, where a sea lasts longest. [m]
    depth
        Of the whole water. [m]
    hours
        How many.

    Returns
    -------
    list of arrays, shape of wind
        The wind itself, then the wind that counts one hour later, two … [m s⁻¹]; NaN where it is
        NaN.

    Notes
    -----
    A sea grows with the square of the wind at most, when fully grown; so a wind reduced by the
    root of the share that is left of its height raises no lower sea than what is left.

    References
    ----------
    .. [Komen1984] As in `left_after_an_hour`.

    Examples
    --------
    >>> [wind.round(1).tolist() for wind in winds_left(np.array([10.0]), 20e3, np.inf, 2)]
    [[10.0], [8.3], [7.0]]
    """
    raised = significant_height(wind, fetch, depth) ** 2
    energy, left = raised, [wind]
    for _ in range(hours):
        energy = left_after_an_hour(energy, np.asarray(fetch))
        share = energy / np.where(raised > 0, raised, 1.0)
        left.append(wind * share**0.25)
    return left


def _wind_along(radials: FloatArray, height: float, depth: float) -> FloatArray:
    """Wind along each radial that raises the height, from a table of winds."""
    winds = np.geomspace(FAINTEST, STRONGEST_WIND, STEPS)
    needed = equivalent_fetch(height, winds, depth)
    lengths = np.geomspace(SHORTEST, LONGEST, STEPS)
    enough = np.searchsorted(-needed, -lengths)  # the first wind that needs no more than a length
    by_length = np.append(winds, np.inf)[np.maximum(enough - (enough < STEPS), 0)]
    known = radials >= 0
    share = np.log(np.clip(np.where(known, radials, SHORTEST), SHORTEST, LONGEST) / SHORTEST)
    place = np.ceil(share * ((STEPS - 1) / np.log(LONGEST / SHORTEST))).astype(np.int64)
    return np.where(known, by_length[place], 0.0)

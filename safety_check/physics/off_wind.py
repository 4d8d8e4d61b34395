"""Search for the highest waves that a wind raises at a place, up to 90° off the wind."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from safety_check.arrays import FloatArray, IntArray
from safety_check.physics.fetch import weights_by_degree
from safety_check.physics.waves import HEIGHT, Sea, peak_period, significant_height, within_the_laws

OFF_WIND = np.arange(-89.0, 91.0)
"""The radials searched, relative to the whole degree that the wind comes from. [deg]"""

RUNNING_MEAN = 15
"""Radials one degree apart over which the fetch is averaged. [1]"""

STEEPEST = HEIGHT.power * HEIGHT.fetch_power
"""The greatest power of the fetch with which the waves grow, in the shortest seas. [1]"""

VALUES_AT_ONCE = 32_768
"""Waves computed at once: more would not be faster, and would need more memory. [1]"""


def smoothed_radials(bearing: FloatArray, fetch: FloatArray) -> FloatArray:
    """Fetch by whole degree, each the mean over fifteen degrees.

    Parameters
    ----------
    bearing : array (bearing,)
        Directions of the radials, ascending within one turn. [deg true]
    fetch : array (bearing,) or (bearing, point)
        Straight open water along each. [m]

    Returns
    -------
    array (360,) or (360, point)
        [m]; all NaN for a point with a NaN or a negative length among its radials, NaN for
        degrees that lie between radials more than 90° apart.

    References
    ----------
    .. [ACES1992] USACE, Automated Coastal Engineering System, Technical Reference, 1992:
       restricted fetch, radials at 1° and a running mean over 15°.

    Examples
    --------
    >>> smoothed_radials(np.arange(0.0, 360.0, 90.0), np.array([0.0, 90, 0, 90]))[[0, 20]].round(2)
    array([ 3.73, 20.  ])
    """
    weights = _smoothing(tuple(bearing.tolist()))
    smoothed: FloatArray = weights @ np.where(fetch >= 0, fetch, np.nan)
    return smoothed


def largest_sea(
    wind: FloatArray, direction: FloatArray, radials: FloatArray, depth: FloatArray | float
) -> Sea:
    """Largest sea that a wind raises, along any direction up to 90° off the wind.

    Parameters
    ----------
    wind : array (member, hour), of any shape
        Wind 10 m above the water. [m s⁻¹]
    direction : array, shape of wind
        Where the wind comes from. [deg true]
    radials : array (360,) or (360, ...), the rest broadcast against wind
        Fetch by whole degree as from `smoothed_radials`; the greatest fetch over the points
        of a route serves for the whole route, since more fetch never gives a lower wave. [m]
    depth : array, broadcast against wind
        Of the whole water. [m]

    Returns
    -------
    Sea, arrays of the broadcast shape
        NaN where wind or fetch is unknown, or the direction of a wind that blows; in a calm
        there is no wave, whatever its direction.

    Notes
    -----
    The wind counts as U cos φ along a radial φ off the wind; the radial that gives the
    highest wave decides. So a slanting wind along a narrow lake counts for its long axis.
    Whole degrees are tried: against tenths of a degree, at most 3.4 % lower, on invented
    lakes of a few narrow slits.

    References
    ----------
    .. [ACES1992] USACE, Automated Coastal Engineering System, Technical Reference, 1992:
       restricted fetch. Its growth law is replaced by that of `significant_height`; that
       the highest wave decides, not the longest period, is our choice.

    Examples
    --------
    >>> radials = smoothed_radials(np.arange(0.0, 360.0, 45.0), np.full(8, 5000.0))
    >>> north = largest_sea(np.array([10.0]), np.array([360.0]), radials, np.inf)
    >>> north.height.round(2), north.from_direction
    (array([0.48]), array([0.]))
    """
    known = np.isfinite(direction) | (wind == 0)
    speed, open_water, deep = within_the_laws(np.where(known, wind, np.nan), radials, depth)
    shape = np.broadcast_shapes(speed.shape, open_water.shape[1:], deep.shape)
    places = np.arange(open_water[0].size).reshape(open_water.shape[1:])
    facing = np.where(np.isfinite(direction), direction, 0.0)
    winds = _Winds(
        speed=np.broadcast_to(speed, shape).ravel(),
        direction=np.broadcast_to(facing, shape).ravel(),
        depth=np.broadcast_to(deep, shape).ravel(),
        place=np.broadcast_to(places, shape).ravel(),
    )
    found = _highest(winds, open_water.reshape(360, -1).T)
    height, along, fetch, source = (one.reshape(shape) for one in found)
    unknown = np.isnan(speed) | np.isnan(open_water).any(axis=0) | np.isnan(deep)
    height = np.where(unknown, np.nan, height)
    return Sea(
        height=height,
        period=np.where(unknown, np.nan, peak_period(along, fetch, deep)),
        from_direction=np.where(height > 0, source % 360, np.nan),
    )


class _Winds(NamedTuple):
    """Winds to search for, arrays (wind,), each at the place whose radials count."""

    speed: FloatArray
    direction: FloatArray
    depth: FloatArray
    place: IntArray

    def some(self, part: slice) -> _Winds:
        """Return part of the winds."""
        return _Winds(self.speed[part], self.direction[part], self.depth[part], self.place[part])


def _highest(winds: _Winds, radials: FloatArray) -> tuple[FloatArray, ...]:
    """Return height, wind along the radial, fetch and direction of each highest wave (wind,).

    Parameters
    ----------
    winds
        Any number of them.
    radials : array (place, 360)
        [m]
    """
    found = tuple(np.zeros((4, len(winds.speed))))
    degrees, degree = np.unique(
        np.floor(winds.direction).astype(np.int64) % 360, return_inverse=True
    )
    tried = _worth_trying(radials, degrees)
    counts = tried.number[winds.place, degree]
    ends = np.cumsum(counts)
    first = 0
    while first < len(counts):
        begun = ends[first] - counts[first]
        last = max(int(np.searchsorted(ends, begun + VALUES_AT_ONCE, side="right")), first + 1)
        some = slice(first, last)
        part = winds.some(some)
        at = tried.first[part.place, degree[some]]
        best = _highest_of(part, radials, at, counts[some], tried.offset)
        for whole, one in zip(found, best, strict=True):
            whole[some] = one
        first = last
    return found


def _highest_of(
    winds: _Winds, radials: FloatArray, first: IntArray, counts: IntArray, offset: IntArray
) -> tuple[FloatArray, ...]:
    """Return what `_highest` does, each wind along `counts` offsets from the `first` one on."""
    begins = np.cumsum(counts) - counts
    wind = np.repeat(np.arange(len(counts)), counts)
    towards = (
        np.floor(winds.direction)[wind] + offset[np.arange(len(wind)) + (first - begins)[wind]]
    )
    off = np.cos(np.radians(towards - winds.direction[wind]))
    along = winds.speed[wind] * np.maximum(off, 0.0)
    reach = radials[winds.place[wind], towards.astype(np.int64) % 360]
    deep = np.inf if np.isposinf(winds.depth).all() else winds.depth[wind]
    raised = significant_height(along, reach, deep)
    height = np.maximum.reduceat(raised, begins)
    order = np.where(raised == height[wind], np.arange(len(wind)), len(wind))
    best = np.minimum(np.minimum.reduceat(order, begins), len(wind) - 1)
    return tuple(np.where(height > 0, one[best], 0.0) for one in (raised, along, reach, towards))


class _Tried(NamedTuple):
    """Which radials to try: `number` offsets from `first` on for each place and whole degree."""

    first: IntArray
    number: IntArray
    offset: IntArray


def _worth_trying(radials: FloatArray, degrees: IntArray) -> _Tried:
    """Return the radials that can bear the highest wave, for each degree that a wind comes from.

    A map has many places and one wind, so only the degrees that occur are searched.

    A radial promises the logarithm pm ln F + 2 (1 - pm) ln cos φ, with the powers p and m of the
    growth law. From one radial to a longer one farther off the wind the logarithm of the height
    rises by at most the difference: its derivative by the logarithm of the fetch is pm s, by that
    of the wind at least 2 (1 - pm) s, where s between 0 and 1 tells how far the fetch limits
    growth. So a radial is left out where another one is nearer to the wind and promises no less.

    On the left a radial `m` degrees off the whole degree is `m` plus a part of a degree off the
    wind, on the right less that part. Where two radials compete, the part is taken that favours the
    farther one.
    """
    degree = degrees[:, None]
    to_left, to_right = OFF_WIND[89::-1], OFF_WIND[90:]
    with np.errstate(divide="ignore"):
        by_fetch = STEEPEST * np.log(radials)
    left, right = (
        by_fetch[:, (degree + side.astype(np.int64)) % 360] for side in (to_left, to_right)
    )
    of_left, of_right = left + _by_angle(-to_left), right + _by_angle(to_right - 1)
    right_of_it = np.maximum.accumulate(right[..., :-1] + _by_angle(to_right[:-1]), axis=-1)
    left_of_it = _most_before(left + _by_angle(1 - to_left))
    kept_left, kept_right = of_left > _most_before(of_left), of_right > _most_before(of_right)
    kept_left[..., 0] = True
    kept_left[..., 1:] &= of_left[..., 1:] > right_of_it
    kept_right &= of_right > left_of_it
    kept = np.concatenate([kept_left[..., ::-1], kept_right], axis=-1)
    count = kept.sum(axis=-1)
    first = np.cumsum(count).reshape(count.shape) - count
    return _Tried(first, count, np.broadcast_to(OFF_WIND.astype(np.int64), kept.shape)[kept])


def _by_angle(off: FloatArray) -> FloatArray:
    """Return what the angle off the wind takes from the promise of a radial, for each [deg]."""
    angle: FloatArray = 2 * (1 - STEEPEST) * np.log(np.cos(np.radians(np.minimum(off, 89.0))))
    return angle


def _most_before(promise: FloatArray) -> FloatArray:
    """Return the most that any radial before each promises; minus infinity for the first."""
    nothing = np.full_like(promise[..., :1], -np.inf)
    so_far = np.maximum.accumulate(promise[..., :-1], axis=-1)
    return np.concatenate([nothing, so_far], axis=-1)


@lru_cache(maxsize=8)
def _smoothing(bearing: tuple[float, ...]) -> FloatArray:
    """Weights (360, bearing) of the radials, cached: the next hour has the same bearings."""
    every_degree = weights_by_degree(np.array(bearing))
    half = RUNNING_MEAN // 2
    around = np.concatenate([every_degree[-half:], every_degree, every_degree[:half]])
    weights: FloatArray = sliding_window_view(around, RUNNING_MEAN, axis=0).mean(axis=-1)
    return weights

"""Search for the highest waves that a wind raises at a place, up to 90° off the wind."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from safety_check.arrays import FloatArray, IntArray
from safety_check.physics.fetch import weights_by_degree
from safety_check.physics.waves import (
    HEIGHT,
    Sea,
    depth_term,
    grown_by_logarithms,
    peak_period,
    within_the_laws,
)

OFF_WIND = np.arange(-89.0, 91.0)
"""The radials searched, relative to the whole degree that the wind comes from. [deg]"""

TOWARDS = (np.arange(360) + OFF_WIND[:, None]).astype(np.int64) % 360
"""The radial at each of these, for each whole degree, (180, 360). [deg true]"""

RUNNING_MEAN = 15
"""Radials one degree apart over which the fetch is averaged. [1]"""

STEEPEST = HEIGHT.power * HEIGHT.fetch_power
"""The greatest power of the fetch with which the waves grow, in the shortest seas. [1]"""

WINDS_AT_ONCE = 16_384
"""More would not be faster, and would need more memory. [1]"""


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

    def some(self, part: IntArray) -> _Winds:
        """Return part of the winds."""
        return _Winds(self.speed[part], self.direction[part], self.depth[part], self.place[part])


class _Tried(NamedTuple):
    """Which radials to try: `number` offsets from `first` on for each pair of place and degree.

    Of each one the offset [deg], the fetch [m] and its logarithm.
    """

    first: IntArray
    number: IntArray
    offset: FloatArray
    fetch: FloatArray
    log_fetch: FloatArray


def _highest(winds: _Winds, radials: FloatArray) -> FloatArray:
    """Return height, wind along the radial, fetch and direction of each highest wave (4, wind).

    Parameters
    ----------
    winds
        Any number of them.
    radials : array (place, 360)
        [m]
    """
    found = np.zeros((4, len(winds.speed)))
    whole = np.floor(winds.direction).astype(np.int64) % 360
    pairs, pair = np.unique(winds.place * 360 + whole, return_inverse=True)
    tried = _worth_trying(radials, *np.divmod(pairs, 360))
    count, first = tried.number[pair], tried.first[pair]
    blowing = np.flatnonzero(winds.speed > 0)
    most_first = blowing[np.argsort(-count[blowing], kind="stable")]
    for begin in range(0, len(most_first), WINDS_AT_ONCE):
        some = most_first[begin : begin + WINDS_AT_ONCE]
        found[:, some] = _highest_of(winds.some(some), tried, first[some], count[some])
    return found


def _highest_of(winds: _Winds, tried: _Tried, first: IntArray, count: IntArray) -> FloatArray:
    """Return what `_highest` does; the winds with the most radials to try come first."""
    whole, by_depth = np.floor(winds.direction), depth_term(HEIGHT, winds.depth)
    best, at_best = np.zeros((4, len(count))), first.copy()
    trying = np.searchsorted(-count, -np.arange(count.max(initial=0)), side="left")
    for number, ahead in enumerate(trying.tolist()):
        some, at = slice(ahead), first[:ahead] + number
        towards = whole[some] + tried.offset.take(at)
        straight = np.cos(np.radians(towards - winds.direction[some]))
        along = winds.speed[some] * np.maximum(straight, 0.0)
        deep = by_depth[some] if by_depth.ndim else by_depth
        raised = grown_by_logarithms(HEIGHT, along, tried.log_fetch.take(at), deep)
        higher = raised > best[0, some]
        for row, one in ((0, raised), (1, along), (3, towards)):
            np.copyto(best[row, some], one, where=higher)
        np.copyto(at_best[some], at, where=higher)
    best[2] = np.where(best[0] > 0, tried.fetch.take(at_best), 0.0)
    return best


def _worth_trying(radials: FloatArray, places: IntArray, degrees: IntArray) -> _Tried:
    """Return the radials that can bear the highest wave, for pairs of a place and a whole degree.

    A map has many places and one wind, a survey many places with winds of their own, so only the
    pairs that occur are searched.

    A radial promises the logarithm pm ln F + 2 (1 - pm) ln cos φ, with the powers p and m of the
    growth law. From one radial to a longer one farther off the wind the logarithm of the height
    rises by at most the difference: its derivative by the logarithm of the fetch is pm s, by that
    of the wind at least 2 (1 - pm) s, where s between 0 and 1 tells how far the fetch limits
    growth. So a radial is left out where another one is nearer to the wind and promises no less.

    On the left a radial `m` degrees off the whole degree is `m` plus a part of a degree off the
    wind, on the right less that part. Where two radials compete, the part is taken that favours the
    farther one.
    """
    to_left, to_right = OFF_WIND[89::-1, None], OFF_WIND[90:, None]
    with np.errstate(divide="ignore"):
        log_fetch = np.log(radials)
    by_degree = log_fetch.T.ravel()
    promised = STEEPEST * by_degree.take(len(radials) * TOWARDS[:, degrees] + places)
    left, right = promised[89::-1], promised[90:]  # (radial, pair), the nearest to the wind first
    of_left, of_right = left + _by_angle(-to_left), right + _by_angle(to_right - 1)
    right_of_it = np.maximum.accumulate(right[:-1] + _by_angle(to_right[:-1]))
    left_of_it = _most_before(left + _by_angle(1 - to_left))
    kept_left, kept_right = of_left > _most_before(of_left), of_right > _most_before(of_right)
    kept_left[0] = True
    kept_left[1:] &= of_left[1:] > right_of_it
    kept_right &= of_right > left_of_it
    kept = np.concatenate([kept_left[::-1], kept_right]).T
    count = kept.sum(axis=-1)
    first = np.cumsum(count) - count
    pair, number = np.nonzero(kept)
    at, along = places[pair], TOWARDS[number, degrees[pair]]
    return _Tried(first, count, OFF_WIND[number], radials[at, along], log_fetch[at, along])


def _by_angle(off: FloatArray) -> FloatArray:
    """Return what the angle off the wind takes from the promise of a radial, for each [deg]."""
    angle: FloatArray = 2 * (1 - STEEPEST) * np.log(np.cos(np.radians(np.minimum(off, 89.0))))
    return angle


def _most_before(promise: FloatArray) -> FloatArray:
    """Return the most that any radial before each promises; minus infinity for the first."""
    so_far = np.maximum.accumulate(promise[:-1])
    return np.concatenate([np.full_like(promise[:1], -np.inf), so_far])


@lru_cache(maxsize=8)
def _smoothing(bearing: tuple[float, ...]) -> FloatArray:
    """Weights (360, bearing) of the radials, cached: the next hour has the same bearings."""
    every_degree = weights_by_degree(np.array(bearing))
    half = RUNNING_MEAN // 2
    around = np.concatenate([every_degree[-half:], every_degree, every_degree[:half]])
    weights: FloatArray = sliding_window_view(around, RUNNING_MEAN, axis=0).mean(axis=-1)
    return weights

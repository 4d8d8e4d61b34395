"""Fetch: straight open water upwind, from a shoreline with islands in metres on a plane."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from safety_check.arrays import BoolArray, FloatArray, IntArray
from safety_check.physics.sweep import (
    Shore,
    gap_to_edge,
    on_water,
    shore_of,
    sweep_both_ways,
    touching_shore,
    unit,
)

POINTS_AT_ONCE = 16_384
PAIRS_AT_ONCE = 65_536

LOOK_OUT = 1e-5
"""For a point on the shoreline the fetch starts this far off it. [m]"""

WIDEST_GAP = 90.0
"""Greatest angle between two radials for which the water between them is known. [deg]"""


def straight_fetch(
    rings: Sequence[FloatArray], points: FloatArray, bearings: FloatArray
) -> FloatArray:
    """Straight open water upwind of each point, for each wind direction.

    Parameters
    ----------
    rings
        Shorelines of lakes and islands alike, each (vertex, 2), east and north; what an odd
        number of them enclose is water. [m]
    points : array (point, 2)
        East and north. [m]
    bearings : array (bearing,)
        Directions from which the wind blows. [deg true]

    Returns
    -------
    array (bearing, point)
        [m]; NaN for a point that is not on the water or not finite, and for a bearing that
        is not finite.

    Notes
    -----
    A point on the shoreline has a fetch of 0 towards the land, and the open water before it
    towards the water or along a straight shore. A ray that grazes the shore, at a vertex or along
    an edge, may end there or pass: the shore is known to rounding only, about 1e-16 of the
    water's size.

    The work for one direction and its opposite is shared by all points, so its time grows
    with the number of points and edges, and only slightly with their product.

    References
    ----------
    .. [CEM-II-2] USACE, Coastal Engineering Manual, EM 1110-2-1100, part II, ch. 2, 2003:
       straight-line fetch.

    Examples
    --------
    >>> square = np.array([[0.0, 0], [1000, 0], [1000, 1000], [0, 1000], [0, 0]])
    >>> straight_fetch([square], np.array([[300.0, 500.0]]), np.array([90.0, 270.0])).T
    array([[700., 300.]])
    """
    shore = shore_of(rings)
    placed = points - shore.origin
    ashore = _touching(shore, placed)
    afloat = np.flatnonzero(_on_water(shore, placed))
    bearings = np.where(np.isfinite(bearings), bearings, np.nan)
    fetch = np.full((len(bearings), len(points)), np.nan)
    for begin in range(0, len(afloat), POINTS_AT_ONCE):
        block = afloat[begin : begin + POINTS_AT_ONCE]
        _sweep_all_round(shore, placed, bearings, block, fetch)
    if ashore.any():
        for row in np.flatnonzero(np.isfinite(bearings)):
            fetch[row, ashore] = _from_the_shore(shore, placed[ashore], float(bearings[row]))
    return fetch


def inside(rings: Sequence[FloatArray], points: FloatArray) -> BoolArray:
    """Whether each point is on the water; the shoreline itself counts as water.

    Parameters
    ----------
    rings, points
        As in `straight_fetch`. [m]

    Returns
    -------
    array (point,) of bool
        False for a point that is not finite.

    Examples
    --------
    >>> square = np.array([[0.0, 0], [10, 0], [10, 10], [0, 10], [0, 0]])
    >>> inside([square], np.array([[5.0, 5.0], [15.0, 5.0], [10.0, 5.0]]))
    array([ True, False,  True])
    """
    shore = shore_of(rings)
    placed = points - shore.origin
    return _on_water(shore, placed) | _touching(shore, placed)


def distance_to_shore(rings: Sequence[FloatArray], points: FloatArray) -> FloatArray:
    """Distance of each point, on water or on land, from the nearest shoreline.

    Parameters
    ----------
    rings, points
        As in `straight_fetch`. [m]

    Returns
    -------
    array (point,)
        [m]; NaN for a point that is not finite, and without a shoreline.

    Examples
    --------
    >>> square = np.array([[0.0, 0], [10, 0], [10, 10], [0, 10], [0, 0]])
    >>> distance_to_shore([square], np.array([[5.0, 4.0], [13.0, 14.0]]))
    array([4., 5.])
    """
    way = nearest_shore_point(rings, points) - points
    return np.hypot(way[:, 0], way[:, 1])


def nearest_shore_point(rings: Sequence[FloatArray], points: FloatArray) -> FloatArray:
    """Return the place on the shoreline that is nearest to each point.

    Parameters
    ----------
    rings, points
        As in `straight_fetch`. [m]

    Returns
    -------
    array (point, 2)
        East and north [m]; NaN for a point that is not finite, and without a shoreline.

    Examples
    --------
    >>> square = np.array([[0.0, 0], [10, 0], [10, 10], [0, 10], [0, 0]])
    >>> nearest_shore_point([square], np.array([[5.0, 4.0]]))
    array([[5., 0.]])
    """
    shore = shore_of(rings)
    start, step = shore.edges
    placed = points - shore.origin
    nearest = np.full(placed.shape, np.nan)
    known = np.flatnonzero(np.isfinite(placed).all(axis=1))
    at_once = max(1, PAIRS_AT_ONCE // max(1, len(start)))
    for begin in range(0, len(known) if len(start) else 0, at_once):
        block = known[begin : begin + at_once]
        east, north = gap_to_edge(start, step, placed[block, None])
        edge = np.argmin(east**2 + north**2, axis=1)
        way = gap_to_edge(start[edge], step[edge], placed[block])
        nearest[block] = points[block] + np.column_stack(way)
    return nearest


def weights_by_degree(bearings: FloatArray) -> FloatArray:
    """Weight of each radial at every whole degree, on straight lines between the radials.

    Parameters
    ----------
    bearings : array (bearing,)
        Of the radials, ascending, within one turn. [deg true]

    Returns
    -------
    array (360, bearing)
        From 0° to 359° [1]; NaN between radials more than 90° apart.

    References
    ----------
    .. [ACES1992] USACE, Automated Coastal Engineering System, Technical Reference, 1992:
       restricted fetch.

    Examples
    --------
    >>> by_degree = weights_by_degree(np.arange(0.0, 360.0, 90.0))
    >>> by_degree[44:47] @ np.array([0.0, 90.0, 0.0, 90.0])
    array([44., 45., 46.])
    """
    return _between(bearings, np.arange(360.0))


def smoothed_fetch(fetch: FloatArray, bearings: FloatArray, width: float = 15.0) -> FloatArray:
    """Running mean of the fetch over directions one degree apart, at the radials' bearings.

    Parameters
    ----------
    fetch : array (bearing,) or (bearing, point)
        Open water along each radial; one that ends at once on land is 0. [m]
    bearings : array (bearing,)
        As in `weights_by_degree`. [deg true]
    width
        How many directions one degree apart are averaged, half of them on either side.

    Returns
    -------
    array, shape of fetch
        [m]; NaN where the mean would need a radial that is NaN, or reach between radials more
        than 90° apart.

    Notes
    -----
    A radial on land counts as zero. The mean is higher than the fetch of the ray itself only
    where waves from somewhat off the ray reach the point: use it with the off-wind search.

    References
    ----------
    .. [ACES1992] USACE, Automated Coastal Engineering System, Technical Reference, 1992:
       restricted fetch, radials at 1° and a running mean over 15°.

    Examples
    --------
    >>> smoothed_fetch(np.array([0.0, 90.0, 0.0, 90.0]), np.arange(0.0, 360.0, 90.0)).round(2)
    array([ 3.73, 86.27,  3.73, 86.27])
    """
    offsets = np.arange(width) - (width - 1) / 2
    weights = [_between(bearings, bearings + offset) for offset in offsets]
    return _weighed(np.mean(weights, axis=0), fetch)


def _on_water(shore: Shore, placed: FloatArray) -> BoolArray:
    answer = np.zeros(len(placed), dtype=bool)
    known = np.isfinite(placed).all(axis=1)
    answer[known] = on_water(shore, placed[known])
    return answer


def _touching(shore: Shore, placed: FloatArray) -> BoolArray:
    answer = np.zeros(len(placed), dtype=bool)
    known = np.isfinite(placed).all(axis=1)
    answer[known] = touching_shore(shore, placed[known])
    return answer


def _sweep_all_round(
    shore: Shore, placed: FloatArray, bearings: FloatArray, block: IntArray, fetch: FloatArray
) -> None:
    """Fill the columns of a block of points; one sweep serves a bearing and its opposite."""
    axes = bearings % 180
    for axis in np.unique(axes[np.isfinite(axes)]):
        ahead, behind = sweep_both_ways(shore, placed[block], unit(axis))
        for row in np.flatnonzero(axes == axis):
            fetch[row, block] = ahead if bearings[row] % 360 < 180 else behind


def _from_the_shore(shore: Shore, placed: FloatArray, bearing: float) -> FloatArray:
    """Fetch of points on the shoreline: the open water just in front of them, on either side."""
    along = unit(bearing % 180) * (1 if bearing % 360 < 180 else -1)
    across = np.array([along[1], -along[0]]) / 1000
    fetch = np.zeros(len(placed))
    for hand in (across, -across):
        eye = placed + LOOK_OUT * (along + hand)
        ahead, _ = sweep_both_ways(shore, eye, along)
        fetch = np.maximum(fetch, np.where(on_water(shore, eye), LOOK_OUT + ahead, 0.0))
    return fetch


def _between(bearings: FloatArray, wanted: FloatArray) -> FloatArray:
    """Weight of each radial at each wanted bearing, (wanted, bearing); NaN in a wide gap."""
    if not (np.all(np.diff(bearings) > 0) and bearings[-1] - bearings[0] < 360):
        raise ValueError("bearings must ascend within one turn")
    past = (wanted - bearings[0]) % 360
    apart = bearings - bearings[0]
    before = np.searchsorted(apart, past, side="right") - 1
    after = (before + 1) % len(bearings)
    gap = np.where(after == 0, 360 - apart[-1], np.diff(apart, append=0.0)[before])
    share = np.where(gap <= WIDEST_GAP, (past - apart[before]) / gap, np.nan)
    share[past == apart[before]] = 0.0
    weights = np.zeros((len(wanted), len(bearings)))
    row = np.arange(len(wanted))
    weights[row, before] = 1 - share
    weights[row, after] += share
    return weights


def _weighed(weights: FloatArray, fetch: FloatArray) -> FloatArray:
    """Return weighted sums over the radials; NaN where a radial that counts is NaN."""
    unknown = np.isnan(fetch)
    spoilt = (weights != 0).astype(np.float64) @ unknown.astype(np.float64) > 0
    weighed: FloatArray = np.where(spoilt, np.nan, weights @ np.where(unknown, 0.0, fetch))
    return weighed

"""Points on the water: a grid for a map, points within reach, a launch moved onto the water."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.physics.fetch import distance_to_shore, inside, nearest_shore_point
from safety_check.physics.sweep import gap_to_edge, shore_of

INSET = 5.0
"""A place at the shore is moved this far off it. [m]"""

CLOSEST = 5.0
"""No lattice needs to be finer. [m]"""

SURVEY = 100
"""Columns and rows of the grid from which a water's area is estimated."""


def lattice(rings: Sequence[FloatArray], spacing: float) -> FloatArray:
    """Return the points of a square lattice that lie on the water.

    Parameters
    ----------
    rings
        Shorelines, as in `straight_fetch`. [m]
    spacing
        Between neighbours. [m]

    Returns
    -------
    array (point, 2)
        East and north, row by row from the south-west [m]; whole spacings apart, the lattice
        centred on the water's bounds. Empty for a water that falls between the points.

    Examples
    --------
    >>> square = np.array([[0.0, 0], [20, 0], [20, 20], [0, 20], [0, 0]])
    >>> lattice([square], 10.0)
    array([[ 5.,  5.],
           [15.,  5.],
           [ 5., 15.],
           [15., 15.]])
    """
    lowest, highest = _bounds(rings)
    return lattice_within(rings, lowest, highest, spacing)


def lattice_within(
    rings: Sequence[FloatArray], lowest: FloatArray, highest: FloatArray, spacing: float
) -> FloatArray:
    """Return the points on the water of a square lattice centred between two corners.

    Parameters
    ----------
    rings
        Shorelines, as in `straight_fetch`. [m]
    lowest, highest : array (2,)
        The south-west and the north-east corner. [m]
    spacing
        Between neighbours. [m]

    Returns
    -------
    array (point, 2)
        East and north, row by row from the south-west. [m]

    Examples
    --------
    >>> square = np.array([[0.0, 0], [20, 0], [20, 20], [0, 20], [0, 0]])
    >>> lattice_within([square], np.array([-10.0, 0.0]), np.array([10.0, 10.0]), 10.0)
    array([[5., 5.]])
    """
    size = np.maximum(highest - lowest, 0.0)
    columns, rows = np.maximum(np.rint(size / spacing), 1).astype(int)
    first = (lowest + highest - spacing * (np.array([columns, rows]) - 1)) / 2
    east, north = np.meshgrid(
        first[0] + spacing * np.arange(columns), first[1] + spacing * np.arange(rows)
    )
    points = np.column_stack([east.ravel(), north.ravel()])
    afloat: FloatArray = points[inside(rings, points)]
    return afloat


def lattice_spacing(rings: Sequence[FloatArray], count: int) -> float:
    """Return the spacing [m] at which a lattice has about `count` points on the water.

    Examples
    --------
    >>> square = np.array([[0.0, 0], [20, 0], [20, 20], [0, 20], [0, 0]])
    >>> lattice_spacing([square], 16)
    5.0
    """
    lowest, highest = _bounds(rings)
    cell = (highest - lowest) / SURVEY
    middle = np.arange(SURVEY) + 0.5
    east, north = np.meshgrid(lowest[0] + cell[0] * middle, lowest[1] + cell[1] * middle)
    afloat = inside(rings, np.column_stack([east.ravel(), north.ravel()]))
    return float(np.sqrt(max(afloat.sum(), 1) * cell.prod() / count))


def nearest_water_point(
    rings: Sequence[FloatArray], point: FloatArray, inset: float = INSET
) -> FloatArray:
    """Return a point on the water: the point itself, or one a little off the nearest shore.

    Parameters
    ----------
    rings
        Shorelines, as in `straight_fetch`. [m]
    point : array (2,)
        East and north. [m]
    inset
        How far off the shore a point on land or at the shore is set; less, by halves, where
        the water is too narrow for it. [m]

    Returns
    -------
    array (2,)
        [m]; NaN without a shoreline.

    Examples
    --------
    >>> square = np.array([[0.0, 0], [100, 0], [100, 100], [0, 100], [0, 0]])
    >>> nearest_water_point([square], np.array([50.0, -20.0]))
    array([50.,  5.])
    """
    shore: FloatArray = nearest_shore_point(rings, point[None, :])[0]
    if inside(rings, point[None, :])[0] and np.hypot(*(point - shore)) > 1e-3:
        return point
    turn = np.radians(np.arange(0.0, 360.0, 5.0))
    around = np.column_stack([np.sin(turn), np.cos(turn)]).round(15)
    for halving in range(20):
        tried = shore + inset / 2**halving * around
        tried = tried[inside(rings, tried)]
        if len(tried):
            room = np.round(distance_to_shore(rings, tried), 6)
            shore = np.asarray(tried[np.argmax(room)])
            break
    return shore


def reach_points(
    rings: Sequence[FloatArray], centre: FloatArray, radius: float, count_limit: int = 400
) -> FloatArray:
    """Return places on the water within a radius of a launch, the launch's own first.

    Parameters
    ----------
    rings
        Shorelines, as in `straight_fetch`. [m]
    centre : array (2,)
        The launch, on land or on water. [m]
    radius
        How far the trip may go from it. [m]
    count_limit
        The most places wanted.

    Returns
    -------
    array (place, 2)
        East and north; first the launch's nearest water point. The others are as close
        together as the limit allows: a lattice, places a few metres off the shore, and the edge of
        the reach, because the sea is largest where a fetch ends. [m]

    Notes
    -----
    All water within the radius counts, also across a spit that would have to be paddled
    round: the cautious choice.

    Examples
    --------
    >>> square = np.array([[0.0, 0], [100, 0], [100, 100], [0, 100], [0, 0]])
    >>> reach_points([square], np.array([0.0, 50.0]), 30.0)[0]
    array([ 5., 50.])
    """
    launch = nearest_water_point(rings, centre)[None, :]
    sample_points, spacing = np.empty((0, 2)), radius
    while spacing > CLOSEST:
        spacing /= np.sqrt(2)
        closer = _places_within(rings, centre, radius, spacing)
        if len(closer) >= count_limit:
            break
        sample_points = closer
    return np.concatenate([launch, sample_points])


def _places_within(
    rings: Sequence[FloatArray], centre: FloatArray, radius: float, spacing: float
) -> FloatArray:
    lowest, highest = _bounds(rings)
    open_places = lattice_within(
        rings, np.maximum(lowest, centre - radius), np.minimum(highest, centre + radius), spacing
    )
    turn = np.arange(0.0, 2 * np.pi, spacing / radius)
    rim = centre + radius * np.column_stack([np.sin(turn), np.cos(turn)])
    edge = np.concatenate([rim, _beside_the_shore(rings, centre, radius, spacing)])
    sample_points = np.concatenate([open_places, edge[inside(rings, edge)]])
    within: FloatArray = sample_points[np.hypot(*(sample_points - centre).T) <= radius * (1 + 1e-9)]
    return within


def _beside_the_shore(
    rings: Sequence[FloatArray], centre: FloatArray, radius: float, spacing: float
) -> FloatArray:
    """Return places at even steps along the shore near a centre, a little off it on both sides."""
    shore = shore_of(rings)
    start, step = shore.edges
    near = np.hypot(*gap_to_edge(start, step, centre - shore.origin)) <= radius
    start, step = start[near] + shore.origin, step[near]
    length = np.hypot(*step.T)
    passed = np.concatenate([[0.0], np.cumsum(length)])
    wanted = np.arange(spacing / 2, passed[-1], spacing)
    edge = np.searchsorted(passed, wanted, side="right") - 1
    ahead = step[edge] / length[edge, None]
    place = start[edge] + ahead * (wanted - passed[edge])[:, None]
    off = INSET * np.column_stack([-ahead[:, 1], ahead[:, 0]])
    return np.concatenate([place + off, place - off])


def _bounds(rings: Sequence[FloatArray]) -> tuple[FloatArray, FloatArray]:
    corners = np.concatenate(rings)
    return corners.min(axis=0), corners.max(axis=0)

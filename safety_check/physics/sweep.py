"""Where straight lines over the water meet the shore: one sorted sweep a direction.

Points are sorted across a direction, so the points whose line meets one edge of the shore are
neighbours. Each edge is compared once with the points that meet it; no point searches for edges.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from safety_check.arrays import BoolArray, FloatArray, IntArray

BLOCK = 32_768
"""Pairs of an edge and a point computed at once; limits the memory."""

TOUCH = 1e-7
"""A point nearer than this to the shoreline is on it. [m]"""


@dataclass(frozen=True)
class Shore:
    """Closed rings as one list of vertices.

    Parameters
    ----------
    vertices : array (vertex, 2)
        East and north of `origin`, ring after ring. [m]
    starts : array (edge,)
        Each edge joins the vertex of this number to the next one.
    origin : array (2,)
        Middle of the shore's bounds, from which rounding is least. [m]
    """

    vertices: FloatArray
    starts: IntArray
    origin: FloatArray

    @cached_property
    def edges(self) -> tuple[FloatArray, FloatArray]:
        """Where each edge begins, and the way to its end: arrays (edge, 2)."""
        start = self.vertices[self.starts]
        return start, self.vertices[self.starts + 1] - start


def shore_of(rings: Sequence[FloatArray]) -> Shore:
    """Return rings as a shore; one that is not closed is closed by a straight edge."""
    closed = [np.vstack([ring, ring[:1]]) for ring in rings if len(ring)]
    if not closed:
        return Shore(np.empty((0, 2)), np.empty(0, dtype=np.int64), np.zeros(2))
    vertices = np.concatenate(closed)
    origin = (vertices.min(axis=0) + vertices.max(axis=0)) / 2
    joined = np.any(np.diff(vertices, axis=0) != 0, axis=1)
    joined[np.cumsum([len(ring) for ring in closed])[:-1] - 1] = False
    return Shore(vertices - origin, np.flatnonzero(joined), origin)


def unit(bearing: float) -> FloatArray:
    """Return one metre towards a bearing, east and north."""
    return np.array([np.sin(np.radians(bearing)), np.cos(np.radians(bearing))])


def sweep_both_ways(
    shore: Shore, points: FloatArray, along: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return how far the shore lies ahead of each point, and how far behind.

    Parameters
    ----------
    shore
        The shoreline.
    points : array (point, 2)
        Off the shoreline, from the shore's origin. [m]
    along : array (2,)
        One metre in the direction that is ahead.

    Returns
    -------
    two arrays (point,)
        [m]; infinite where no shore is met.
    """
    shore_along, shore_across = _turned(shore.vertices, along)
    point_along, point_across = _turned(points, along)
    order = np.argsort(point_across)
    point_along, point_across = point_along[order], point_across[order]
    rank = np.searchsorted(point_across, shore_across)
    begin, end = rank[shore.starts], rank[shore.starts + 1]
    ahead = np.full(len(points), np.inf)
    behind = np.full(len(points), -np.inf)
    for edge, count, point in _meetings(np.minimum(begin, end), np.maximum(begin, end)):
        start = shore.starts[edge]
        slope = _difference(shore_along, start) / _difference(shore_across, start)
        crossing = point_across[point]
        crossing -= np.repeat(shore_across[start], count)
        crossing *= np.repeat(slope, count)
        crossing += np.repeat(shore_along[start], count)
        lies_ahead = crossing >= point_along[point]
        np.minimum.at(ahead, point[lies_ahead], crossing[lies_ahead])
        np.maximum.at(behind, point[~lies_ahead], crossing[~lies_ahead])
    unsorted = np.empty((2, len(points)))
    unsorted[0, order] = ahead - point_along
    unsorted[1, order] = point_along - behind
    return unsorted[0], unsorted[1]


def on_water(shore: Shore, points: FloatArray) -> BoolArray:
    """Whether an odd number of edges lies north of each point, from the shore's origin."""
    order = np.argsort(points[:, 0])
    east, north = points[order].T
    rank = np.searchsorted(east, shore.vertices[:, 0])
    begin, end = rank[shore.starts], rank[shore.starts + 1]
    start, step = shore.edges
    odd = np.zeros(len(points), dtype=np.int64)
    for edge, count, point in _meetings(np.minimum(begin, end), np.maximum(begin, end)):
        slope = step[edge, 1] / step[edge, 0]
        crossing = (east[point] - np.repeat(start[edge, 0], count)) * np.repeat(slope, count)
        crossing += np.repeat(start[edge, 1], count)
        odd += np.bincount(point[crossing > north[point]], minlength=len(points))
    answer = np.empty(len(points), dtype=bool)
    answer[order] = odd % 2 == 1
    return answer


def touching_shore(shore: Shore, points: FloatArray) -> BoolArray:
    """Whether each point, from the shore's origin, is on the shoreline itself."""
    order = np.argsort(points[:, 0])
    placed = points[order]
    start, step = shore.edges
    west, east = (pick(start[:, 0], start[:, 0] + step[:, 0]) for pick in (np.minimum, np.maximum))
    first = np.searchsorted(placed[:, 0], west - TOUCH)
    last = np.searchsorted(placed[:, 0], east + TOUCH, side="right")
    answer = np.zeros(len(points), dtype=bool)
    for edge, count, point in _meetings(first, last):
        owner = np.repeat(edge, count)
        gap = gap_to_edge(start[owner], step[owner], placed[point])
        answer[order[point[np.hypot(*gap) <= TOUCH]]] = True
    return answer


def gap_to_edge(
    start: FloatArray, step: FloatArray, points: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return the way from points to the nearest place of edges, east and north; all broadcast."""
    east = start[..., 0] - points[..., 0]
    north = start[..., 1] - points[..., 1]
    share = east * step[..., 0]
    share += north * step[..., 1]
    share /= -(step[..., 0] ** 2 + step[..., 1] ** 2)
    np.clip(share, 0, 1, out=share)
    east += share * step[..., 0]
    north += share * step[..., 1]
    return east, north


def _turned(positions: FloatArray, along: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return positions along a direction and across it."""
    east, north = positions.T
    return east * along[0] + north * along[1], east * along[1] - north * along[0]


def _difference(values: FloatArray, start: IntArray) -> FloatArray:
    difference: FloatArray = values[start + 1] - values[start]
    return difference


def _meetings(first: IntArray, last: IntArray) -> Iterator[tuple[IntArray, IntArray, IntArray]]:
    """Yield blocks of edges, how many points each meets, and those points, edge by edge.

    Edge i meets the points numbered from first[i] up to before last[i].
    """
    met = np.flatnonzero(last > first)
    full = np.cumsum(last[met] - first[met]) // BLOCK
    for edge in np.split(met, np.flatnonzero(np.diff(full)) + 1):
        count = last[edge] - first[edge]
        end = np.cumsum(count)
        if end.size:
            yield edge, count, np.arange(end[-1]) + np.repeat(last[edge] - end, count)

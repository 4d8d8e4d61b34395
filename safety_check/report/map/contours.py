"""Lines of equal height through a grid, drawn by marching squares."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

import numpy as np

from safety_check.arrays import BoolArray, FloatArray

Links = dict[int, list[int]]


def contour_lines(grid: FloatArray, level: float) -> list[FloatArray]:
    """Return the lines on which a grid has a value.

    Parameters
    ----------
    grid : array (row, column)
        NaN where nothing is known; no line comes near it.
    level
        The value.

    Returns
    -------
    list of arrays (vertex, 2)
        Column and row, in cells, between the middles of cells; closed lines repeat their start.

    Notes
    -----
    Straight between the edges of each square of four neighbours; where opposite corners lie
    above the value, the mean of the four decides which of them are joined.

    Examples
    --------
    >>> contour_lines(np.array([[0.0, 1.0], [0.0, 1.0]]), 0.25)[0].tolist()
    [[0.25, 0.0], [0.25, 1.0]]
    """
    links: Links = defaultdict(list)
    for one, other in _segments(grid, level):
        links[one].append(other)
        links[other].append(one)
    ends = [place for place, near in links.items() if len(near) == 1]
    chains = [_chain(links, start) for start in [*ends, *list(links)] if links[start]]
    return [_places(np.array(chain), grid, level) for chain in chains]


def _segments(grid: FloatArray, level: float) -> Iterator[tuple[int, int]]:
    """Yield the pairs of edges between which a line crosses each square."""
    rows, columns = grid.shape
    above: BoolArray = grid >= level
    known = np.isfinite(grid)
    corners = [each[a : rows - 1 + a, b : columns - 1 + b] for each in (above, known)
               for a, b in ((0, 0), (0, 1), (1, 1), (1, 0))]  # fmt: skip
    count = np.sum(corners[:4], axis=0)
    crossed = np.all(corners[4:], axis=0) & (count > 0) & (count < 4)
    for row, column in np.argwhere(crossed).tolist():
        at = 2 * (row * columns + column)
        edges = (at, at + 3, at + 2 * columns, at + 1)  # south, east, north, west
        around = [bool(each[row, column]) for each in corners[:4]]
        cut = [edges[k] for k in range(4) if around[k] != around[(k + 1) % 4]]
        if len(cut) == 2:
            yield cut[0], cut[1]
        else:
            middle = bool(grid[row : row + 2, column : column + 2].mean() >= level)
            south_west, north_east = (cut[3], cut[0]), (cut[1], cut[2])
            south_east, north_west = (cut[0], cut[1]), (cut[2], cut[3])
            cut_off = middle == around[0]
            yield from (south_east, north_west) if cut_off else (south_west, north_east)


def _chain(links: Links, start: int) -> list[int]:
    """Follow a line from a place to its end or round to its start, taking its links away."""
    chain, place = [start], start
    while links[place]:
        following = links[place].pop()
        links[following].remove(place)
        chain.append(following)
        place = following
    return chain


def _places(chain: np.ndarray, grid: FloatArray, level: float) -> FloatArray:
    """Return where on its edges a line crosses: edge 2n runs east from cell n, 2n + 1 north."""
    row, column = np.divmod(chain // 2, grid.shape[1])
    north = chain % 2
    here, there = grid[row, column], grid[row + north, column + 1 - north]
    share = (level - here) / (there - here)
    return np.column_stack([column + share * (1 - north), row + share * north])

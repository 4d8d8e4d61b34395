"""A field on a grid as a small picture in bands of colour."""

from __future__ import annotations

import base64
import struct
import zlib
from collections.abc import Sequence

import numpy as np

from safety_check.arrays import FloatArray, IntArray

BEYOND = 6  # cells by which a field is extended over the shore, where it is then cut off
FINER = 4  # pixels to a cell


def draw_field(grid: FloatArray, cells: int = BEYOND) -> FloatArray:
    """Return a grid with more cells on each side, with known cells extended over their edge.

    Parameters
    ----------
    grid : array (row, column)
        NaN where nothing is known.
    cells
        How many cells; each new cell is the mean of its known neighbours.

    Examples
    --------
    >>> draw_field(np.array([[1.0, 3.0]]), 1).round(1)
    array([[1., 2., 2., 3.],
           [1., 1., 3., 3.],
           [1., 2., 2., 3.]])
    """
    wide = np.pad(grid, cells, constant_values=np.nan)
    for _ in range(cells):
        around = np.pad(wide, 1, constant_values=np.nan)
        known = np.isfinite(around)
        values = np.where(known, around, 0.0)
        count, total = _neighbours(known.astype(float)), _neighbours(values)
        mean = total / np.where(count > 0, count, np.nan)
        wide = np.where(np.isfinite(wide), wide, mean)
    return wide


def _neighbours(values: FloatArray) -> FloatArray:
    """Return the sum over the nine cells around each inner one."""
    rows = values[:-2] + values[1:-1] + values[2:]
    total: FloatArray = rows[:, :-2] + rows[:, 1:-1] + rows[:, 2:]
    return total


def finer(grid: FloatArray, times: int = FINER) -> FloatArray:
    """Return a grid between the middles of its outer cells, so many times finer, bilinear.

    Examples
    --------
    >>> finer(np.array([[0.0, 1.0], [2.0, 3.0]]), 2)
    array([[0.75, 1.25],
           [1.75, 2.25]])
    """
    rows, columns = (times * (size - 1) for size in grid.shape)
    row, column = ((np.arange(size) + 0.5) / times for size in (rows, columns))
    at, share = column.astype(int), column % 1
    across = grid[:, at] * (1 - share) + grid[:, at + 1] * share
    at, share = row.astype(int), (row % 1)[:, None]
    between: FloatArray = across[at] * (1 - share) + across[at + 1] * share
    return between


def picture(grid: FloatArray, levels: Sequence[float], colours: Sequence[str]) -> str:
    """Return a grid as a PNG in a data URI, south at the bottom; transparent where unknown.

    Parameters
    ----------
    grid : array (row, column)
        South-west first.
    levels
        Ascending; a value at a level belongs to the band above it.
    colours
        "#rrggbb" for each band, one more than levels.
    """
    band = np.where(np.isfinite(grid), np.digitize(grid, levels) + 1, 0)[::-1]
    png = indexed_png(band, ["#000000", *colours])
    return f"data:image/png;base64,{base64.b64encode(png).decode()}"


def indexed_png(indices: IntArray, colours: Sequence[str]) -> bytes:
    r"""Return a PNG with a palette whose first colour is transparent (ISO/IEC 15948, type 3).

    Examples
    --------
    >>> indexed_png(np.array([[0, 1]]), ["#000000", "#ffffff"])[:8]
    b'\x89PNG\r\n\x1a\n'
    """
    rows, columns = indices.shape
    lines = np.pad(indices.astype(np.uint8), ((0, 0), (1, 0)))  # filter 0 before each line
    palette = b"".join(bytes.fromhex(colour[1:]) for colour in colours)
    parts = (
        (b"IHDR", struct.pack(">IIBBBBB", columns, rows, 8, 3, 0, 0, 0)),
        (b"PLTE", palette),
        (b"tRNS", b"\0"),
        (b"IDAT", zlib.compress(lines.tobytes(), 9)),
        (b"IEND", b""),
    )
    return b"\x89PNG\r\n\x1a\n" + b"".join(_chunk(*part) for part in parts)


def _chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

"""Waves on a map: bands of colour, the lines between them, and the figures on the lines."""

from __future__ import annotations

from collections.abc import Sequence
from typing import cast

import numpy as np

from safety_check.arrays import BoolArray, FloatArray
from safety_check.model.wave_map import MapGrid, WaveMap
from safety_check.report.map.field import BEYOND, finer, picture
from safety_check.report.map.paper import WIDE, Paper, line_of_text, path, tag
from safety_check.report.map.scale import COLOURS, LEVELS, SMALL, WIDTH, levels, limits_of

TOO_NEAR = 0.05  # of a limit; another line so close would blur the limit's own line
SPECK = 1.5  # cells; smaller shapes cannot be drawn correctly from a lattice
INK, CASING = "#12171c", "#fff"  # of what stands on the water, whose colours no scheme changes
Box = tuple[float, float, float, float]


def draw_bands(
    lake: WaveMap, grid: FloatArray, paper: Paper, unit: str, name: str, taken: list[Box]
) -> tuple[str, str]:
    """Return the field with its lines, and the figures on them.

    Parameters
    ----------
    lake
        What is drawn.
    grid : array (row, column)
        Its heights, extended over the shore. [m]
    paper
        Where it is drawn.
    unit
        The user's unit of wave height.
    name
        The beginning of the ids of the lines.
    taken
        Places that figures must leave free; the places of the figures are added.
    """
    parts, figures = [_field(lake, grid, paper, unit)], []
    limits = limits_of(lake)
    drawn = [
        *((bound, line.word, line.width, line.dashes) for line, bound in limits),
        *(
            (level, f"{figure:g}", 0.5, "none")
            for level, figure in zip(levels(unit), LEVELS[unit], strict=True)
            if all(abs(level / bound - 1) > TOO_NEAR for _, bound in limits)
        ),
    ]
    afloat = np.isfinite(np.pad(lake.grid.on_grid(lake.height), BEYOND, constant_values=np.nan))
    for number, (level, text, width, dashes) in enumerate(drawn):
        lines = contour_lines(grid, level)
        lines = [line for line in lines if np.ptp(line, axis=0).max() > SPECK]
        if lines:
            parts.append(_line(lines, lake.grid, paper, f"{name}-{number}", width, dashes))
            figures += _figure(text, lines, afloat, lake.grid, paper, taken)
    return "".join(parts), "".join(figures)


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
    """
    from contourpy import contour_generator  # only where a map is drawn

    generator = contour_generator(z=np.ma.masked_invalid(grid))
    return cast("list[FloatArray]", generator.lines(level))


def _field(lake: WaveMap, grid: FloatArray, paper: Paper, unit: str) -> str:
    rows, columns = grid.shape
    west, north = _placed(np.array([[0.0, rows - 1.0]]), lake.grid, paper)[0]
    cell = lake.grid.whole.spacing * paper.scale
    return tag(
        "image",
        x=west,
        y=north,
        width=cell * (columns - 1),
        height=cell * (rows - 1),
        preserveAspectRatio="none",
        href=picture(finer(grid), levels(unit), COLOURS),
    )


def _placed(line: FloatArray, sheet: MapGrid, paper: Paper) -> FloatArray:
    """Return the paper coordinates of columns and rows of the grid."""
    return paper.place(sheet.corner + (line - BEYOND) * sheet.whole.spacing)


def _line(
    lines: Sequence[FloatArray],
    sheet: MapGrid,
    paper: Paper,
    name: str,
    width: float,
    dashes: str,
) -> str:
    """Return lines of equal height, dark with a light outline, so that they show on any band."""
    data = "".join(path(_placed(line, sheet, paper)) for line in lines)
    below = tag("path", id=name, d=data, fill="none")
    return tag("g", below, stroke=CASING, stroke_width=width + 1.2, stroke_opacity="0.75") + tag(
        "use", href=f"#{name}", stroke=INK, stroke_width=width, stroke_dasharray=dashes
    )


def _figure(
    text: str,
    lines: Sequence[FloatArray],
    afloat: BoolArray,
    sheet: MapGrid,
    paper: Paper,
    taken: list[Box],
) -> list[str]:
    """Return a figure on the longest of some lines that has a free place on the water."""
    for line in sorted(lines, key=len, reverse=True)[:5]:
        column, row = np.rint(line).astype(int).T
        places = _placed(line, sheet, paper)
        wet = np.flatnonzero(afloat[row, column])
        for vertex in sorted(wet.tolist(), key=lambda place: abs(place - wet[len(wet) // 2])):
            box = room(places[vertex], text)
            inside = box[0] > 0 and box[2] < WIDTH
            if inside and not any(_overlap(box, other) for other in taken):
                taken.append(box)
                x, y = places[vertex]
                return [on_water(text, x, y + 3.0, text_anchor="middle")]
    return []


def room(at: FloatArray, text: str, middle: bool = True) -> Box:
    """Return the space that a text takes, with a small margin."""
    wide = WIDE * SMALL * len(text) + 6.0
    x = float(at[0]) - (wide / 2 if middle else 6.0)
    y = float(at[1])
    return x, y - 8.0, x + wide + (0.0 if middle else 14.0), y + 8.0


def _overlap(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def on_water(text: str, x: float, y: float, **attributes: str | float) -> str:
    """Return text that can be read on any band of colour, and on land too."""
    return line_of_text(text, x, y, 24, fill=INK, stroke=CASING, stroke_width=2.6,
                        paint_order="stroke", stroke_linejoin="round", font_size=SMALL,
                        font_weight="600", **attributes)  # fmt: skip

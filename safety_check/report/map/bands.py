"""Waves on a map: bands of colour, the craft's limits, the no-go area and the lee hatched."""

from __future__ import annotations

from collections.abc import Sequence
from typing import cast

import numpy as np

from safety_check.arrays import BoolArray, FloatArray, IntArray
from safety_check.model.wave_map import MapGrid, WaveMap
from safety_check.report.map.field import BEYOND, draw_field, finer, picture
from safety_check.report.map.labels import CASING, INK, Labels, spread
from safety_check.report.map.paper import Paper, path, tag
from safety_check.report.map.scale import COLOURS, LimitLine, figure, levels, limits_of
from safety_check.units import Preferences

TOO_NEAR = 0.05  # of a limit; another line so close would blur the limit's own line
SPECK = 1.5  # cells; smaller shapes cannot be drawn correctly from a lattice
UNSEEN = 0.6  # units of the paper
TRIED = 12  # places of a line at which a figure is tried


def draw_bands(
    lake: WaveMap, grid: FloatArray, labels: Labels, preferences: Preferences, name: str
) -> tuple[str, str]:
    """Return the field with its lines, and the figures on them.

    Parameters
    ----------
    lake
        What is drawn.
    grid : array (row, column)
        Its heights, extended over the shore. [m]
    labels
        Where there is room; the figures take theirs.
    preferences
        The units that the user reads in.
    name
        The beginning of the ids of the lines.
    """
    whole, paper = name.rpartition("-")[0], labels.paper
    parts, figures = [_field(lake, grid, paper, preferences.wave)], []
    afloat = np.isfinite(np.pad(lake.grid.on_grid(lake.height), BEYOND, constant_values=np.nan))
    limits = limits_of(lake)
    for number, (line, bound) in enumerate(limits):
        areas = [area for area in areas_above(grid, bound) if _large(area)]
        if areas:
            hatch = f"url(#{whole}-no-go)" if line.word == "no-go" else "none"
            parts.append(_limit(areas, lake.grid, paper, f"{name}-{number}", line, hatch))
            edge = _figure(line.word, areas, afloat, lake.grid, labels)
            last = number == len(limits) - 1
            figures.append(edge or (_inside(line.word, lake, bound, labels) if last else ""))
    for level in levels(lake, preferences.wave):
        lines = [line for line in contour_lines(grid, level) if _large(line)]
        if lines and all(abs(level / bound - 1) > TOO_NEAR for _, bound in limits):
            data = "".join(path(_smooth(line, lake.grid, paper)) for line in lines)
            parts.append(tag("path", d=data, class_="lm-between"))
            figures.append(_figure(figure(level, preferences), lines, afloat, lake.grid, labels))
    return "".join(parts), "".join(figures)


def draw_lee(grid: MapGrid, labels: Labels, name: str) -> tuple[str, str]:
    """Return the sheltered area of a water, hatched, and its word.

    Parameters
    ----------
    grid
        The water.
    labels
        Where there is room; the word takes its own.
    name
        The map's name.
    """
    if grid.sheltered is None or not grid.sheltered.any():
        return "", ""
    share = draw_field(grid.on_grid(grid.sheltered.astype(float)))
    data = "".join(
        path(_smooth(area, grid, labels.paper)[:-1], closed=True)
        for area in areas_above(share, 0.5)
    )
    hatched = tag("path", d=data, class_="lm-lee", fill_rule="evenodd", fill=f"url(#{name}-lee)")
    places = labels.paper.place(grid.whole.points[grid.sheltered])
    middle = np.median(places, axis=0)
    order = np.argsort(np.hypot(*(places - middle).T))[:: max(1, len(places) // TRIED)]
    return hatched, labels.at_one_of("lee", places[order])


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


def areas_above(grid: FloatArray, level: float) -> list[FloatArray]:
    """Return the closed edges of the areas in which a grid is at a value or above.

    Parameters
    ----------
    grid, level
        As for `contour_lines`.

    Returns
    -------
    list of arrays (vertex, 2)
        Outlines and holes alike: what an odd number of them enclose is above. An edge runs along
        the level, or where the grid ends.
    """
    from contourpy import FillType, contour_generator

    generator = contour_generator(z=np.ma.masked_invalid(grid), fill_type=FillType.OuterOffset)
    points, offsets = cast(
        "tuple[list[FloatArray], list[IntArray]]", generator.filled(level, np.inf)
    )
    return [
        piece
        for area, starts in zip(points, offsets, strict=True)
        for piece in np.split(area, starts[1:-1])
    ]


def _large(line: FloatArray) -> bool:
    return bool(np.ptp(line, axis=0).max() > SPECK)


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
        href=picture(finer(grid), levels(lake, unit), COLOURS),
    )


def _placed(line: FloatArray, sheet: MapGrid, paper: Paper) -> FloatArray:
    """Return the paper coordinates of columns and rows of the grid."""
    return paper.place(sheet.corner + (line - BEYOND) * sheet.whole.spacing)


def _smooth(line: FloatArray, sheet: MapGrid, paper: Paper) -> FloatArray:
    """Return a line on the paper without corners that nobody can see."""
    import shapely

    placed = shapely.LineString(_placed(line, sheet, paper))
    thinned: FloatArray = shapely.get_coordinates(shapely.simplify(placed, UNSEEN))
    return thinned


def _limit(
    areas: Sequence[FloatArray],
    sheet: MapGrid,
    paper: Paper,
    name: str,
    line: LimitLine,
    hatch: str,
) -> str:
    """Return the edge of an area, dark with a light outline, so that it shows on any band."""
    data = "".join(path(_smooth(area, sheet, paper)[:-1], closed=True) for area in areas)
    below = tag("path", id=name, d=data, fill_rule="evenodd", fill=hatch)
    return tag("g", below, stroke=CASING, stroke_width=line.width + 1.2, stroke_opacity="0.75") + (
        tag("use", href=f"#{name}", class_="lm-edge-of", stroke=INK, stroke_width=line.width,
            stroke_dasharray=line.dashes)
    )  # fmt: skip


def _inside(text: str, lake: WaveMap, bound: float, labels: Labels) -> str:
    """Return a word in the area above a limit, whose edge has no room for it."""
    above = lake.grid.whole.points[lake.height >= bound]
    return labels.at_one_of(text, spread(list(labels.paper.place(above)))[: 4 * TRIED])


def _figure(
    text: str, lines: Sequence[FloatArray], afloat: BoolArray, sheet: MapGrid, labels: Labels
) -> str:
    """Return a figure on the longest of some lines that has room on the water."""
    rows, columns = afloat.shape
    for line in sorted(lines, key=len, reverse=True)[:5]:
        column = np.clip(np.rint(line[:, 0]).astype(int), 0, columns - 1)
        row = np.clip(np.rint(line[:, 1]).astype(int), 0, rows - 1)
        places = _placed(line[afloat[row, column]], sheet, labels.paper)
        drawn = labels.at_one_of(text, spread(list(places))[:TRIED])
        if drawn:
            return drawn
    return ""

"""The map of a water as one SVG: land, waves, limits, lee, launches, wind, drift, legend.

Colour never carries meaning alone: lines with words separate the bands, the lines of the
craft's limits differ in style, and the no-go area and the lee are hatched differently.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from safety_check.model.wave_map import MapGrid, WaveMap
from safety_check.report.map.bands import draw_bands, draw_lee
from safety_check.report.map.field import draw_field
from safety_check.report.map.labels import Labels
from safety_check.report.map.legend import draw_legend, draw_prose
from safety_check.report.map.map_words import describe_map, headline, when, wind_in_words
from safety_check.report.map.marks import (
    draw_drift,
    draw_trip,
    draw_wind,
    draw_worst,
    name_launches,
)
from safety_check.report.map.paper import (
    Paper,
    line_of_text,
    paper_for,
    shore_path,
    tag,
    words,
)
from safety_check.report.map.scale import MARGIN, WIDTH
from safety_check.units import Preferences

__all__ = ["STYLE", "describe_map", "draw_wave_map", "headline"]

TOP, TALLEST = 46.0, 380.0
STYLE = (
    ".lake-map{--paper:#fff;--ink:#12171c;--quiet:#38424c;--land:#ddd3bd;--grain:#b3a582;"
    "font-family:system-ui,sans-serif}"
    "@media (prefers-color-scheme:dark){"
    ".lake-map{--paper:#0f1418;--ink:#f3f5f6;--quiet:#c5cdd4;--land:#3a352c;--grain:#5d5545}}"
    "@media print{.lake-map{--paper:#fff;--ink:#000;--quiet:#000;--land:#ddd3bd;--grain:#b3a582}}"
    ".lm-t{font-size:13.8px}.lm-paper{fill:var(--paper)}.lm-land{fill:var(--land)}"
    ".lm-grain{fill:var(--grain)}.lm-ink{fill:var(--ink)}.lm-quiet{fill:var(--quiet)}"
    ".lm-line{fill:none;stroke:var(--ink)}.lm-rim{stroke:var(--ink);stroke-width:.6}"
    ".lm-shore{fill:none;stroke:#12171c;stroke-width:1.1}"
    ".lm-on{fill:#12171c;stroke:#fff;stroke-width:3px;paint-order:stroke;stroke-linejoin:round;"
    "font-weight:600}"
    ".lm-between{fill:none;stroke:#12171c;stroke-width:.6;stroke-opacity:.7}"
    ".lm-edge-of{fill:none}.lm-lee{stroke:none}"
    ".lm-dots{fill:none;stroke:#12171c;stroke-dasharray:1 3;stroke-linecap:round}"
    ".lm-launch{fill:#fff;stroke:#12171c;stroke-width:2}"
    ".lm-own{fill:#12171c;stroke:#fff;stroke-width:2}"
    ".lm-worst{fill:#fff;stroke:#12171c;stroke-width:1.8}"
    ".lm-below,.lm-drift{fill:none;stroke-linecap:round;stroke-linejoin:round}"
    ".lm-below{stroke:#fff;stroke-width:4.6}.lm-drift{stroke:#12171c;stroke-width:2}"
    ".lm-key{stroke:var(--ink)}.lm-small{fill:#94ccdd;stroke:var(--ink);stroke-width:.5}"
    ".lm-box{fill:none;stroke:var(--ink);stroke-width:2}"
)
"""For every page that shows a map, and for a map that stands alone."""


@dataclass(frozen=True)
class Layer:
    """What every hour of a map shares.

    Parameters
    ----------
    labels
        Where there is room beside the names of the launches.
    lee
        The word for the lee; empty without one.
    name
        The map's name.
    preferences
        The units that the user reads in.
    """

    labels: Labels
    lee: str
    name: str
    preferences: Preferences


def draw_wave_map(
    chosen: WaveMap,
    preferences: Preferences,
    hours: Mapping[int, WaveMap] | None = None,
    notes: Sequence[str] = (),
    name: str = "lake-map",
    alone: bool = True,
) -> str:
    """Return a map as one SVG document.

    Parameters
    ----------
    chosen
        What is shown.
    preferences
        The units that the user reads in.
    hours
        Hours of the same sheet by their number, `chosen` among them: each becomes a group of
        class `lm-hour` with its number as `data-hour`, all but the chosen one not displayed.
    notes
        Sentences about it, such as where the lee is.
    name
        The beginning of every id, for a page that holds several maps.
    alone
        False for a page that has the style and the sentences beside the map.
    """
    sheet = chosen.grid
    paper = paper_for(sheet.frame, MARGIN, TOP, WIDTH - 2 * MARGIN, TALLEST)
    labels = Labels(paper)
    named = name_launches(sheet, labels)
    lee, lee_named = draw_lee(sheet, labels, name)
    shared = Layer(labels, lee_named, name, preferences)
    layers = [
        draw_hour(hour, shared, number, hour is chosen)
        for number, hour in (hours or {0: chosen}).items()
    ]
    legend, height = draw_legend(chosen, paper, preferences, name, sheet.whole.frame is not None)
    prose, height = draw_prose(chosen, notes, height) if alone else ("", height)
    return tag(
        "svg",
        tag("title", words(f"Waves on {sheet.water.name}"), id=f"{name}-title"),
        tag("desc", words(describe_map(chosen, preferences, notes)), id=f"{name}-desc"),
        tag("style", STYLE) if alone else "",
        _definitions(sheet, paper, name, lee),
        tag("rect", class_="lm-paper", width=WIDTH, height=height),
        line_of_text(sheet.water.name, MARGIN, 18.0, 34, class_="lm-t lm-ink", font_weight="bold"),
        _ground(paper, name),
        tag("g", *layers, id=f"{name}-hours"),
        named,
        tag("rect", class_="lm-line", x=paper.left, y=paper.top, width=paper.width,
            height=paper.height, stroke_width=1.0),
        legend,
        prose,
        xmlns="http://www.w3.org/2000/svg",
        class_="lake-map",
        viewBox=f"0 0 {WIDTH:g} {height:.0f}",
        role="img",
        aria_labelledby=f"{name}-title {name}-desc",
    )  # fmt: skip


# -- what changes with the hour --------------------------------------------------------------


def draw_hour(lake: WaveMap, shared: Layer, number: int, shown: bool = True) -> str:
    """Return what changes with the hour: waves, limits, drift, the highest place, the wind.

    Parameters
    ----------
    lake
        The hour.
    shared
        What it has in common with the others.
    number
        Its place among them.
    shown
        False where another hour is displayed.
    """
    name, prefer, labels = shared.name, shared.preferences, shared.labels.copy()
    known = bool(np.isfinite(lake.height).all())
    worst = draw_worst(lake, labels, prefer) if known and lake.grid.on_trip is not None else ""
    waves, figures = _nothing_known(labels.paper, name), ""
    if known:
        grid = draw_field(lake.grid.on_grid(lake.height))
        waves, figures = draw_bands(lake, grid, labels, prefer, f"{name}-{number}")
    sheltered = lake.in_trip and known and shared.lee
    lee = tag("use", href=f"#{name}-lee-area") if sheltered else ""
    on_the_map = [
        tag("g", waves, lee, clip_path=f"url(#{name}-water)"),
        tag("use", href=f"#{name}-shore", class_="lm-shore"),
        tag("use", href=f"#{name}-trip"),
        *(draw_drift(drift, lake.grid, labels.paper) for drift in lake.drifts),
    ]
    hidden: dict[str, str | float] = {} if shown else {"display": "none"}
    return tag(
        "g",
        tag("g", *on_the_map, clip_path=f"url(#{name}-frame)"),
        shared.lee if sheltered else "", figures, worst, _head(lake, prefer),
        draw_wind(lake),
        class_="lm-hour", data_hour=str(number), **hidden,
    )  # fmt: skip


def _head(lake: WaveMap, preferences: Preferences) -> str:
    """Return the hour on the left and the wind on the right of the second line."""
    wind = wind_in_words(lake, preferences)
    right, time = WIDTH - 52.0, when(lake)
    said = wind if time else wind[0].upper() + wind[1:]
    told = line_of_text(time, MARGIN, 36.0, 60, class_="lm-t lm-ink") if time else ""
    return told + line_of_text(
        said, right if time else MARGIN, 36.0, 60, class_="lm-t lm-ink",
        text_anchor="end" if time else "start",
    )  # fmt: skip


def _nothing_known(paper: Paper, name: str) -> str:
    return tag("rect", x=paper.left, y=paper.top, width=paper.width, height=paper.height,
               fill="#fff") + tag(
        "rect", x=paper.left, y=paper.top, width=paper.width, height=paper.height,
        fill=f"url(#{name}-unknown)")  # fmt: skip


# -- what every hour shares ------------------------------------------------------------------


def _ground(paper: Paper, name: str) -> str:
    """Return the land: a colour and a grain of its own."""
    size: dict[str, str | float] = {
        "x": paper.left, "y": paper.top, "width": paper.width, "height": paper.height,
    }  # fmt: skip
    return tag("rect", class_="lm-land", **size) + tag("rect", fill=f"url(#{name}-grain)", **size)


def _definitions(sheet: MapGrid, paper: Paper, name: str, lee: str) -> str:
    shore = shore_path(sheet.rings, paper, WIDTH)
    frame = tag("rect", x=paper.left, y=paper.top, width=paper.width, height=paper.height)
    clipped = tag("use", href=f"#{name}-shore", clip_rule="evenodd")
    return tag(
        "defs",
        tag("path", id=f"{name}-shore", d=shore),
        tag("clipPath", clipped, id=f"{name}-water"),
        tag("clipPath", frame, id=f"{name}-frame"),
        tag("g", lee, id=f"{name}-lee-area") if lee else "",
        tag("g", draw_trip(sheet, paper, name), id=f"{name}-trip"),
        _pattern(f"{name}-unknown", 6.0, "M0,6 6,0", "#12171c", 0.8),
        _pattern(f"{name}-no-go", 7.0, "M-1,1 1-1M0,7 7,0M6,8 8,6", "#fff", 0.9),
        _pattern(f"{name}-lee", 7.0, "M-1,6 1,8M0,0 7,7M6-1 8,1", "#12171c", 0.9),
        tag("pattern", tag("circle", class_="lm-grain", cx=2.0, cy=2.0, r=0.7),
            tag("circle", class_="lm-grain", cx=5.5, cy=5.5, r=0.7),
            id=f"{name}-grain", width=7.0, height=7.0, patternUnits="userSpaceOnUse"),
    )  # fmt: skip


def _pattern(name: str, size: float, lines: str, colour: str, width: float) -> str:
    stroke = tag("path", d=lines, fill="none", stroke=colour, stroke_width=width)
    return tag("pattern", stroke, id=name, width=size, height=size, patternUnits="userSpaceOnUse")

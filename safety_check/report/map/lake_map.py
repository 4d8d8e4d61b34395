"""The map of a water as one SVG: shore, waves, launch, wind, legend, credit.

Colour never carries meaning alone: labelled lines separate the bands, and the lines of the
craft's limits differ in style.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from zoneinfo import ZoneInfo

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.model.place import Launch
from safety_check.model.wave_map import MapGrid, WaveMap
from safety_check.report.map.bands import CASING, INK, draw_bands, on_water, room
from safety_check.report.map.field import draw_field
from safety_check.report.map.paper import (
    Paper,
    line_of_text,
    paper_for,
    path,
    shore_path,
    tag,
    words,
)
from safety_check.report.map.scale import MARGIN, PLAIN, WIDTH, foot, limits_of
from safety_check.units import Preferences, compass, show, show_limit

__all__ = ["CASING", "INK", "STYLE", "describe_map", "draw_wave_map", "headline", "layer"]

TOP, TALLEST = 44.0, 420.0
STYLE = (
    ".lake-map{--paper:#fff;--ink:#12171c;--quiet:#38424c;font-family:system-ui,sans-serif}"
    "@media (prefers-color-scheme:dark){"
    ".lake-map{--paper:#0f1418;--ink:#f3f5f6;--quiet:#c5cdd4}}"
    "@media print{.lake-map{--paper:#fff;--ink:#000;--quiet:#000}}"
    ".lm-paper{fill:var(--paper)}.lm-ink{fill:var(--ink)}.lm-quiet{fill:var(--quiet)}"
    ".lm-line{fill:none;stroke:var(--ink)}.lm-edge{stroke:var(--ink)}"
)
"""For a page that shows maps without a style of their own."""


def draw_wave_map(
    chosen: WaveMap,
    preferences: Preferences,
    hours: Sequence[WaveMap] = (),
    notes: Sequence[str] = (),
    name: str = "lake-map",
    style: bool = True,
) -> str:
    """Return a map as one SVG document.

    Parameters
    ----------
    chosen
        What is shown.
    preferences
        The units that the user reads in.
    hours
        Hours of the same sheet, `chosen` among them: each becomes a group of class `lm-hour`
        with its place in this list as `data-hour`, all but the chosen one not displayed.
    notes
        Sentences under the map, such as where the lee is.
    name
        The beginning of every id, for a page that holds several maps.
    style
        False for a page whose own style includes `STYLE`.
    """
    sheet = chosen.grid
    paper = paper_for(sheet.rings, MARGIN, TOP, WIDTH - 2 * MARGIN, TALLEST)
    legend, height = foot(chosen, paper, preferences, notes)
    shore = shore_path(sheet.rings, paper, WIDTH)
    layers = [
        layer(hour, paper, preferences, f"{name}-{number}", hour is chosen)
        for number, hour in enumerate(hours or [chosen])
    ]
    return tag(
        "svg",
        tag("title", words(f"Waves on {sheet.water.name}"), id=f"{name}-title"),
        tag("desc", words(describe_map(chosen, preferences, notes)), id=f"{name}-desc"),
        tag("style", STYLE) if style else "",
        tag("defs", tag("path", id=f"{name}-shore", d=shore), _clip(name), _hatch(name)),
        tag("rect", class_="lm-paper", width=WIDTH, height=height),
        line_of_text(sheet.water.name, MARGIN, 17.0, 34, class_="lm-ink", font_size=14.0,
                     font_weight="bold"),
        tag("g", *layers, id=f"{name}-hours"),
        tag("use", href=f"#{name}-shore", class_="lm-line", stroke_width=1.0),
        _trip(sheet, paper, name),
        legend,
        xmlns="http://www.w3.org/2000/svg",
        class_="lake-map",
        viewBox=f"0 0 {WIDTH:g} {height:.0f}",
        role="img",
        aria_labelledby=f"{name}-title {name}-desc",
    )  # fmt: skip


def describe_map(lake: WaveMap, preferences: Preferences, notes: Iterable[str] = ()) -> str:
    """Return a map in words, for a reader who cannot see it."""
    height = lake.height
    if not np.isfinite(height).all():
        return f"{headline(lake, preferences)}. Wave heights are not known."
    east, north = lake.grid.whole.points[int(np.argmax(height))]
    low, high = (
        show(float(extreme), "length", preferences.wave) for extreme in (height.min(), height.max())
    )
    side = compass(math.degrees(math.atan2(east, north)))
    waves = f"Waves from {low} to {high}, highest in the {side} part of the water"
    limits = [
        f"{line.word.capitalize()} from {show_limit(bound, 'length', preferences.wave)}"
        for line, bound in limits_of(lake)
    ]
    return ". ".join([headline(lake, preferences), waves, *limits, *notes])


def headline(lake: WaveMap, preferences: Preferences) -> str:
    """Return the hour and the wind."""
    wind = "wind not known"
    if lake.wind_speed == 0:
        wind = "calm"
    elif np.isfinite(lake.wind_speed + lake.wind_from_direction):
        speed = show(lake.wind_speed, "speed", preferences.wind)
        wind = f"wind {speed} from {compass(lake.wind_from_direction)}"
    if lake.time is None:
        return wind[0].upper() + wind[1:]
    local = lake.time.astimezone(ZoneInfo(lake.grid.water.time_zone))
    return f"{local:%a} {local.day} {local:%b} {local:%H:%M}, {wind}"


# -- what changes with the hour --------------------------------------------------------------


def layer(
    lake: WaveMap, paper: Paper, preferences: Preferences, name: str, shown: bool = True
) -> str:
    """Return what changes with the hour: the waves, their lines and figures, the wind.

    Parameters
    ----------
    lake, paper, preferences
        As for `draw_wave_map`.
    name
        The map's name, a hyphen and the hour's number.
    shown
        False where another hour is displayed.
    """
    whole, _, number = name.rpartition("-")
    grid = draw_field(lake.grid.on_grid(lake.height))
    if np.isfinite(grid).any():
        taken = [room(at, launch.name, middle=False) for launch, at in _launches(lake.grid, paper)]
        waves, figures = draw_bands(lake, grid, paper, preferences.wave, name, taken)
    else:
        waves, figures = _nothing_known(paper, whole), ""
    headed = line_of_text(headline(lake, preferences), MARGIN, 34.0, 60, class_="lm-ink",
                          font_size=PLAIN)  # fmt: skip
    clipped = tag("g", waves, clip_path=f"url(#{whole}-water)")
    hidden: dict[str, str | float] = {} if shown else {"display": "none"}
    return tag(
        "g", clipped, figures, headed, _wind(lake), class_="lm-hour", data_hour=number, **hidden
    )


def _nothing_known(paper: Paper, name: str) -> str:
    return tag("rect", x=paper.left, y=paper.top, width=paper.width, height=paper.height,
               fill=f"url(#{name}-unknown)")  # fmt: skip


def _wind(lake: WaveMap) -> str:
    """Return an arrow in the direction in which the wind blows."""
    if not lake.wind_speed > 0 or not math.isfinite(lake.wind_from_direction):
        return ""
    towards = (lake.wind_from_direction + 180) % 360
    turned = f"translate({WIDTH - 24:g},22) rotate({towards:.0f})"
    return tag("path", class_="lm-ink", d="M0,-17 7,-3 1.5,-5V17H-1.5V-5L-7,-3Z", transform=turned)


# -- what every hour shares ------------------------------------------------------------------


def _hatch(name: str) -> str:
    """Return the pattern for water with unknown waves."""
    stroke = tag("path", class_="lm-line", d="M0,6 6,0", stroke_width=0.8)
    return tag("pattern", stroke, id=f"{name}-unknown", width=6.0, height=6.0,
               patternUnits="userSpaceOnUse")  # fmt: skip


def _clip(name: str) -> str:
    shore = tag("use", href=f"#{name}-shore", clip_rule="evenodd")
    return tag("clipPath", shore, id=f"{name}-water")


def _launches(sheet: MapGrid, paper: Paper) -> list[tuple[Launch, FloatArray]]:
    return [(launch, paper.place(at)) for launch, at in sheet.launches]


def _trip(sheet: MapGrid, paper: Paper, name: str) -> str:
    """Return the launches, and the route or the reach of a trip."""
    parts = []
    if sheet.reach is not None and sheet.launches:
        x, y = paper.place(sheet.launches[0][1])
        parts.append(
            tag("circle", cx=x, cy=y, r=sheet.reach * paper.scale, fill="none", stroke=INK,
                stroke_width=1.2, stroke_dasharray="1 2.6", stroke_linecap="round",
                clip_path=f"url(#{name}-water)")
        )  # fmt: skip
    if sheet.route is not None:
        way = path(paper.place(sheet.route))
        parts += [
            tag("path", d=way, fill="none", stroke=CASING, stroke_width=4.0),
            tag("path", d=way, fill="none", stroke=INK, stroke_width=2.4, stroke_dasharray="1 2.6",
                stroke_linecap="round"),
        ]  # fmt: skip
    for launch, at in _launches(sheet, paper):
        x, y = at.tolist()
        left = x > WIDTH / 2
        parts += [
            tag("circle", cx=x, cy=y, r=3.6, fill=CASING, stroke=INK, stroke_width=2.0),
            on_water(launch.name, x + (-7.0 if left else 7.0), y + 3.5,
                      text_anchor="end" if left else "start"),
        ]  # fmt: skip
    return "".join(parts)

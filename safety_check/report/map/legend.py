"""What stands under a map: locator, distance, bands, marks and, where asked for, sentences."""

from __future__ import annotations

import math
from collections.abc import Iterable

from safety_check.model.wave_map import WaveMap
from safety_check.report.map.labels import LETTER
from safety_check.report.map.locator import draw_locator
from safety_check.report.map.marks import DASHES, diamond
from safety_check.report.map.paper import Paper, line_of_text, lines_of_text, tag
from safety_check.report.map.scale import (
    COLOURS,
    MARGIN,
    WHAT_IT_IS,
    WIDTH,
    figure,
    levels,
    limits_of,
)
from safety_check.units import LENGTH, Preferences, show

ROUND = (1.0, 2.0, 5.0)
LINE = 18.0
PLAIN = 0.56  # width of a letter that is not bold, as a share of its size
SYMBOL = 28.0
PROSE = 10.0
NOT_A_CHART = "Not for navigation"


def draw_legend(
    lake: WaveMap, paper: Paper, preferences: Preferences, name: str, framed: bool
) -> tuple[str, float]:
    """Return the legend under a map, and where it ends.

    Parameters
    ----------
    lake, paper, preferences
        The map, where it is drawn, and the units that the user reads in.
    name
        The map's name.
    framed
        Whether the map is a part of the water, which a locator then shows.
    """
    top = paper.top + paper.height + 8.0
    small, wide = draw_locator(lake.grid, MARGIN + 1, top) if framed else ("", 0.0)
    left = MARGIN + wide + (12.0 if framed else 0.0)
    told = [NOT_A_CHART, *(["Box: where this map lies"] if framed else [])]
    lines = [_plain(text, left, top + 34.0 + LINE * at) for at, text in enumerate(told)]
    bands = top + (70.0 if framed else 44.0)
    keys, end = _keys(lake, preferences, name, bands + 62.0)
    parts = [small, _distance(paper, preferences, left, top + 14.0), *lines,
             _bands(lake, preferences, name, bands + 14.0), keys]  # fmt: skip
    return "".join(parts), end


def draw_prose(lake: WaveMap, notes: Iterable[str], top: float) -> tuple[str, float]:
    """Return sentences under a map that stands alone, and where they end."""
    return lines_of_text(
        [*notes, *what_to_know(lake)], MARGIN, top + 8.0, WIDTH - 2 * MARGIN, PROSE,
        class_="lm-quiet",
    )  # fmt: skip


def what_to_know(lake: WaveMap) -> tuple[str, ...]:
    """Return what the heights are, and the credit for the shore."""
    credit = lake.grid.water.attribution
    return (WHAT_IT_IS, *([f"Shoreline: {credit}"] if credit else []))


def _plain(text: str, x: float, y: float, **attributes: str | float) -> str:
    return line_of_text(text, x, y, 60, class_="lm-t lm-ink", **attributes)


def _bands(lake: WaveMap, preferences: Preferences, name: str, y: float) -> str:
    """Return the bands of colour with their bounds, and which of them pass a limit."""
    step = (WIDTH - 2 * MARGIN) / len(COLOURS)
    bounds = levels(lake, preferences.wave)
    limits = {bound: line for line, bound in limits_of(lake)}
    boxes = [
        tag("rect", class_="lm-rim", x=MARGIN + step * at, y=y, width=step, height=14.0,
            fill=colour)
        for at, colour in enumerate(COLOURS)
    ]  # fmt: skip
    figures = [
        _plain(figure(bound, preferences), MARGIN + step * at, y + 28.0, text_anchor="middle")
        for at, bound in enumerate(bounds, 1)
    ]
    marks = []
    for at, bound in enumerate(bounds, 1):
        line, x = limits.get(bound), MARGIN + step * at
        if line is None:
            continue
        marks.append(
            tag("path", class_="lm-line", d=f"M{x:g},{y - 4:g}v18", stroke_width=line.width,
                stroke_dasharray=line.dashes)
            + _plain(f"{line.word}", x + 3, y - 4.0)
        )  # fmt: skip
        if line.word == "no-go":
            marks.append(
                tag("rect", x=x, y=y, width=WIDTH - MARGIN - x, height=14.0,
                    fill=f"url(#{name}-no-go)")
            )  # fmt: skip
    headed = _plain(f"waves, {preferences.wave}", MARGIN, y - 4.0)
    return "".join([headed, *boxes, *figures, *marks])


def _keys(lake: WaveMap, preferences: Preferences, name: str, y: float) -> tuple[str, float]:
    """Return the meaning of each mark, and where they end."""
    drawn, x = [], MARGIN
    for symbol, text in _meanings(lake, preferences, name):
        room = SYMBOL + PLAIN * LETTER * len(text) + 8.0
        if x + room > WIDTH and x > MARGIN:
            x, y = MARGIN, y + LINE
        placed = tag("g", symbol, transform=f"translate({x:g},{y - 5:g})")
        drawn.append(placed + _plain(text, x + SYMBOL, y))
        x += room
    return "".join(drawn), y + 8.0 if drawn else y - LINE


def _meanings(lake: WaveMap, preferences: Preferences, name: str) -> list[tuple[str, str]]:
    sheet, found = lake.grid, []
    if sheet.sheltered is not None and sheet.sheltered.any():
        swatch = tag("rect", class_="lm-rim", y=-6.0, width=22.0, height=12.0, fill=COLOURS[0])
        hatch = tag("rect", y=-6.0, width=22.0, height=12.0, fill=f"url(#{name}-lee)")
        found.append((swatch + hatch, "lee all through the trip"))
    if sheet.on_trip is not None:
        found.append((diamond(11.0, 0.0), "highest waves on the trip"))
    if sheet.route is not None:
        found.append((_dots(2.6), "your route"))
    if sheet.reach is not None:
        reach = show(sheet.reach, "length", preferences.distance)
        found.append((_dots(1.4), f"{reach} from the launch"))
    who = {"craft": "craft adrift", "swimmer": "swimmer adrift"}
    return found + [(_arrow(DASHES[drift.what]), who[drift.what]) for drift in lake.drifts]


def _dots(width: float) -> str:
    return tag("path", class_="lm-dots lm-key", d="M1,0h20", stroke_width=width)


def _arrow(dashes: str) -> str:
    shaft = tag("path", class_="lm-drift lm-key", d="M0,0H22", stroke_dasharray=dashes)
    return shaft + tag("path", class_="lm-drift lm-key", d="M17-3.5 22,0 17,3.5")


def _distance(paper: Paper, preferences: Preferences, left: float, y: float) -> str:
    """Return the bar that shows a round distance, and where north is."""
    unit = preferences.distance
    longest = (WIDTH / 3.6) / paper.scale / LENGTH[unit]
    exponent = 10.0 ** math.floor(math.log10(longest))
    far = exponent * max(multiple for multiple in ROUND if multiple * exponent <= longest)
    wide = far * LENGTH[unit] * paper.scale
    bar = tag("path", class_="lm-line", d=f"M{left:g},{y - 5:g}v5h{wide:.1f}v-5", stroke_width=1.2)
    north = tag("path", class_="lm-ink", d=f"M{WIDTH - 12:g},{y - 13:g}l4.5,15-4.5-3.5-4.5,3.5Z")
    return "".join(
        [
            bar,
            _plain(f"{far:g} {unit}", left + wide + 6, y),
            north,
            _plain("N", WIDTH - 21, y, text_anchor="end"),
        ]
    )

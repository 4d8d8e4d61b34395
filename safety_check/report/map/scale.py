"""The scale of wave heights that all maps share, and the legend under a map.

References
----------
.. [Brewer2003] Brewer, Hatchard and Harrower, ColorBrewer in print, 2003 (from memory, not
   read): the colours of the bands.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from safety_check.model.wave_map import WaveMap
from safety_check.report.map.paper import WIDE, Paper, line_of_text, lines_of_text, tag
from safety_check.units import LENGTH, Preferences, show, show_limit

WIDTH = 336.0  # as for the chart of the hours: one unit is one pixel on a phone of 360
MARGIN = 6.0
SMALL, PLAIN = 9.5, 11.0

# ColorBrewer 2.0, YlGnBu of eight classes, one of the schemes that it marks as safe for
# colour-blind eyes. This product includes color specifications and designs developed by
# Cynthia Brewer (http://colorbrewer.org/).
COLOURS = (
    *("#ffffd9", "#edf8b1", "#c7e9b4", "#7fcdbb"),
    *("#41b6c4", "#1d91c0", "#225ea8", "#0c2c84"),
)
LEVELS = {  # between the bands, in the user's unit: the same on every map, so that maps compare
    "ft": (0.2, 0.5, 0.8, 1.0, 1.5, 2.0, 3.0),
    "m": (0.1, 0.2, 0.3, 0.4, 0.5, 0.7, 1.0),
}
WHAT_IT_IS = (
    "Significant wave height: the mean of the highest third of the waves. A single wave can be"
    " nearly twice as high. Not for navigation: the map shows no depths, rocks or marks."
)
ROUND = (1.0, 2.0, 5.0)


@dataclass(frozen=True)
class LimitLine:
    """How the line of a limit is drawn, and its word."""

    word: str
    width: float
    dashes: str


LIMITS = (LimitLine("caution", 1.6, "5 3"), LimitLine("no-go", 2.4, "none"))


def levels(unit: str) -> tuple[float, ...]:
    """Return the heights that separate the bands. [m]."""
    return tuple(level * LENGTH[unit] for level in LEVELS[unit])


def limits_of(lake: WaveMap) -> list[tuple[LimitLine, float]]:
    """Return the craft's limits on a map, and how each is drawn."""
    both = zip(LIMITS, (lake.caution, lake.no_go), strict=True)
    return [(line, bound) for line, bound in both if math.isfinite(bound)]


def foot(
    lake: WaveMap, paper: Paper, preferences: Preferences, notes: Iterable[str]
) -> tuple[str, float]:
    """Return the legend, notes and credit under a map, and how high the paper is with them."""
    top = paper.top + paper.height
    keys, below = _keys(lake, preferences, top + 82.0)
    credit = lake.grid.water.attribution
    told = [*notes, WHAT_IT_IS, *([f"Shoreline: {credit}"] if credit else [])]
    text, end = lines_of_text(
        told, MARGIN, below + 6.0, WIDTH - 2 * MARGIN, SMALL, class_="lm-quiet"
    )
    parts = (_distance(paper, preferences, top + 18.0), _bands(preferences, top + 40.0), keys, text)
    return "".join(parts), end + 2.0


def _bands(preferences: Preferences, y: float) -> str:
    """Return the bands of colour with their bounds."""
    figures = LEVELS[preferences.wave]
    step = (WIDTH - 2 * MARGIN) / len(COLOURS)
    boxes = [
        tag("rect", class_="lm-edge", x=MARGIN + step * at, y=y, width=step, height=11.0,
            fill=colour, stroke_width=0.5)
        for at, colour in enumerate(COLOURS)
    ]  # fmt: skip
    bounds = [
        line_of_text(f"{figure:g}", MARGIN + step * at, y + 22.0, text_anchor="middle",
                     class_="lm-ink", font_size=SMALL)
        for at, figure in enumerate(figures, 1)
    ]  # fmt: skip
    headed = line_of_text(f"waves, {preferences.wave}", MARGIN, y - 3.5, class_="lm-ink",
                          font_size=SMALL)  # fmt: skip
    return "".join([headed, *boxes, *bounds])


def _keys(lake: WaveMap, preferences: Preferences, y: float) -> tuple[str, float]:
    """Return the meaning of each kind of line, and the position of the next line of text."""
    keys = [
        (
            f"{line.word} from {show_limit(bound, 'length', preferences.wave)}",
            line.width,
            line.dashes,
        )
        for line, bound in limits_of(lake)
    ]
    if lake.grid.route is not None:
        keys.append(("your route", 2.4, "1 2.6"))
    if lake.grid.reach is not None:
        reach = show(lake.grid.reach, "length", preferences.distance)
        keys.append((f"{reach} from the launch", 1.2, "1 2.6"))
    drawn, x = [], MARGIN
    for text, width, dashes in keys:
        room = 26.0 + WIDE * SMALL * len(text)
        if x + room > WIDTH and x > MARGIN:
            x, y = MARGIN, y + 14.0
        drawn.append(
            tag("path", class_="lm-line", d=f"M{x:g},{y - 3:g}h18", stroke_width=width,
                stroke_dasharray=dashes, stroke_linecap="round" if dashes[0] == "1" else "butt")
            + line_of_text(text, x + 22.0, y, class_="lm-ink", font_size=SMALL)
        )  # fmt: skip
        x += room
    return "".join(drawn), y + 10.0 if keys else y - 8.0


def _limit(bound: float, preferences: Preferences) -> str:
    return show_limit(bound, "length", preferences.wave)


def _distance(paper: Paper, preferences: Preferences, y: float) -> str:
    """Return the bar that shows a round distance, and where north is."""
    unit = preferences.distance
    longest = (WIDTH / 3) / paper.scale / LENGTH[unit]
    exponent = 10.0 ** math.floor(math.log10(longest))
    far = exponent * max(multiple for multiple in ROUND if multiple * exponent <= longest)
    wide = far * LENGTH[unit] * paper.scale
    bar = tag("path", class_="lm-line", d=f"M{MARGIN:g},{y - 4:g}v4h{wide:.1f}v-4", stroke_width=1)
    north = tag("path", class_="lm-ink", d=f"M{WIDTH - 12:g},{y - 13:g}l4,13-4-3-4,3Z")
    return "".join(
        [
            bar,
            line_of_text(f"{far:g} {unit}", MARGIN + wide + 5, y, class_="lm-ink", font_size=SMALL),
            north,
            line_of_text("N", WIDTH - 20, y, text_anchor="end", class_="lm-ink", font_size=SMALL),
        ]
    )

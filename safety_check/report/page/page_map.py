"""The map on the page: one drawing with a layer for each hour, and the paths of drift."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.model.advice import Drift
from safety_check.model.local_clock import LocalClock
from safety_check.model.verdict import Verdict
from safety_check.model.wave_map import MapGrid, WaveMap
from safety_check.report.map import lake_map
from safety_check.report.map.paper import paper_for, path, tag
from safety_check.report.map.scale import MARGIN, WIDTH
from safety_check.units import Preferences

HEAD, SPREAD = 6.0, 0.5  # of an arrow: its length, half its opening [rad]
WHO = {"craft": "drift of an unpowered craft", "swimmer": "drift of a swimmer"}
DASHES = {"craft": "none", "swimmer": "4 3"}


@dataclass(frozen=True)
class PageMap:
    """The map and its words.

    Parameters
    ----------
    svg
        All layers, one displayed.
    words
        Each layer in words, for readers who cannot see it.
    keys
        What each arrow of a drift means: its dashes, and its words.
    first, chosen
        Which of the verdict's hours around the trip the first layer and the displayed one
        belong to.
    """

    svg: str
    words: tuple[str, ...]
    keys: tuple[tuple[str, str], ...]
    first: int
    chosen: int


def draw_map(verdict: Verdict, maps: Sequence[WaveMap], preferences: Preferences) -> PageMap | None:
    """Return maps of a verdict's hours as one drawing, the highest waves of the trip displayed.

    Parameters
    ----------
    verdict
        The verdict whose hours the maps show.
    maps
        One for each hour; empty where the water has no shoreline, and then the map is None.
    preferences
        The units that the user reads in.
    """
    if not maps:
        return None
    times = [hour.time for hour in verdict.around or verdict.hours]
    trip = {hour.time for hour in verdict.hours}
    heights = [_height(lake) if lake.time in trip else -2.0 for lake in maps]
    chosen = int(np.argmax(heights))
    svg = lake_map.draw_wave_map(maps[chosen], preferences, maps, style=False)
    first = times.index(maps[0].time) if maps[0].time in times else 0
    drifts = _to_a_shore(verdict)
    clock = LocalClock.of(verdict.plan)
    arrows = "".join(_drift(drift, maps[0].grid) for drift in drifts)
    return PageMap(
        svg=svg.removesuffix("</svg>") + arrows + "</svg>",
        words=tuple(lake_map.describe_map(lake, preferences) for lake in maps),
        keys=tuple(_key(drift, clock) for drift in drifts),
        first=first,
        chosen=first + chosen,
    )


def _height(lake: WaveMap) -> float:
    highest = float(lake.height.max())
    return -1.0 if math.isnan(highest) else highest


def _to_a_shore(verdict: Verdict) -> list[Drift]:
    """Return the drifts of a craft or a swimmer that end at a shore."""
    drifts = verdict.advice.drifts if verdict.advice else ()
    return [drift for drift in drifts if np.isfinite([*drift.place, *drift.shore]).all()]


def _drift(drift: Drift, sheet: MapGrid) -> str:
    """Return a dark arrow with a light outline, so that it shows on any band."""
    paper = paper_for(sheet.rings, MARGIN, lake_map.TOP, WIDTH - 2 * MARGIN, lake_map.TALLEST)
    way = np.array([drift.place, drift.shore])
    start, end = paper.place(sheet.launches[0][1] + way)
    shaft, head = path(np.stack([start, end])), path(_arrow_head(start, end))
    dark: dict[str, str | float] = {"stroke": lake_map.INK, "stroke_width": 1.8}
    return tag(
        "g",
        tag("path", d=shaft + head, stroke=lake_map.CASING, stroke_width=4.0),
        tag("path", d=shaft, stroke_dasharray=DASHES[drift.what], **dark),
        tag("path", d=head, **dark),
        class_="drift",
        fill="none",
        stroke_linecap="round",
    )


def _key(drift: Drift, clock: LocalClock) -> tuple[str, str]:
    return DASHES[drift.what], f"{WHO[drift.what]} from {clock.time(drift.begins)}"


def _arrow_head(start: FloatArray, end: FloatArray) -> FloatArray:
    back = math.atan2(*(start - end)[::-1])
    sides = [
        end + HEAD * np.array([math.cos(angle), math.sin(angle)])
        for angle in (back - SPREAD, back + SPREAD)
    ]
    return np.array([sides[0], end, sides[1]])

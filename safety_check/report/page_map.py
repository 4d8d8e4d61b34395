"""The map on the page: one drawing with a layer for each hour, and where one drifts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from zoneinfo import ZoneInfo

import numpy as np

from safety_check import mapping
from safety_check.arrays import FloatArray
from safety_check.lake_map import LakeMap, Sheet
from safety_check.model.advice import Drift
from safety_check.model.verdict import Verdict
from safety_check.report import lake_map
from safety_check.report.paper import line_of_text, paper_for, path, tag
from safety_check.report.scale import MARGIN, SMALL, WIDTH
from safety_check.settings import Settings
from safety_check.units import Preferences

MOST_MAPS = 50  # about 8 kB each; of more hours those of the trip alone are drawn
HEAD, SPREAD = 6.0, 0.5  # of an arrow: its length, half its opening [rad]
WHO = {"craft": "adrift", "swimmer": "swimmer"}


@dataclass(frozen=True)
class Drawn:
    """The map and its words.

    Parameters
    ----------
    svg
        All layers, one displayed.
    words
        Each layer for who can't see it.
    first, chosen
        Which of the verdict's hours around the trip the first layer and the displayed one
        belong to.
    """

    svg: str
    words: tuple[str, ...]
    first: int
    chosen: int


def drawn(verdict: Verdict, settings: Settings) -> Drawn | None:
    """Return the map of a verdict's hours; None where the water has no shoreline."""
    hours = verdict.around if 0 < len(verdict.around) <= MOST_MAPS else verdict.hours
    maps = mapping.of_verdict(replace(verdict, hours=hours), settings)
    return _drawn(verdict, maps, settings.preferences) if maps else None


def _drawn(verdict: Verdict, maps: Sequence[LakeMap], preferences: Preferences) -> Drawn:
    """Return maps as one drawing, the highest waves of the trip displayed."""
    times = [each.time for each in verdict.around or verdict.hours]
    trip = {each.time for each in verdict.hours}
    heights = [_height(each) if each.time in trip else -2.0 for each in maps]
    chosen = int(np.argmax(heights))
    svg = lake_map.svg(maps[chosen], preferences, maps, style=False)
    first = times.index(maps[0].time) if maps[0].time in times else 0
    return Drawn(
        svg=svg.removesuffix("</svg>") + _drifts(verdict, maps[0].sheet) + "</svg>",
        words=tuple(lake_map.described(each, preferences) for each in maps),
        first=first,
        chosen=first + chosen,
    )


def _height(lake: LakeMap) -> float:
    highest = float(lake.height.max())
    return -1.0 if math.isnan(highest) else highest


def _drifts(verdict: Verdict, sheet: Sheet) -> str:
    """Return the ways on which the wind takes a craft and a swimmer to a shore."""
    told = verdict.advice.drifts if verdict.advice else ()
    zone = ZoneInfo(verdict.plan.water.time_zone)
    return "".join(_drift(each, sheet, f"{each.begins.astimezone(zone):%H:%M}") for each in told)


def _drift(drift: Drift, sheet: Sheet, clock: str) -> str:
    way = np.array([drift.place, drift.shore])
    if not np.isfinite(way).all():
        return ""
    paper = paper_for(sheet.rings, MARGIN, lake_map.TOP, WIDTH - 2 * MARGIN, lake_map.TALLEST)
    start, end = paper.place(sheet.launches[0][1] + way)
    shape = path(np.stack([start, end])) + path(_arrow_head(start, end))
    line = {"d": shape, "fill": "none", "stroke_linecap": "round"}
    x, y = ((start + end) / 2).tolist()
    left = bool(np.prod(end - start) > 0)  # below the way, on the side that it leaves free
    return tag(
        "g",
        tag("path", stroke=lake_map.CASING, stroke_width=4.0, **line),
        tag("path", stroke=lake_map.INK, stroke_width=1.8, **line),
        line_of_text(f"{WHO[drift.what]} from {clock}", x + (-3.0 if left else 3.0), y + 11.0,
                     text_anchor="end" if left else "start", fill=lake_map.INK,
                     stroke=lake_map.CASING, stroke_width=2.6, paint_order="stroke",
                     stroke_linejoin="round", font_size=SMALL, font_weight="600"),
        class_="drift",
    )  # fmt: skip


def _arrow_head(start: FloatArray, end: FloatArray) -> FloatArray:
    back = math.atan2(*(start - end)[::-1])
    sides = [
        end + HEAD * np.array([math.cos(angle), math.sin(angle)])
        for angle in (back - SPREAD, back + SPREAD)
    ]
    return np.array([sides[0], end, sides[1]])

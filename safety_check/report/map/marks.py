"""Marks on the water: launches, reach and route, the highest waves, drift, and the wind."""

from __future__ import annotations

import math

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.model.advice import Drift
from safety_check.model.wave_map import MapGrid, WaveMap
from safety_check.report.map.labels import CASING, INK, Labels, shorter
from safety_check.report.map.paper import Paper, path, tag
from safety_check.report.map.scale import WIDTH
from safety_check.units import Preferences, show

HEAD, SPREAD = 6.0, 0.5  # of an arrow: its length, half its opening [rad]
DASHES = {"craft": "none", "swimmer": "4 3"}
STRONG = 15.0  # m/s; the arrow of this wind has its full length, a storm's is no longer
SHORTEST, LONGEST = 12.0, 40.0  # of the wind's arrow


def draw_trip(sheet: MapGrid, paper: Paper, name: str) -> str:
    """Return the launches in the frame, and the route or the reach of the trip."""
    parts = []
    if sheet.reach is not None and sheet.launches:
        x, y = paper.place(sheet.launches[0][1])
        parts.append(
            tag("circle", cx=x, cy=y, r=sheet.reach * paper.scale, class_="lm-dots",
                stroke_width=1.4, clip_path=f"url(#{name}-water)")
        )  # fmt: skip
    if sheet.route is not None:
        way = path(paper.place(sheet.route))
        parts.append(tag("path", d=way, fill="none", stroke=CASING, stroke_width=4.4))
        parts.append(tag("path", d=way, class_="lm-dots", stroke_width=2.6))
    for launch, at in reversed(sheet.launches):
        placed = paper.place(at)
        if paper.holds(placed):
            x, y = placed.tolist()
            own = launch == sheet.launches[0][0]
            kind = "lm-own" if own else "lm-launch"
            parts.append(tag("circle", cx=x, cy=y, r=5.0 if own else 3.2, class_=kind))
    return "".join(parts)


def name_launches(sheet: MapGrid, labels: Labels) -> str:
    """Return the names of the launches in the frame, that of the trip first."""
    inside = [
        (launch, place)
        for launch, place in ((launch, labels.paper.place(at)) for launch, at in sheet.launches)
        if labels.paper.holds(place)
    ]
    for _, place in inside:
        labels.mark(place, 5.0)
    return "".join(labels.beside(shorter(launch.name), place) for launch, place in inside)


def draw_worst(lake: WaveMap, labels: Labels, preferences: Preferences) -> str:
    """Return the mark of the highest waves where the trip may be, and their height."""
    height = float(lake.height[lake.worst])
    at = labels.paper.place(lake.grid.whole.points[lake.worst])
    if not height > 0 or not labels.paper.holds(at):
        return ""
    x, y = at.tolist()
    labels.mark(at, 6.0)
    said = show(height, "length", preferences.wave)
    clear = labels.copy()
    for drift in lake.drifts:
        way = drift_on_paper(drift, lake.grid, labels.paper)
        if way is not None:
            clear.line(*way)
    for room in (clear, labels):
        named = room.beside(f"highest {said}", at) or room.beside(said, at)
        if named:
            break
    labels.taken = list(dict.fromkeys([*clear.taken, *labels.taken]))
    return diamond(x, y) + named


def diamond(x: float, y: float) -> str:
    """Return the mark of the highest waves."""
    return tag("path", class_="lm-worst", d=f"M{x:.1f},{y - 6:.1f}l6,6-6,6-6-6Z") + tag(
        "circle", cx=x, cy=y, r=1.6, fill=INK
    )


# -- adrift ----------------------------------------------------------------------------------


def draw_drift(drift: Drift, sheet: MapGrid, paper: Paper) -> str:
    """Return the arrow of a drift, dark with a light outline; empty where it is not known.

    A drift that leaves the map ends at its edge. One too short for an arrow is a dot.
    """
    way = drift_on_paper(drift, sheet, paper)
    if way is None:
        return ""
    start, end = way
    x, y = start.tolist()
    dot = tag("circle", cx=x, cy=y, r=2.6, fill=INK, stroke=CASING, stroke_width=1.2)
    if math.dist(start, end) < HEAD:
        return tag("g", dot, class_="drift")
    head, shaft = path(arrow_head(start, end)), path(np.stack([start, end]))
    return tag(
        "g",
        tag("path", d=shaft + head, class_="lm-below"),
        tag("path", d=shaft, stroke_dasharray=DASHES[drift.what], class_="lm-drift"),
        tag("path", d=head, class_="lm-drift"),
        dot,
        class_="drift",
    )


def drift_on_paper(
    drift: Drift, sheet: MapGrid, paper: Paper
) -> tuple[FloatArray, FloatArray] | None:
    """Return where a drift begins and ends; None where that is not known, or off the map."""
    if not np.isfinite([*drift.place, *drift.ends]).all() or not sheet.launches:
        return None
    way = np.array([drift.place, drift.ends])
    start, end = paper.place(sheet.launches[0][1] + way)
    return (start, _cut(start, end, paper)) if paper.holds(start) else None


def _cut(start: FloatArray, end: FloatArray, paper: Paper) -> FloatArray:
    """Return the end of a line, or where it leaves the map."""
    lowest = np.array([paper.left, paper.top]) + 3.0
    highest = lowest + np.array([paper.width, paper.height]) - 6.0
    way = end - start
    share = 1.0
    for step, here, low, high in zip(way, start, lowest, highest, strict=True):
        bound = high if step > 0 else low
        if step:
            share = min(share, max(float((bound - here) / step), 0.0))
    return start + share * way


def arrow_head(start: FloatArray, end: FloatArray) -> FloatArray:
    """Return the three points of an arrow's head."""
    back = math.atan2(*(start - end)[::-1])
    sides = [
        end + HEAD * np.array([math.cos(angle), math.sin(angle)])
        for angle in (back - SPREAD, back + SPREAD)
    ]
    return np.array([sides[0], end, sides[1]])


# -- wind ------------------------------------------------------------------------------------


def draw_wind(lake: WaveMap) -> str:
    """Return an arrow in the direction in which the wind blows, longer in more wind."""
    if not lake.wind_speed > 0 or not math.isfinite(lake.wind_from_direction):
        return ""
    towards = (lake.wind_from_direction + 180) % 360
    share = min(lake.wind_speed / STRONG, 1.0)
    half = (SHORTEST + share * (LONGEST - SHORTEST)) / 2
    turned = f"translate({WIDTH - 26:g},23) rotate({towards:.0f})"
    shape = f"M0,{-half:.1f}l7,11-5.3-1.6V{half:.1f}h-3.4V{9.4 - half:.1f}l-5.3,1.6Z"
    return tag("path", class_="lm-ink", d=shape, transform=turned)

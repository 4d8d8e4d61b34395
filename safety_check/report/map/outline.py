"""The outline of a water as a small drawing, to point out a ramp on."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.report.map.paper import line_of_text, path, tag
from safety_check.units import LENGTH, Preferences

SIDE = 320.0  # units; one is a pixel where it is drawn smallest
Place = tuple[float, float]
INK, WATER, LAND, SHORE, PIN = "#12171c", "#cfe5f1", "#f5f2ea", "#22506e", "#d55e00"
STEPS = (1.0, 2.0, 5.0)
LONGEST_BAR = 0.35  # of the side


@dataclass(frozen=True)
class OutlineMarks:
    """What is marked on an outline, each from the upper left corner in shares of the side.

    Parameters
    ----------
    launches
        Name and place of the launches that the water has.
    numbered
        Places to choose from, numbered from 1 in this order.
    pin
        Where the ramp is to be; None where no place is chosen.
    """

    launches: tuple[tuple[str, Place], ...] = ()
    numbered: tuple[Place, ...] = ()
    pin: Place | None = None


def draw_outline(
    rings: Sequence[FloatArray],
    marks: OutlineMarks,
    span: float,
    preferences: Preferences,
) -> str:
    """Return a square drawing, north up.

    Parameters
    ----------
    rings
        Closed, each (vertex, 2), from the upper left corner in shares of the side.
    marks
        What is marked.
    span
        How long the side is. [m]
    preferences
        The units of the scale.
    """
    shore = "".join(path(ring[:-1] * SIDE, closed=True) for ring in rings)
    return tag(
        "svg",
        tag("rect", width=SIDE, height=SIDE, fill=LAND),
        tag("path", d=shore, fill=WATER, fill_rule="evenodd", stroke=SHORE, stroke_width=1.2),
        *(_number(number, at) for number, at in enumerate(marks.numbered, 1)),
        *(_launch(name, at) for name, at in marks.launches),
        "" if marks.pin is None else _pin(marks.pin),
        _bar(span, preferences.distance, preferences.small_distance),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {SIDE:g} {SIDE:g}",
        width=SIDE,
        height=SIDE,
        font_family="system-ui, sans-serif",
    )


def _launch(name: str, at: Place) -> str:
    x, y = at[0] * SIDE, at[1] * SIDE
    if not (0 <= x <= SIDE and 0 <= y <= SIDE):
        return ""
    left = x > SIDE / 2
    anchor, beside = ("end", x - 7) if left else ("start", x + 7)
    label = line_of_text(name, beside, y + 4, 24, font_size=12, text_anchor=anchor)
    around = tag("g", label, stroke=LAND, stroke_width=3)
    return tag("g", tag("circle", cx=x, cy=y, r=4), around, label, fill=INK)


def _number(number: int, at: Place) -> str:
    x, y = at[0] * SIDE, at[1] * SIDE
    text = line_of_text(f"{number}", x, y + 4, font_size=11, text_anchor="middle", fill=INK)
    return tag("circle", cx=x, cy=y, r=8, fill=LAND, stroke=SHORE, stroke_width=1.2) + text


def _pin(at: Place) -> str:
    x, y = np.clip(np.array(at), 0, 1).tolist()
    place = f"translate({x * SIDE:.1f} {y * SIDE:.1f})"
    drop = "M0,0L-9,-17A10,10 0 1 1 9,-17Z"
    return tag(
        "g",
        tag("path", d=drop, fill=PIN, stroke=INK, stroke_width=1.5),
        tag("circle", cx=0, cy=-21, r=3.5, fill="#ffffff", stroke=INK, stroke_width=1.2),
        transform=place,
    )


def _bar(span: float, far: str, near: str) -> str:
    """Return a scale bar of a round length in the unit that gives the shorter number."""
    unit = far if span * LONGEST_BAR >= LENGTH[far] else near
    most = span * LONGEST_BAR / LENGTH[unit]
    power = 10.0 ** math.floor(math.log10(most))
    length = max(step * power for step in STEPS if step * power <= most)
    wide = length * LENGTH[unit] / span * SIDE
    bar = f"M10,{SIDE - 10:g}v-5m0,5h{wide:.1f}v-5"
    return tag(
        "g",
        tag("path", d=bar, fill="none", stroke=LAND, stroke_width=5),
        tag("path", d=bar, fill="none", stroke=INK, stroke_width=2),
        line_of_text(f"{length:g} {unit}, north is up", 10, SIDE - 20, font_size=12, fill=INK),
    )

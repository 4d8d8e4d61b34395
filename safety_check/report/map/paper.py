"""Coordinates of a map: convert metres to the paper, and text and shapes to SVG."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from html import escape

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.model.clean_text import clean_text
from safety_check.model.place import Frame

WIDE = 0.56  # average width of a letter, as a share of its font size
BEYOND = 8.0  # units of the paper; a shore is drawn on so far outside the frame
HALF_A_PIXEL = 0.5 / 720  # of the width, where the map is drawn 720 pixels wide


@dataclass(frozen=True)
class Paper:
    """The position and scale of a water on the paper.

    Parameters
    ----------
    west, north
        The corner of the water that lies at `left` and `top`. [m]
    scale
        Units of the paper to a metre.
    left, top, width, height
        The part of the paper that the water fills.
    """

    west: float
    north: float
    scale: float
    left: float
    top: float
    width: float
    height: float

    def place(self, points: FloatArray) -> FloatArray:
        """Return the paper coordinates of points (point, 2) in metres east and north."""
        east, north = points[..., 0], points[..., 1]
        return np.stack(
            [
                self.left + (east - self.west) * self.scale,
                self.top + (self.north - north) * self.scale,
            ],
            axis=-1,
        )

    def holds(self, at: FloatArray) -> bool:
        """Whether a place of the paper lies in the part that is shown."""
        x, y = float(at[0]) - self.left, float(at[1]) - self.top
        return 0 <= x <= self.width and 0 <= y <= self.height


def paper_for(frame: Frame, left: float, top: float, widest: float, tallest: float) -> Paper:
    """Return the paper on which a frame is as large as the room for it allows."""
    across, up = frame.east - frame.west, frame.north - frame.south
    scale = min(widest / max(across, 1e-9), tallest / max(up, 1e-9))
    width, height = across * scale, up * scale
    return Paper(frame.west, frame.north, scale, left + (widest - width) / 2, top, width, height)


def fit(
    rings: Sequence[FloatArray], left: float, top: float, widest: float, tallest: float
) -> Paper:
    """Return the paper on which a water is as large as the room for it allows, at its left."""
    corners = np.concatenate(rings)
    frame = Frame(*corners.min(axis=0).tolist(), *corners.max(axis=0).tolist())
    return replace(paper_for(frame, left, top, widest, tallest), left=left)


def shore_path(rings: Sequence[FloatArray], paper: Paper, wide: float) -> str:
    """Return the shore as path data: what the paper shows, to half a pixel.

    Each ring is cut to a little more than the paper, so that what an odd number of rings enclose
    still is water, and the cut lies outside the frame.
    """
    import shapely  # only where a map is drawn

    tolerance = HALF_A_PIXEL * wide / paper.scale
    beyond = BEYOND / paper.scale
    east = paper.west + paper.width / paper.scale + beyond
    south = paper.north - paper.height / paper.scale - beyond
    box = paper.west - beyond, south, east, paper.north + beyond
    lines = []
    for ring in rings:
        if _inside(ring, box):
            lines.append(shapely.LinearRing(ring))
            continue
        area = shapely.make_valid(shapely.Polygon(ring))
        for part in shapely.get_parts(shapely.clip_by_rect(area, *box)):
            lines += [part.exterior, *part.interiors] if part.geom_type == "Polygon" else []
    drawn = [shapely.get_coordinates(shapely.simplify(line, tolerance))[:-1] for line in lines]
    return "".join(path(paper.place(line), closed=True) for line in drawn)


def _inside(ring: FloatArray, box: tuple[float, float, float, float]) -> bool:
    lowest, highest = ring.min(axis=0), ring.max(axis=0)
    return bool((lowest >= box[:2]).all() and (highest <= box[2:]).all())


def path(points: FloatArray, closed: bool = False) -> str:
    """Return places on the paper as path data, to a tenth of a unit, each from the one before.

    Examples
    --------
    >>> path(np.array([[1.0, 2.0], [3.04, 2.0], [2.9, 1.5]]), closed=True)
    'M1,2l2,0-.1-.5Z'
    """
    tenths = np.rint(points * 10).astype(np.int64)
    steps = np.diff(tenths, axis=0)
    steps = steps[steps.any(axis=1)]
    start = ",".join(_tenths(coordinate) for coordinate in tenths[0].tolist())
    pairs = (f"{_tenths(x)},{_tenths(y)}".replace(",-", "-") for x, y in steps.tolist())
    way = " ".join(pairs).replace(" -", "-")
    return f"M{start}{'l' if way else ''}{way}{'Z' if closed else ''}"


def _tenths(value: int) -> str:
    """Return tenths as a number, as short as it goes: -5 is "-.5"."""
    whole, rest = divmod(abs(value), 10)
    sign = "-" if value < 0 else ""
    if not rest:
        return f"{sign}{whole}"
    return f"{sign}{whole or ''}.{rest}"


def number(value: float) -> str:
    """Return a number to a tenth, as short as it goes.

    Examples
    --------
    >>> number(12.04), number(-0.04), number(3.25)
    ('12', '0', '3.2')
    """
    return f"{round(value, 1) + 0.0:g}"


def tag(kind: str, *content: str, **attributes: str | float) -> str:
    """Return an element; attributes are escaped, content is SVG already.

    A trailing underscore of a name is dropped; one inside it becomes a hyphen.

    Examples
    --------
    >>> tag("text", words("a < b"), font_size=11, class_='"x"')
    '<text font-size="11" class="&quot;x&quot;">a &lt; b</text>'
    """
    said = "".join(
        f' {name.rstrip("_").replace("_", "-")}="{_attribute(value)}"'
        for name, value in attributes.items()
    )
    return f"<{kind}{said}>{''.join(content)}</{kind}>" if content else f"<{kind}{said}/>"


def _attribute(value: str | float) -> str:
    return escape(value) if isinstance(value, str) else number(value)


def words(text: str, limit: int = 4000) -> str:
    """Return any text as text of an SVG: cleaned, cut and escaped."""
    return escape(clean_text(text, limit))


def line_of_text(text: str, x: float, y: float, limit: int = 80, **attributes: str | float) -> str:
    """Return a line of text at a place."""
    return tag("text", words(text, limit), x=x, y=y, **attributes)


def lines_of_text(
    texts: Iterable[str], x: float, y: float, wide: float, size: float, **attributes: str | float
) -> tuple[str, float]:
    """Return texts broken into lines of a column's width, and the position of the next line."""
    letters = int(wide / (WIDE * size))
    broken = [line for text in texts for line in textwrap.wrap(clean_text(text, 600), letters)]
    drawn = [
        line_of_text(line, x, y + 1.35 * size * at, 2 * letters, font_size=size, **attributes)
        for at, line in enumerate(broken)
    ]
    return "".join(drawn), y + 1.35 * size * len(broken)

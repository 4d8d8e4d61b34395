"""Text on the water: where it has room, so that no label crosses another or the frame."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.report.map.paper import Paper, line_of_text

LETTER = 13.8  # the greatest size of a letter in units of the paper: 13 pixels on the least phone
WIDE = 0.62  # of a bold letter, as a share of its size
HIGH = 8.5  # half of a line
STEP = 8.0  # along a line, between the squares that labels leave free
GAP = 7.0  # from a mark to its label
LONGEST = 18  # characters of a name on the map; words beside it have the whole name
INK, CASING = "#12171c", "#fff"  # of what stands on the water, whose colours no scheme changes
Box = tuple[float, float, float, float]


@dataclass
class Labels:
    """The places that are taken on a map.

    Parameters
    ----------
    paper
        Its bounds hold every label.
    taken
        Left, top, right and bottom of what labels must leave free.
    """

    paper: Paper
    taken: list[Box] = field(default_factory=list)

    def copy(self) -> Labels:
        """Return the same places, to which others may be added."""
        return Labels(self.paper, list(self.taken))

    def mark(self, at: FloatArray, radius: float) -> None:
        """Keep a mark free of labels."""
        x, y = at.tolist()
        self.taken.append((x - radius, y - radius, x + radius, y + radius))

    def line(self, start: FloatArray, end: FloatArray) -> None:
        """Keep a line free of labels."""
        far = float(np.hypot(*(end - start)))
        for share in np.arange(0.0, 1.0, STEP / max(far, STEP)):
            self.mark(start + share * (end - start), 2.0)

    def beside(self, text: str, at: FloatArray) -> str:
        """Return a label to the right, left, above or below of a mark; empty without room."""
        half = _width(text) / 2
        for up in (0.0, -11.0, 11.0):
            for side, anchor in ((1, "start"), (-1, "end")):
                label = self._tried(text, at + np.array([side * (GAP + half), up]), anchor)
                if label:
                    return label
        return self.at_one_of(text, [at + np.array([0.0, up]) for up in (-17.0, 17.0)])

    def at_one_of(self, text: str, places: Iterable[FloatArray]) -> str:
        """Return a label with its middle at the first place with room; empty without one."""
        return next(filter(None, (self._tried(text, place) for place in places)), "")

    def _tried(self, text: str, middle: FloatArray, anchor: str = "middle") -> str:
        box = room(middle, text)
        if not self._inside(box) or any(_overlap(box, other) for other in self.taken):
            return ""
        self.taken.append(box)
        x = {"start": box[0] + 2, "middle": float(middle[0]), "end": box[2] - 2}[anchor]
        return on_water(text, x, float(middle[1]) + 4.6, anchor)

    def _inside(self, box: Box) -> bool:
        paper = self.paper
        across = paper.left <= box[0] and box[2] <= paper.left + paper.width
        return across and paper.top <= box[1] and box[3] <= paper.top + paper.height


def room(at: FloatArray, text: str) -> Box:
    """Return the space that a text takes whose middle lies at a place."""
    x, y = at.tolist()
    half = _width(text) / 2
    return x - half, y - HIGH, x + half, y + HIGH


def shorter(name: str) -> str:
    """Return a name as it fits on a map.

    Examples
    --------
    >>> shorter("mill slip"), shorter("the old ferry landing")
    ('mill slip', 'the old ferry lan…')
    """
    return name if len(name) <= LONGEST else f"{name[: LONGEST - 1]}…"


def on_water(text: str, x: float, y: float, anchor: str = "middle") -> str:
    """Return text that can be read on any band of colour, and on land too."""
    return line_of_text(text, x, y, 40, class_="lm-t lm-on", text_anchor=anchor)


def spread(places: Sequence[FloatArray]) -> list[FloatArray]:
    """Return places in an order in which the first few are far apart: middle, quarters, eighths.

    Examples
    --------
    >>> [int(place[0]) for place in spread([np.array([n]) for n in range(5)])]
    [2, 1, 3, 0, 4]
    """
    count, order, step = len(places), [], len(places)
    while step >= 1:
        order += list(range(step // 2, count, step))
        step //= 2
    return [places[at] for at in dict.fromkeys([*order, *range(count)])]


def _width(text: str) -> float:
    return WIDE * LETTER * len(text) + 4.0


def _overlap(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]

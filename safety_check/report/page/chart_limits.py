"""The labels of the limits in a panel: beside their lines, and never crossed by any line."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from safety_check.report.page.chart_paper import ASCENT, DESCENT, LETTER, Box, Mark, Paper
from safety_check.report.page.chart_parts import Bar

SHORT_CAUSES = {"the wind blows off the shore": "offshore wind", "far from shore": "far out"}
GAP, HALF = 2.5, 1.0  # to a line; half a line's width
MOST_ROWS = 6


@dataclass(frozen=True)
class LimitStep:
    """A stretch over which a limit stays the same.

    Parameters
    ----------
    span
        Where it lies.
    no_go, caution
        The height of each bound on the paper and its label; None where that level is never
        reached.
    causes
        In words, what lowers it.
    since
        The time of its first hour and a space; empty where it holds for all hours.
    """

    span: Bar
    no_go: tuple[float, str] | None
    caution: tuple[float, str] | None
    causes: tuple[str, ...]
    since: str

    @property
    def cause(self) -> str:
        """The causes in as few letters as a label has room for."""
        return "".join(f", {SHORT_CAUSES.get(cause, cause)}" for cause in self.causes)

    def text(self) -> str:
        """Return it as one line, for where no place beside its line is free."""
        labels = ", ".join(bound[1] for bound in (self.caution, self.no_go) if bound)
        return f"{self.since}{labels}{self.cause}"


def place_labels(
    steps: Iterable[LimitStep], taken: Sequence[Box], room: Box, paper: Paper
) -> tuple[tuple[Mark, ...], list[str]]:
    """Return a label for each bound of each step, and the steps that found no free place.

    Parameters
    ----------
    steps
        In order.
    taken
        The room of the curves, limits and edges.
    room
        Where labels may stand.
    paper
        The drawing.
    """
    marks: list[Mark] = []
    homeless = []
    for step in steps:
        used = [*taken, *(mark.box(paper) for mark in marks)]
        placed = _place_step(step, used, room, paper)
        if placed is None:
            homeless.append(step.text())
        else:
            marks += placed
    return tuple(marks), homeless


def _place_step(
    step: LimitStep, taken: Sequence[Box], room: Box, paper: Paper
) -> list[Mark] | None:
    """Return the labels of a step in the first arrangement that has room; None where none has."""
    for wanted in _arrangements(step):
        found: list[Mark] = []
        for label in wanted:
            used = [*taken, *(mark.box(paper) for mark in found)]
            mark = _place(label, step.span, used, room, paper)
            if mark is None:
                break
            found.append(mark)
        if len(found) == len(wanted):
            return found
    return None


@dataclass(frozen=True)
class Label:
    """A text, the height of its line, and whether it stands above that line if it can."""

    text: str
    y: float
    above: bool


def _arrangements(step: LimitStep) -> Iterator[list[Label]]:
    """Yield ways to label a step.

    The causes belong to one of the labels; both bounds can share one at the no-go line.
    """
    no_go, caution, cause = step.no_go, step.caution, step.cause
    if no_go and caution:
        (high, over), (low, under) = no_go, caution
        yield [Label(over + cause, high, True), Label(under, low, False)]
        yield [Label(over, high, True), Label(under + cause, low, False)]
        yield [Label(f"{under}, {over}{cause}", high, True)]
    elif no_go or caution:
        y, text = no_go or caution or (math.nan, "")
        yield [Label(text + cause, y, True)]


def _place(label: Label, span: Bar, taken: Sequence[Box], room: Box, paper: Paper) -> Mark | None:
    """Return the first free place above or below a line."""
    last = span.x + span.width - paper.text_width(label.text) - GAP
    high = label.y - GAP - paper.font * DESCENT
    low = label.y + GAP + paper.font * ASCENT
    for baseline in (high, low) if label.above else (low, high):
        row = Mark(span.x, round(baseline, 1), label.text, "start").box(paper)
        if room.y <= row.y and row.y + row.height <= room.y + room.height:
            x = _free_from(replace(row, x=span.x + GAP), last, taken)
            if x is not None:
                return Mark(round(x, 1), round(baseline, 1), label.text, "start")
    return None


def _free_from(box: Box, last: float, taken: Sequence[Box]) -> float | None:
    """Return the first place to the right, up to the last one, where a box meets no other."""
    beside = [other for other in taken if replace(box, x=other.x).meets(other)]
    while box.x <= last:
        met = [other.x + other.width for other in beside if box.meets(other)]
        if not met:
            return box.x
        box = replace(box, x=max(met) + GAP)
    return None


def rows_of(homeless: Sequence[str], paper: Paper) -> list[str]:
    """Return steps that found no place as lines of text, as many as fit above a panel."""
    letters = int(paper.plot / (LETTER * paper.font))
    rows = [row for text in homeless for row in textwrap.wrap(text, letters)]
    return rows if len(rows) <= MOST_ROWS else ["Limits change often: listed below."]


def boxes_along(spans: Sequence[Bar], heights: Sequence[float]) -> Iterator[Box]:
    """Yield the room of a line of steps; hours without a height have none."""
    for span, y in zip(spans, heights, strict=True):
        if math.isfinite(y):
            yield Box(span.x, y - HALF, span.width, 2 * HALF)
    for (_, y), (span, after) in pairwise(zip(spans, heights, strict=True)):
        if math.isfinite(y + after):
            yield Box(span.x - HALF, min(y, after), 2 * HALF, abs(after - y))


def boxes_between(
    spans: Sequence[Bar], low: Sequence[float], high: Sequence[float]
) -> Iterator[Box]:
    """Yield the room between two lines of steps."""
    for span, bottom, top in zip(spans, low, high, strict=True):
        if math.isfinite(bottom + top):
            yield Box(span.x, top, span.width, bottom - top)


def grid_path(heights: Iterable[float], labels: Sequence[Box], paper: Paper) -> str:
    """Return horizontal lines that leave out the labels."""
    path = ""
    for y in heights:
        crossed = sorted(
            (box.x - 1, box.x + box.width + 1) for box in labels if box.y < y < box.y + box.height
        )
        x = paper.left
        for start, end in crossed:
            path += f"M{x:g} {y:g}H{round(start, 1):g}" if start > x else ""
            x = max(x, round(end, 1))
        if x < paper.width - paper.right:
            path += f"M{x:g} {y:g}H{paper.width - paper.right:g}"
    return path

"""Parts of the chart of the hours: paper, time axis, bars and words."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from safety_check.model.verdict import Severity

WIDTH = 336.0  # the width available on a phone of 360 px, so that one unit is one pixel there
LEFT, RIGHT = 30.0, 4.0  # for the figures of the scale; for the last line's width
PANEL, ODDS, GAP = 62.0, 34.0, 24.0  # the panels, and the line of words above each
TOP = 80.0  # of the first panel: trip, verdict and light stand above
HOUR = timedelta(hours=1)


@dataclass(frozen=True)
class Mark:
    """A word or figure at a place; `anchor` as SVG has it."""

    x: float
    y: float
    text: str
    anchor: str = "middle"


@dataclass(frozen=True)
class Bar:
    """A span of the time axis with its label."""

    x: float
    width: float
    text: str = ""
    level: str = ""
    shape: bool = False

    @property
    def middle(self) -> float:
        """The horizontal position of its word or shape."""
        return round(self.x + self.width / 2, 1)


@dataclass(frozen=True)
class Block:
    """The share of the forecasts at one severity in one hour."""

    x: float
    y: float
    width: float
    height: float
    level: str


@dataclass(frozen=True)
class Panel:
    """One quantity over the hours.

    Parameters
    ----------
    title
        Quantity and unit.
    top, bottom
        Where it begins and ends on the paper.
    ticks
        The figures of its scale.
    spread, middle
        Paths: the area between the low and the high end of the forecasts; their median.
    caution, no_go
        Paths of the bounds that held.
    marks
        The labels of the bounds.
    unknown
        Stretches where nothing is known.
    """

    title: str
    top: float
    bottom: float
    ticks: tuple[Mark, ...]
    spread: str
    middle: str
    caution: str
    no_go: str
    marks: tuple[Mark, ...]
    unknown: tuple[Bar, ...]


@dataclass(frozen=True)
class Chart:
    """The whole drawing; stretches and places in its own units, tide and current also in words."""

    width: float
    height: float
    left: float
    right: float
    bottom: float
    trip: Bar
    trip_mark: Mark
    levels: tuple[Bar, ...]
    windows: tuple[Bar, ...]
    dark: tuple[Bar, ...]
    light: tuple[Bar, ...]
    panels: tuple[Panel, ...]
    odds_top: float
    odds: tuple[Block, ...]
    clock: tuple[Mark, ...]
    hours: tuple[Bar, ...]
    flow: str = ""


@dataclass(frozen=True)
class Axis:
    """Converts an instant to a horizontal position on the paper."""

    start: datetime
    end: datetime

    def at(self, moment: datetime) -> float:
        """Return the horizontal position of an instant; one beyond the axis is moved to its end."""
        share = (moment - self.start) / (self.end - self.start)
        return round(LEFT + min(max(share, 0.0), 1.0) * (WIDTH - LEFT - RIGHT), 1)

    def bar(self, start: datetime, end: datetime, text: str = "", level: str = "") -> Bar:
        """Return the stretch from one instant to another."""
        x = self.at(start)
        return Bar(x, round(self.at(end) - x, 1), text, level)


def key(severity: Severity) -> str:
    """Return the name of a severity in the style sheet and the shapes."""
    return str(severity).casefold()

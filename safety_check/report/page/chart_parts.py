"""Parts of the chart of the hours: time axis, bars, panels, rows."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from safety_check.model.verdict import Severity
from safety_check.report.page.chart_paper import Box, Mark, Paper

HOUR = timedelta(hours=1)


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

    def named(self, paper: Paper, *texts: str) -> Bar:
        """Return it with the first of some texts that has room in it, or with none."""
        room = self.width - 4
        fit = (text for text in texts if paper.text_width(text) <= room)
        return replace(self, text=next(fit, ""))


@dataclass(frozen=True)
class Titled:
    """A part of the drawing with a title, and with a value that follows the chosen hour.

    Parameters
    ----------
    title, at, values
        Quantity and unit; where the chosen hour's value stands; each hour's value in words.
    """

    title: Mark
    at: Mark
    values: tuple[str, ...]


@dataclass(frozen=True)
class Panel(Titled):
    """One quantity over the hours.

    Parameters
    ----------
    top, bottom
        Where it begins and ends on the paper.
    ticks, grid
        The figures of its scale; the path of its grid, which leaves out every label.
    spread, middle
        Paths: the area between the low and the high end of the forecasts; their median.
    caution, no_go
        Paths of the bounds that held.
    marks, steps
        The labels of the bounds beside their lines, and above the panel where no place is free.
    unknown
        Stretches where nothing is known.
    taken
        The room that curves, bounds and edges take.
    """

    top: float
    bottom: float
    ticks: tuple[Mark, ...]
    grid: str
    spread: str
    middle: str
    caution: str = ""
    no_go: str = ""
    marks: tuple[Mark, ...] = ()
    steps: tuple[Mark, ...] = ()
    unknown: tuple[Bar, ...] = ()
    taken: tuple[Box, ...] = ()


@dataclass(frozen=True)
class Band:
    """A row of the drawing: where it begins, and its stretches."""

    top: float
    height: float
    bars: tuple[Bar, ...]


@dataclass(frozen=True)
class Block(Box):
    """The share of the forecasts at one severity in one hour."""

    level: str


@dataclass(frozen=True)
class Odds(Titled):
    """The share of the forecasts at each severity."""

    top: float
    bottom: float
    blocks: tuple[Block, ...]


@dataclass(frozen=True)
class Head:
    """The rows above the panels.

    Parameters
    ----------
    at, said
        Where the chosen hour is named; each hour's name and verdict.
    trip, trip_mark, trip_top
        The planned trip, its name, and where its edges begin.
    levels, windows, light
        Each run of hours at one severity; the best windows; daylight.
    dark
        Each stretch without daylight, in the row of the daylight.
    """

    at: Mark
    said: tuple[str, ...]
    trip: Bar
    trip_mark: Mark
    trip_top: float
    levels: Band
    windows: Band
    light: Band
    dark: tuple[Bar, ...]


@dataclass(frozen=True)
class Foot:
    """The time axis: a path of small lines, the hours of the day, and the days."""

    ticks: str
    clock: tuple[Mark, ...]
    days: Band


@dataclass(frozen=True)
class Chart:
    """The whole drawing; stretches and places in its own units, tide and current also in words.

    Parameters
    ----------
    paper
        Its sizes.
    head, panels, odds, foot
        From above to below.
    edges, midnights
        Where the trip begins and ends, and where a day begins.
    hours, chosen
        The stretch of each hour; the one that is marked at first.
    flow
        Tide and current in words.
    """

    paper: Paper
    head: Head
    panels: tuple[Panel, ...]
    odds: Odds
    foot: Foot
    edges: tuple[float, float]
    midnights: tuple[float, ...]
    hours: tuple[Bar, ...]
    chosen: int
    flow: str = ""

    @property
    def height(self) -> float:
        """The height of the whole drawing."""
        return round(self.foot.days.top + self.foot.days.height + 1, 1)


@dataclass(frozen=True)
class Axis:
    """Converts an instant to a horizontal position on the paper."""

    start: datetime
    end: datetime
    paper: Paper

    @property
    def hours(self) -> float:
        """How many hours it has."""
        return (self.end - self.start) / HOUR

    def at(self, moment: datetime) -> float:
        """Return the horizontal position of an instant; one beyond the axis is moved to its end."""
        share = (moment - self.start) / (self.end - self.start)
        return round(self.paper.left + min(max(share, 0.0), 1.0) * self.paper.plot, 1)

    def bar(self, start: datetime, end: datetime, text: str = "", level: str = "") -> Bar:
        """Return the stretch from one instant to another."""
        x = self.at(start)
        return Bar(x, round(self.at(end) - x, 1), text, level)


def key(severity: Severity) -> str:
    """Return the name of a severity in the style sheet and the shapes."""
    return str(severity).casefold()

"""Parts of the chart of the hours: papers, time axis, boxes, bars and words."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from safety_check.model.verdict import Severity

HOUR = timedelta(hours=1)
CAPITAL, LETTER, THIN = 0.74, 0.63, 0.4  # widths in a wide font, DejaVu Sans [em]
NARROW_LETTERS, BOLD = " .,:-'ijl", 1.1  # bold is that much wider
ASCENT, DESCENT = 0.78, 0.24  # of a line of text above and below where it stands [em]


@dataclass(frozen=True)
class Paper:
    """The sizes of one drawing, in units that are about a pixel each where it is shown.

    Parameters
    ----------
    name
        Its class in the style sheet, which chooses the drawing by the room there is.
    width, font
        Of the whole drawing; of its text.
    panel, least, odds
        The height of a panel, of one among many, and of the odds.
    left, right
        Free at the sides: for the figures of the scale, and for the last line's width.
    titles
        Where titles and values stand: "above" each panel, or "beside" it.
    """

    name: str
    width: float
    font: float
    panel: float
    least: float
    odds: float
    left: float = 32.0
    right: float = 3.0
    titles: str = "above"

    @property
    def gap(self) -> float:
        """The height between two panels, without the lines of words there."""
        return 11.0 if self.titles == "above" else 12.0  # for figures of two scales

    @property
    def overshoot(self) -> float:
        """How far a figure of a scale may reach above its panel."""
        return 6.0 if self.titles == "above" else 2.5

    @property
    def line(self) -> float:
        """The height of a line of text."""
        return round(self.font * 1.3, 1)

    @property
    def plot(self) -> float:
        """The width of the time axis."""
        return self.width - self.left - self.right

    def text_width(self, text: str, bold: bool = False) -> float:
        """Return how much room a text takes at most, in the fonts that a page may get."""
        thin = sum(letter in NARROW_LETTERS for letter in text)
        capital = sum(letter.isupper() for letter in text)
        wide = THIN * thin + CAPITAL * capital + LETTER * (len(text) - thin - capital)
        return wide * self.font * (BOLD if bold else 1.0)


# A phone held upright; a tablet or a column beside others; a phone on its side.
PAPERS = (
    Paper("slim", 316.0, 13.4, 84.0, 70.0, 40.0),
    Paper("broad", 560.0, 13.2, 84.0, 64.0, 40.0),
    Paper("flat", 720.0, 15.0, 50.0, 38.0, 30.0, left=156.0, titles="beside"),
)


@dataclass(frozen=True)
class Box:
    """A rectangle on the paper."""

    x: float
    y: float
    width: float
    height: float

    def meets(self, other: Box) -> bool:
        """Return whether two boxes share some room."""
        return (
            self.x < other.x + other.width
            and other.x < self.x + self.width
            and self.y < other.y + other.height
            and other.y < self.y + self.height
        )


@dataclass(frozen=True)
class Mark:
    """A word or figure at a place; `anchor` as SVG has it."""

    x: float
    y: float
    text: str
    anchor: str = "middle"

    def box(self, paper: Paper, bold: bool = False) -> Box:
        """Return the room that it takes."""
        width = paper.text_width(self.text, bold)
        before = {"start": 0.0, "middle": width / 2, "end": width}[self.anchor]
        height = paper.font * (ASCENT + DESCENT)
        return Box(self.x - before, self.y - paper.font * ASCENT, width, height)

    def moved_within(self, paper: Paper, bold: bool = False) -> Mark:
        """Return a word in the middle of its place, moved so that it stays on the paper."""
        half = paper.text_width(self.text, bold) / 2
        return replace(self, x=round(min(max(self.x, half), paper.width - half), 1))


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

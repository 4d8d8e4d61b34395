"""The papers of the chart of the hours, and the room that a word takes on them."""

from __future__ import annotations

from dataclasses import dataclass, replace

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

"""Lines of text for a terminal: sections, items and tables, at most 80 columns wide."""

from __future__ import annotations

import os
import shutil
import sys
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass, field

from safety_check.model.clean_text import remove_invisible
from safety_check.model.verdict import Severity

WIDTH = 80
NARROWEST = 10  # the narrowest width of a column that may wrap
GAP = "  "
SWATCH = {  # of the 256 colours of xterm the one nearest to that of the page (its base.css)
    str(Severity.GO): 36,
    str(Severity.MARGINAL): 227,
    str(Severity.UNKNOWN): 74,
    str(Severity.NO_GO): 166,
}


@dataclass(frozen=True)
class Column:
    """A column of a table: its title, whether it is aligned right, and whether it may wrap."""

    title: str
    right: bool = False
    wraps: bool = False


@dataclass
class Layout:
    """Text that grows line by line; terminal commands in it are removed.

    Parameters
    ----------
    width
        Columns at most.
    colour
        Whether verdicts and headings are marked for a terminal: both bold, and a verdict has a
        block of its colour before it. The word itself stays in the reader's own colour, and alone
        carries the meaning.
    """

    width: int = WIDTH
    colour: bool = False
    lines: list[str] = field(default_factory=list)

    @classmethod
    def for_stdout(cls) -> Layout:
        """Return a layout that suits standard output."""
        plain = "NO_COLOR" in os.environ or os.environ.get("TERM") == "dumb"
        colour = not plain and ("FORCE_COLOR" in os.environ or sys.stdout.isatty())
        return cls(terminal_width(), colour)

    @property
    def text(self) -> str:
        """All lines."""
        return "\n".join(self.lines)

    def paragraph(self, text: str, indent: str = "") -> None:
        """Add text, wrapped; a verdict at its start has its colour before it."""
        starts = (level for level in SWATCH if text.startswith((level + ":", level + ",")))
        word = next(starts, "") if self.colour and not indent else ""
        if not word:
            self.lines += self._wrapped(text, indent, indent) or [""]
            return
        first, *rest = self._wrapped(text, "  ", "")
        self.lines += [f"{_swatch(word)} {self._bold(word)}{first[len(word) + 2 :]}", *rest]

    def line(self, text: str) -> None:
        """Add a line as it is, however long."""
        self.lines.append(remove_invisible(text))

    def section(self, title: str) -> None:
        """Add an empty line and a heading."""
        self.lines += ["", self._bold(remove_invisible(title))]

    def item(self, text: str) -> None:
        """Add a paragraph of a list."""
        self.lines += self._wrapped(text, " - ", "   ")

    def reason(self, severity: Severity, text: str) -> None:
        """Add a paragraph of a list with a verdict before it."""
        head = f" {severity!s:8} "
        first, *rest = self._wrapped(text, head, " " * len(head))
        marked = self._before(" ", str(severity)) + self._bold(str(severity))
        self.lines += [marked + first[1 + len(str(severity)) :], *rest]

    def fits(self, columns: Sequence[Column], rows: Sequence[Sequence[str]]) -> bool:
        """Return whether a table fits without wrapping a line."""
        cells = zip([column.title for column in columns], *rows, strict=True)
        widths = [max(map(len, column)) for column in cells]
        return 1 + sum(widths) + len(GAP) * (len(columns) - 1) <= self.width

    def table(self, columns: Sequence[Column], rows: Sequence[Sequence[str]]) -> None:
        """Add a table, its columns as wide as they need to be; a verdict has its colour before it.

        Where it is wider than the terminal even so, each row becomes an item of a list.
        """
        titles = [column.title for column in columns]
        rows = [[remove_invisible(cell) for cell in cells] for cells in rows]
        widths = self._widths(columns, [titles, *rows])
        if sum(widths) > self._room(columns):
            return self._list(titles, rows)
        for cells in [titles, *rows]:
            wrapped = [
                textwrap.wrap(cell, width) or [""]
                for cell, width in zip(cells, widths, strict=True)
            ]
            for at in range(max(map(len, wrapped))):
                parts = [lines[at] if at < len(lines) else "" for lines in wrapped]
                self.lines.append(self._row(columns, parts, widths))

    def tight_table(self, columns: Sequence[Column], rows: Sequence[Sequence[str]]) -> None:
        """Add a table of many short columns, one blank apart."""
        cells = [[column.title for column in columns], *rows]
        widths = [max(map(len, column)) for column in zip(*cells, strict=True)]
        for parts in cells:
            aligned = [
                part.rjust(width) if column.right else part.ljust(width)
                for column, part, width in zip(columns, parts, widths, strict=True)
            ]
            self.lines.append((" " + " ".join(aligned)).rstrip())

    def _widths(self, columns: Sequence[Column], rows: Sequence[Sequence[str]]) -> list[int]:
        widths = [max(map(len, cells)) for cells in zip(*rows, strict=True)]
        wrapping = [at for at, column in enumerate(columns) if column.wraps]
        words = [" ".join(cells).split() for cells in zip(*rows, strict=True)]
        least = [max(NARROWEST, *map(len, column)) for column in words]
        while sum(widths) > self._room(columns):
            wide = [at for at in wrapping if widths[at] > least[at]]
            if not wide:
                break
            widths[max(wide, key=lambda at: widths[at])] -= 1
        return widths

    def _room(self, columns: Sequence[Column]) -> int:
        return self.width - 1 - len(GAP) * (len(columns) - 1)

    def _list(self, titles: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
        """Add the rows as a list; what is empty is left out."""
        for first, *others in rows:
            told = zip(titles[1:], others, strict=True)
            said = "; ".join(f"{title} {cell}" for title, cell in told if cell not in ("", "-"))
            self.item(f"{first}: {said}" if said else first)

    def _row(self, columns: Sequence[Column], parts: Sequence[str], widths: Sequence[int]) -> str:
        line = ""
        for column, part, width in zip(columns, parts, widths, strict=True):
            gap, spare = (GAP if line else " "), " " * (width - len(part))
            cell = self._bold(part) if part in SWATCH else part
            before = self._before(gap, part)
            line += f"{before}{spare}{cell}" if column.right else f"{before}{cell}{spare}"
        return line.rstrip()

    def _wrapped(self, text: str, first: str, later: str) -> list[str]:
        return textwrap.wrap(
            remove_invisible(text),
            self.width,
            initial_indent=first,
            subsequent_indent=later,
            break_on_hyphens=False,
        )

    def _before(self, gap: str, text: str) -> str:
        """Return the gap before a text; its last column in the colour of a verdict."""
        return gap[:-1] + _swatch(text) if self.colour and text in SWATCH else gap

    def _bold(self, text: str) -> str:
        return f"\x1b[1m{text}\x1b[0m" if self.colour and text else text


def _swatch(level: str) -> str:
    """Return one column in the colour of a verdict (ECMA-48, and the 256 colours of xterm)."""
    return f"\x1b[48;5;{SWATCH[level]}m \x1b[0m"


def terminal_width() -> int:
    """Return how many columns a text on standard output may take."""
    return min(WIDTH, shutil.get_terminal_size((WIDTH, 24)).columns)

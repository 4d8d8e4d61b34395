"""What the command line prints: no terminal commands, and only what the terminal can show.

Names, notes and warnings come from files, services and arguments. So the streams themselves
remove what is not text; the program's own marks are printed by `print_marked` only.
"""

from __future__ import annotations

import re
import sys
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TextIO

from safety_check.model.clean_text import remove_invisible

LONGEST_WORD = 300  # characters; no real name or path is longer
ALIKE = {
    "–": "-",
    "—": "-",
    "−": "-",
    "‑": "-",
    "…": "...",
    "≤": "<=",
    "≥": ">=",
    "×": "x",
    "·": ".",
    "→": "->",
    "↑": "^",
    "↓": "v",
    "’": "'",
    "‘": "'",
    "“": "'",  # a double quote could end a string of JSON
    "”": "'",
    "°": "deg ",
    "©": "(c)",
    "█": "#",
}


class PrintedText:
    """A text stream that cleans what is written to it.

    Parameters
    ----------
    terminal
        The stream that it writes to.
    """

    errors = "replace"

    def __init__(self, terminal: TextIO) -> None:
        self.terminal = terminal

    @property
    def encoding(self) -> str:
        """The encoding of the terminal."""
        return self.terminal.encoding or "utf-8"

    def write(self, text: str) -> int:
        """Write a text without what is invisible or can't be encoded; return its length."""
        if not isinstance(text, str):
            raise TypeError(f"a text stream can't write {type(text).__name__}")
        self.terminal.write(encodable(remove_invisible(text), self.encoding))
        return len(text)

    def writelines(self, lines: list[str]) -> None:
        """Write several texts."""
        for line in lines:
            self.write(line)

    def flush(self) -> None:
        """Send what has been written."""
        self.terminal.flush()

    def isatty(self) -> bool:
        """Return whether the stream is a terminal."""
        return self.terminal.isatty()

    def fileno(self) -> int:
        """Return the number of the open file."""
        return self.terminal.fileno()

    def writable(self) -> bool:
        """Return True."""
        return True

    def readable(self) -> bool:
        """Return False."""
        return False

    @property
    def closed(self) -> bool:
        """Whether the terminal is closed."""
        return self.terminal.closed


def encodable(text: str, encoding: str) -> str:
    """Return a text in which letters that an encoding lacks are replaced by similar ones.

    Examples
    --------
    >>> encodable("≤ 12 mph, Île – 東", "ascii")
    '<= 12 mph, Ile - ?'
    """
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        return "".join(_shown(letter, encoding) for letter in text)
    except LookupError:
        return encodable(text, "ascii")
    return text


def _shown(letter: str, encoding: str) -> str:
    plain = ALIKE.get(letter) or unicodedata.normalize("NFKD", letter)
    for candidate in (letter, plain, plain[:1]):
        if candidate.encode(encoding, "ignore").decode(encoding) == candidate:
            return candidate
    return "?"


@contextmanager
def safe_streams() -> Iterator[None]:
    """Clean everything printed in the `with` statement, on both streams."""
    before = sys.stdout, sys.stderr
    sys.stdout, sys.stderr = (
        stream if stream is None or isinstance(stream, PrintedText) else _cleaned(stream)
        for stream in before
    )
    try:
        yield
    finally:
        sys.stdout, sys.stderr = before


def _cleaned(stream: TextIO) -> TextIO:
    cleaned: TextIO = PrintedText(stream)  # type: ignore[assignment]  # all that print needs
    return cleaned


def print_marked(text: str) -> None:
    """Print a text with the program's own marks: colours of a layout, or the bell.

    Its words must be clean already; `Layout` cleans its text.
    """
    terminal = getattr(sys.stdout, "terminal", sys.stdout)
    terminal.write(encodable(text, terminal.encoding or "utf-8") + "\n")
    terminal.flush()


def shortened(text: str) -> str:
    """Return an error in which very long words are cut, such as a number of 400 digits.

    Examples
    --------
    >>> shortened("reach " + "9" * 400 + " mi").replace("9" * 60, "(60)")
    'reach (60)… mi'
    """
    return re.sub(rf"\S{{{LONGEST_WORD},}}", lambda found: found[0][:60] + "…", text)


def written(path: Path, replaced: bool) -> str:
    """Return the sentence on a file that was written.

    Examples
    --------
    >>> written(Path("orvel.html"), replaced=True)
    'Wrote orvel.html, in place of the file that was there.'
    """
    return f"Wrote {path}{', in place of the file that was there' if replaced else ''}."

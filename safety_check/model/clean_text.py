"""Remove from a service's text what is not text: terminal commands and invisible characters."""

from __future__ import annotations

import re
import unicodedata

# Terminal sequences of ECMA-48: CSI, the string commands (OSC, DCS, PM, APC, SOS), the rest.
_SEQUENCES = re.compile(
    r"(?:\x1b\[|\x9b)[0-?]*[ -/]*[@-~]?"
    r"|(?:\x1b[\]P^_X]|[\x90\x98\x9d-\x9f])[^\x07\x1b\x9c]*(?:\x07|\x1b\\|\x9c)"
    r"|\x1b[ -/]*[0-~]?"
)
_BREAKS = re.compile(r"\r\n?|[\n\x0b\x0c\x85\u2028\u2029]")
# Control, format (also what changes the writing direction), surrogate, private,
# unassigned.
_INVISIBLE = {"Cc", "Cf", "Cs", "Co", "Cn"}


def clean_text(text: str, limit: int = 4000, *, lines: bool = False) -> str:
    r"""Return a service's text made safe to print, and shortened.

    Parameters
    ----------
    text
        As received.
    limit
        The greatest number of characters; a shortened text ends in "…".
    lines
        Whether line breaks stay; otherwise all white space becomes single spaces.

    Examples
    --------
    >>> clean_text("Gale\x1b[2J\x1b]0;title\x07 \u202ewarning\n until noon")
    'Gale warning until noon'
    >>> clean_text("a\r\nb", lines=True)
    'a\nb'
    >>> clean_text("storm warning", limit=6)
    'storm…'
    """
    visible = remove_invisible(text[: 8 * limit])
    tidy = visible.strip() if lines else " ".join(visible.split())
    return tidy if len(tidy) <= limit else tidy[: limit - 1].rstrip() + "…"


def remove_invisible(text: str) -> str:
    r"""Return a text without terminal commands and invisible characters; line breaks stay.

    Examples
    --------
    >>> remove_invisible("Orvel\x1b[2J \u202eLake\t1\r\n")
    'Orvel Lake 1\n'
    """
    if text.isascii() and text.replace("\n", "").isprintable():
        return text
    text = _BREAKS.sub("\n", _SEQUENCES.sub("", text)).replace("\t", " ")
    return "".join(
        letter
        for letter in text
        if letter == "\n" or unicodedata.category(letter) not in _INVISIBLE
    )


def visible(value: object) -> object:
    """Return a template's value; a plain text without invisible characters.

    Markup and numbers stay as they are: markup is made of clean parts, and a number is harmless.
    """
    return remove_invisible(value) if type(value) is str else value

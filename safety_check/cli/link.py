"""Print the link of the live page: as text, as a QR code, and how to recognise its certificate."""

from __future__ import annotations

import os
import sys
import textwrap
from collections.abc import Iterator
from itertools import zip_longest
from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from safety_check.web.encryption import Encryption
    from safety_check.web.server import Address

WIDTH = 78
QUIET = 4  # modules of white around the code, as ISO/IEC 18004 asks for
BLOCKS = {(0, 0): " ", (0, 1): "▄", (1, 0): "▀", (1, 1): "█"}  # upper and lower module; 1 is light
BLACK_AND_WHITE, PLAIN = "\x1b[38;5;231;48;5;16m", "\x1b[0m"  # whatever the terminal's colours are
HOW_TO_COMPARE = (
    "Your browser will warn that it does not know this certificate, because this computer made"
    " it. Before you go on, look at the certificate there: tap the warning or the sign beside the"
    " address, then Details or Certificate. Its SHA-256 fingerprint must be:"
)
OTHERWISE = "If it differs, another device answers in place of this computer: do not go on."


def print_link(at: Address, qr: bool) -> None:
    """Print where the page is, and how to know that it is this one.

    Parameters
    ----------
    at
        Its address.
    qr
        Whether to print a QR code too, where standard output is a terminal that can show it.
    """
    from safety_check.cli.printed import print_marked

    typer.echo(f"Open {at.link}")
    if qr and sys.stdout.isatty() and shows_blocks(sys.stdout.encoding or ""):
        for line in qr_lines(at.link, colour="NO_COLOR" not in os.environ):
            print_marked(line)
    if at.encryption:
        typer.echo("\n".join(certificate_lines(at.encryption)))


def certificate_lines(encryption: Encryption) -> Iterator[str]:
    """Yield the fingerprint, and how to compare it."""
    if not encryption.self_made:
        yield "SHA-256 fingerprint of the certificate:"
        yield from (f"  {line}" for line in encryption.fingerprint_lines)
        return
    if encryption.why_new:
        yield from textwrap.wrap(f"The certificate is new: {encryption.why_new}.", WIDTH)
    yield from textwrap.wrap(HOW_TO_COMPARE, WIDTH)
    yield from (f"  {line}" for line in encryption.fingerprint_lines)
    yield from textwrap.wrap(OTHERWISE, WIDTH)


def shows_blocks(encoding: str) -> bool:
    """Return whether an encoding has the characters that a code is drawn with.

    Examples
    --------
    >>> shows_blocks("utf-8"), shows_blocks("ascii")
    (True, False)
    """
    try:
        "".join(BLOCKS.values()).encode(encoding)
    except (UnicodeEncodeError, LookupError):
        return False
    return True


def qr_lines(link: str, colour: bool) -> Iterator[str]:
    """Yield the lines of a QR code, two rows of modules in each.

    Parameters
    ----------
    link
        What it says.
    colour
        Whether to set black and white; else the terminal's own colours are used, which must be
        light on dark.
    """
    import segno

    rows = [
        [1 - bool(module) for module in row]
        for row in segno.make_qr(link, error="l").matrix_iter(border=QUIET)
    ]
    light = [1] * len(rows[0])
    for upper, lower in zip_longest(rows[::2], rows[1::2], fillvalue=light):
        line = "".join(BLOCKS[pair] for pair in zip(upper, lower, strict=True))
        yield f"{BLACK_AND_WHITE}{line}{PLAIN}" if colour else line

"""Suggest a known name for one that is not known."""

from __future__ import annotations

from collections.abc import Iterable


def suggest_spelling(name: str, known: Iterable[str]) -> str:
    """Return " Did you mean …?" for the nearest known name, or nothing.

    Examples
    --------
    >>> suggest_spelling("kayk", ["canoe", "Kayak"])
    " Did you mean 'Kayak'?"
    """
    from difflib import get_close_matches

    folded = {candidate.casefold(): candidate for candidate in known}
    close = get_close_matches(name.casefold(), folded, n=1, cutoff=0.5)
    return f" Did you mean {folded[close[0]]!r}?" if close else ""

"""Lists in answers: the readable entries, and how many could not be read."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any, Protocol, Self, TypeVar, runtime_checkable

from safety_check.errors import DataError

Entry = TypeVar("Entry")


@runtime_checkable
class Counted(Protocol):
    """A parsed answer that counts the entries which cannot be read."""

    @property
    def unreadable(self) -> int:
        """How many entries can't be read."""


class Listing(tuple[Entry, ...]):
    """The readable entries of a list; `unreadable` counts the others.

    An entry that cannot be read may be the station that matters. So where one is counted, the list
    does not show that a station is absent.
    """

    unreadable: int

    def __new__(cls, entries: Iterable[Entry] = (), unreadable: int = 0) -> Self:
        """Return the entries with the number of those that can't be read."""
        listing = super().__new__(cls, entries)
        listing.unreadable = unreadable
        return listing


def read_list(
    raw: Sequence[Any], read_entry: Callable[[Any], Entry | None], source: str, what: str
) -> Listing[Entry]:
    """Return the readable entries of a list.

    Parameters
    ----------
    raw
        The list as received.
    read_entry
        Returns an entry, or None where it can't be read.
    source, what
        The title of the source and what the list contains, for the error.

    Raises
    ------
    DataError
        Where the list has entries and none of them can be read.
    """
    entries = [entry for entry in map(read_entry, raw) if entry is not None]
    if raw and not entries:
        raise DataError(
            f"{source}: none of the {len(raw)} {what} in its answer can be read, so their form"
            " has changed. The answer can't be used. Use another source."
        )
    return Listing(entries, len(raw) - len(entries))


def require_entries(listing: Listing[Entry], source: str, what: str) -> Listing[Entry]:
    """Return a listing, or raise DataError where it is empty but should never be."""
    if not listing:
        raise DataError(
            f"{source}: its list of {what} is empty, which a complete answer never is. The answer"
            " can't be used. Try again later, or use another source."
        )
    return listing

"""An open history file: reading, writing, closing it, and keeping note of damage."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any, TypeVar

from safety_check.errors import DataError
from safety_check.store.intact import damaged_rows
from safety_check.store.rows import as_text
from safety_check.store.schema import NAME, PATIENCE, note_damage, opened, transaction, trouble_with

SPOILED = (DataError, ValueError, TypeError, ArithmeticError, LookupError, AttributeError, OSError)
Row = TypeVar("Row")
Own = TypeVar("Own", bound="StoreFile")


class StoreFile:
    """The history file; several processes may open and write it.

    Use it in a `with` statement, so that it is closed. A method that returns has
    written to the disk.

    Parameters
    ----------
    path, connection
        See `open`.
    set_aside
        Where a damaged file was moved on opening; None where there was none. Tell the user.

    Attributes
    ----------
    unreadable
        How many rows could not be read so far; they were left out. Tell the user.

    Raises
    ------
    DataError
        From `open` and every method, where the file cannot be used.
    """

    def __init__(
        self, path: Path, connection: sqlite3.Connection, set_aside: Path | None = None
    ) -> None:
        self.path = path
        self.set_aside = set_aside
        self.unreadable = 0
        self._connection = connection

    @classmethod
    def open(cls: type[Own], folder: Path, patience: float = PATIENCE) -> Own:
        """Open the history in a folder (`Folders.data`); create it where there is none.

        Parameters
        ----------
        folder
            The folder of the user's data.
        patience
            How long another process may lock the file before this fails. [s]
        """
        path = folder / NAME
        return cls(path, *opened(path, patience))

    def close(self) -> None:
        """Close the file."""
        self._connection.close()

    def __enter__(self: Own) -> Own:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def damage_since(self, since: datetime, now: datetime) -> tuple[str, ...]:
        """Return what was found damaged now, or at a time since then.

        Parameters
        ----------
        since
            Damage found before that is too old to matter.
        now
            The time that is remembered with what is found now.
        """
        with self._reading() as connection:
            note_damage(connection, damaged_rows(connection), as_text(now))
            found = connection.execute(
                "SELECT what FROM damage WHERE found >= ? ORDER BY what", (as_text(since),)
            ).fetchall()
        return tuple(str(what) for (what,) in found)

    def _readable(self, convert: Callable[[Any], Row], rows: Iterable[Any]) -> Iterator[Row]:
        """Return rows converted; those that can't be are left out and counted."""
        for row in rows:
            try:
                yield convert(row)
            except SPOILED:
                self.unreadable += 1

    @contextmanager
    def _reading(self) -> Iterator[sqlite3.Connection]:
        try:
            yield self._connection
        except sqlite3.Error as trouble:
            raise trouble_with(self.path, trouble) from trouble

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        with self._reading() as connection, transaction(connection):
            yield connection


def may_hold(folder: Path) -> bool:
    """Return whether a folder holds a history, or cannot be searched for one."""
    try:
        return (folder / NAME).exists()
    except OSError:
        return True

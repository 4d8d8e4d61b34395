"""The saved answers of the services, so that a failure finds the last answer with its age.

No error here ends a check: a cache that cannot be read or written counts as empty, and a damaged
file is renamed.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TypeVar

from safety_check.settings.private_files import make_file

FILE = "answers-1.sqlite"  # the number changes with the columns of the table
LONGEST_STORAGE = timedelta(days=400)  # longer than the greatest max_age of any source
_TABLE = """
CREATE TABLE IF NOT EXISTS answer (
    url TEXT PRIMARY KEY, body BLOB NOT NULL, fetched REAL NOT NULL, fresh_until REAL NOT NULL,
    etag TEXT NOT NULL, last_modified TEXT NOT NULL
)
"""
Result = TypeVar("Result")


@dataclass(frozen=True)
class Saved:
    """One answer.

    Parameters
    ----------
    body
        As received.
    fetched
        When it was received, or last confirmed by the service.
    fresh_until
        Until when it need not be requested again.
    etag, last_modified
        Validators for the next request; empty where the service sent none.
    """

    body: bytes
    fetched: datetime
    fresh_until: datetime
    etag: str = ""
    last_modified: str = ""


class AnswerCache:
    """Answers by URL, in one file, written together when the cache is closed.

    Each write waits for the disk, so writing every answer by itself would hold up the others.

    Parameters
    ----------
    folder
        Where the file is; None to save nothing.
    now
        The clock, used to delete answers that are far too old.
    """

    def __init__(self, folder: Path | None, now: datetime) -> None:
        self._file = folder / FILE if folder else None
        self._base: sqlite3.Connection | None = None
        self._oldest = (now - LONGEST_STORAGE).timestamp()
        self._new: dict[str, Saved] = {}

    def last(self, url: str) -> Saved | None:
        """Return the last good answer, or None."""
        if url in self._new:
            return self._new[url]

        def look(base: sqlite3.Connection) -> Saved | None:
            row = base.execute("SELECT * FROM answer WHERE url = ?", (url,)).fetchone()
            return _saved(*row[1:]) if row else None

        return self._guarded(look)

    def store(self, url: str, answer: Saved) -> None:
        """Save an answer in place of the last one, where there is a file to save it in."""
        if self._file is not None:
            self._new[url] = answer

    def close(self) -> None:
        """Write the new answers, and close the file."""
        if self._new:
            self._guarded(self._write)
        self._disconnect()

    def _write(self, base: sqlite3.Connection) -> None:
        """Write the new answers in one transaction."""
        base.execute("BEGIN IMMEDIATE")
        base.executemany(
            "REPLACE INTO answer VALUES (?,?,?,?,?,?)",
            [_row(url, answer) for url, answer in self._new.items()],
        )
        base.execute("COMMIT")
        self._new.clear()

    def _guarded(self, act: Callable[[sqlite3.Connection], Result]) -> Result | None:
        """Return the result of an action, or None where the file can't be used."""
        for _ in range(2):
            try:
                base = self._open()
                return None if base is None else act(base)
            except (sqlite3.OperationalError, OSError):
                return None  # locked, full or read-only: the file itself may be undamaged
            except (sqlite3.DatabaseError, ValueError, TypeError, OverflowError):
                self._set_aside()
        return None

    def _open(self) -> sqlite3.Connection | None:
        if self._base is None and self._file is not None:
            make_file(self._file)
            self._base = sqlite3.connect(self._file, timeout=0.2, isolation_level=None)
            self._base.execute(_TABLE)
            self._base.execute("DELETE FROM answer WHERE fetched < ?", (self._oldest,))
        return self._base

    def _disconnect(self) -> None:
        base, self._base = self._base, None
        if base is not None:
            base.close()

    def _set_aside(self) -> None:
        self._disconnect()
        if self._file is None:
            return
        with suppress(OSError):
            self._file.replace(self._file.with_suffix(".damaged"))
            return
        self._file = None


def _row(url: str, answer: Saved) -> tuple[str, bytes, float, float, str, str]:
    times = answer.fetched.timestamp(), answer.fresh_until.timestamp()
    return url, answer.body, *times, answer.etag, answer.last_modified


def _saved(body: bytes, fetched: float, fresh_until: float, etag: str, changed: str) -> Saved:
    received, fresh = (
        datetime.fromtimestamp(float(seconds), UTC) for seconds in (fetched, fresh_until)
    )
    return Saved(bytes(body), received, fresh, str(etag), str(changed))

"""Keep the pace that a service asks for, across all runs of this program on this machine."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from safety_check.settings.private_files import make_file

FILE = "pace-1.sqlite"  # the number is that of the table's form
LONGEST_QUEUE = 60.0  # s; a later turn was reserved by a clock that has been set back since
_TABLE = "CREATE TABLE IF NOT EXISTS turn (host TEXT PRIMARY KEY, next REAL NOT NULL)"
_NEXT = "SELECT next FROM turn WHERE host = ?"


class Pace:
    """Turns at services that limit requests; each run of the program reserves its own.

    Parameters
    ----------
    folder
        Where the turns are stored; None where nothing is.
    """

    def __init__(self, folder: Path | None) -> None:
        self._file = folder / FILE if folder else None

    def reserve(self, host: str, pause: float, now: float) -> float:
        """Return how long to wait for a turn that nobody else has [s].

        Parameters
        ----------
        host
            Of the service.
        pause
            The least time from one turn to the next; 0 where the service asks for none. [s]
        now
            Seconds since the epoch.

        Notes
        -----
        Where the turns can't be stored, the whole pause is waited each time, so that at least
        this run keeps the pace.
        """
        if not pause:
            return 0.0
        try:
            return self._turn(host, pause, now) - now
        except (sqlite3.Error, OSError):
            return pause

    def _turn(self, host: str, pause: float, now: float) -> float:
        if self._file is None:
            raise OSError("there is no folder to store the turns in")
        make_file(self._file)
        base = sqlite3.connect(self._file, timeout=5.0, isolation_level=None)
        try:
            base.execute(_TABLE)
            base.execute("BEGIN IMMEDIATE")  # no other run reads until this one has written
            row = base.execute(_NEXT, (host,)).fetchone()
            free = float(row[0]) if row else now
            turn = free if now < free < now + LONGEST_QUEUE else now
            base.execute("REPLACE INTO turn VALUES (?, ?)", (host, turn + pause))
            base.execute("COMMIT")
            return turn
        finally:
            base.close()

"""The history file: its tables, their migration, and what happens to a damaged file.

A check that is reported as saved is on the disk: every change is one synchronised transaction.
"""

from __future__ import annotations

import contextlib
import os
import sqlite3
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

from safety_check.errors import DataError
from safety_check.settings.private_files import make_file

NAME = "history.sqlite3"
TABLES = ("checks", "observations", "trips", "digests", "damage")
PATIENCE = 20.0  # s; how long another process may lock the file
SHORT_PATIENCE = 0.8  # s; where someone waits for a verdict, which needs no history

MIGRATIONS = (
    """
    CREATE TABLE checks (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        at TEXT NOT NULL,
        name TEXT NOT NULL COLLATE NOCASE,
        water TEXT NOT NULL,
        launch TEXT NOT NULL,
        time_zone TEXT NOT NULL,
        craft TEXT NOT NULL,
        start TEXT NOT NULL,
        "end" TEXT NOT NULL,
        severity INTEGER NOT NULL,
        because TEXT NOT NULL,
        program TEXT NOT NULL,
        archive BLOB NOT NULL,
        said BLOB
    );
    CREATE INDEX checks_by_water ON checks (water, at);
    CREATE TABLE observations (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        water TEXT NOT NULL,
        launch TEXT NOT NULL,
        quantity TEXT NOT NULL,
        time TEXT NOT NULL,
        station TEXT NOT NULL,
        value REAL,
        distance REAL,
        flagged INTEGER NOT NULL,
        archive BLOB NOT NULL,
        UNIQUE (water, launch, quantity, time, station)
    );
    CREATE TABLE trips (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        logged TEXT NOT NULL,
        start TEXT NOT NULL,
        water TEXT NOT NULL,
        launch TEXT NOT NULL,
        time_zone TEXT NOT NULL,
        craft TEXT NOT NULL,
        went INTEGER NOT NULL,
        wind_speed REAL,
        wind_speed_of_gust REAL,
        wave_height REAL,
        beaufort INTEGER,
        comfort INTEGER,
        notes TEXT NOT NULL,
        "check" INTEGER REFERENCES checks (id)
    );
    """,
    """
    ALTER TABLE trips ADD COLUMN wind_speed_least REAL;
    ALTER TABLE trips ADD COLUMN wind_speed_of_gust_least REAL;
    ALTER TABLE trips ADD COLUMN wave_height_least REAL;
    ALTER TABLE trips ADD COLUMN water_temperature REAL;
    """,
    """
    CREATE TABLE digests (
        kind TEXT NOT NULL,
        id INTEGER NOT NULL,
        digest TEXT NOT NULL,
        PRIMARY KEY (kind, id)
    ) WITHOUT ROWID;
    CREATE TABLE damage (
        what TEXT NOT NULL PRIMARY KEY,
        found TEXT NOT NULL
    );
    """,
    """
    ALTER TABLE trips ADD COLUMN wind_from_direction REAL;
    ALTER TABLE trips ADD COLUMN track TEXT NOT NULL DEFAULT ''
    """,
    """
    CREATE TABLE air_days (
        place TEXT NOT NULL,
        day TEXT NOT NULL,
        air_temperature REAL NOT NULL,
        ahead REAL NOT NULL,
        lasting INTEGER NOT NULL,
        PRIMARY KEY (place, day)
    ) WITHOUT ROWID
    """,
    """
    CREATE TABLE air_origins (
        place TEXT NOT NULL,
        source TEXT NOT NULL,
        archive BLOB NOT NULL,
        PRIMARY KEY (place, source)
    ) WITHOUT ROWID
    """,
    """
    ALTER TABLE trips ADD COLUMN ended TEXT
    """,
)
"""Each raises the version by one; new ones are added at the end, none is ever changed."""


def opened(path: Path, patience: float = PATIENCE) -> tuple[sqlite3.Connection, Path | None]:
    """Return an open, current history file, and where a damaged one was set aside.

    Parameters
    ----------
    path
        The file; it is created where there is none.
    patience
        How long another process may lock it. [s]

    Raises
    ------
    DataError
        Where the folder cannot be written, or a newer program wrote the file.
    """
    try:
        make_file(path)
        try:
            return _sound(path, patience), None
        except sqlite3.DatabaseError as trouble:
            if _sound_but_unusable(trouble):
                raise
        aside = _set_aside(path)
        fresh = _sound(path, patience)
        note_damage(fresh, [aside.name], datetime.now(UTC).isoformat(timespec="microseconds"))
        return fresh, aside
    except (OSError, sqlite3.Error) as trouble:
        if _only_readable(path):
            return _opened_to_read(path), None
        raise trouble_with(path, trouble) from trouble


def _only_readable(path: Path) -> bool:
    """Return whether the file may be read and not written, and no other process writes it."""
    writable = os.access(path, os.W_OK) and os.access(path.parent, os.W_OK)
    log = Path(f"{path}-wal")
    with contextlib.suppress(OSError):
        being_written = log.exists() and log.stat().st_size > 0
        return os.access(path, os.R_OK) and not writable and not being_written
    return False


def _opened_to_read(path: Path) -> sqlite3.Connection:
    """Return a connection that reads a file which can't be written."""
    try:
        address = f"{path.absolute().as_uri()}?mode=ro&immutable=1"
        connection = sqlite3.connect(address, uri=True, isolation_level=None)
        connection.text_factory = _text
        _require_whole(connection)
    except sqlite3.Error as trouble:
        raise trouble_with(path, trouble) from trouble
    return connection


def _require_whole(connection: sqlite3.Connection) -> None:
    """Raise where the file is damaged or lacks a table."""
    verdict = connection.execute("PRAGMA quick_check(1)").fetchone()[0]
    if verdict != "ok":
        raise sqlite3.DatabaseError(verdict)
    for table in TABLES:
        connection.execute(f"SELECT 1 FROM {table} LIMIT 1")


def _sound_but_unusable(trouble: sqlite3.DatabaseError) -> bool:
    """Return whether the file is locked, full or read-only, which does not mean damage."""
    statement_failed = (
        getattr(trouble, "sqlite_errorcode", None) == sqlite3.SQLITE_ERROR
    )  # a table is gone
    return isinstance(trouble, sqlite3.OperationalError) and not statement_failed


def note_damage(connection: sqlite3.Connection, what: list[str], found: str) -> None:
    """Record what was found damaged, and when it was first found."""
    if not what:
        return
    with transaction(connection):
        connection.executemany(
            "INSERT OR IGNORE INTO damage VALUES (?, ?)", [(table, found) for table in what]
        )


def trouble_with(path: Path, trouble: Exception) -> DataError:
    """Return the error that describes a problem with the file."""
    return DataError(
        f"{path.name}: the history cannot be used ({trouble}). Free some space, correct the"
        f" permissions of {path.parent}, end the other process that uses it, or move the file"
        " elsewhere to start a new history."
    )


@contextlib.contextmanager
def transaction(connection: sqlite3.Connection) -> Iterator[None]:
    """Make a change completely or not at all, with no other process writing."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
    except BaseException:
        connection.execute("ROLLBACK")
        raise
    connection.execute("COMMIT")


def _sound(path: Path, patience: float) -> sqlite3.Connection:
    """Return a connection to a valid, current file; close it on any error."""
    connection = sqlite3.connect(path, timeout=patience, isolation_level=None)
    connection.text_factory = _text  # a damaged text loses its row, not the whole answer
    try:
        _write_ahead(connection, patience)
        connection.execute("PRAGMA synchronous = FULL")
        _migrate(connection, path)
        _require_whole(connection)
    except BaseException:
        connection.close()
        raise
    return connection


def _text(body: bytes) -> str:
    return body.decode("utf-8", "replace")


def _write_ahead(connection: sqlite3.Connection, patience: float) -> None:
    """Switch to the write-ahead log; SQLite does not wait where others switch too."""
    until = time.monotonic() + patience
    while True:
        try:
            connection.execute("PRAGMA journal_mode = WAL")
            return
        except sqlite3.OperationalError as trouble:
            if "locked" not in str(trouble) or time.monotonic() > until:
                raise
            time.sleep(0.01)


def _migrate(connection: sqlite3.Connection, path: Path) -> None:
    if _version(connection) == len(MIGRATIONS):
        return
    with transaction(connection):
        version = _version(connection)  # another process may have done it already
        if version > len(MIGRATIONS):
            raise DataError(
                f"{path.name}: a newer safety-check wrote this history (version {version}; this"
                f" one knows {len(MIGRATIONS)}). Update safety-check; nothing was changed."
            )
        for script in MIGRATIONS[version:]:
            for statement in script.split(";"):
                connection.execute(statement)
        connection.execute(f"PRAGMA user_version = {len(MIGRATIONS)}")


def _version(connection: sqlite3.Connection) -> int:
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def _set_aside(path: Path) -> Path:
    """Rename a damaged file, the log first: a new file must not use an old log."""
    stamp = f"{datetime.now(UTC):%Y%m%dT%H%M%S.%f}Z"
    aside = path.with_name(f"{path.name}.damaged-{stamp}")
    for ending in ("-wal", "-shm", ""):
        with contextlib.suppress(FileNotFoundError):
            os.replace(f"{path}{ending}", f"{aside}{ending}")
    return aside

"""Which rows of the history are still as they were written.

A row that was changed by accident could hide what an earlier check found. So each row has a
digest of its own, and damage is recorded with the time when it was found.
"""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Iterable, Iterator
from typing import Any

NEWEST = 200  # rows of each table that are verified; older ones do not affect a verdict
_AS_WRITTEN = {
    "checks": 'id, at, name, water, launch, time_zone, craft, start, "end", severity, because,'
    " program, said",
    "observations": "id, water, launch, quantity, time, station, value, distance, flagged, archive",
    "trips": "id, logged, start, water, launch, time_zone, craft, went, wind_speed,"
    " wind_speed_of_gust, wave_height, beaufort, comfort, notes",
}
"""Columns by table. They never change: the existing digests were made of these columns."""


def remember(connection: sqlite3.Connection, table: str, number: int) -> None:
    """Store the digest of a row that has just been written."""
    row = connection.execute(
        f"SELECT {_AS_WRITTEN[table]} FROM {table} WHERE id = ?", (number,)
    ).fetchone()
    connection.execute("REPLACE INTO digests VALUES (?, ?, ?)", (table, number, _digest(row)))


def forget(connection: sqlite3.Connection, table: str, number: int) -> None:
    """Delete the digest of a row that is deleted on purpose."""
    connection.execute("DELETE FROM digests WHERE kind = ? AND id = ?", (table, number))


def damaged_rows(connection: sqlite3.Connection) -> list[str]:
    """Return which of the newest rows are not as they were written, or are gone.

    Rows that were written before there were digests are not verified.
    """
    return [name for table in _AS_WRITTEN for name in _damaged(connection, table)]


def _damaged(connection: sqlite3.Connection, table: str) -> Iterator[str]:
    written = dict(
        connection.execute(
            "SELECT id, digest FROM digests WHERE kind = ? ORDER BY id DESC LIMIT ?",
            (table, NEWEST),
        ).fetchall()
    )
    rows = connection.execute(
        f"SELECT {_AS_WRITTEN[table]} FROM {table} NOT INDEXED ORDER BY id DESC LIMIT ?",
        (NEWEST,),
    ).fetchall()
    found = {row[0]: _digest(row) for row in rows}
    oldest = min(found, default=0)
    for number, digest in written.items():
        if number >= oldest and found.get(number) != digest:
            yield f"{table} {number}"
    yield from _strange(connection, table, set(found) - set(written))


def _strange(connection: sqlite3.Connection, table: str, others: set[int]) -> Iterator[str]:
    """Return the rows without a digest though older ones have theirs."""
    (first,) = connection.execute("SELECT min(id) FROM digests WHERE kind = ?", (table,)).fetchone()
    for number in sorted(others):
        if first is not None and number > first:
            yield f"{table} {number}"


def _digest(row: Iterable[Any]) -> str:
    return hashlib.sha256(repr(tuple(row)).encode("utf-8", "surrogatepass")).hexdigest()

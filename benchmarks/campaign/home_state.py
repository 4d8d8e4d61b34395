"""What a home holds, by its parts, so that it can be compared before and after a command."""

from __future__ import annotations

import json
import re
import sqlite3
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from safety_check.errors import SafetyCheckError
from safety_check.settings.private_files import LOCK, PART
from safety_check.settings.settings import load_settings
from safety_check.sources.http.cache import FILE as ANSWERS
from safety_check.store.intact import damaged_rows
from safety_check.store.schema import NAME as HISTORY
from safety_check.store.store import Store
from safety_check.waters import files
from safety_check.waters.array_cache import read_arrays

Parts = dict[str, Any]
PAGE_MARK = re.compile(r"campaign \d+|12 Jun \d\d:\d\d")  # a note, or the time of the check
EXPECTED = re.compile(
    r"settings\.toml|waters/[^/]+\.geojson|cache/.+\.npz|data/past_weather/[^/]+\.npz"
    rf"|data/{re.escape(HISTORY)}(-wal|-shm)?|data/{re.escape(ANSWERS)}(-journal)?"
    rf"|data/pace-1\.sqlite(-journal)?|(waters/)?{re.escape(LOCK)}"
)
"""Files that a home may hold besides temporary ones. SQLite itself takes up `-wal` and `-journal`
when the next command opens the file."""

CHECKS = """
    SELECT at, name, water, launch, craft, start, "end",
        (SELECT count(*) FROM observations WHERE observations.time = checks.at) AS seen
    FROM checks ORDER BY id
"""
TRIPS = "SELECT water, launch, craft, comfort, notes FROM trips ORDER BY id"


class Damaged(Exception):
    """Something in a home that no command may leave behind."""


def read_parts(home: Path) -> Parts:
    """Return what is in a home: its settings, each water, checks, trips, saved answers and pages.

    Raises
    ------
    Damaged
        Where something cannot be read, is damaged, or was set aside.
    """
    try:
        parts = {"settings": _settings(home), **_waters(home), **_history(home)}
        return parts | {"answers": _answers(home / "data" / ANSWERS), "pages": _pages(home.parent)}
    except (SafetyCheckError, OSError, ValueError, sqlite3.Error) as trouble:
        raise Damaged(f"{type(trouble).__name__}: {trouble}") from trouble


def strange_files(home: Path) -> Iterator[str]:
    """Yield the files that are in no list, and computed arrays that are not whole.

    Temporary files are allowed: no command reads a name that ends in `.part`, and the next
    command that writes a file of the same kind in that folder deletes those older than an hour.
    """
    for path in sorted(home.rglob("*")):
        name = str(path.relative_to(home))
        if path.is_dir() or name.endswith(PART):
            continue
        if not EXPECTED.fullmatch(name):
            yield f"{name} is a file that nobody knows"
        elif path.suffix == ".npz" and read_arrays(path, path.stem) is None:
            yield f"{name} is not whole"


def temporary_files(home: Path) -> list[Path]:
    """Return the temporary files of commands that were killed."""
    return sorted(home.parent.rglob(f"*{PART}"))


def trip_number(home: Path, notes: str) -> int:
    """Return the number of the logged trip with these notes."""
    with Store.open(home / "data") as store:
        return next(trip.id for trip in store.trips() if trip.notes == notes)


def expire_answers(home: Path) -> None:
    """Let all saved answers be old, so that the next command asks the services again."""
    file = home / "data" / ANSWERS
    if file.exists():
        connection = sqlite3.connect(file)
        with connection:
            connection.execute("UPDATE answer SET fresh_until = 0")
        connection.close()


def _settings(home: Path) -> dict[str, Any]:
    load_settings(home)  # as the next command does
    path = home / "settings.toml"
    tables = tomllib.loads(path.read_text(encoding="utf-8")) if path.exists() else {}
    return {key: value for key, value in tables.items() if value != {}}


def _waters(home: Path) -> Parts:
    found = {}
    for path in sorted((home / "waters").glob("*.geojson")):
        name = files.load_file(path).name
        found[f"water {name}"] = json.loads(path.read_text(encoding="utf-8"))
    return found


def _history(home: Path) -> Parts:
    with Store.open(home / "data") as store:
        if store.set_aside is not None:
            raise Damaged(f"the history was set aside as {store.set_aside.name}")
        for line in store.checks(limit=2):
            if store.check(line.id).kept.verdict.severity != line.severity:
                raise Damaged(f"check {line.id} and its line differ")
    connection = sqlite3.connect(home / "data" / HISTORY)
    try:
        connection.row_factory = sqlite3.Row
        rows = {
            name: [dict(row) for row in connection.execute(query)]
            for name, query in (("checks", CHECKS), ("trips", TRIPS))
        }
        connection.row_factory = None
        if damaged := damaged_rows(connection):
            raise Damaged(f"rows of the history are not as written: {damaged}")
        return rows
    finally:
        connection.close()


def _answers(file: Path) -> dict[str, str]:
    """Return by path the marks in the saved answers that have one."""
    if not file.exists():
        return {}
    connection = sqlite3.connect(file)
    try:
        rows = connection.execute("SELECT url, body FROM answer").fetchall()
    finally:
        connection.close()
    found: dict[str, set[str]] = {}
    for url, body in rows:
        if mark := re.search(rb'"campaign": "([^"]*)"', body):
            found.setdefault(urlsplit(url).path, set()).add(mark[1].decode())
    return {path: " and ".join(sorted(marks)) for path, marks in found.items()}


def _pages(folder: Path) -> dict[str, str]:
    """Return by name the mark in each page; a page that is not whole has none."""
    found = {}
    for path in sorted(folder.iterdir()):
        if path.suffix == ".html":
            text = path.read_text(encoding="utf-8").rstrip()
            mark = PAGE_MARK.search(text)
            found[path.name] = mark[0] if mark and text.endswith("</html>") else "not whole"
    return found

"""Files that only their owner may read, written completely or not at all."""

from __future__ import annotations

import os
import re
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from safety_check.errors import ConfigError

if TYPE_CHECKING:
    import sqlite3

PART = ".part"
RANDOM = r"[a-z0-9_]{8}"  # what `tempfile` puts before the ending
LOCK = "changing.lock"
LONGEST_CHANGE = 10.0  # s; no run changes files for so long
LEFT_BEHIND = 3600.0  # s; no run takes so long to write one file
OWNER_ONLY_FILE, OWNER_ONLY_FOLDER = 0o600, 0o700


def make_folder(folder: Path) -> None:
    """Create a folder and those above it that are missing, for their owner only."""
    if not folder.is_dir():
        make_folder(folder.parent) if folder.parent != folder else None
        folder.mkdir(mode=OWNER_ONLY_FOLDER, exist_ok=True)


def make_file(path: Path) -> None:
    """Create an empty file for its owner only; remove the rights of others from one that exists."""
    make_folder(path.parent)
    os.close(os.open(path, os.O_RDWR | os.O_CREAT, OWNER_ONLY_FILE))
    with suppress(OSError):  # somebody else's file, or a file system without rights
        path.chmod(OWNER_ONLY_FILE)


def write_file(path: Path, write: Callable[[BinaryIO], object]) -> bool:
    """Write a file completely or not at all; return whether it replaced one.

    Parameters
    ----------
    path
        Its place; missing folders are created.
    write
        Writes the content to an open file.
    """
    make_folder(path.parent)
    remove_leftovers(path)
    there = path.exists()
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=path.name[:100], suffix=PART)
    try:
        with os.fdopen(handle, "wb") as file:
            write(file)
            file.flush()
            os.fsync(file.fileno())
        Path(temporary).replace(path)
    finally:
        Path(temporary).unlink(missing_ok=True)
    return there


def remove_leftovers(path: Path) -> None:
    """Delete files left by runs that were ended while they wrote this file, or one of its kind."""
    too_old = time.time() - LEFT_BEHIND
    own = re.compile(f".*{re.escape(path.suffix)}{RANDOM}{re.escape(PART)}")
    with suppress(OSError):
        for part in path.parent.iterdir():
            same = part.name.startswith(path.name[:100]) and part.name.endswith(PART)
            if (same or own.fullmatch(part.name)) and part.stat().st_mtime < too_old:
                part.unlink(missing_ok=True)


@contextmanager
def only_change(folder: Path) -> Iterator[None]:
    """Let no other run of this program change files in a folder until the block ends.

    A block that reads, changes and writes loses nothing that another run stores meanwhile. The
    lock of a run that is killed ends with it.

    Raises
    ------
    ConfigError
        Where another run holds the folder for too long.
    """
    lock = _locked(folder)
    try:
        yield
    finally:
        if lock is not None:
            lock.close()


def _locked(folder: Path) -> sqlite3.Connection | None:
    """Return what holds the lock; None where the folder takes none, as one that is read-only."""
    import sqlite3  # its locks hold between processes on every system; only what writes needs it

    lock = None
    try:
        make_file(folder / LOCK)
        lock = sqlite3.connect(folder / LOCK, timeout=LONGEST_CHANGE, isolation_level=None)
        lock.execute("PRAGMA journal_mode = OFF")  # nothing is written, so no file is left
        lock.execute("BEGIN IMMEDIATE")
        return lock
    except (OSError, sqlite3.Error) as trouble:
        if lock is not None:
            lock.close()
        if getattr(trouble, "sqlite_errorcode", None) == sqlite3.SQLITE_BUSY:
            raise ConfigError(
                f"{folder}: another safety-check has been changing files here for"
                f" {LONGEST_CHANGE:.0f} s. End it, and try again; nothing was changed."
            ) from trouble
        return None

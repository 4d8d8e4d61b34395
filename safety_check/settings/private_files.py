"""Files that only their owner may read, written completely or not at all."""

from __future__ import annotations

import os
import re
import tempfile
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import BinaryIO

PART = ".part"
RANDOM = r"[a-z0-9_]{8}"  # what `tempfile` puts before the ending
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

"""Runs in the process of a command that may be killed, and says each time it writes.

`CAMPAIGN_PIPE` is the number of the pipe. Each line is a time of the monotonic clock, and whether a
file is about to be written, or is whole. `CAMPAIGN_NOW` sets the clock of what asks the services,
which then waits longer. `CAMPAIGN_LARGEST` is how large a file may become, as on a disk that is
full. [bytes]
"""

from __future__ import annotations

import os
import resource
import signal
import sqlite3
import sys
import time
from collections.abc import Mapping, Sequence
from datetime import datetime, tzinfo
from multiprocessing.connection import Connection
from typing import Any

from safety_check.cli import main
from safety_check.sources.http.asker import RetryPolicy

OPENED_TO_WRITE = os.O_WRONLY | os.O_RDWR | os.O_CREAT
TEMPORARY, WATER = ".part", ".geojson"
PATIENT = (90.0, 60.0, 0.3)  # of `RetryPolicy`: a busy machine loses no answer
WRITES, WHOLE = "writes", "whole"
in_transaction = False
_plain_connect = sqlite3.connect


def tell(what: str) -> None:
    """Say what the command is about to do."""
    os.write(int(os.environ["CAMPAIGN_PIPE"]), f"{time.monotonic():.6f} {what}\n".encode())


def _watch(event: str, arguments: tuple[Any, ...]) -> None:
    if event not in ("open", "os.rename", "os.remove"):
        return
    if str(arguments[0]).endswith(TEMPORARY):
        if event != "open" or arguments[2] & OPENED_TO_WRITE:
            tell(WHOLE if event == "os.remove" else WRITES)
    elif event == "os.remove" and str(arguments[0]).endswith(WATER):
        tell(WRITES)


def _connect(*arguments: Any, **more: Any) -> sqlite3.Connection:
    connection: sqlite3.Connection = _plain_connect(*arguments, **more)
    connection.set_trace_callback(_traced)
    return connection


def _traced(statement: str) -> None:
    """Tell of each statement of a transaction; one by itself only reads, or deletes nothing."""
    global in_transaction
    in_transaction = in_transaction or statement.startswith("BEGIN")
    if in_transaction:
        tell(WRITES)
    if statement.startswith(("COMMIT", "ROLLBACK")):
        in_transaction = False


def _set_clock(text: str) -> None:
    from safety_check.use_cases import check

    class Clock(datetime):
        @classmethod
        def now(cls, tz: tzinfo | None = None) -> datetime:  # type: ignore[override]
            return datetime.fromisoformat(text).astimezone(tz)

    check.datetime = Clock  # type: ignore[attr-defined]
    RetryPolicy.__init__.__defaults__ = PATIENT


def watch() -> None:
    """Watch this process from now on, as its environment says."""
    if "CAMPAIGN_LARGEST" in os.environ:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        largest = int(os.environ["CAMPAIGN_LARGEST"])
        resource.setrlimit(resource.RLIMIT_FSIZE, (largest, largest))
    if "CAMPAIGN_NOW" in os.environ:
        _set_clock(os.environ["CAMPAIGN_NOW"])
    sys.addaudithook(_watch)
    sqlite3.connect = _connect  # type: ignore[assignment]


def run_forked(
    arguments: Sequence[str], environment: Mapping[str, str], told: Connection, err: Connection
) -> None:
    """Run a command line in a process that was forked for it."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    os.dup2(err.fileno(), 2)
    os.environ.update({**environment, "CAMPAIGN_PIPE": str(told.fileno())})
    watch()
    sys.argv = ["safety-check", *arguments]
    main()

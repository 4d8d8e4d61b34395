"""Log requests, answers and their duration; nothing is printed unless the user asks."""

from __future__ import annotations

import logging
import time
from collections.abc import Iterator
from contextlib import contextmanager

from safety_check.errors import SourceError
from safety_check.sources.http.cache import Saved
from safety_check.sources.registry import Source

LOG = logging.getLogger("safety_check.requests")


@contextmanager
def logged(entry: Source, address: str) -> Iterator[list[Saved]]:
    """Log a request, and the answer that the body of the `with` statement puts into the list."""
    LOG.info("%s: asking %s", entry.title, address)
    began, came = time.monotonic(), list[Saved]()
    try:
        yield came
    except SourceError as trouble:
        LOG.info("%s: failed after %.2f s. %s", entry.title, time.monotonic() - began, trouble)
        raise
    took = time.monotonic() - began
    for answer in came:
        LOG.info("%s: answered in %.2f s, %d bytes", entry.title, took, len(answer.body))


def log_saved(entry: Source, address: str, answer: Saved) -> None:
    """Log that a saved answer is used."""
    LOG.info(
        "%s: used the answer that was received %s for %s",
        entry.title,
        f"{answer.fetched:%Y-%m-%d %H:%M} UTC",
        address,
    )

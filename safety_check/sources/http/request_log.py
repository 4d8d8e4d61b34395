"""Log requests, answers and their duration; nothing is printed unless the user asks."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from enum import Enum

from safety_check.errors import SourceError
from safety_check.sources.http.cache import Saved
from safety_check.sources.registry import Source

LOG = logging.getLogger("safety_check.requests")


class Step(Enum):
    """What happened to a request."""

    ASKED = "asked"
    ANSWERED = "answered"
    FAILED = "failed"


Listener = Callable[[str, Step], None]
_LISTENER: ContextVar[Listener | None] = ContextVar("listener", default=None)


@contextmanager
def listening(listener: Listener) -> Iterator[None]:
    """Tell a listener of each request that begins or ends in the `with` statement, in any thread.

    Parameters
    ----------
    listener
        Takes the title of the service, and what happened. It must be quick, and raise nothing.
    """
    before = _LISTENER.set(listener)
    try:
        yield
    finally:
        _LISTENER.reset(before)


def _tell(entry: Source, step: Step) -> None:
    listener = _LISTENER.get()
    if listener is not None:
        listener(entry.title, step)


@contextmanager
def logged(entry: Source, address: str) -> Iterator[list[Saved]]:
    """Log a request, and the answer that the body of the `with` statement puts into the list."""
    LOG.info("%s: asking %s", entry.title, address)
    _tell(entry, Step.ASKED)
    began, came = time.monotonic(), list[Saved]()
    try:
        yield came
    except BaseException as trouble:
        _tell(entry, Step.FAILED)
        if not isinstance(trouble, SourceError):
            raise
        LOG.info("%s: failed after %.2f s. %s", entry.title, time.monotonic() - began, trouble)
        raise
    _tell(entry, Step.ANSWERED)
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

"""Make room among the open connections, so that idle ones keep nobody out."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Protocol

MOST_CONNECTIONS = 100  # of all clients together; from then on a request gets status 503
MOST_PER_CLIENT = 12  # a browser opens six


class Connection(Protocol):
    """An open connection.

    Attributes
    ----------
    client
        Address and port of the other end; None where they are not known.
    opened
        When it was opened, by the event loop's clock. [s]
    cut_off
        Whether it was closed already, and only still has to be forgotten.
    """

    client: tuple[str, int] | None
    opened: float
    cut_off: bool

    def waits_for_an_answer(self) -> bool:
        """Return whether it has sent a whole request that is not answered yet."""

    def cut(self) -> None:
        """Close it at once."""


def make_room(everyone: Iterable[Connection], new: Connection) -> None:
    """Close a connection where a new one is one too many.

    A client with more than `MOST_PER_CLIENT` connections loses its oldest idle one, and all
    clients together leave room for one request below `MOST_CONNECTIONS`. Where all of them wait
    for an answer, the new one is closed.

    Parameters
    ----------
    everyone
        All open connections, the new one included.
    new
        The new one.
    """
    there = [one for one in everyone if not one.cut_off]
    of_client = [one for one in there if one.client and new.client]
    of_client = [one for one in of_client if one.client[0] == new.client[0]]  # type: ignore[index]
    for group, most in ((of_client, MOST_PER_CLIENT), (there, MOST_CONNECTIONS - 1)):
        open_ones = [one for one in group if not one.cut_off]
        if len(open_ones) > most:
            _oldest_idle(open_ones, new).cut()


def _oldest_idle(there: list[Connection], new: Connection) -> Connection:
    idle = [one for one in there if one is not new and not one.waits_for_an_answer()]
    return min(idle, key=lambda one: one.opened, default=new)

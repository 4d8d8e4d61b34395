"""Limit time and number of connections for each client, so that no client blocks others."""

from __future__ import annotations

import asyncio
from typing import Any, cast

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol

INCOMPLETE = (h11.IDLE, h11.SEND_BODY)  # the state of a client until its request is complete
REQUEST_SECONDS = 10.0  # to send a complete request, head and form
IDLE_SECONDS = 5  # between two requests
READING_SECONDS = 30.0  # to take an answer
MOST_PER_CLIENT = 12  # a browser opens six


class BoundedProtocol(H11Protocol):
    """HTTP/1.1 with a time limit on everything that a client can delay.

    A client with more than `MOST_PER_CLIENT` connections loses its oldest idle one; where all of
    them wait for an answer, the new one is closed.
    """

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Count the connection, and give its first request a time limit."""
        super().connection_made(transport)
        transport.set_write_buffer_limits(high=0)  # so that any unread byte has its time limit
        self.cut_off = False
        self.opened = self.loop.time()
        self._request_timer: asyncio.TimerHandle | None = None
        self._reading_timer: asyncio.TimerHandle | None = None
        self._limit_request()
        if len(self._of_this_client()) > MOST_PER_CLIENT:
            self._make_room()

    def connection_lost(self, exc: Exception | None) -> None:
        """Forget the time limits."""
        _cancel(self._request_timer)
        _cancel(self._reading_timer)
        super().connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        """Receive data; this does not extend the time limit of the request."""
        super().data_received(data)
        if self._request_complete():
            _cancel(self._request_timer)
            self._request_timer = None
        elif self._request_timer is None:
            self._limit_request()

    def pause_writing(self) -> None:
        """Limit how long a client may leave an answer unread."""
        super().pause_writing()
        _cancel(self._reading_timer)
        self._reading_timer = self.loop.call_later(READING_SECONDS, self._cut_off)

    def resume_writing(self) -> None:
        """Resume, because the client reads again."""
        super().resume_writing()
        _cancel(self._reading_timer)

    def _limit_request(self) -> None:
        self._request_timer = self.loop.call_later(REQUEST_SECONDS, self._cut_off)

    def _cut_off(self) -> None:
        """Close at once, whatever is still to be read or sent."""
        self.cut_off = True
        self.transport.abort()

    def _request_complete(self) -> bool:
        return self.conn.their_state not in INCOMPLETE

    def _waits_for_an_answer(self) -> bool:
        return self.cycle is not None and not (self.cycle.more_body or self.cycle.response_complete)

    def _of_this_client(self) -> list[BoundedProtocol]:
        others = cast("set[Any]", self.connections)
        address = self.client and self.client[0]
        return [
            other
            for other in others
            if other.client and other.client[0] == address and not other.cut_off
        ]

    def _make_room(self) -> None:
        """Close the client's oldest idle connection, else this one."""
        idle = [
            other
            for other in self._of_this_client()
            if other is not self and not other._waits_for_an_answer()
        ]
        oldest = min(idle, key=lambda other: other.opened, default=self)
        oldest._cut_off()


def _cancel(timer: asyncio.TimerHandle | None) -> None:
    if timer is not None:
        timer.cancel()

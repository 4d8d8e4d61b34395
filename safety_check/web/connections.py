"""Limit time and number of connections for each client, so that no client blocks others."""

from __future__ import annotations

import asyncio
import ssl
from collections.abc import Callable
from typing import Any, cast

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol
from uvicorn.protocols.utils import get_remote_addr

from safety_check.web.room import make_room

INCOMPLETE = (h11.IDLE, h11.SEND_BODY)  # the state of a client until its request is complete
REQUEST_SECONDS = 10.0  # to send a complete request, head and form
HANDSHAKE_SECONDS = 10.0  # to agree on the encryption
IDLE_SECONDS = 5  # between two requests
READING_SECONDS = 30.0  # to take an answer


class BoundedProtocol(H11Protocol):
    """HTTP/1.1 with a time limit on everything that a client can delay."""

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Count the connection, and give its first request a time limit."""
        super().connection_made(transport)
        if self.scheme == "http":
            transport.set_write_buffer_limits(high=0)  # so that any unread byte has its time limit
        self.cut_off = False
        self.opened = self.loop.time()
        self._request_timer: asyncio.TimerHandle | None = None
        self._reading_timer: asyncio.TimerHandle | None = None
        self._limit_request()
        make_room(cast("set[Any]", self.connections), self)

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
        self.limit_reading()

    def resume_writing(self) -> None:
        """Resume, because the client reads again."""
        super().resume_writing()
        self.reads_again()

    def limit_reading(self) -> None:
        """Close the connection if the client does not read in time."""
        _cancel(self._reading_timer)
        self._reading_timer = self.loop.call_later(READING_SECONDS, self.cut)

    def reads_again(self) -> None:
        """Note that the client has read all that was sent."""
        _cancel(self._reading_timer)

    def waits_for_an_answer(self) -> bool:
        """Return whether the client sent a whole request that is not answered yet."""
        return self.cycle is not None and not (self.cycle.more_body or self.cycle.response_complete)

    def cut(self) -> None:
        """Close at once, whatever is still to be read or sent."""
        self.cut_off = True
        self.transport.abort()

    def _limit_request(self) -> None:
        self._request_timer = self.loop.call_later(REQUEST_SECONDS, self.cut)

    def _request_complete(self) -> bool:
        return self.conn.their_state not in INCOMPLETE


class EncryptedProtocol(asyncio.Protocol):
    """The handshake of an encrypted connection, which then goes on as a `BoundedProtocol`.

    A server that leaves the handshake to the event loop does not see a connection before it is
    done: clients that never begin one would not be counted.

    Parameters
    ----------
    context
        With the certificate.
    inside
        The protocol of what is encrypted.
    """

    def __init__(self, context: ssl.SSLContext, inside: BoundedProtocol) -> None:
        self._context, self._inside = context, inside
        self._connections: set[Any] = cast("set[Any]", inside.connections)
        self.client: tuple[str, int] | None = None
        self.cut_off = False
        self.opened = inside.loop.time()
        self._early = b""  # what came with the end of the handshake

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Count the connection, and begin the handshake."""
        self._transport = transport
        self.client = get_remote_addr(transport)
        self._connections.add(self)
        make_room(self._connections, self)
        self._task = self._inside.loop.create_task(self._shake_hands())

    def data_received(self, data: bytes) -> None:
        """Keep what is received before the handshake has been noticed here."""
        self._early += data

    def connection_lost(self, exc: Exception | None) -> None:
        """Note that there is nobody left to answer."""
        self.cut_off = True
        self._connections.discard(self)

    async def _shake_hands(self) -> None:
        try:
            inner = await self._inside.loop.start_tls(
                self._transport,
                self,
                self._context,
                server_side=True,
                ssl_handshake_timeout=HANDSHAKE_SECONDS,
                ssl_shutdown_timeout=IDLE_SECONDS,
            )
        except OSError:  # also an ssl.SSLError or a timeout; there is nobody to tell
            self.cut()
            return
        finally:
            self._connections.discard(self)
        if inner is not None and not self.cut_off:
            self._go_on(inner)

    def _go_on(self, inner: asyncio.Transport) -> None:
        """Hand over to the protocol of what is encrypted."""
        inner.set_protocol(self._inside)
        self._inside.connection_made(inner)
        outer = cast(asyncio.BufferedProtocol, self._transport.get_protocol())
        self._transport.set_protocol(UnreadProtocol(outer, self._inside))
        self._transport.set_write_buffer_limits(high=0)
        if self._early:
            self._inside.data_received(self._early)

    def waits_for_an_answer(self) -> bool:
        """Return False: nothing has been asked yet."""
        return False

    def cut(self) -> None:
        """Close at once."""
        self.cut_off = True
        self._transport.abort()

    def shutdown(self) -> None:
        """Close, because the server ends."""
        self.cut()


class UnreadProtocol(asyncio.BufferedProtocol):
    """Passes on what happens to the encrypted bytes, and limits how long they may stay unread.

    The protocol inside is told of unread bytes only once there are very many.

    Parameters
    ----------
    outer
        The protocol of the encryption.
    inside
        The protocol of what is encrypted.
    """

    def __init__(self, outer: asyncio.BufferedProtocol, inside: BoundedProtocol) -> None:
        self._outer, self._inside = outer, inside
        self.get_buffer = outer.get_buffer  # type: ignore[method-assign]
        self.buffer_updated = outer.buffer_updated  # type: ignore[method-assign]
        self.eof_received = outer.eof_received  # type: ignore[method-assign]
        self.connection_lost = outer.connection_lost  # type: ignore[method-assign]

    def pause_writing(self) -> None:
        """Limit how long the client may leave this unread."""
        self._inside.limit_reading()
        self._outer.pause_writing()

    def resume_writing(self) -> None:
        """Note that all has been read."""
        self._inside.reads_again()
        self._outer.resume_writing()


def encrypted(context: ssl.SSLContext) -> Callable[..., asyncio.Protocol]:
    """Return what makes the protocol of each new connection, for uvicorn."""

    def make(**given: Any) -> EncryptedProtocol:
        return EncryptedProtocol(context, BoundedProtocol(**given))

    return make


def _cancel(timer: asyncio.TimerHandle | None) -> None:
    if timer is not None:
        timer.cancel()

"""A service of our own over real sockets, with every fault that a real one has shown.

    with FakeServer() as server:
        server.serve("/v1/forecast", json_reply(answer))            # every question
        server.serve("/v1/forecast", status(500), json_reply(answer))  # one after the other
        ... ask server.url ...
        assert server.asked[0].path == "/v1/forecast"

A path that was never served answers 404. The last reply of a path is repeated. The server
has a thread and an event loop of its own, so that synchronous code can be tested against it.
"""

from __future__ import annotations

import asyncio
import gzip
import json
import socket
import threading
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import TracebackType
from typing import Any, Self
from urllib.parse import parse_qsl, urlsplit

PAGE = b"<!DOCTYPE html><html><body><h1>502 Bad Gateway</h1></body></html>"


@dataclass(frozen=True)
class Reply:
    """One answer and the fault that it has.

    Parameters
    ----------
    body, status, headers
        As sent; the length is added unless `headers` says otherwise.
    wait
        Before anything is sent. [s]
    stops_after
        How much of the body is sent before the server stops. [bytes]
    hangs
        Whether it then keeps the line open in silence, or hangs up.
    """

    body: bytes = b""
    status: int = 200
    headers: Mapping[str, str] = field(default_factory=dict)
    wait: float = 0.0
    stops_after: int | None = None
    hangs: bool = False


@dataclass(frozen=True)
class Asked:
    """One question as it came in."""

    path: str
    query: Mapping[str, str]
    headers: Mapping[str, str]


def json_reply(answer: Any, **headers: str) -> Reply:
    """Reply with JSON; bytes are sent as they are."""
    body = answer if isinstance(answer, bytes) else json.dumps(answer).encode()
    kind = {"content-type": "application/json; charset=utf-8"}
    return Reply(
        body, headers=kind | {key.replace("_", "-"): header for key, header in headers.items()}
    )


def text_reply(text: str, kind: str = "text/plain") -> Reply:
    """Reply with text."""
    return Reply(text.encode(), headers={"content-type": kind})


def status(code: int, body: bytes = b"", **headers: str) -> Reply:
    """Reply with a status that is no answer."""
    kind = {"content-type": "application/json"} if body[:1] == b"{" else {}
    return Reply(
        body, code, kind | {key.replace("_", "-"): header for key, header in headers.items()}
    )


def too_many(seconds: int | None) -> Reply:
    """Reply that there were too many questions, with or without saying how long to wait."""
    told = {} if seconds is None else {"retry_after": str(seconds)}
    return status(429, b'{"error":true,"reason":"Minutely API request limit exceeded."}', **told)


def html_page(code: int = 200) -> Reply:
    """Reply with a gateway's page."""
    return Reply(PAGE, code, {"content-type": "text/html"})


def slow(reply: Reply, seconds: float) -> Reply:
    """Wait before replying."""
    return replace(reply, wait=seconds)


def cut_off(reply: Reply, after: int | None = None) -> Reply:
    """Hang up half-way through the body, or after so many bytes."""
    return replace(reply, stops_after=len(reply.body) // 2 if after is None else after)


def hanging(reply: Reply, after: int | None = None) -> Reply:
    """Fall silent half-way through the body, the line kept open."""
    return replace(cut_off(reply, after), hangs=True)


def gzipped(reply: Reply) -> Reply:
    """Pack the body."""
    packed = {**reply.headers, "content-encoding": "gzip"}
    return replace(reply, body=gzip.compress(reply.body), headers=packed)


def redirect(to: str, code: int = 302) -> Reply:
    """Send the asker elsewhere."""
    return Reply(status=code, headers={"location": to})


def mislabelled(reply: Reply, kind: str = "text/html") -> Reply:
    """Send the body under another type."""
    return replace(reply, headers={**reply.headers, "content-type": kind})


def huge(size: int) -> Reply:
    """Reply with JSON of that size. [bytes]"""
    return json_reply(b'{"hourly":"' + b"x" * size + b'"}')


def with_etag(reply: Reply, tag: str) -> Reply:
    """Reply with 304 to whoever shows the tag."""
    return replace(reply, headers={**reply.headers, "etag": tag})


def unused_port() -> int:
    """Return a port that refuses connections."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class FakeServer:
    """The server; `latency` is added to every reply [s]."""

    def __init__(self, latency: float = 0.0) -> None:
        self.latency = latency
        self.asked: list[Asked] = []
        self._replies: dict[str, list[Reply]] = {}
        self._loop = asyncio.new_event_loop()
        self._thread = threading.Thread(target=self._loop.run_forever, daemon=True)
        self._talks: set[asyncio.Task[None]] = set()

    def serve(self, path: str, *replies: Reply) -> None:
        """Serve these replies at a path, one after the other, the last for ever."""
        self._replies[path] = list(replies)

    @property
    def url(self) -> str:
        """The base URL."""
        return f"http://127.0.0.1:{self.port}"

    def __enter__(self) -> Self:
        self._thread.start()
        self._server = self._call(asyncio.start_server(self._talk, "127.0.0.1", 0))
        self.port: int = self._server.sockets[0].getsockname()[1]
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._call(self._stop())
        self._loop.call_soon_threadsafe(self._loop.stop)
        self._thread.join()
        self._loop.close()

    def _call(self, work: Any) -> Any:
        return asyncio.run_coroutine_threadsafe(work, self._loop).result(timeout=120)

    async def _stop(self) -> None:
        self._server.close()
        for talk in self._talks:
            talk.cancel()
        await asyncio.gather(*self._talks, return_exceptions=True)

    async def _talk(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        talk = asyncio.current_task()
        assert talk is not None
        self._talks.add(talk)
        try:
            head = await reader.readuntil(b"\r\n\r\n")
            await self._answer(self._reply(self._note(head.decode("latin-1"))), writer, reader)
        except (ConnectionError, asyncio.IncompleteReadError, asyncio.CancelledError):
            pass  # the asker has left, or the test is over
        finally:
            self._talks.discard(talk)
            writer.close()

    def _note(self, head: str) -> Asked:
        first, *rest = head.split("\r\n")
        target = urlsplit(first.split(" ")[1])
        pairs = (line.split(": ", 1) for line in rest if ": " in line)
        headers = {name.lower(): value for name, value in pairs}
        asked = Asked(target.path, dict(parse_qsl(target.query)), headers)
        self.asked.append(asked)
        return asked

    def _reply(self, asked: Asked) -> Reply:
        replies = self._replies.get(asked.path, [status(404)])
        reply = replies.pop(0) if len(replies) > 1 else replies[0]
        tag = reply.headers.get("etag")
        if tag is not None and asked.headers.get("if-none-match") == tag:
            return replace(reply, status=304, body=b"")
        return reply

    async def _answer(
        self, reply: Reply, writer: asyncio.StreamWriter, reader: asyncio.StreamReader
    ) -> None:
        await asyncio.sleep(reply.wait + self.latency)
        defaults = {"content-length": str(len(reply.body)), "connection": "close"}
        headers = {**defaults, **reply.headers}
        lines = [f"HTTP/1.1 {reply.status} Said", *(f"{key}: {headers[key]}" for key in headers)]
        writer.write("\r\n".join(lines).encode("latin-1") + b"\r\n\r\n")
        writer.write(reply.body[: reply.stops_after])
        await writer.drain()
        if reply.hangs:
            await reader.read()  # until the asker has had enough

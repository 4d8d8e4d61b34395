"""The live page under load, beside the framework's own empty page in the same run.

Run: python -m benchmarks.serve --seconds 30

As many clients, for as long, ask both servers over the loopback address, by turns: a check as
the browser shows it, and an empty page. Afterwards they show the page while two of them make new
checks. A wrong or missing answer ends the run with an error.
"""

from __future__ import annotations

import argparse
import asyncio
import multiprocessing
import os
import re
import statistics
import tempfile
import time
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager, contextmanager
from dataclasses import dataclass
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route

from safety_check.web import demonstration, server

CLIENTS, CHECKING = 50, 2
REMEMBERED = 3  # checks, so that memory is full before it is measured
TURNS = 6  # of each server, so that a busy machine slows both equally
EMPTY = "<!doctype html><title>empty</title>"
SAMPLE = {
    "place": '["Marrowick Arm (invented)", "mill slip"]',
    "craft": "canoe",
    "start": "2026-06-13T10:00",
    "hours": "6",
    "water_temperature": "72 F",
}
FORM = "application/x-www-form-urlencoded"
MEGABYTE = 2**20


# -- the servers, each a process of its own ----------------------------------------------------


def serve_page(ready: Connection) -> None:
    """Serve the invented scenario until ended."""
    with tempfile.TemporaryDirectory() as home:
        os.environ["SAFETY_CHECK_HOME"] = home
        at = server.open_address(0)
        ready.send(at.port)
        server.run(at, demonstration.sample_session(REMEMBERED))


def serve_empty(ready: Connection) -> None:
    """Serve the framework's own empty page until ended."""

    async def empty(request: Request) -> Response:
        return HTMLResponse(EMPTY)

    at = server.open_address(0)
    ready.send(at.port)
    app = Starlette(routes=[Route("/", empty)])
    server.serving(app, at).run(sockets=[at.listening])


@dataclass(frozen=True)
class Running:
    """A server's process and its port."""

    process: int
    port: int

    @property
    def memory(self) -> float:
        """Memory in use now; NaN where the system does not report it. [MB]."""
        file = Path(f"/proc/{self.process}/statm")
        if not file.exists():
            return float("nan")
        return int(file.read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE") / MEGABYTE


@contextmanager
def running(serve: Callable[[Connection], None]) -> Any:
    """Run a server until the block ends."""
    here, there = multiprocessing.Pipe()
    process = multiprocessing.get_context("spawn").Process(target=serve, args=(there,))
    process.start()
    try:
        yield Running(process.pid or 0, here.recv())
    finally:
        process.terminate()
        process.join()


# -- the clients: as small as possible, so that the servers are measured ----------------------


@dataclass
class Talk:
    """One connection that is kept open."""

    reader: asyncio.StreamReader
    writer: asyncio.StreamWriter
    host: str

    async def ask(self, path: str, form: dict[str, str] | None = None) -> tuple[int, str, bytes]:
        """Return status, headers and body of one answer."""
        body = urlencode(form or {}).encode()
        head = f"{'GET' if form is None else 'POST'} {path} HTTP/1.1\r\nHost: {self.host}\r\n"
        if form is not None:
            head += f"Content-Type: {FORM}\r\nContent-Length: {len(body)}\r\n"
        self.writer.write(head.encode() + b"\r\n" + body)
        said = (await self.reader.readuntil(b"\r\n\r\n")).decode()
        length = re.search(r"content-length: (\d+)", said, re.I)
        answer = await self.reader.readexactly(int(length[1]) if length else 0)
        return int(said.split()[1]), said, answer


@asynccontextmanager
async def talk(port: int) -> AsyncIterator[Talk]:
    """Keep a connection until the block ends."""
    reader, writer = await asyncio.open_connection("127.0.0.1", port)
    try:
        yield Talk(reader, writer, f"127.0.0.1:{port}")
    finally:
        writer.close()
        await writer.wait_closed()


async def looking(port: int, path: str, end: float) -> int:
    """Return how often a page was shown until a moment; anything but the page is an error."""
    count = 0
    async with talk(port) as one:
        while time.perf_counter() < end:
            status, said, body = await one.ask(path)
            if status == 303:
                status, _, body = await one.ask(led_to(said))
            if status != 200 or not body.startswith(b"<!doctype html>"):
                raise RuntimeError(f"{path} was answered with {status}")
            count += 1
    return count


async def checking(port: int, token: str, end: float) -> int:
    """Return how many new checks were made until a moment."""
    count = 0
    async with talk(port) as one:
        while time.perf_counter() < end:
            status, _, _ = await one.ask("/check", {"token": token, **SAMPLE})
            if status != 303:
                raise RuntimeError(f"a check was answered with {status}")
            count += 1
    return count


async def rate(port: int, path: str, seconds: float) -> float:
    """Return how many pages a second all clients together were shown."""
    begun = time.perf_counter()
    counts = await asyncio.gather(*(looking(port, path, begun + seconds) for _ in range(CLIENTS)))
    return sum(counts) / (time.perf_counter() - begun)


async def first_checks(port: int) -> tuple[str, str]:
    """Fill the stored checks; return the token of the forms and the path of the newest check."""
    async with talk(port) as one:
        _, _, body = await one.ask("/")
        found = re.search(rb'name="token" value="([^"]+)"', body)
        token = found[1].decode() if found else ""
        for _ in range(REMEMBERED + 1):
            _, said, _ = await one.ask("/check", {"token": token, **SAMPLE})
        return token, led_to(said)


def led_to(said: str) -> str:
    """Return the address that an answer redirects to."""
    way = re.search(r"location: (\S+)", said, re.I)
    if way is None:
        raise RuntimeError(f"no redirect in: {said}")
    return way[1]


# -- the run -----------------------------------------------------------------------------------


async def compared(page: Running, empty: Running, path: str, seconds: float) -> float:
    """Return the page's rate over that of the empty page, the median of the turns."""
    ratios = []
    for _ in range(TURNS):
        ours = await rate(page.port, path, seconds / TURNS)
        theirs = await rate(empty.port, "/", seconds / TURNS)
        ratios.append(ours / theirs)
        print(f"check shown: {ours:.0f}/s; empty page: {theirs:.0f}/s; {ours / theirs:.2f} times")
    return statistics.median(ratios)


async def while_checking(page: Running, token: str, seconds: float) -> None:
    """Show the page while new checks are made; print both rates."""
    begun = time.perf_counter()
    end = begun + seconds
    lookers = [looking(page.port, "/last", end) for _ in range(CLIENTS - CHECKING)]
    makers = [checking(page.port, token, end) for _ in range(CHECKING)]
    counts = await asyncio.gather(*lookers, *makers)
    took = time.perf_counter() - begun
    shown, made = sum(counts[:-CHECKING]), sum(counts[-CHECKING:])
    print(f"while {made / took:.1f} checks/s are made: check shown {shown / took:.0f}/s")


async def measured(page: Running, empty: Running, seconds: float) -> float:
    """Run it all; return the headline."""
    token, path = await first_checks(page.port)
    await rate(page.port, path, seconds / 10)
    await while_checking(page, token, seconds / 10)
    warm = page.memory
    ratio = await compared(page, empty, path, seconds)
    looked = page.memory
    await while_checking(page, token, seconds)
    print(
        f"memory: {warm:.0f} MB warm, {looked:.0f} MB after looking, {page.memory:.0f} MB after"
        f" checking; {page.memory / warm:.2f} times"
    )
    return ratio


def main() -> None:
    """Print rates, memory and the ratio."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=30.0, help="for each of the servers")
    told = parser.parse_args()
    with running(serve_page) as page, running(serve_empty) as empty:
        ratio = asyncio.run(measured(page, empty, told.seconds))
    print("errors: 0")
    print(f"serve_to_empty: {ratio:.2f}")


if __name__ == "__main__":
    main()

"""A packed body never grows beyond its limit, and holds up nobody."""

from __future__ import annotations

import asyncio
import gzip
import json
import subprocess
import sys
import time
import tracemalloc
import zlib
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.errors import SourceError
from safety_check.sources.http.asker import RetryPolicy
from safety_check.sources.http.client import open_client
from safety_check.sources.http.transport import LARGEST
from safety_check.sources.http.unpack import unpack
from tests.sources.fake_server import FakeServer, Reply

ONCE = RetryPolicy(deadline=3.0, patience=2.0, first_pause=0.01)


@cache
def zeros(pack: Callable[[bytes, int], bytes]) -> bytes:
    """Return 400 MB of zeros, packed quickly."""
    return pack(bytes(400_000_000), 1)


@pytest.fixture
def server() -> Iterator[FakeServer]:
    with FakeServer() as running:
        yield running


def bomb(encoding: str, body: bytes | None = None, status: int = 200) -> Reply:
    body = zeros(gzip.compress) if body is None else body
    headers = {"content-type": "application/json", "content-encoding": encoding}
    return Reply(body, status, headers)


async def ask(url: str) -> float:
    """Return the most processor time in which the event loop did not turn. [s].

    Of this whole process, so that other programs do not count.
    """
    longest = 0.0

    async def turn() -> None:
        nonlocal longest
        last = time.process_time()
        while True:
            await asyncio.sleep(0.005)
            longest, last = max(longest, time.process_time() - last), time.process_time()

    turning = asyncio.create_task(turn())
    try:
        async with open_client(None, addresses={"open_meteo": url}, policy=ONCE) as client:
            with pytest.raises(SourceError):
                await client.get("/v1/forecast", {}, source="open_meteo")
    finally:
        turning.cancel()
    return longest


BOMBS: dict[str, Callable[[], Reply]] = {
    "gzip": lambda: bomb("gzip"),
    "deflate": lambda: bomb("deflate", zeros(zlib.compress)),
    "packed twice": lambda: bomb("gzip, gzip", gzip.compress(zeros(gzip.compress))),
    "packed ten times": lambda: bomb(", ".join(["gzip"] * 10)),
    "another packing": lambda: bomb("br"),
    "in an error": lambda: bomb("gzip", status=500),
    "packed twice in an error": lambda: bomb(
        "gzip, gzip", gzip.compress(zeros(gzip.compress)), status=404
    ),
}


@pytest.mark.one_in(6)
@pytest.mark.parametrize("case", BOMBS)
def test_a_bomb_is_refused_in_time_and_in_little_memory(server, case):
    server.serve("/v1/forecast", BOMBS[case]())
    began = time.process_time()
    tracemalloc.start()
    try:
        longest = asyncio.run(ask(server.url))
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()

    assert peak < 100e6
    assert time.process_time() - began < ONCE.deadline + 2.0
    assert longest < 1.0


CHILD = """
import asyncio, json, resource, sys, time
from safety_check.errors import SourceError
from safety_check.sources.http.asker import RetryPolicy
from safety_check.sources.http.client import open_client

policy = RetryPolicy(deadline=float(sys.argv[2]), patience=2.0, first_pause=0.01)

async def ask():
    async with open_client(None, addresses={"open_meteo": sys.argv[1]}, policy=policy) as client:
        try:
            await client.get("/v1/forecast", {}, source="open_meteo")
        except SourceError as trouble:
            return str(trouble)

began = time.process_time()
said = asyncio.run(ask())
if sys.platform == "linux":  # ru_maxrss begins with the parent's there
    lines = open("/proc/self/status").read().splitlines()
    peak = 1024 * int(next(line for line in lines if line.startswith("VmHWM")).split()[1])
else:
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
print(json.dumps({"said": said, "seconds": time.process_time() - began, "peak": peak}))
"""
MOST_MEMORY = 250e6  # bytes, resident, of the whole process with all its libraries


@pytest.mark.thorough
@pytest.mark.skipif(sys.platform == "win32", reason="system: the resource module is not on Windows")
@pytest.mark.parametrize("case", BOMBS)
def test_a_bomb_costs_the_whole_process_little_memory_and_no_more_than_the_deadline(server, case):
    server.serve("/v1/forecast", BOMBS[case]())

    done = subprocess.run(
        [sys.executable, "-c", CHILD, server.url, str(ONCE.deadline)],
        capture_output=True,
        text=True,
        check=True,
    )
    came = json.loads(done.stdout)

    assert "Open-Meteo" in came["said"]
    assert came["peak"] < MOST_MEMORY
    assert came["seconds"] < ONCE.deadline + 2.0


def test_an_error_that_is_packed_still_says_its_reason(server, tmp_path: Path):
    reason = b'{"error":true,"reason":"Too many variables"}'
    server.serve("/v1/forecast", bomb("gzip", gzip.compress(reason), status=400))

    async def refused() -> None:
        async with open_client(None, addresses={"open_meteo": server.url}, policy=ONCE) as client:
            await client.get("/v1/forecast", {}, source="open_meteo")

    with pytest.raises(SourceError, match="Too many variables"):
        asyncio.run(refused())


@given(st.binary(max_size=5000), st.integers(1, 6000), st.sampled_from(["gzip", "deflate"]))
def test_what_is_unpacked_is_the_body_up_to_the_limit(body, limit, encoding):
    raw = gzip.compress(body) if encoding == "gzip" else zlib.compress(body)

    assert unpack(raw, encoding, limit) == body[:limit]


@given(st.binary(min_size=1, max_size=300), st.data())
def test_a_body_cut_short_is_refused(body, data):
    raw = gzip.compress(body)
    cut = raw[: data.draw(st.integers(0, len(raw) - 1))]

    with pytest.raises(ValueError, match="compressed"):
        unpack(cut, "gzip", LARGEST)


def test_a_second_member_is_refused():
    with pytest.raises(ValueError, match="not complete"):
        unpack(gzip.compress(b"{}") + gzip.compress(b"x"), "gzip", LARGEST)

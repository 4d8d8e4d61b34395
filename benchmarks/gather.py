"""Compare asking all services with asking the slowest alone, every answer 200 ms late.

Run with `python -m benchmarks.gather`. The services are the fakes of the tests, on sockets of
this machine. Some sources need several requests one after the other (place, stations, values
of a station), so the whole can't be faster than the slowest of them. The last line is the
wall time of the whole divided by that of the slowest source alone.
"""

from __future__ import annotations

import asyncio
import statistics
import tempfile
import time
from collections.abc import Awaitable, Callable
from datetime import timedelta
from pathlib import Path

from safety_check.sources import gather
from safety_check.sources.http.client import Client, open_client
from safety_check.sources.question import Question, title
from safety_check.sources.registry import adapters
from tests.sources.fakes import NOW, Services
from tests.sources.gathering import question, settings, trip

LATENCY = 0.2  # s
ROUNDS = 5
Ask = Callable[[Client, Question], Awaitable[object]]


def wall(services: Services, ask: Ask, *, warm: bool) -> float:
    """Return the median wall time of asking [s], with nothing saved, or an hour after a check."""
    return statistics.median(_once(services, ask, warm) for _ in range(ROUNDS))


def _once(services: Services, ask: Ask, warm: bool) -> float:
    with tempfile.TemporaryDirectory() as folder:
        if warm:
            asyncio.run(_ask(services, ask, Path(folder), timedelta(0)))
        start = time.perf_counter()
        asyncio.run(_ask(services, ask, Path(folder), timedelta(hours=1 if warm else 0)))
        return time.perf_counter() - start


async def _ask(services: Services, ask: Ask, folder: Path, later: timedelta) -> None:
    now = NOW + later
    addresses = services.addresses()
    asked = question(trip(), settings({}, folder), now)
    async with open_client(folder, addresses=addresses, now=lambda: now) as client:
        await ask(client, asked)


def main() -> None:
    """Print the times and the ratios."""
    with Services(latency=LATENCY) as services:
        _once(services, gather.ask_all, warm=False)  # imports and first connections
        alone = {
            title(sources[0]): wall(services, gather.load_adapter(name), warm=False)
            for name, sources in adapters().items()
        }
        whole = wall(services, gather.ask_all, warm=False)
        later = wall(services, gather.ask_all, warm=True)
    for name, seconds in alone.items():
        print(f"{name} alone: {seconds:.2f} s")
    slowest = max(alone.values())
    print(f"all one after the other: {sum(alone.values()) / slowest:.1f} times the slowest")
    print(f"whole, nothing saved: {whole:.2f} s, {whole / LATENCY:.1f} times one bare answer")
    print(f"whole, an hour after a check: {later:.2f} s, {later / LATENCY:.1f} times")
    print(f"gather_to_slowest: {whole / slowest:.2f}")


if __name__ == "__main__":
    main()

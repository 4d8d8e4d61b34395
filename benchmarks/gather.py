"""Compare asking all services with asking the slowest alone, every answer 200 ms late.

Run with `python -m benchmarks.gather`. The services are the fakes of the tests, on sockets of
this machine, for a launch in the United States, in Norway and in Canada, the services of official
warnings included. Some sources need several requests one after the other (place, stations, values
of a station), so the whole can't be faster than the slowest of them. The last line is the wall
time of the whole divided by that of the slowest source alone, at the launch where it is greatest.
"""

from __future__ import annotations

import asyncio
import statistics
import tempfile
import time
from collections.abc import Awaitable, Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from unittest.mock import patch

from safety_check.sources import gather
from safety_check.sources.coverage import covers
from safety_check.sources.http.client import Client, open_client
from safety_check.sources.question import Question, title
from safety_check.sources.registry import adapters
from safety_check.sources.warning_services.briefing import ask_warning_services
from tests.sources import fakes
from tests.sources.fakes import NOW, Services
from tests.sources.gathering import question, settings, trip

LATENCY = 0.2  # s
ROUNDS = 5
LAUNCHES = {
    "a lake in the United States": fakes.HERE,
    "a fjord in Norway": (60.1, 6.5),
    "a lake in Canada": (51.0, -99.6),
}
Place = tuple[float, float]
Ask = Callable[[Client, Question], Awaitable[object]]


def wall(services: Services, ask: Ask, here: Place, *, warm: bool) -> float:
    """Return the median wall time of asking [s], with nothing saved, or an hour after a check."""
    return statistics.median(_once(services, ask, here, warm) for _ in range(ROUNDS))


def _once(services: Services, ask: Ask, here: Place, warm: bool) -> float:
    with tempfile.TemporaryDirectory() as folder:
        if warm:
            asyncio.run(_ask(services, ask, here, Path(folder), timedelta(0)))
        start = time.perf_counter()
        asyncio.run(_ask(services, ask, here, Path(folder), timedelta(hours=1 if warm else 0)))
        return time.perf_counter() - start


async def _ask(services: Services, ask: Ask, here: Place, folder: Path, later: timedelta) -> None:
    now = NOW + later
    addresses = services.addresses()
    asked = question(trip(), settings({}, folder), now)
    asked = replace(asked, here=here, places=(here,), launches=(here,))
    async with open_client(folder, addresses=addresses, now=lambda: now) as client:
        await ask(client, asked)


def sources_at(here: Place) -> dict[str, Ask]:
    """Return every source that is asked at a launch, the official warnings among them."""
    found: dict[str, Ask] = {
        title(sources[0]): gather.load_adapter(name)
        for name, sources in adapters().items()
        if any(covers(source, *here) for source in sources)
    }
    return found | {"services of official warnings": ask_warning_services}


def compare(name: str, here: Place) -> float:
    """Print the times at one launch; return the ratio of the whole to the slowest source."""
    # The fakes answer for this launch, so that no answer is for another place.
    with patch.object(fakes, "HERE", here), Services(latency=LATENCY) as services:
        _once(services, gather.ask_all, here, warm=False)  # imports and first connections
        alone = {
            source: wall(services, ask, here, warm=False)
            for source, ask in sources_at(here).items()
        }
        whole = wall(services, gather.ask_all, here, warm=False)
        later = wall(services, gather.ask_all, here, warm=True)
    slowest = max(alone.values())
    print(f"{name}:")
    for source, seconds in alone.items():
        print(f"  {source} alone: {seconds:.2f} s")
    print(f"  all one after the other: {sum(alone.values()) / slowest:.1f} times the slowest")
    print(f"  whole, nothing saved: {whole:.2f} s, {whole / LATENCY:.1f} times one bare answer")
    print(f"  whole, an hour after a check: {later:.2f} s, {later / LATENCY:.1f} times")
    print(f"  whole to slowest: {whole / slowest:.2f}")
    return whole / slowest


def main() -> None:
    """Print the times and the ratios."""
    ratios = [compare(name, here) for name, here in LAUNCHES.items()]
    print(f"gather_to_slowest: {max(ratios):.2f}")


if __name__ == "__main__":
    main()

"""Open water around many launches in one pass over each shore, against launch by launch.

Run with `python -m benchmarks.shore_fetch`. The shores are invented: one lake with many launches,
and many lakes with ten each. Everything is computed into an empty cache, and then read from it.
Processor times; launch by launch is timed on a sample and scaled. The last line is the ratio for
the one lake.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable, Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from benchmarks.fetch import invented_lake
from safety_check.model.craft import Paddler
from safety_check.model.place import Launch, Water
from safety_check.model.plan import Plan
from safety_check.settings.settings import load_settings
from safety_check.waters.open_water import open_waters
from safety_check.waters.projection import to_degrees

VERTICES, LAUNCHES = 5_000, 1_000
LAKES, SMALLER, OF_EACH = 100, 600, 10
SAMPLE = 20
START = datetime(2026, 6, 13, 12, tzinfo=UTC)


def plans_on(name: str, vertices: int, launches: int, longitude: float) -> list[Plan]:
    """Return a plan at each of some launches around the shore of an invented lake."""
    rings = tuple(to_degrees(ring, longitude, 45.0) for ring in invented_lake(vertices))
    at = np.linspace(0, len(rings[0]) - 1, launches, endpoint=False).astype(int)
    places = tuple(
        Launch(str(number), float(north), float(east))
        for number, (east, north) in enumerate(rings[0][at])
    )
    water = Water(name=name, time_zone="UTC", launches=places, shoreline=rings)
    craft = load_settings(Path(tempfile.mkdtemp())).craft("sit-on-top-kayak")
    return [
        Plan(water, place, craft, Paddler(), START, START + timedelta(hours=4), reach=1609.0)
        for place in places
    ]


def seconds(work: Callable[[], object]) -> float:
    """Return the processor time of the work."""
    began = time.process_time()
    work()
    return time.process_time() - began


def compare(what: str, plans: Sequence[Plan], sample: Sequence[Plan]) -> float:
    """Print what a launch costs in one pass, by itself and read again; return the ratio."""
    cache = Path(tempfile.mkdtemp())
    at_once = seconds(lambda: open_waters(plans, cache)) / len(plans)
    again = seconds(lambda: open_waters(plans, cache)) / len(plans)
    alone = Path(tempfile.mkdtemp())
    single = seconds(lambda: [open_waters([plan], alone) for plan in sample]) / len(sample)
    print(
        f"{what}: {1e3 * at_once:.1f} ms a launch in one pass, {1e3 * single:.1f} ms by itself"
        f" ({single / at_once:.1f} times), {1e3 * again:.1f} ms from the cache"
    )
    return single / at_once


def main() -> None:
    """Compare one lake and many; the headline comes last."""
    lakes = [plans_on(f"lake {n}", SMALLER, OF_EACH, -90.0 + 0.5 * n) for n in range(LAKES)]
    some = [plans[0] for plans in lakes[:SAMPLE]]
    compare(f"{LAKES} lakes, {OF_EACH} launches each", [p for plans in lakes for p in plans], some)
    one = plans_on("one lake", VERTICES, LAUNCHES, -100.0)
    ratio = compare(f"one lake, {LAUNCHES} launches", one, one[:: LAUNCHES // SAMPLE])
    print(f"times_launch_by_launch: {ratio:.1f}")


if __name__ == "__main__":
    main()

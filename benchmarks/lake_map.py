"""How long the lee and a map take, as ratios to searching member by member and place by place.

Run: python -m benchmarks.lake_map

The lee of a trip is read from the strongest wind that each place bears; beside it stands the
same answer by the off-wind search for each forecast and hour (a sample of them, scaled). A map
of one hour searches all places at once; beside it each place by itself (a sample, scaled).
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.conditions.lee import Winds, find_lee
from safety_check.model.place import WholeWater
from safety_check.physics.fetch import smoothed_fetch, straight_fetch
from safety_check.physics.off_wind import largest_sea, smoothed_radials
from safety_check.physics.places import lattice, lattice_spacing

SIZES = (375, 1500, 6000)
HEADLINE = 1500  # places, as the program takes them
MEMBERS, INSTANTS, BOUND = 30, 7, 0.25
SAMPLE = 8
BEARINGS = np.arange(0.0, 360.0, 5.0)


def invented_lake(places: int) -> WholeWater:
    """Return a ragged lake of 1,000 corners and 20 islands, some 4 km across."""
    rng = np.random.default_rng(1)
    turn = np.linspace(0, 2 * np.pi, 1000)
    rough = 1 + 0.2 * np.sin(7 * turn) + 0.02 * rng.uniform(-1, 1, 1000) * np.sin(turn / 2) ** 2
    around = np.column_stack([np.sin(turn), np.cos(turn)])
    islands = [60 * around[::50] + rng.uniform(-1000, 1000, 2) for _ in range(20)]
    rings = [2000 * rough[:, None] * around, *islands]
    rings = [np.vstack([ring[:-1], ring[:1]]) for ring in rings]
    spacing = lattice_spacing(rings, places)
    points = lattice(rings, spacing)
    fetch = straight_fetch(rings, points, BEARINGS)
    smoothed = smoothed_fetch(fetch, BEARINGS)
    return WholeWater((0.0, 45.0), spacing, points, BEARINGS, fetch, smoothed, 10.0, points[0])


def seconds(work: Callable[[], object]) -> float:
    """Return the least wall time of three runs."""
    taken = []
    for _ in range(3):
        begun = time.perf_counter()
        work()
        taken.append(time.perf_counter() - begun)
    return min(taken)


def forecasts() -> Winds:
    """Return a fresh morning in thirty versions."""
    rng = np.random.default_rng(2)
    shape = (MEMBERS, INSTANTS)
    speed = np.linspace(3, 9, INSTANTS) + rng.normal(0, 1, shape)
    return Winds(speed.clip(0), rng.normal(300, 15, shape), np.full(MEMBERS, 1 / MEMBERS))


def by_search(water: WholeWater, winds: Winds, radials: FloatArray) -> FloatArray:
    """Return which places stay below the bound in a sample of the forecasts."""
    pairs = zip(winds.speed.ravel()[:SAMPLE], winds.direction.ravel()[:SAMPLE], strict=True)
    below = [largest_sea(np.array(u), np.array(d), radials, water.depth).height for u, d in pairs]
    return np.array(below)


def main() -> None:
    """Print times and ratios for three sizes of lattice."""
    winds = forecasts()
    headline = 0.0
    for size in SIZES:
        water = invented_lake(size)
        radials = smoothed_radials(water.bearings, water.fetch)
        table = seconds(lambda water=water: find_lee(water, winds, BOUND, 0.1))  # type: ignore[misc]
        search = seconds(lambda w=water, r=radials: by_search(w, winds, r))  # type: ignore[misc]
        search *= MEMBERS * INSTANTS / SAMPLE
        hour = seconds(lambda w=water, r=radials: map_of(w, r))  # type: ignore[misc]
        single = seconds(lambda w=water: one_by_one(w))  # type: ignore[misc]
        single *= len(water.points) / SAMPLE
        print(f"{len(water.points)} places, {MEMBERS} forecasts, {INSTANTS} hours:")
        print(f"  lee {1000 * table:.1f} ms; by the search {search / table:.0f} times as long")
        print(f"  map {1000 * hour:.1f} ms; place by place {single / hour:.0f} times as long")
        headline = search / table if size == HEADLINE else headline
    print(f"times_the_direct_search: {headline:.0f}")


def map_of(water: WholeWater, radials: FloatArray) -> FloatArray:
    """Return the waves of one wind at all places."""
    return largest_sea(np.array(8.0), np.array(300.0), radials, water.depth).height


def one_by_one(water: WholeWater) -> list[FloatArray]:
    """Return the waves of one wind at a sample of places, each by itself."""
    wind, towards = np.array([8.0]), np.array([300.0])
    return [
        largest_sea(
            wind, towards, smoothed_radials(water.bearings, water.fetch[:, place]), water.depth
        ).height
        for place in range(SAMPLE)
    ]


if __name__ == "__main__":
    main()

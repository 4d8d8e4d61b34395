"""Fetch on an invented lake: time, memory and error against shapely and rational arithmetic.

`python -m benchmarks.fetch` prints ratios of one run; the references are timed on a sample and
scaled to the same number of rays.
"""

from __future__ import annotations

import time
import tracemalloc
from collections.abc import Callable, Sequence
from fractions import Fraction
from functools import partial

import numpy as np
import shapely

from safety_check.arrays import FloatArray
from safety_check.physics.fetch import straight_fetch

VERTICES, ISLANDS, POINTS, DIRECTIONS = 5_000, 30, 10_000, 72
SAMPLE = 40
EXACT_POINTS = 100
REPEATS = 5
BEYOND = 50_000.0
"""Farther than any shore of the lake. [m]"""


def invented_lake(vertices: int, islands: int = ISLANDS) -> list[FloatArray]:
    """Return a winding lake of about 19 km by 8 km; three vertices in ten go to islands."""
    rng = np.random.default_rng(20261125)
    each = 3 * vertices // (10 * islands)
    rings = [_rough_ring(rng, vertices - each * islands, 3000.0, 0.35)]
    centres: list[FloatArray] = []
    while len(centres) < islands:
        centre = rng.uniform(-1900, 1900, 2)
        apart = [np.hypot(*(centre - other)) for other in centres]
        if np.hypot(*centre) < 1900 and min(apart, default=np.inf) > 260:
            centres.append(centre)
            rings.append(_rough_ring(rng, each, rng.uniform(20, 90), 0.25) + centre)
    return [_bent(ring) for ring in rings]


def _rough_ring(
    rng: np.random.Generator, vertices: int, radius: float, roughness: float
) -> FloatArray:
    """Return a closed ring whose radius varies on all scales, less on the smaller ones."""
    waves = np.arange(2, 400)
    height = roughness * rng.standard_normal(waves.size) * waves**-1.3
    phase = rng.uniform(0, 2 * np.pi, waves.size)
    turn = np.arange(vertices) / vertices * 2 * np.pi
    reach = radius * (1 + np.cos(np.outer(turn, waves) + phase) @ height)
    ring = np.column_stack([reach * np.cos(turn), reach * np.sin(turn)])
    return np.vstack([ring, ring[:1]])


def _bent(ring: FloatArray) -> FloatArray:
    """Stretch and bend a ring: two shears, so that nothing comes to cross."""
    east, north = 2.5 * ring[:, 0], ring[:, 1]
    north = north + 1500 * np.sin(east / 1800)
    east = east + 700 * np.sin(north / 500)
    return np.column_stack([east, north])


def water_points(rings: Sequence[FloatArray], count: int) -> FloatArray:
    """Return random points on the water."""
    lake = shapely.Polygon(rings[0], rings[1:])
    if not lake.is_valid:
        raise ValueError(shapely.is_valid_reason(lake))
    corners = np.concatenate(rings)
    rng = np.random.default_rng(1)
    tried = rng.uniform(corners.min(axis=0), corners.max(axis=0), (10 * count, 2))
    afloat: FloatArray = tried[shapely.contains_xy(lake, *tried.T)][:count]
    return afloat


def seconds(work: Callable[[], object], repeats: int = REPEATS) -> float:
    """Return the shortest of some runs, the one that other programs disturbed least."""
    taken = []
    for _ in range(repeats):
        begin = time.perf_counter()
        work()
        taken.append(time.perf_counter() - begin)
    return min(taken)


def peak_memory(work: Callable[[], object]) -> int:
    """Return how much more memory than before the work held at its peak, the answer included."""
    tracemalloc.start()
    work()
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return peak


def all_round(count: int) -> FloatArray:
    """Return bearings evenly round the circle, from north."""
    return np.arange(count) * 360 / count


def looks(bearings: FloatArray) -> FloatArray:
    """Return one metre towards each bearing, east and north."""
    return np.column_stack([np.sin(np.radians(bearings)), np.cos(np.radians(bearings))])


def _rays(points: FloatArray, bearings: FloatArray) -> tuple[FloatArray, FloatArray]:
    begin = np.tile(points, (len(bearings), 1))
    end = begin + BEYOND * np.repeat(looks(bearings), len(points), axis=0)
    return begin, np.stack([begin, end], axis=1)


def by_strtree(rings: Sequence[FloatArray], points: FloatArray, bearings: FloatArray) -> FloatArray:
    """Return the fetch by shapely's tree of the shore's edges, all rays asked at once."""
    begin, ends = _rays(points, bearings)
    rays = np.asarray(shapely.linestrings(ends))
    pairs = [np.stack([ring[:-1], ring[1:]], axis=1) for ring in rings]
    edges = np.asarray(shapely.linestrings(np.concatenate(pairs)))
    ray, edge = shapely.STRtree(edges).query(rays, predicate="intersects")
    met = shapely.intersection(rays[ray], edges[edge])
    fetch = np.full(len(rays), np.inf)
    np.minimum.at(fetch, ray, shapely.distance(shapely.points(begin[ray]), met))
    return fetch.reshape(len(bearings), len(points))


def by_intersection(
    rings: Sequence[FloatArray], points: FloatArray, bearings: FloatArray
) -> FloatArray:
    """Return the fetch by one library intersection of each ray with the whole shore."""
    shore = shapely.MultiLineString([ring.tolist() for ring in rings])
    begin, ends = _rays(points, bearings)
    met = shapely.intersection(shapely.linestrings(ends), shore)
    return np.reshape(shapely.distance(shapely.points(begin), met), (len(bearings), len(points)))


def exactly(rings: Sequence[FloatArray], points: FloatArray, bearings: FloatArray) -> FloatArray:
    """Return the fetch in rational arithmetic of the same doubles, rounded once at the end."""
    starts = np.concatenate([ring[:-1] for ring in rings])
    ends = np.concatenate([ring[1:] for ring in rings])
    fetch = np.empty((len(bearings), len(points)))
    for row, look in enumerate(looks(bearings)):
        across = np.array([look[1], -look[0]])
        low = np.minimum(starts @ across, ends @ across) - 1e-3
        high = np.maximum(starts @ across, ends @ across) + 1e-3
        for column, point in enumerate(points):
            near = np.flatnonzero((low <= point @ across) & (point @ across <= high))
            fetch[row, column] = _nearest_exactly(point, look, starts[near], ends[near])
    return fetch


def _nearest_exactly(
    point: FloatArray, look: FloatArray, starts: FloatArray, ends: FloatArray
) -> float:
    east, north, towards, up = (
        Fraction(coordinate) for coordinate in (*point.tolist(), *look.tolist())
    )
    found = []
    for (x0, y0), (x1, y1) in zip(starts.tolist(), ends.tolist(), strict=True):
        a, b = Fraction(x0) - east, Fraction(y0) - north
        c, d = Fraction(x1) - east, Fraction(y1) - north
        left, right = towards * b - up * a, towards * d - up * c
        if (left < 0) != (right < 0):
            share = left / (left - right)
            along = towards * (a + share * (c - a)) + up * (b + share * (d - b))
            found.append(along / (towards**2 + up**2))
    return float(min(distance for distance in found if distance > 0))


def print_growth(bearings: FloatArray) -> None:
    """Print the time over three sizes of each kind, and its ratio to the size before."""
    lake = invented_lake(VERTICES)
    afloat = water_points(lake, 100_000)
    kinds: dict[str, list[tuple[int, Callable[[], object]]]] = {
        "points": [
            (count, partial(straight_fetch, lake, afloat[:count], bearings))
            for count in (1_000, 10_000, 100_000)
        ],
        "edges": [
            (count, partial(straight_fetch, rings, water_points(rings, POINTS), bearings))
            for count in (500, 5_000, 50_000)
            for rings in [invented_lake(count)]
        ],
        "directions": [
            (count, partial(straight_fetch, lake, afloat[:POINTS], all_round(count)))
            for count in (36, 72, 144)
        ],
    }
    for kind, sizes in kinds.items():
        before = None
        for size, work in sizes:
            taken = seconds(work, 3)
            ratio = "" if before is None else f", {taken / before:.2f} times the size before"
            print(f"{size:>7,} {kind}: {taken * 1000:.0f} ms{ratio}")
            before = taken


def main() -> None:
    """Print what was measured; the headline last."""
    rings = invented_lake(VERTICES)
    points = water_points(rings, POINTS)
    bearings = all_round(DIRECTIONS)
    edges = sum(len(ring) - 1 for ring in rings)
    print(f"{edges:,} edges, {ISLANDS} islands, {DIRECTIONS} directions, {POINTS:,} points")

    work = partial(straight_fetch, rings, points, bearings)
    ours, memory = seconds(work), peak_memory(work)
    print(f"sorted sweep: {ours:.3f} s, {memory / 1e6:.1f} MB at its peak")

    fetch = straight_fetch(rings, points[:SAMPLE], bearings)
    times = {}
    for name, reference in (("STRtree", by_strtree), ("one intersection a ray", by_intersection)):
        apart = np.abs(reference(rings, points[:SAMPLE], bearings) - fetch).max()
        taken = seconds(partial(reference, rings, points[:SAMPLE], bearings), 2)
        times[name] = taken * POINTS / SAMPLE
        print(
            f"{name}: {times[name]:.0f} s ({SAMPLE} points, scaled), {times[name] / ours:,.0f}"
            f" times; it differs by {apart:.1e} m at most"
        )

    sample = points[:EXACT_POINTS]
    wrong = np.abs(straight_fetch(rings, sample, bearings) - exactly(rings, sample, bearings)).max()
    print(f"error against rational arithmetic, {EXACT_POINTS} points: {wrong:.1e} m at most")

    print_growth(bearings)
    print(f"times_the_strtree: {times['STRtree'] / ours:.0f}")


if __name__ == "__main__":
    main()

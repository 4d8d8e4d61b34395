"""Waves at ten thousand points for a week, against the same formulas in a plain loop.

Run with `python -m benchmarks.waves`. Prints the time for height and period at every point and
hour, each hour with the fetch of its own wind's direction, and the ratio to a plain loop on a
sample in the same run; then the searches on which a check and a map rest, and how their time
grows over three sizes. The last line is the ratio.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from functools import partial

import numpy as np

from safety_check.arrays import FloatArray, IntArray
from safety_check.physics.growth_through_hours import sea_through_hours
from safety_check.physics.off_wind import largest_sea, smoothed_radials
from safety_check.physics.waves import (
    GRAVITY,
    HEIGHT,
    PERIOD,
    STRONGEST_WIND,
    GrowthLaw,
    Sea,
    peak_period,
    significant_height,
)

POINTS, HOURS, MEMBERS = 10_000, 168, 120
BEARING = np.arange(0.0, 360.0, 5.0)
DEPTH = 12.0
SAMPLED_HOURS = 5
REPEATS = 5


def seconds(work: Callable[[], object]) -> float:
    """Return the best of several wall times."""
    spent = []
    for _ in range(REPEATS):
        began = time.perf_counter()
        work()
        spent.append(time.perf_counter() - began)
    return min(spent)


def looped(law: GrowthLaw, wind: float, fetch: float, depth: float) -> float:
    """Return one height or period, in plain Python with the same guards."""
    if not (0 <= wind <= STRONGEST_WIND and fetch >= 0 and depth > 0):
        return math.nan
    if wind == 0:
        return 0.0
    full, wind_power, fetch_factor, fetch_power, depth_factor, depth_power, power = law
    square = wind * wind
    limit = math.tanh(depth_factor * (GRAVITY * depth / square) ** depth_power)
    reached = fetch_factor * (GRAVITY * fetch / square) ** fetch_power
    share: float = (limit * math.tanh(reached / limit)) ** power
    return full / GRAVITY * wind**wind_power * share


def one_by_one(wind: FloatArray, row: IntArray, fetch: FloatArray) -> FloatArray:
    """Return heights and periods (2, hour, point) of a plain loop."""
    found = []
    for law in (HEIGHT, PERIOD):
        hours = []
        for speed, sector in zip(wind.tolist(), row.tolist(), strict=True):
            hours.append([looped(law, speed, reach, DEPTH) for reach in fetch[sector].tolist()])
        found.append(hours)
    return np.array(found)


def at_once(wind: FloatArray, row: IntArray, fetch: FloatArray) -> FloatArray:
    """Return the same, hour by hour over all points."""
    found = np.empty((2, wind.size, fetch.shape[1]))
    for hour, (speed, sector) in enumerate(zip(wind, row, strict=True)):
        found[0, hour] = significant_height(speed, fetch[sector], DEPTH)
        found[1, hour] = peak_period(speed, fetch[sector], DEPTH)
    return found


def weather(rng: np.random.Generator, members: int, hours: int) -> tuple[FloatArray, FloatArray]:
    """Return an invented ensemble: wind and the direction it comes from (member, hour)."""
    daily = 5.0 - 3.5 * np.cos(2 * np.pi * np.arange(hours) / 24)
    wind = np.maximum(daily + rng.normal(0, 1.5, (members, hours)), 0.0)
    return wind, (240 + rng.normal(0, 30, (members, hours))) % 360


def search(wind: FloatArray, direction: FloatArray, fetch: FloatArray) -> Sea:
    """Return the largest sea that each wind raises over the radials at `BEARING`."""
    return largest_sea(wind, direction, smoothed_radials(BEARING, fetch), np.inf)


def ratio_to_the_loop(rng: np.random.Generator) -> float:
    """Print height and period for every point and hour; return the ratio to a plain loop."""
    fetch = rng.uniform(0, 20_000, (BEARING.size, POINTS))
    wind, row = rng.uniform(0, 18, HOURS), rng.integers(0, BEARING.size, HOURS)
    few = slice(0, SAMPLED_HOURS)
    apart = np.abs(
        at_once(wind[few], row[few], fetch) - one_by_one(wind[few], row[few], fetch)
    ).max()
    ours = seconds(partial(at_once, wind, row, fetch))
    theirs = seconds(partial(one_by_one, wind[few], row[few], fetch)) * HOURS / SAMPLED_HOURS
    print(f"height and period, {POINTS} points x {HOURS} hours, depth {DEPTH:g} m")
    print(f"  ours {ours:.3f} s; a plain loop {theirs:.1f} s (on {SAMPLED_HOURS} hours, scaled)")
    print(f"  greatest difference {apart:.1e} m or s")
    return theirs / ours


def searches(rng: np.random.Generator) -> None:
    """Print the times of the searches over three sizes."""
    print("off-wind search, one hour on a map")
    for points in (POINTS // 10, POINTS, 2 * POINTS):
        fetch = rng.uniform(0, 20_000, (BEARING.size, points))
        spent = seconds(partial(search, np.array(8.0), np.array(222.5), fetch))
        print(f"  {points:6d} points  {spent:.3f} s")
    route = rng.uniform(500, 8_000, BEARING.size)
    print("an ensemble on a route: off-wind search; through the hours before")
    for members in (MEMBERS // 4, MEMBERS, 2 * MEMBERS):
        wind, direction = weather(rng, members, HOURS)
        alone = seconds(partial(search, wind, direction, route))
        after = seconds(partial(sea_through_hours, wind, direction, BEARING, route))
        print(f"  {members:3d} members x {HOURS} hours  {alone:.3f} s; {after:.3f} s")


def main() -> None:
    """Print everything; the ratio comes last."""
    rng = np.random.default_rng(20261125)
    ratio = ratio_to_the_loop(rng)
    searches(rng)
    print(f"times_the_loop: {ratio:.1f}")


if __name__ == "__main__":
    main()

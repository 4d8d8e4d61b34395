"""The fetch around launches at one shore: computed in one pass, kept by content."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.physics import places
from safety_check.physics.fetch import distance_to_shore, straight_fetch
from safety_check.physics.off_wind import smoothed_radials
from safety_check.waters.array_cache import cache_key, read_arrays, write_arrays

BEARINGS = np.arange(0.0, 360.0, 5.0)
MOST_POINTS = 150
CELL = 0.1
"""Launches in one cell of this size have their fetch from one plane around its middle [deg]: they
are at most 0.05° of longitude from it, so their bearings are off by 0.05° at most."""

TOGETHER = 64
"""Launches computed in one pass at most, which bounds the memory. [1]"""

VERSION = "straight fetch 2, in one pass, smoothed over 15 degrees, on the map"


class Reach(NamedTuple):
    """A launch, and how far a trip from it may go: longitude, latitude [deg] and reach [m]."""

    longitude: float
    latitude: float
    reach: float


def fetch_around(
    shoreline: Sequence[FloatArray], reaches: Sequence[Reach], cache: Path
) -> Iterator[dict[str, FloatArray]]:
    """Yield the places on the water in reach of each launch, and the fetch there.

    Parameters
    ----------
    shoreline
        Rings of longitude and latitude, as in `model.place.Water`. [deg]
    reaches
        Any number of launches at this shore.
    cache
        The user's cache folder. What is there is not computed again.

    Yields
    ------
    dict
        In the order of the reaches, in metres on the plane around each launch: `points`
        (point, 2), `fetch` and `radials` as in `model.place.OpenWater`, `distance` from the shore
        (point,), the shore as `ring_0`, `ring_1` and so on, and the launch `on_the_map` of the
        whole water (2,). The same for a launch by itself and among others, to the last bit.
    """
    for first in range(0, len(reaches), TOGETHER):
        some = reaches[first : first + TOGETHER]
        names = [cache_key(VERSION, [*shoreline, np.array(one), BEARINGS]) for one in some]
        paths = [cache / "open_water" / f"{name}.npz" for name in names]
        found = [read_arrays(path, name) for path, name in zip(paths, names, strict=True)]
        missing = [number for number, arrays in enumerate(found) if arrays is None]
        computed = _computed(shoreline, [some[number] for number in missing])
        for number, arrays in zip(missing, computed, strict=True):
            found[number] = arrays
            with contextlib.suppress(OSError):  # computed again next time
                write_arrays(paths[number], names[number], arrays)
        yield from (arrays for arrays in found if arrays is not None)


def _computed(
    shoreline: Sequence[FloatArray], reaches: Sequence[Reach]
) -> list[dict[str, FloatArray]]:
    from safety_check.waters.projection import local_rings, to_degrees, to_metres

    around = []
    for one in reaches:
        rings = local_rings(shoreline, *one[:2])
        points = places.reach_points(rings, np.zeros(2), one.reach, MOST_POINTS)
        around.append((rings, points))
    found: list[dict[str, FloatArray]] = [{} for _ in reaches]
    for cell in sorted({_cell(one) for one in reaches}):
        inside = [number for number, one in enumerate(reaches) if _cell(one) == cell]
        on_plane = [
            to_metres(to_degrees(around[number][1], *reaches[number][:2]), *cell)
            for number in inside
        ]
        fetch = straight_fetch(local_rings(shoreline, *cell), np.concatenate(on_plane), BEARINGS)
        ends = np.cumsum([len(points) for points in on_plane])
        for number, of_launch in zip(inside, np.split(fetch, ends[:-1], axis=1), strict=True):
            found[number] = _arrays(*around[number], _on_water(*around[number], of_launch))
            launch = np.array([reaches[number][:2]])
            found[number]["on_the_map"] = to_metres(launch, *middle_of(shoreline))[0]
    return found


def _on_water(rings: Sequence[FloatArray], points: FloatArray, fetch: FloatArray) -> FloatArray:
    """Return the fetch (bearing, point), also of places within a hair of the shore.

    The shore's straight edges are not quite the same on two planes: a place on the launch's plane
    can be ashore on the other one, where it has no fetch.
    """
    fetch = np.ascontiguousarray(fetch)
    ashore = np.isnan(fetch).any(axis=0)
    if ashore.any():
        fetch[:, ashore] = straight_fetch(rings, points[ashore], BEARINGS)
    return fetch


def middle_of(shoreline: Sequence[FloatArray]) -> tuple[float, float]:
    """Return the longitude and latitude of the middle of a water. [deg]."""
    corners = np.concatenate(shoreline)
    east, north = (corners.min(axis=0) + corners.max(axis=0)) / 2
    return float(east), float(north)


def _arrays(
    rings: Sequence[FloatArray], points: FloatArray, fetch: FloatArray
) -> dict[str, FloatArray]:
    return {
        "points": points,
        "fetch": fetch,
        "radials": smoothed_radials(BEARINGS, fetch),
        "distance": distance_to_shore(rings, points),
        **{f"ring_{number}": ring for number, ring in enumerate(rings)},
    }


def _cell(place: Reach) -> tuple[float, float]:
    """Return the middle of the cell that a launch is in: longitude, latitude. [deg]."""
    east, north = (float(round((np.floor(at / CELL) + 0.5) * CELL, 6)) for at in place[:2])
    return east, min(max(north, -90.0), 90.0)

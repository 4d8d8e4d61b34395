"""Water and its fetch, computed once and kept: the next check needs neither library nor time."""

from __future__ import annotations

import contextlib
import hashlib
import os
import tempfile
import zipfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.physics.fetch import distance_to_shore, straight_fetch
from safety_check.physics.places import reach_points
from safety_check.shoreline.plane import local_rings, to_metres

FORMULA_VERSION = 1
"""Raised whenever the same shoreline would give another answer; older files then lapse."""

Arrays = Mapping[str, FloatArray]


@dataclass(frozen=True)
class KeptWater:
    """The water around a launch, in metres east and north of it.

    Parameters
    ----------
    points : array (point, 2)
        Places that the trip may reach, the launch's nearest water first. [m]
    fetch : array (bearing, point)
        Straight open water upwind of each. [m]
    distance_from_shore : array (point,)
        To the nearest shore. [m]
    rings
        The shoreline, each ring (vertex, 2). [m]
    """

    points: FloatArray
    fetch: FloatArray
    distance_from_shore: FloatArray
    rings: tuple[FloatArray, ...]


def fetch_table_for(
    shoreline: Sequence[FloatArray],
    points: FloatArray,
    bearings: FloatArray,
    cache_folder: Path,
) -> FloatArray:
    """Return the fetch at given positions, from the cache where it is known.

    Parameters
    ----------
    shoreline
        Rings of longitude, latitude, each (vertex, 2). [deg]
    points : array (point, 2)
        Longitude, latitude; the first is the origin of the plane. [deg]
    bearings : array (bearing,)
        Directions from which the wind blows. [deg true]
    cache_folder
        Made where it does not exist; where it can't be written nothing is kept.

    Returns
    -------
    array (bearing, point)
        [m]; as from `straight_fetch`.
    """

    def compute() -> Arrays:
        rings = local_rings(shoreline, *points[0])
        return {"fetch": straight_fetch(rings, to_metres(points, *points[0]), bearings)}

    key = _key("table", *shoreline, points, bearings)
    return _kept(cache_folder, key, ("fetch",), compute)["fetch"]


def water_around(
    shoreline: Sequence[FloatArray],
    launch: tuple[float, float],
    reach: float,
    bearings: FloatArray,
    cache_folder: Path,
    route: FloatArray | None = None,
    most_points: int = 400,
) -> KeptWater:
    """Return the water that a trip may reach, from the cache where it is known.

    Parameters
    ----------
    shoreline
        Rings of longitude, latitude, each (vertex, 2). [deg]
    launch
        Longitude, latitude: the origin of the plane. [deg]
    reach
        How far from the launch the trip may go. [m]
    bearings : array (bearing,)
        Directions from which the wind blows. [deg true]
    cache_folder
        As in `fetch_table_for`.
    route : array (point, 2) or None
        Longitude, latitude of places that the trip passes [deg]; they join the others.
    most_points
        The most places within the reach.

    Returns
    -------
    KeptWater
        NaN fetch at a place of the route that lies on land.
    """
    way = np.empty((0, 2)) if route is None else route

    def compute() -> Arrays:
        rings = local_rings(shoreline, *launch)
        within = reach_points(rings, np.zeros(2), reach, most_points)
        points = np.concatenate([within, to_metres(way, *launch)])
        return {
            "points": points,
            "fetch": straight_fetch(rings, points, bearings),
            "distance_from_shore": distance_to_shore(rings, points),
            "vertices": np.concatenate(rings),
            "ring_ends": np.cumsum([len(ring) for ring in rings], dtype=np.float64),
        }

    numbers = np.array([*launch, reach, most_points])
    names = ("points", "fetch", "distance_from_shore", "vertices", "ring_ends")
    key = _key("around", *shoreline, way, bearings, numbers)
    held = _kept(cache_folder, key, names, compute)
    ends = held["ring_ends"].astype(np.int64)[:-1]
    return KeptWater(
        held["points"],
        held["fetch"],
        held["distance_from_shore"],
        tuple(np.split(held["vertices"], ends)),
    )


def _key(kind: str, *arrays: FloatArray) -> str:
    digest = hashlib.sha256(f"{kind} {FORMULA_VERSION}".encode())
    for each in arrays:
        exact = np.ascontiguousarray(each, dtype="<f8")
        digest.update(f" {exact.shape} ".encode())
        digest.update(exact.tobytes())
    return digest.hexdigest()


def _kept(folder: Path, key: str, names: Sequence[str], compute: Callable[[], Arrays]) -> Arrays:
    path = folder / f"fetch-{key}.npz"
    held = _read(path, key, names)
    if held is None:
        held = compute()
        with contextlib.suppress(OSError):  # a cache that can't be written only costs time
            _write(path, key, held)
    return held


def _read(path: Path, key: str, names: Sequence[str]) -> Arrays | None:
    """Return what a file holds, or None where it is missing, damaged or of other content."""
    try:
        with zipfile.ZipFile(path) as archive:
            if archive.testzip() is not None:
                return None
        with np.load(path, allow_pickle=False) as held:
            if str(held["key"]) != key:
                return None
            return {name: held[name] for name in names}
    except (OSError, ValueError, KeyError, EOFError, RuntimeError, zipfile.BadZipFile):
        return None


def _write(path: Path, key: str, arrays: Arrays) -> None:
    """Write a file whole or not at all."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=path.parent, suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            np.savez(file, allow_pickle=False, key=np.array(key), **arrays)
        os.replace(name, path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise

"""The fetch at places given in degrees, computed once for a shoreline and kept."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from safety_check import kept
from safety_check.arrays import FloatArray
from safety_check.physics.fetch import straight_fetch
from safety_check.shoreline.plane import local_rings, to_metres

VERSION = "fetch table 1"
"""Raised whenever the same shoreline would give another answer; older tables then lapse."""


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

    def compute() -> dict[str, FloatArray]:
        rings = local_rings(shoreline, *points[0])
        return {"fetch": straight_fetch(rings, to_metres(points, *points[0]), bearings)}

    name = kept.key(VERSION, [*shoreline, points, bearings])
    return kept.kept(cache_folder, name, compute)["fetch"]

"""Named outlines on the globe, shipped as compact files, and which of them are near a place.

A file of outlines is a NumPy archive. The coordinates are whole steps of a small part of a degree,
each given as the difference from the point before it, so that they compress well.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from safety_check.arrays import FloatArray, IntArray
from safety_check.errors import ConfigError

STEP = 0.001  # deg; 111 m of latitude
METRES_A_DEGREE = 111_195.0  # of a great circle on a sphere of 6371 km
SMALLEST_COSINE = 0.02  # beyond 88.9 degrees of latitude a degree of longitude is no measure

Ring = Sequence[tuple[float, float]]  # longitude, latitude [deg]
Part = Sequence[Ring]  # the outer ring and its holes


@dataclass(frozen=True)
class Outlines:
    """Outlines that consist of one or several parts each, every part with its holes.

    Parameters
    ----------
    names : array (part,)
        The name of the outline that each part belongs to.
    boxes : array (part, 4)
        West, south, east, north. [deg]
    first_ring : array (part + 1,)
        Where the rings of each part begin.
    first_point : array (ring + 1,)
        Where the points of each ring begin.
    longitude, latitude : arrays (point,)
        In steps of `STEP`, each ring as its first point and then differences.
    """

    names: np.ndarray
    boxes: FloatArray
    first_ring: IntArray
    first_point: IntArray
    longitude: IntArray
    latitude: IntArray

    def distances(self, latitude: float, longitude: float, within: float) -> dict[str, float]:
        """Return how far each outline near a place is [m]: 0 inside it.

        Parameters
        ----------
        latitude, longitude
            The place. [deg]
        within
            Outlines farther away than this are left out. [m]
        """
        found: dict[str, float] = {}
        for turn in (0.0, -360.0, 360.0):  # outlines end at the antimeridian
            for part in self._candidates(latitude, longitude + turn, within):
                apart = self._distance(part, latitude, longitude + turn)
                name = str(self.names[part])
                if apart <= min(within, found.get(name, math.inf)):
                    found[name] = apart
        return found

    def _candidates(self, latitude: float, longitude: float, within: float) -> Iterator[int]:
        up = within / METRES_A_DEGREE
        across = up / _cosine(latitude)
        west, south, east, north = self.boxes.T
        near = (west - across <= longitude) & (longitude <= east + across)
        near &= (south - up <= latitude) & (latitude <= north + up)
        yield from (int(part) for part in np.flatnonzero(near))

    def _distance(self, part: int, latitude: float, longitude: float) -> float:
        rings: list[FloatArray] = [
            np.cumsum(
                np.column_stack((self.longitude[points], self.latitude[points])), axis=0
            ).astype(np.float64)
            * STEP
            for points in self._rings(part)
        ]
        return distance_to_area(rings, latitude, longitude)

    def _rings(self, part: int) -> Iterator[slice]:
        for ring in range(self.first_ring[part], self.first_ring[part + 1]):
            yield slice(self.first_point[ring], self.first_point[ring + 1])


def distance_to_area(
    rings: Sequence[FloatArray], latitude: float, longitude: float, *, repair: bool = False
) -> float:
    """Return how far a place is from an area [m]; 0 inside.

    Parameters
    ----------
    rings : sequence of array (point, 2)
        The outer ring and its holes. [deg longitude, deg latitude]
    latitude, longitude
        The place. The longitude has to be in the same turn as the area's. [deg]
    repair
        Whether a ring that crosses itself is replaced by its hull, so that its inside is not
        taken for outside.
    """
    from shapely import Point, Polygon

    scale = np.array([_cosine(latitude), 1.0]) * METRES_A_DEGREE
    outer, *holes = ((ring - (longitude, latitude)) * scale for ring in rings)
    area = Polygon(outer, holes)
    if repair and not area.is_valid:
        return float(area.convex_hull.distance(Point(0.0, 0.0)))
    return float(area.distance(Point(0.0, 0.0)))


def _cosine(latitude: float) -> float:
    return max(math.cos(math.radians(latitude)), SMALLEST_COSINE)


def write_outlines(path: Path, parts: Iterable[tuple[str, Part]]) -> None:
    """Write named parts to a file; the names stay in the given order.

    Parameters
    ----------
    path
        The file, which ends in .npz.
    parts
        Each the name of its outline, and its rings.
    """
    names, boxes, first_ring, first_point = [], [], [0], [0]
    east, north = [], []
    for name, rings in parts:
        names.append(name)
        for number, ring in enumerate(rings):
            steps = np.rint(np.array(ring, dtype=float) / STEP).astype(np.int64)
            if number == 0:
                boxes.append((*(steps.min(axis=0) * STEP), *(steps.max(axis=0) * STEP)))
            moved = np.diff(steps, axis=0, prepend=np.zeros((1, 2), dtype=np.int64))
            east.append(moved[:, 0])
            north.append(moved[:, 1])
            first_point.append(first_point[-1] + len(steps))
        first_ring.append(first_ring[-1] + len(rings))
    np.savez_compressed(
        path,
        names=np.array(names),
        boxes=np.array(boxes, dtype=np.float32),
        first_ring=np.array(first_ring, dtype=np.int32),
        first_point=np.array(first_point, dtype=np.int32),
        longitude=np.concatenate(east).astype(np.int32),
        latitude=np.concatenate(north).astype(np.int32),
    )


def read_outlines(path: Path) -> Outlines:
    """Return the outlines of a file; raise ConfigError where it can't be read."""
    try:
        with np.load(path, allow_pickle=False) as stored:
            return Outlines(
                names=stored["names"],
                boxes=stored["boxes"].astype(float),
                first_ring=stored["first_ring"].astype(np.int64),
                first_point=stored["first_point"].astype(np.int64),
                longitude=stored["longitude"].astype(np.int64),
                latitude=stored["latitude"].astype(np.int64),
            )
    except (OSError, ValueError, KeyError) as trouble:
        raise ConfigError(
            f"{path.name}: the shipped outlines can't be read ({trouble}). Which services warn"
            " for a place is unknown without them. Install safety-check again."
        ) from trouble

"""An invented lake for the tests: a rectangle with an island, the launch on its west shore."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np

from safety_check.model.place import OpenWater, Water, WaterKind
from safety_check.model.plan import Plan
from safety_check.physics.fetch import distance_to_shore, straight_fetch
from safety_check.physics.off_wind import smoothed_radials
from safety_check.physics.places import reach_points
from safety_check.waters.projection import to_degrees
from tests import scenes


def rectangle(west: float, south: float, east: float, north: float) -> np.ndarray:
    """Return a closed ring in metres."""
    return np.array(
        [[west, south], [east, south], [east, north], [west, north], [west, south]], dtype=float
    )


SHORE = rectangle(0.0, -2000.0, 4000.0, 2000.0)
ISLAND = rectangle(1300.0, -200.0, 1700.0, 200.0)
RINGS = (SHORE, ISLAND)
PLACE = (scenes.LAUNCH.longitude, scenes.LAUNCH.latitude)


def degrees(*points: tuple[float, float]) -> np.ndarray:
    """Return metres east and north of the launch as longitude and latitude."""
    return to_degrees(np.array(points, dtype=float), *PLACE)


def words(*points: tuple[float, float]) -> str:
    """Return metres east and north of the launch as --route takes them."""
    return "; ".join(f"{lat:.7f},{lon:.7f}" for lon, lat in degrees(*points))


WATER = Water(
    "Invented Lake",
    scenes.WATER.time_zone,
    (scenes.LAUNCH,),
    shoreline=tuple(to_degrees(ring, *PLACE) for ring in RINGS),
    depth=10.0,
    kind=WaterKind.STILL,
)


@cache
def open_water(reach: float = 1609.344, most: int = 30) -> OpenWater:
    """Return the open water around the launch; the same for all who ask for the same."""
    return water_within(RINGS, reach, most)


def water_within(rings: Sequence[np.ndarray], reach: float = 1609.344, most: int = 30) -> OpenWater:
    """Return the open water around a launch at the origin, inside these rings."""
    bearings = np.arange(0.0, 360.0, 5.0)
    points = reach_points(rings, np.zeros(2), reach, most)
    fetch = straight_fetch(rings, points, bearings)
    return OpenWater(
        points=points,
        bearings=bearings,
        fetch=fetch,
        radials=smoothed_radials(bearings, fetch),
        distance_from_shore=distance_to_shore(rings, points),
        rings=tuple(rings),
        depth=10.0,
    )


def plan(*route: tuple[float, float], **more: Any) -> Plan:
    """Return a trip on the lake; with points, along them."""
    trip = replace(scenes.plan(**more), water=WATER)
    if not route:
        return trip
    far = float(np.hypot(*np.array(route).T).max())
    return replace(trip, route=degrees(*route), reach=far)

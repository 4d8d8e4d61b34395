"""Check a shoreline from a file, and repair what can be repaired without guessing."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from safety_check.arrays import FloatArray, IntArray
from safety_check.errors import ConfigError
from safety_check.waters.rings import read_polygons

if TYPE_CHECKING:
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

LEAST_AREA = 100.0  # m²
GREATEST_AREA = 5e11  # m²; the Caspian has 3.7e11
MOST_VERTICES = 150_000
TOLERANCES = (1.0, 2.0, 4.0, 8.0, 16.0, 32.0)  # m
DOUBTFUL_SHARE = 0.01  # share of the area by which two readings of a crossed shore may differ
MOST_CROSSINGS = 1000  # judgement: a wandering track has fewer; untangling ten times as many hangs
EDGES_AT_ONCE = 64
METRES_PER_DEGREE = 111_195.0  # of latitude, on a sphere; for notes and tolerances only

Rings = tuple[FloatArray, ...]


def check_shoreline(geometry: Mapping[str, Any], name: str) -> tuple[Rings, tuple[str, ...]]:
    """Return a shoreline's rings, sound and in one piece, and the repairs made to it.

    Parameters
    ----------
    geometry
        A GeoJSON Polygon or MultiPolygon, longitude first (RFC 7946). [deg]
    name
        Of the file, for the messages.

    Returns
    -------
    rings
        Closed, each (vertex, 2), longitude and latitude; an odd number of them encloses
        water. Where the water crosses the antimeridian, longitudes continue past ±180. [deg]
    repairs
        Each a sentence without its full stop; none for a valid shape.

    Raises
    ------
    ConfigError
        Where the shape is not a lake, or cannot be repaired without guessing.
    """
    repairs: list[str] = []
    polygons = read_polygons(geometry, name)
    first_longitude = float(polygons[0][0][0, 0])
    sound = [
        _sound_polygon(
            [
                _closed(_together(ring, first_longitude, repairs), f"{name}, ring {place}", repairs)
                for place, ring in enumerate(rings, 1)
            ],
            name,
            repairs,
        )
        for rings in polygons
    ]
    water = _lighter(_united(sound, repairs), repairs)
    _require_lake(water, name)
    return _rings_of(water), tuple(dict.fromkeys(repairs))


def _together(ring: FloatArray, first_longitude: float, repairs: list[str]) -> FloatArray:
    """Return a ring whose longitudes continue across the antimeridian, near the first ring."""
    running = np.unwrap(ring[:, 0], period=360)
    running -= 360 * np.round((running.mean() - first_longitude) / 360)
    longitude = ring[:, 0] + 360 * np.round((running - ring[:, 0]) / 360)
    if np.any(longitude != ring[:, 0]):
        repairs.append("the water crosses the antimeridian; its longitudes continue past 180")
    return np.column_stack([longitude, ring[:, 1]])


def _closed(ring: FloatArray, where: str, repairs: list[str]) -> FloatArray:
    """Return a ring closed by a straight edge, where that edge is like its others."""
    if np.array_equal(ring[0], ring[-1]):
        return ring
    stretch = METRES_PER_DEGREE * np.array([math.cos(math.radians(ring[:, 1].mean())), 1.0])
    gap = float(np.hypot(*((ring[-1] - ring[0]) * stretch)))
    longest = np.hypot(*(np.diff(ring, axis=0) * stretch).T).max()
    if gap > longest * 1.001:
        raise ConfigError(
            f"{where}: it ends {gap:.0f} m from its start, farther than any step in it, so a"
            " part of the shoreline seems to be missing. Complete it, or repeat its first position"
            " at the end."
        )
    repairs.append(f"a ring was open by {gap:.0f} m; a straight line closes it")
    return np.vstack([ring, ring[:1]])


def _sound_polygon(rings: Sequence[FloatArray], name: str, repairs: list[str]) -> BaseGeometry:
    """Return a lake less its islands, whatever overlaps."""
    import shapely

    polygon = shapely.Polygon(rings[0], rings[1:])
    if polygon.is_valid:
        return polygon
    before = len(repairs)
    lake, *islands = (_untangled(shapely.Polygon(ring), name, repairs) for ring in rings)
    if len(repairs) == before:
        trouble = _place_named(shapely.is_valid_reason(polygon))
        repairs.append(
            f"an island overlapped the shore or another ({trouble}); it is treated as land"
        )
    return lake.difference(shapely.union_all(islands))


def _untangled(area: Polygon, name: str, repairs: list[str]) -> BaseGeometry:
    """Return the area inside a ring; refuse one that crosses itself ambiguously."""
    import shapely

    if area.is_valid:
        return area
    trouble = _place_named(shapely.is_valid_reason(area))
    _require_few_crossings(area, name)
    filled = shapely.make_valid(area, method="structure", keep_collapsed=False)
    alternating = shapely.make_valid(area, method="linework")
    doubtful = _area(filled.symmetric_difference(alternating))
    if doubtful > DOUBTFUL_SHARE * _area(filled):
        raise ConfigError(
            f"{name}, coordinates: the shoreline crosses itself ({trouble}), so it is"
            f" not clear whether {_size(doubtful)} of it are water or land. Fix the shape in a map"
            " editor."
        )
    repairs.append(f"the shoreline crossed itself ({trouble}); it was untangled")
    return filled


def _require_few_crossings(area: Polygon, name: str) -> None:
    """Refuse a ring whose positions can't be in their order, before it is untangled for hours."""
    import shapely

    corners = shapely.get_coordinates(area.exterior)
    edges: Any = shapely.linestrings(np.stack([corners[:-1], corners[1:]], axis=1))
    tree, ends = shapely.STRtree(edges), 0
    for begin in range(0, len(edges), EDGES_AT_ONCE):
        crossed = tree.query(edges[begin : begin + EDGES_AT_ONCE], predicate="crosses")
        ends += crossed.shape[1]
        if ends > 2 * MOST_CROSSINGS:  # each crossing is found from both its edges
            raise ConfigError(
                f"{name}, coordinates: the shoreline crosses itself more than {MOST_CROSSINGS}"
                " times, so its positions are not in order. Export the shape again."
            )


def _united(polygons: Sequence[BaseGeometry], repairs: list[str]) -> BaseGeometry:
    """Return polygons as one water; those inside another are islands, or lakes on islands."""
    import shapely

    pieces = shapely.normalize(shapely.get_parts(np.array(polygons, dtype=object)))
    parts = shapely.from_wkb(np.unique(shapely.to_wkb(pieces)))
    if len(parts) == 1:
        single: BaseGeometry = parts[0]
        return single
    _, held = shapely.STRtree(parts).query(parts, predicate="contains")
    depth: IntArray = np.bincount(held, minlength=len(parts)) - 1
    water = shapely.union_all(parts[depth == 0])
    if len(_parts(water)) < np.count_nonzero(depth == 0):
        repairs.append("parts of the water that touch were joined")
    for level in range(1, int(depth.max(initial=0)) + 1):
        change = shapely.union_all(parts[depth == level])
        water = water.difference(change) if level % 2 else water.union(change)
    if depth.any():
        repairs.append("a polygon inside another was read as an island")
    return water


def _lighter(water: BaseGeometry, repairs: list[str]) -> BaseGeometry:
    """Return a shore of few enough vertices, simplified by 1 m or the next doubling that does."""
    import shapely

    count, light = shapely.get_num_coordinates(water), water
    for tolerance in TOLERANCES:
        if shapely.get_num_coordinates(light) <= MOST_VERTICES:
            break
        light = shapely.simplify(water, tolerance / METRES_PER_DEGREE)
        moved = tolerance
    if light is not water:
        repairs.append(
            f"simplified from {count} to {shapely.get_num_coordinates(light)} vertices; the"
            f" shoreline moved by {moved:g} m at most"
        )
    return light


def _require_lake(water: BaseGeometry, name: str) -> None:
    area = _area(water)
    if area < LEAST_AREA:
        raise ConfigError(
            f"{name}, coordinates: they enclose only {area:.3g} m². Check that"
            " they are degrees with all their decimals, and that the shape is the right one."
        )
    if area > GREATEST_AREA:
        raise ConfigError(
            f"{name}, coordinates: they enclose {_size(area)}, a whole sea, where swell matters"
            " and fetch does not describe the waves. Export only the bay or coast you need."
        )


def _rings_of(water: BaseGeometry) -> Rings:
    import shapely

    return tuple(
        shapely.get_coordinates(ring)
        for part in _parts(water)
        for ring in (part.exterior, *part.interiors)
    )


def _area(water: BaseGeometry) -> float:
    """Return the area on the ellipsoid, in m²."""
    from pyproj import Geod

    earth = Geod(ellps="WGS84")
    return sum(
        sign * abs(earth.polygon_area_perimeter(*ring.xy)[0])
        for part in _parts(water)
        for sign, ring in ((1, part.exterior), *((-1, hole) for hole in part.interiors))
    )


def _parts(water: BaseGeometry) -> list[Polygon]:
    import shapely

    return [
        part
        for part in shapely.get_parts(shapely.get_parts(water)).tolist()
        if part.geom_type == "Polygon" and not part.is_empty
    ]


def _place_named(reason: str) -> str:
    """Return where a shape is invalid, latitude first as on maps, from the library's message."""
    found = re.fullmatch(r"(.*)\[(\S+) (\S+)\]", reason)
    if not found:
        return reason.lower()
    return f"{found[1].lower()} near {float(found[3]):.5f}, {float(found[2]):.5f}"


def _size(area: float) -> str:
    return f"{area / 1e6:.3g} km²" if area >= 1e5 else f"{area:.3g} m²"

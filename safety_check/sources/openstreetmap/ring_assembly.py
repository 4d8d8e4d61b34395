"""Join pieces of shore into rings, and cut out islands, without inventing data."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import Any

import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from safety_check.errors import DataError

Line = list[tuple[float, float]]


def assemble(shores: Sequence[Line], islands: Sequence[Line]) -> BaseGeometry:
    """Return the water that shores enclose, without its islands.

    Parameters
    ----------
    shores, islands
        Pieces of rings in any order and direction, joined where their ends are the same.

    Raises
    ------
    DataError
        Where a ring does not close or crosses itself. It is never closed by a straight
        line: that would invent a shore and shorten the fetch.

    Notes
    -----
    Rings are painted from the largest to the smallest, shores as water and islands as
    land, so that a lake on an island is water again and islands may touch each other.
    """
    painted = [(True, ring) for ring in _rings(shores)]
    painted += [(False, ring) for ring in _rings(islands)]
    painted.sort(key=lambda pair: pair[1].area, reverse=True)
    water: BaseGeometry = Polygon()
    for wet, group in groupby(painted, key=lambda pair: pair[0]):
        area = shapely.union_all([ring for _, ring in group])
        water = water.union(area) if wet else water.difference(area)
    if water.is_empty or not water.is_valid:
        raise DataError("its rings enclose no water.")
    return shapely.orient_polygons(water)


def _rings(lines: Sequence[Line]) -> list[Polygon]:
    pieces = list({piece.normalize().wkb: piece for piece in map(LineString, lines)}.values())
    whole, cuts, dangles, crossed = shapely.polygonize_full(pieces)
    for loose in (cuts, dangles):
        if not loose.is_empty:
            longitude, latitude = shapely.get_coordinates(loose)[0]
            raise DataError(f"its shore does not close near {latitude:.5f}, {longitude:.5f}.")
    if not crossed.is_empty:
        longitude, latitude = shapely.get_coordinates(crossed)[0]
        raise DataError(f"its shore crosses itself near {latitude:.5f}, {longitude:.5f}.")
    return [Polygon(face.exterior) for face in shapely.get_parts(whole)]


def geojson(water: BaseGeometry) -> dict[str, Any]:
    """Return a geometry as GeoJSON has it, made of lists only."""
    polygons = list(_polygons(water))
    kind = "Polygon" if len(polygons) == 1 else "MultiPolygon"
    return {"type": kind, "coordinates": polygons[0] if kind == "Polygon" else polygons}


def _polygons(water: BaseGeometry) -> Iterator[list[list[list[float]]]]:
    for part in shapely.get_parts(water):
        rings = [part.exterior, *part.interiors]
        yield [shapely.get_coordinates(ring).tolist() for ring in rings]

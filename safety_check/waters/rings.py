"""Read the rings of a GeoJSON area strictly, before its shape is checked."""

from __future__ import annotations

import reprlib
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.errors import ConfigError


def read_polygons(geometry: Mapping[str, Any], name: str) -> list[list[FloatArray]]:
    """Return the rings of each polygon, arrays (vertex, 2) in degrees, longitude first.

    Parameters
    ----------
    geometry
        A GeoJSON Polygon or MultiPolygon (RFC 7946).
    name
        Of the file, for the messages.

    Raises
    ------
    ConfigError
        Where it is another geometry, is empty, or has anything but degrees.
    """
    polygons = [
        [
            _ring(ring, f"{name}, polygon {number}, ring {place}")
            for place, ring in enumerate(rings, 1)
        ]
        for number, rings in enumerate(_polygons(geometry, name), 1)
    ]
    _require_degrees(np.concatenate([ring for rings in polygons for ring in rings]), name)
    return polygons


def _polygons(geometry: Mapping[str, Any], name: str) -> Sequence[Sequence[Any]]:
    kind, coordinates = geometry.get("type"), geometry.get("coordinates")
    polygons: Any = [coordinates] if kind == "Polygon" else coordinates
    if kind not in ("Polygon", "MultiPolygon"):
        raise ConfigError(
            f"{name}, geometry type = {kind!r}: a water is an area. Give a Polygon or a"
            " MultiPolygon; close a line into a ring first."
        )
    whole = isinstance(polygons, list | tuple) and bool(polygons)
    if not whole or not all(isinstance(polygon, list | tuple) and polygon for polygon in polygons):
        raise ConfigError(
            f"{name}, coordinates = {reprlib.repr(coordinates)}: the {kind} is empty, so there is"
            " no water. Export the shape again."
        )
    return list(polygons)


def _ring(raw: Any, where: str) -> FloatArray:
    if not isinstance(raw, list | tuple):
        raise ConfigError(
            f"{where} = {reprlib.repr(raw)}: a ring is a list of positions. Export the shape again."
        )
    for number, position in enumerate(raw, 1):
        if not _is_position(position):
            raise ConfigError(
                f"{where}, position {number} = {reprlib.repr(position)}: it must be two finite"
                " numbers, longitude first. Correct it, or export the shape again."
            )
    if len({tuple(position[:2]) for position in raw}) < 3:
        raise ConfigError(
            f"{where}: its {len(raw)} positions enclose no area; a ring needs at least three"
            " different ones. Remove the ring, or export the shape again."
        )
    return np.array([position[:2] for position in raw], dtype=np.float64)


def _is_position(position: Any) -> bool:
    return (
        isinstance(position, list | tuple)
        and len(position) >= 2
        and all(
            isinstance(coordinate, int | float)
            and not isinstance(coordinate, bool)
            and abs(coordinate) < 1e300
            for coordinate in position[:2]
        )
    )


def _require_degrees(positions: FloatArray, name: str) -> None:
    longitude, latitude = positions[np.argmax(np.abs(positions[:, 1]))]
    farthest_east, farthest_north = np.abs(positions).max(axis=0)
    if farthest_north <= 90 and farthest_east <= 360:
        return
    if farthest_east <= 90 and farthest_north <= 360:
        raise ConfigError(
            f"{name}, position [{longitude:g}, {latitude:g}]: {latitude:g} is not a latitude."
            " Longitude and latitude are swapped: GeoJSON has longitude first. Swap them in"
            " every position."
        )
    raise ConfigError(
        f"{name}, position [{longitude:g}, {latitude:g}]: these are not degrees of longitude and"
        f" latitude,"
        " more likely metres or feet of a map projection. Export the shape in WGS84 degrees"
        " (EPSG:4326)."
    )

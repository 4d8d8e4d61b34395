"""Read the shapes of warning areas: CAP's polygons and circles, and GeoJSON geometries.

The order of the axes is turned once, here: CAP gives latitude before longitude, GeoJSON
longitude before latitude, and everything after this module has longitude first.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Any

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.model.clean_text import clean_text
from safety_check.sources.answers import elevation, number
from safety_check.sources.cap.message import Area, Circle, Listing

FOOT = 0.3048  # m, exact since 1959
_SEPARATORS = re.compile(r"[\s,;]+")
_GREATEST_RADIUS = 20_038_000.0  # m, half of the circumference of the Earth

Box = tuple[float, float, float, float]


def polygon(text: str) -> FloatArray | None:
    """Return the ring of a CAP polygon, longitude first and closed; None where it is none.

    Notes
    -----
    CAP 1.2 asks for `lat,lon` pairs separated by blanks, the last like the first. Other
    separators and an open ring are read as well. Where the order of the axes is plainly the
    other one, because a latitude would be beyond a pole, the axes are turned.

    Examples
    --------
    >>> polygon("38.47,-120.14 38.34,-119.95 38.52,-119.74").tolist()[0]
    [-120.14, 38.47]
    >>> polygon("38.47,-120.14 38.34") is None
    True
    """
    values = [number(part) for part in _SEPARATORS.split(text.strip())]
    if len(values) % 2:
        return None
    pairs = np.array(values, dtype=float).reshape(-1, 2)
    return _ring(pairs[:, ::-1])


def circle(text: str) -> Circle | None:
    """Return a CAP circle, `lat,lon radius` with the radius in km; None where it is none.

    Examples
    --------
    >>> circle("32.9525,-115.5527 25")
    Circle(longitude=-115.5527, latitude=32.9525, radius_m=25000.0)
    """
    values = [number(part) for part in _SEPARATORS.split(text.strip())]
    if len(values) != 3:
        return None
    latitude, longitude, radius = values[0], values[1], 1000.0 * values[2]
    known = abs(latitude) <= 90 and abs(longitude) <= 360 and 0 <= radius <= _GREATEST_RADIUS
    return Circle(longitude, latitude, radius) if known else None


def metres(text: str) -> float | None:
    """Return a height in feet as CAP gives it [m]; None where it is none on Earth."""
    return elevation(FOOT * number(text))


def cap_shapes(
    polygons: Iterable[str], circles: Iterable[str]
) -> tuple[tuple[FloatArray, ...], tuple[Circle, ...], tuple[str, ...]]:
    """Return the polygons and circles of an area, and those that can't be read, in words."""
    rings = [(text, polygon(text)) for text in polygons if text.strip()]
    rounds = [(text, circle(text)) for text in circles if text.strip()]
    unread = [f"polygon {clean_text(text, 60)!r}" for text, ring in rings if ring is None]
    unread += [f"circle {clean_text(text, 60)!r}" for text, found in rounds if found is None]
    return (
        tuple(ring for _, ring in rings if ring is not None),
        tuple(found for _, found in rounds if found is not None),
        tuple(unread),
    )


def geojson_shapes(geometry: object) -> tuple[tuple[FloatArray, ...], tuple[str, ...]]:
    """Return the outer rings of a GeoJSON geometry, and what can't be read, in words.

    A hole is left out: a place in it then counts as inside the area.
    """
    rings: list[FloatArray] = []
    unread: list[str] = []
    for coordinates in _outer_rings(geometry):
        ring = _geojson_ring(coordinates)
        if ring is None:
            unread.append(f"polygon {clean_text(str(coordinates)[:200], 60)!r}")
        else:
            rings.append(ring)
    if geometry is not None and not rings and not unread:
        kind = geometry.get("type") if isinstance(geometry, dict) else geometry
        unread.append(f"geometry {clean_text(str(kind)[:200], 60)!r}")
    return tuple(rings), tuple(unread)


def turn_axes(listing: Listing, box: Box) -> Listing:
    """Return messages in which polygons with their axes in the wrong order are turned.

    Parameters
    ----------
    listing
        As read.
    box
        West, south, east and north of the area that the service covers, east above 180 where it
        lies on both sides of the antimeridian. A polygon that does not touch it, and would if its
        axes were turned, has them in the wrong order. [deg]
    """

    def turned(area: Area) -> Area:
        return replace(area, polygons=tuple(_turned(ring, box) for ring in area.polygons))

    messages = tuple(
        replace(
            message,
            infos=tuple(
                replace(info, areas=tuple(turned(area) for area in info.areas))
                for info in message.infos
            ),
        )
        for message in listing.messages
    )
    return replace(listing, messages=messages)


def _turned(ring: FloatArray, box: Box) -> FloatArray:
    other = ring[:, ::-1]
    if _touches(ring, box) or not _touches(other, box) or np.abs(other[:, 1]).max() > 90:
        return ring
    return other.copy()


def _touches(ring: FloatArray, box: Box) -> bool:
    west, south, east, north = box
    (left, low), (right, high) = ring.min(axis=0), ring.max(axis=0)
    if high < south or low > north:
        return False
    return any(left + turn <= east and right + turn >= west for turn in (-360, 0, 360))


def _ring(pairs: FloatArray) -> FloatArray | None:
    """Return corners, longitude first, as a closed ring that does not jump at the date line."""
    if len(pairs) < 3 or not np.isfinite(pairs).all():
        return None
    beyond = np.abs(pairs).max(axis=0)
    if beyond[1] > 90 >= beyond[0]:
        pairs, beyond = pairs[:, ::-1], beyond[::-1]
    if beyond[1] > 90 or beyond[0] > 360:
        return None
    closed = pairs if np.array_equal(pairs[0], pairs[-1]) else np.vstack([pairs, pairs[:1]])
    if len(np.unique(closed, axis=0)) < 3:
        return None
    longitude = np.unwrap(closed[:, 0], period=360)
    if longitude[0] != longitude[-1]:
        return None  # it goes round a pole: inside and outside are not known
    return np.column_stack([longitude, closed[:, 1]])


def _geojson_ring(coordinates: object) -> FloatArray | None:
    if not isinstance(coordinates, list):
        return None
    corners = [point[:2] for point in coordinates if isinstance(point, list) and len(point) >= 2]
    if len(corners) != len(coordinates):
        return None
    values = [[number(value) for value in corner] for corner in corners]
    return _ring(np.array(values, dtype=float).reshape(-1, 2))


def _outer_rings(geometry: object) -> Iterator[Any]:
    """Yield the first ring of each polygon of a Polygon, MultiPolygon or GeometryCollection."""
    waiting = [geometry]
    while waiting:
        part = waiting.pop()
        if not isinstance(part, dict):
            continue
        inner = part.get("geometries") if part.get("type") == "GeometryCollection" else None
        waiting += inner if isinstance(inner, list) else []
        coordinates = part.get("coordinates")
        if part.get("type") == "Polygon":
            yield coordinates[0] if isinstance(coordinates, list) and coordinates else None
        elif part.get("type") == "MultiPolygon":
            for rings in coordinates if isinstance(coordinates, list) else [None]:
                yield rings[0] if isinstance(rings, list) and rings else None

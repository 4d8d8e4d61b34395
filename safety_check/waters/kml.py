"""Read the placemarks of a KML file (OGC 12-007r2) as GeoJSON features."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from safety_check.errors import ConfigError
from safety_check.waters.feature_files import feature, parse_xml

DEEPEST = 20  # geometries within geometries


def kml_features(text: bytes, file: str) -> list[dict[str, Any]]:
    """Return placemarks as points, lines and polygons with their holes.

    Raises
    ------
    ConfigError
        Where it is not KML, or a coordinate can't be read.
    """
    root = parse_xml(text, file, "KML")
    if _kind(root) != "kml":
        raise ConfigError(
            f"{file} is not KML: its first element is {_kind(root)[:40]!r}. Export it again as KML."
        )
    return [
        found
        for placemark in root.iter()
        if _kind(placemark) == "Placemark"
        for found in _features(placemark, _named(placemark), file)
    ]


def _features(parent: Any, name: str, file: str, depth: int = 0) -> Iterator[dict[str, Any]]:
    for element in parent:
        kind = _kind(element)
        if kind == "MultiGeometry" and depth < DEEPEST:
            yield from _features(element, name, file, depth + 1)
        elif kind == "Point":
            yield feature("Point", _places(element, f"{file}, {name!r}")[0], name)
        elif kind == "LineString":
            yield feature("LineString", _places(element, f"{file}, {name!r}"), name)
        elif kind == "Polygon":
            yield feature("Polygon", _rings(element, f"{file}, {name!r}"), name)


def _rings(polygon: Any, where: str) -> list[Any]:
    """Return the outer ring, then the inner ones."""
    found = {
        side: [_places(element, where) for element in polygon if _kind(element) == side]
        for side in ("outerBoundaryIs", "innerBoundaryIs")
    }
    if len(found["outerBoundaryIs"]) != 1:
        raise ConfigError(f"{where}: a polygon has exactly one outer boundary. Export it again.")
    return [*found["outerBoundaryIs"], *found["innerBoundaryIs"]]


def _places(element: Any, where: str) -> list[list[float]]:
    """Return the positions below an element, longitude first as in GeoJSON."""
    texts = [below.text or "" for below in element.iter() if _kind(below) == "coordinates"]
    words = " ".join(texts).split()
    if not words:
        raise ConfigError(f"{where}: it has no coordinates. Export it again.")
    return [_place(word, where) for word in words]


def _place(word: str, where: str) -> list[float]:
    try:
        longitude, latitude = (float(part) for part in word.split(",")[:2])
    except ValueError:
        raise ConfigError(
            f"{where}, coordinates {word[:60]!r}: KML has longitude,latitude without spaces between"
            " them. Correct it, or export the file again."
        ) from None
    return [longitude, latitude]


def _named(placemark: Any) -> str:
    names = (element.text for element in placemark if _kind(element) == "name")
    return (next(names, None) or "").strip()


def _kind(element: Any) -> str:
    """Return the name of an element without its namespace."""
    tag = element.tag
    return tag.rpartition("}")[2] if isinstance(tag, str) else ""

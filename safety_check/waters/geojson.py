"""Read GeoJSON (RFC 7946) strictly, so that nothing is guessed."""

from __future__ import annotations

import json
import math
import re
import reprlib
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from safety_check.errors import ConfigError
from safety_check.model.place import Launch, is_on_earth

SWAPPED = "Its longitude and latitude are swapped: GeoJSON has longitude first."
GREATEST_FILE = 50_000_000  # bytes
LONGEST_NAME, LONGEST_CREDIT = 60, 300  # characters

# Longitude and latitude that lie within 2 m of WGS84: itself, NAD83, ETRS89.
DEGREES = re.compile(r"CRS:?84|EPSG:+(?:[\d.]*:)?(?:4326|4269|4258|4979)", re.IGNORECASE)


def read_json(path: Path) -> Any:
    """Return a JSON file of bounded size; ConfigError where it is not JSON."""
    try:
        if path.stat().st_size > GREATEST_FILE:
            raise ConfigError(
                f"{path.name} has more than {GREATEST_FILE // 1_000_000} MB, more than any lake's"
                " shoreline needs. Export only the one water you need."
            )
        content = path.read_bytes()
    except OSError as trouble:
        raise ConfigError(f"{path.name} cannot be read: {trouble}. Check the file.") from trouble
    return json_in(content, path.name)


def json_in(content: bytes, name: str) -> Any:
    """Return a file's content as JSON; ConfigError where it is not JSON in UTF-8."""
    try:
        return json.loads(content.decode("utf-8-sig"), parse_constant=_refuse_constant)
    except UnicodeDecodeError as trouble:
        raise ConfigError(f"{name} cannot be read: {trouble}. Check the file.") from trouble
    except (ValueError, RecursionError) as trouble:
        raise ConfigError(
            f"{name} is not GeoJSON: {trouble}. Export it again as GeoJSON (RFC 7946)."
        ) from trouble


def _refuse_constant(text: str) -> float:
    raise ValueError(f"{text} is not a coordinate")


def features(answer: Any, file: str) -> list[dict[str, Any]]:
    """Return the features that have a geometry, whatever the file wraps them in.

    A collection of geometries counts as its parts, and several points as one feature each.

    Raises
    ------
    ConfigError
        Where there is none, where an entry is not a feature, or where the file names another
        coordinate system.
    """
    _require_degrees(answer, file)
    kind = answer.get("type") if isinstance(answer, dict) else None
    found = [
        part
        for number, feature in enumerate(_entries(answer, file), 1)
        for part in _parts(feature, f"{file}, feature {number}")
    ]
    if not found:
        raise ConfigError(
            f"{file}, type = {kind!r}: no feature with a geometry was found. A water's file is a"
            " GeoJSON FeatureCollection with one Polygon and a Point for each launch."
        )
    return found


def _require_degrees(answer: Any, file: str) -> None:
    """Refuse a named system that is not WGS84 degrees, as files before RFC 7946 may have it."""
    crs = answer.get("crs") if isinstance(answer, dict) else None
    if crs is None:
        return
    properties = crs.get("properties") if isinstance(crs, dict) else None
    name = properties.get("name") if isinstance(properties, dict) else crs
    if not (isinstance(name, str) and DEGREES.search(name)):
        raise ConfigError(
            f"{file}, crs = {reprlib.repr(name)}: the coordinates are in another system. Export the"
            " shape in WGS84 degrees (EPSG:4326)."
        )


def _entries(answer: Any, file: str) -> list[Any]:
    kind = answer.get("type") if isinstance(answer, dict) else None
    if kind == "Feature":
        return [answer]
    if kind != "FeatureCollection":
        return [{"type": "Feature", "properties": {}, "geometry": answer}]
    entries = answer.get("features")
    if not isinstance(entries, list):
        raise ConfigError(
            f"{file}, features = {reprlib.repr(entries)}: it must be a list. Export the file again."
        )
    for number, entry in enumerate(entries, 1):
        if not isinstance(entry, dict):
            raise ConfigError(
                f"{file}, feature {number} = {reprlib.repr(entry)}: it is not a feature. Remove"
                f" it, or"
                " export the file again."
            )
    return entries


def _parts(feature: Mapping[str, Any], where: str) -> Iterator[dict[str, Any]]:
    """Yield a feature, or one for each part of a collection; none where it has no geometry."""
    geometry = feature.get("geometry")
    if not isinstance(geometry, dict) or not isinstance(geometry.get("type"), str):
        return
    several = {"GeometryCollection": "geometries", "MultiPoint": "coordinates"}
    if geometry["type"] not in several:
        yield {**feature, "geometry": geometry}
        return
    parts = geometry.get(several[geometry["type"]])
    if not isinstance(parts, list):
        raise ConfigError(
            f"{where}, {several[geometry['type']]} = {reprlib.repr(parts)}: it must be a list."
            " Export the file again."
        )
    for number, part in enumerate(parts, 1):
        if geometry["type"] == "MultiPoint":
            part = {"type": "Point", "coordinates": part}
        yield from _parts({**_numbered(feature, number, part), "geometry": part}, where)


def _numbered(feature: Mapping[str, Any], number: int, part: Any) -> Mapping[str, Any]:
    """Return a feature with a number in its name, so that its points have different names."""
    properties = feature.get("properties")
    named = isinstance(properties, dict) and isinstance(properties.get("name"), str)
    if not named or not isinstance(part, dict) or part.get("type") != "Point":
        return feature
    assert isinstance(properties, dict)
    return {**feature, "properties": {**properties, "name": f"{properties['name']} {number}"}}


def skipped_features(features: Sequence[Mapping[str, Any]]) -> list[str]:
    """Return notes on the features that are neither a shape nor a launch."""
    others = [
        feature["geometry"]["type"]
        for feature in features
        if feature["geometry"]["type"] not in ("Polygon", "MultiPolygon", "Point")
    ]
    if not others:
        return []
    return [f"skipped {len(others)} features that are neither a shape nor a launch ({others[0]})"]


def launches_in(features: Sequence[Mapping[str, Any]], file: str) -> list[Launch]:
    """Return the points as launches, each with its name or a number."""
    points = [feature for feature in features if feature["geometry"]["type"] == "Point"]
    return [_launch(point, number, file) for number, point in enumerate(points, 1)]


def _launch(feature: Mapping[str, Any], number: int, file: str) -> Launch:
    properties = feature.get("properties")
    named = properties.get("name") if isinstance(properties, dict) else None
    name = describe(named, LONGEST_NAME) or f"launch {number}"
    at = feature["geometry"].get("coordinates")
    if (
        not isinstance(at, list)
        or len(at) < 2
        or not all(_number(coordinate) and math.isfinite(coordinate) for coordinate in at[:2])
    ):
        raise ConfigError(
            f"{file}, launch {name!r}, coordinates = {reprlib.repr(at)}: they must be two numbers,"
            " longitude first. Correct the point."
        )
    longitude = float(at[0])
    if 180 < abs(longitude) <= 360:  # of a shape that crosses the antimeridian
        longitude -= math.copysign(360, longitude)
    if not is_on_earth(at[1], longitude):
        remedy = SWAPPED if is_on_earth(longitude, at[1]) else "Correct the point."
        raise ConfigError(
            f"{file}, launch {name!r}, coordinates = {reprlib.repr(at)}: this is not a place on"
            f" Earth. {remedy}"
        )
    return Launch(name, latitude=float(at[1]), longitude=longitude)


def _number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e300


def require_text(said: Any) -> str:
    """Return a text that this program wrote: one printable line, else ValueError."""
    if not isinstance(said, str) or not said.isprintable():
        raise ValueError(f"the text {said!r} is not one printable line")
    return said


def describe(said: Any, longest: int) -> str:
    r"""Return a text or number of a file as one printable line, shortened to a length.

    Examples
    --------
    >>> [describe(text, 14) for text in ("  west\x1b[31m ramp ", 7, ["west"], "north shore ramp")]
    ['west[31m ramp', '7', '', 'north shore r…']
    """
    if not isinstance(said, str) and not _number(said):
        return ""
    seen = "".join(
        character if character.isprintable() else " " * character.isspace()
        for character in str(said)
    )
    line = " ".join(seen.split())
    return line if len(line) <= longest else line[: longest - 1] + "…"

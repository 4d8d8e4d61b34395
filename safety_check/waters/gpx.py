"""Read waypoints, routes and tracks of a GPX file as GeoJSON features."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from safety_check.errors import ConfigError
from safety_check.physics.sphere import great_circle_distance
from safety_check.waters.feature_files import feature, parse_xml

if TYPE_CHECKING:
    from gpxpy.gpx import GPX

CLOSES = 50.0  # m; judgement: a walk around a lake ends this close to where it began
FEWEST = 4  # points of a line that may be a shore


def gpx_features(text: bytes, file: str) -> list[dict[str, Any]]:
    """Return waypoints as points, tracks and routes as lines, closed ones as polygons.

    Raises
    ------
    ConfigError
        Where it is not GPX.
    """
    found = _parsed(text, file)
    every = [*found.waypoints, *found.walk(only_points=True)]
    every += [place for route in found.routes for place in route.points]
    if not all(math.isfinite(place.latitude + place.longitude) for place in every):
        raise ConfigError(f"{file}: a point has a coordinate that is no number. Export it again.")
    points = [feature("Point", [one.longitude, one.latitude], one.name) for one in found.waypoints]
    lines: list[tuple[str | None, Sequence[Any]]] = [
        *((route.name, route.points) for route in found.routes),
        *((track.name, part.points) for track in found.tracks for part in track.segments),
    ]
    return [*points, *(_line(name, places) for name, places in lines if len(places) > 1)]


def _parsed(text: bytes, file: str) -> GPX:
    import gpxpy

    parse_xml(text, file, "GPX")  # refuses what gpxpy would follow
    try:
        return gpxpy.parse(text)
    except (gpxpy.gpx.GPXException, ValueError, TypeError, AttributeError, LookupError) as trouble:
        raise ConfigError(f"{file} is not GPX: {trouble}. Export it again.") from trouble


def _line(name: str | None, places: Sequence[Any]) -> dict[str, Any]:
    line = [[place.longitude, place.latitude] for place in places]
    if not _closed(line):
        return feature("LineString", line, name)
    ring = line if line[0] == line[-1] else [*line, line[0]]
    return feature("Polygon", [ring], name) | {"closed_line": True}


def _closed(line: Sequence[list[float]]) -> bool:
    """Return whether a line comes back to where it began, having been farther away."""
    if len(line) < FEWEST:
        return False
    away = [_distance(line[0], place) for place in line]
    return away[-1] <= CLOSES < max(away)


def _distance(one: Sequence[float], other: Sequence[float]) -> float:
    far = great_circle_distance(one[1], one[0], other[1], other[0])
    return far if math.isfinite(far) else math.inf

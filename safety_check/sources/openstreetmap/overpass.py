"""Shorelines from OpenStreetMap, through an Overpass server.

Requested once, when the user adds a water; never during a check.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import groupby
from typing import TYPE_CHECKING, Any

import shapely
from pydantic import Field
from pyproj import Geod
from shapely.geometry import Point
from shapely.geometry.base import BaseGeometry

from safety_check.errors import DataError
from safety_check.model.clean_text import clean_text
from safety_check.model.place import is_on_earth
from safety_check.model.weather import Provenance
from safety_check.sources.answers import Answer, instant, number, read
from safety_check.sources.openstreetmap.ring_assembly import Line, assemble, geojson
from safety_check.sources.sent_place import sent_place

if TYPE_CHECKING:
    from safety_check.sources.http.client import Client

PATH = "/api/interpreter"

# A bay is left out: its outline crosses open water where the bay ends, and a fetch
# measured to that line would be too short.
KINDS = (("natural", "water"), ("landuse", "reservoir"), ("waterway", "riverbank"))
FLOWING = ("river", "stream", "canal", "ditch", "drain", "rapids", "wastewater")
SHORE, ISLAND = ("outer", ""), ("inner",)
SHOWN = 3  # how many refusals an error names


class Elements(Answer):
    """What the server answers; its faults come as a remark with status 200."""

    elements: list[dict[str, Any]]
    osm3s: dict[str, Any] = Field(default_factory=dict)
    remark: Any = None


@dataclass(frozen=True)
class Outline:
    """A water of the map.

    Parameters
    ----------
    name, kind
        Its name, empty where it has none, and its kind on the map: lake, reservoir …
    osm_id
        Such as relation/171087; it can change when someone maps the water again.
    geometry
        GeoJSON Polygon or MultiPolygon, islands as holes.
    tags
        Its tags on the map.
    flowing
        True for the area of a river or canal: its ends are lines drawn across the water,
        not shores, and a current is not in the fetch.
    distance
        From the requested place to the outline; 0 within it. [m]
    area
        Of the water, without islands. [m²]
    """

    name: str
    kind: str
    osm_id: str
    geometry: dict[str, Any]
    tags: Mapping[str, str]
    flowing: bool
    distance: float
    area: float


@dataclass(frozen=True)
class Found:
    """The waters near a place, nearest first.

    Parameters
    ----------
    outlines
        The usable outlines.
    refused
        One sentence for each water whose outline cannot be used.
    provenance
        With the date of the map's data as `issued`.
    """

    outlines: tuple[Outline, ...]
    refused: tuple[str, ...]
    provenance: Provenance


@dataclass(frozen=True)
class _Map:
    """Nodes and ways that are listed separately from the elements that use them."""

    nodes: Mapping[Any, dict[str, Any]]
    ways: Mapping[Any, dict[str, Any]]


def query(latitude: float, longitude: float, radius: float = 300.0) -> dict[str, str]:
    """Return the query: waters whose shore is within a radius [m], or that contain the point.

    The first part measures to the shore line, so the middle of a lake needs the second.
    """
    here = ",".join(sent_place("overpass", latitude, longitude))
    near = [
        f'{element}["{key}"="{value}"]{where};'
        for key, value in KINDS
        for element in ("way", "relation")
        for where in (f"(around:{radius:.0f},{here})", "(pivot.areas)")
    ]
    head = "[out:json][timeout:60][maxsize:67108864];"
    return {"data": f"{head}is_in({here})->.areas;({''.join(near)});out geom;"}


def query_outline(osm_type: str, osm_id: int) -> dict[str, str]:
    """Return what to ask for the outline of one water."""
    return {"data": f"[out:json][timeout:60][maxsize:67108864];{osm_type}({osm_id});out geom;"}


def parse(body: bytes, provenance: Provenance, here: tuple[float, float]) -> Found:
    """Return the waters of an answer.

    Parameters
    ----------
    body
        An answer with geometry (`out geom`), or with nodes and ways listed separately.
    here
        Latitude and longitude to measure from. [deg]

    Raises
    ------
    DataError
        Where nothing usable was found; a failed query is not an empty place.
    """
    answer = read(body, Elements, provenance.source)
    if answer.remark is not None:
        raise DataError(
            f"{provenance.source}: the query failed ({clean_text(str(answer.remark))}), so the"
            " answer may be incomplete. Wait a minute and try again, or add a GeoJSON file."
        )
    parts = _Map(_by_id(answer, "node"), _by_id(answer, "way"))
    outlines, refused = [], []
    for element in filter(_water, answer.elements):
        try:
            outlines.append(_outline(element, parts, here))
        except DataError as trouble:
            refused.append(f"{_name(element)}: {trouble}")
    if not outlines:
        raise DataError(_nothing(refused, provenance))
    outlines.sort(key=lambda outline: outline.distance)
    issued = instant(answer.osm3s.get("timestamp_osm_base"))
    return Found(tuple(outlines), tuple(refused), replace(provenance, issued=issued))


async def ask(client: Client, latitude: float, longitude: float, radius: float = 300.0) -> Found:
    """Ask for the waters at a place; give the client a minute, because the server is slow."""
    asked = query(latitude, longitude, radius)
    parse_answer = partial(parse, here=(latitude, longitude))
    return await client.read(PATH, asked, parse_answer, source="overpass")


async def ask_outline(
    client: Client, osm_type: str, osm_id: int, here: tuple[float, float]
) -> Found:
    """Ask for the outline of one water, whose place is known from a search by name."""
    asked = query_outline(osm_type, osm_id)
    return await client.read(PATH, asked, partial(parse, here=here), source="overpass")


def _outline(element: Mapping[str, Any], parts: _Map, here: tuple[float, float]) -> Outline:
    try:
        water = assemble(*_pieces(element, parts))
    except shapely.errors.GEOSException as trouble:
        raise DataError(f"its rings can't be joined ({trouble}).") from trouble
    tags = _tags(element)
    kind = tags.get("water") or ("river" if "waterway" in tags else "water")
    return Outline(
        name=tags.get("name", ""),
        kind="reservoir" if tags.get("landuse") == "reservoir" and kind == "water" else kind,
        osm_id=_identity(element),
        geometry=geojson(water),
        tags=tags,
        flowing=kind in FLOWING,
        distance=_distance(water, here),
        area=abs(Geod(ellps="WGS84").geometry_area_perimeter(water)[0]),
    )


def _pieces(element: Mapping[str, Any], parts: _Map) -> tuple[list[Line], list[Line]]:
    """Return the pieces of shore and those of islands."""
    members = element.get("members")
    if element.get("type") == "way" or not isinstance(members, list):
        return [_line(element, parts)], []
    ways = [
        member for member in members if isinstance(member, dict) and member.get("type") == "way"
    ]
    shores = [_line(way, parts) for way in ways if way.get("role", "") in SHORE]
    islands = [_line(way, parts) for way in ways if way.get("role") in ISLAND]
    if not shores:
        raise DataError("it has no shore among its members.")
    return shores, islands


def _line(piece: Mapping[str, Any], parts: _Map) -> Line:
    """Return the points of a way, which are listed with it or separately."""
    way = piece if "geometry" in piece or "nodes" in piece else _apart(piece, parts)
    points = way.get("geometry")
    if points is None and isinstance(way.get("nodes"), list):
        points = [parts.nodes.get(_key(node)) for node in way["nodes"]]
    if not isinstance(points, list) or not any(points):
        raise DataError("the answer has its position but no outline.")
    line = [_position(point) for point in points]
    distinct = [point for point, _ in groupby(line)]
    if len(distinct) < 2:
        raise DataError("a piece of its shore is a single point.")
    return distinct


def _apart(member: Mapping[str, Any], parts: _Map) -> Mapping[str, Any]:
    return parts.ways.get(_key(member.get("ref")), member)


def _position(point: object) -> tuple[float, float]:
    place = point if isinstance(point, dict) else {}
    latitude, longitude = number(place.get("lat")), number(place.get("lon"))
    if not is_on_earth(latitude, longitude):
        raise DataError("points of its shore are missing from the answer.")
    return longitude, latitude


def _by_id(answer: Elements, kind: str) -> dict[Any, dict[str, Any]]:
    return {
        _key(element.get("id")): element
        for element in answer.elements
        if element.get("type") == kind
    }


def _key(identity: object) -> object:
    return identity if isinstance(identity, int | str) else None


def _water(element: Mapping[str, Any]) -> bool:
    tags = _tags(element)
    wet = any(tags.get(key) == value for key, value in KINDS)
    return wet and element.get("type") in ("way", "relation")


def _tags(element: Mapping[str, Any]) -> dict[str, str]:
    tags = element.get("tags")
    pairs = tags.items() if isinstance(tags, dict) else ()
    return {clean_text(key): clean_text(value) for key, value in pairs if isinstance(value, str)}


def _identity(element: Mapping[str, Any]) -> str:
    return clean_text(f"{element.get('type')}/{element.get('id')}")


def _name(element: Mapping[str, Any]) -> str:
    name = _tags(element).get("name")
    return f"{name} ({_identity(element)})" if name else _identity(element)


def _nothing(refused: Sequence[str], provenance: Provenance) -> str:
    if not refused:
        return (
            f"{provenance.source}: no lake, reservoir or river area is mapped there; the sea is"
            " not mapped as an area. Try a point nearer the shore, or add a GeoJSON file."
        )
    more = f" (and {len(refused) - SHOWN} more)" if len(refused) > SHOWN else ""
    return (
        f"{provenance.source}: no water there has a usable outline. {' '.join(refused[:SHOWN])}"
        f"{more} Add a GeoJSON file instead, or correct the map."
    )


def _distance(water: BaseGeometry, here: tuple[float, float]) -> float:
    """Return the distance [m] along the ellipsoid to the nearest point of the water."""
    latitude, longitude = here
    place = Point(longitude, latitude)
    if water.covers(place):
        return 0.0
    east, north = shapely.get_coordinates(shapely.shortest_line(place, water))[-1]
    return float(Geod(ellps="WGS84").inv(longitude, latitude, east, north)[2])

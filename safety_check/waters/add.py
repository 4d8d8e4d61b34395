"""Add a water: from a shoreline in a file, or from a table of fetch by compass sector."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.errors import ConfigError, PlanError
from safety_check.model.place import FetchTable, Launch, Water
from safety_check.waters.feature_files import read_features
from safety_check.waters.geojson import (
    LONGEST_CREDIT,
    LONGEST_NAME,
    describe,
    launches_in,
    skipped_features,
)
from safety_check.waters.pick import launches_of, pick_shape, shape_name

DEEPEST = 12_000.0  # m; deeper than any sea
SHORTEST_FETCH, LONGEST_FETCH = 10.0, 1e6  # m; of the longest sector of a water
COMPASS = (
    *("N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE"),
    *("S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"),
)


def from_file(
    name: str,
    path: Path,
    depth: float | None = None,
    launches: Sequence[Launch] = (),
    attribution: str = "",
    pick: str | None = None,
) -> Water:
    """Return a water from a GeoJSON, GPX or KML file: a polygon with islands, launches as points.

    Parameters
    ----------
    name
        What the user calls the water.
    path
        RFC 7946 GeoJSON, or the file of a GPS or a map program by the ending of its name.
    depth
        One depth for the whole water [m]; None where it is not known.
    launches
        More launches than the file holds; one of the same name replaces the file's.
    pick
        The name of the water in a file with several.

    Raises
    ------
    ConfigError
        Naming the file, the field, the value and the remedy; SeveralWatersError where a file
        has several waters and none of them is picked.
    """
    water = from_features(name, ShapeFile(path.name, read_features(path)), depth, launches, pick)
    return replace(water, attribution=attribution or water.attribution)


@dataclass(frozen=True)
class ShapeFile:
    """A file with shapes and launches.

    Parameters
    ----------
    name
        For the messages.
    features
        As `feature_files.read_features` returns them.
    """

    name: str
    features: Sequence[Mapping[str, Any]]


def from_features(
    name: str,
    file: ShapeFile,
    depth: float | None = None,
    launches: Sequence[Launch] = (),
    pick: str | None = None,
    *,
    every_launch: bool = True,
) -> Water:
    """Return a water from the features of a file; otherwise as `from_file`.

    Parameters
    ----------
    name, depth, launches, pick
        As in `from_file`; an empty name takes that of the shape.
    file
        Its name and features.
    every_launch
        False leaves out the points of the file that are not at the shore, with a note.
    """
    found = file.features
    shape = pick_shape(found, file.name, pick)
    given = {launch.name for launch in launches}
    others = [launch for launch in launches_in(found, file.name) if launch.name not in given]
    near, notes = launches_of(shape, others, found, file.name, every_launch)
    named = name or shape_name(shape)
    credit = _attribution(shape)
    water = from_geometry(named, shape["geometry"], (*launches, *near), depth, credit, file.name)
    return replace(water, repairs=(*water.repairs, *notes, *skipped_features(found)))


def from_geometry(
    name: str,
    geometry: Mapping[str, Any],
    launches: Sequence[Launch],
    depth: float | None,
    attribution: str,
    file: str,
) -> Water:
    """Return a water from a GeoJSON geometry and launches, every one checked."""
    from safety_check.waters.launches import require_launch_at_shore
    from safety_check.waters.shoreline import check_shoreline

    _require_name(name)
    _require_depth(depth, file)
    rings, repairs = check_shoreline(geometry, file)
    notes = [*repairs]
    parts = len(polygons_of(rings))
    if parts > 1:
        notes.append(
            f"it has {parts} parts that do not touch; fetch does not run from one to another"
        )
    doubled = {
        launch.name for launch in launches if [x.name for x in launches].count(launch.name) > 1
    }
    if doubled:
        raise ConfigError(
            f"{file}, launches: the name {sorted(doubled)[0]!r} is used for more than one point."
            " Give each launch its own name."
        )
    for launch in launches:
        require_launch_at_shore(launch, rings, file)
    middle = np.concatenate(rings).mean(axis=0)
    longitude, latitude = (
        (launches[0].longitude, launches[0].latitude) if launches else tuple(middle)
    )
    zone = time_zone(float(latitude), (float(longitude) + 180) % 360 - 180)
    return Water(
        name=name,
        time_zone=zone,
        launches=tuple(launches),
        shoreline=tuple(rings),
        depth=depth,
        attribution=attribution,
        repairs=tuple(notes),
    )


def polygons_of(rings: Sequence[FloatArray]) -> list[list[FloatArray]]:
    """Return rings as polygons: each shore first, then the islands directly inside it.

    Parameters
    ----------
    rings
        Closed, an odd number of them around water, as `Water.shoreline`. [deg]
    """
    import shapely

    areas = [shapely.Polygon(ring) for ring in rings]
    inner, outer = shapely.STRtree(areas).query(areas, predicate="within")
    around = [[k for k in outer[inner == ring] if k != ring] for ring in range(len(rings))]
    polygons = {k: [rings[k]] for k, those in enumerate(around) if len(those) % 2 == 0}
    for number, those in enumerate(around):
        if number not in polygons:
            polygons[min(those, key=lambda k: areas[k].area)].append(rings[number])
    return list(polygons.values())


def from_sectors(name: str, sectors: str, launch: Launch, depth: float | None = None) -> Water:
    """Return a water from its fetch by compass sector: "N 800 m, NE 1.2 mi, …".

    Four, eight or sixteen sectors, evenly spread, each once.
    """
    from safety_check.units import parse

    _require_name(name)
    _require_depth(depth, name)
    table: dict[str, float] = {}
    for part in filter(None, (sector.strip() for sector in sectors.split(","))):
        sector, _, length = part.partition(" ")
        sector = sector.rstrip("=:").upper()
        if sector not in COMPASS or sector in table:
            raise PlanError(
                f"fetch sector {sector!r} in {part!r} is not a compass point, or is given twice."
                f" Write for example: N 800 m, E 1 mi, S 300 m, W 0.5 mi ({', '.join(COMPASS)})."
            )
        table[sector] = parse(length, "length", f"fetch from {sector}")
    wanted = next(
        (COMPASS[::step] for step in (4, 2, 1) if set(COMPASS[::step]) == set(table)), None
    )
    if wanted is None:
        raise PlanError(
            f"fetch sectors {', '.join(table) or '(none)'}: give all of 4, 8 or 16 evenly spread"
            f" sectors, for example {', '.join(COMPASS[::2])}; a missing sector would be treated"
            f" as sheltered."
        )
    bearings = np.array([COMPASS.index(point) * 22.5 for point in wanted])
    fetch = np.array([table[point] for point in wanted])
    if not SHORTEST_FETCH <= fetch.max() <= LONGEST_FETCH:
        size = "small" if fetch.max() < SHORTEST_FETCH else "large"
        raise PlanError(
            f"fetch sectors: the longest open water is {fetch.max():g} m, which is too {size}"
            " for any supported water. Check the numbers and the units."
        )
    return Water(
        name=name,
        time_zone=time_zone(launch.latitude, launch.longitude),
        launches=(launch,),
        fetch_table=FetchTable(bearings, fetch),
        depth=depth,
    )


def time_zone(latitude: float, longitude: float) -> str:
    """Return the tz database name of a point; the user can correct it in the water's file."""
    from tzfpy import get_tz

    return get_tz(longitude, latitude) or "UTC"


def _attribution(feature: Mapping[str, Any]) -> str:
    properties = feature.get("properties")
    if not isinstance(properties, dict):
        return ""
    said = (properties.get(key) for key in ("attribution", "source", "licence", "license"))
    words = dict.fromkeys(describe(credit, LONGEST_CREDIT) for credit in said)
    return "; ".join(word for word in words if word)


def _require_name(name: str) -> None:
    if describe(name, LONGEST_NAME) != name or not any(character.isalnum() for character in name):
        raise PlanError(
            f"{name[: 2 * LONGEST_NAME]!r} is not a valid name of a water: use one line of at most"
            f" {LONGEST_NAME} printable characters, with a letter or digit. Choose another.",
            field="name",
        )


def _require_depth(depth: float | None, file: str) -> None:
    if depth is not None and not 0 < depth < DEEPEST:
        trouble = (
            "that is deeper than any sea" if depth > 0 else "a depth must be greater than zero"
        )
        raise PlanError(
            f"{depth:g} m: {trouble}. Give the depth of the open part, for example 8 m, or leave it"
            " out: then deep water is assumed, which gives higher waves.",
            field=f"{file}, depth",
        )

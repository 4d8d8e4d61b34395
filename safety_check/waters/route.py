"""Read a route from text or a file, check it against the water, and project it."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.errors import ConfigError, PlanError
from safety_check.model.place import FetchTable, Launch, OpenWater, Water
from safety_check.model.plan import Plan
from safety_check.physics.fetch import distance_to_shore, inside, straight_fetch
from safety_check.physics.off_wind import smoothed_radials
from safety_check.physics.places import nearest_water_point
from safety_check.waters.feature_files import SUFFIXES, read_features

SPACING = 200.0  # m; between the places that are checked along a leg
OFF_THE_WATER = 30.0  # m; a point this near to the water was meant to be on it
AT_THE_LAUNCH = 5.0  # m; a point as near as this is the launch itself
SAME_PLACE = 0.1  # m; a point as near as this to the one before is dropped
MOST_POINTS = 500
AS_DRAWN = 10.0  # m; judgement: a track read by satellite wanders as much
GREATEST_LENGTH = 100_000.0  # m
POINT = re.compile(r"\s*([-+]?\d+(?:\.\d*)?)\s*,\s*([-+]?\d+(?:\.\d*)?)\s*")


def parse_route(text: str, water: Water, launch: Launch) -> FloatArray:
    """Return a route as longitude and latitude, the launch not repeated.

    Parameters
    ----------
    text
        "LAT,LON; LAT,LON; …" or the name of a GeoJSON, GPX or KML file with one line.
    water, launch
        Where it lies, and where it begins.

    Raises
    ------
    PlanError, ConfigError
        Where it cannot be read, leaves the water, crosses land, or is too long.
    """
    route = _read(text)
    way = project_route(route, launch)
    if len(way) and np.hypot(*way[0]) < AT_THE_LAUNCH:
        route, way = route[1:], way[1:]
    if not len(way):
        raise PlanError(
            f"{text!r}: it has no point besides the launch. Give at least one:"
            ' --route "44.91,-99.62; 44.92,-99.61".',
            field="--route",
        )
    length = float(np.hypot(*np.diff(way, axis=0, prepend=np.zeros((1, 2))).T).sum())
    if length > GREATEST_LENGTH:
        raise PlanError(
            f"it is {length / 1000:.0f} km long, more than"
            f" {GREATEST_LENGTH / 1000:.0f}. Latitude comes first: LAT,LON. Check the points.",
            field="--route",
        )
    _require_on_water(way, water, launch)
    return route


def project_route(route: FloatArray, launch: Launch) -> FloatArray:
    """Return a route as metres east and north of its launch."""
    from safety_check.waters.projection import to_metres

    return to_metres(route, launch.longitude, launch.latitude)


def corners(plan: Plan, water: OpenWater) -> FloatArray:
    """Return the launch, moved onto the water, and the points of the route in metres."""
    assert plan.route is not None
    way = _afloat(project_route(plan.route, plan.launch), water.rings)
    legs = np.diff(way, axis=0)
    kept: FloatArray = way[np.append(True, np.hypot(legs[:, 0], legs[:, 1]) > SAME_PLACE)]
    return kept


def _afloat(way: FloatArray, rings: Sequence[FloatArray]) -> FloatArray:
    """Return a way from the launch, with points at the shore moved a little onto the water."""
    way = np.concatenate([np.zeros((1, 2)), way])
    if not rings:
        return way
    return np.array([nearest_water_point(rings, point) for point in way])


def places_along(way: FloatArray) -> FloatArray:
    """Return places at most so far apart along each leg, its end included, the start first.

    Each leg is divided separately, so that a longer route has all places of the shorter one.

    Examples
    --------
    >>> places_along(np.array([[0.0, 0.0], [0.0, 300.0], [100.0, 300.0]]))
    array([[  0.,   0.],
           [  0., 150.],
           [  0., 300.],
           [100., 300.]])
    """
    places = [way[:1]]
    for tail, head in pairwise(way):
        pieces = max(1, math.ceil(float(np.hypot(*(head - tail))) / SPACING))
        share = np.arange(1, pieces + 1)[:, None] / pieces
        places.append(tail + share * (head - tail))
    return np.concatenate(places)


def along_route(plan: Plan, water: OpenWater) -> OpenWater:
    """Return the open water at the places of a plan's route; the reach where it has none.

    A water without a shoreline is known only at its launch, and is returned unchanged.
    """
    if plan.route is None or not water.rings:
        return water
    points = places_along(corners(plan, water))
    fetch = straight_fetch(water.rings, points, water.bearings)
    return replace(
        water,
        points=points,
        fetch=fetch,
        radials=smoothed_radials(water.bearings, fetch),
        distance_from_shore=distance_to_shore(water.rings, points),
    )


def clear_of_land(rings: Sequence[FloatArray], tail: FloatArray, head: FloatArray) -> FloatArray:
    """Return how far straight lines over the water run before they first cross a shore.

    Parameters
    ----------
    rings
        Closed rings of the shore and its islands. [m]
    tail, head : array (line, 2)
        Where each line begins and ends. [m]

    Returns
    -------
    array (line,)
        [m]; infinite where a line stays on the water all the way.

    Examples
    --------
    >>> lake = np.array([[0, 0], [900, 0], [900, 900], [0, 900], [0, 0]], dtype=float)
    >>> clear_of_land([lake], np.array([[100.0, 100.0]] * 2), np.array([[100.0, 800], [100, 950]]))
    array([ inf, 800.])
    """
    if not rings:
        return np.full(len(tail), np.inf)
    start = np.concatenate([ring[:-1] for ring in rings])
    edge = np.concatenate([ring[1:] for ring in rings]) - start
    shares = [
        _first_crossing(way, start - begin, edge)
        for begin, way in zip(tail, head - tail, strict=True)
    ]
    share = np.array(shares)
    crossed = np.isfinite(share)
    far = np.hypot(head[:, 0] - tail[:, 0], head[:, 1] - tail[:, 1])
    return np.where(crossed, far * np.where(crossed, share, 0.0), np.inf)


def _first_crossing(way: FloatArray, offset: FloatArray, edge: FloatArray) -> float:
    """Return the share of a way to its first edge; infinite where it crosses none."""
    turn = way[0] * edge[:, 1] - way[1] * edge[:, 0]
    turn = np.where(turn == 0, np.nan, turn)
    share = (offset[:, 0] * edge[:, 1] - offset[:, 1] * edge[:, 0]) / turn
    along = (offset[:, 0] * way[1] - offset[:, 1] * way[0]) / turn
    met = (share >= 0) & (share <= 1) & (along >= 0) & (along <= 1)
    return float(np.where(met, share, np.inf).min())


# -- reading ---------------------------------------------------------------------------------


def _read(text: str) -> FloatArray:
    path = Path(text)
    if path.suffix.lower() in SUFFIXES:
        return _from_file(path)
    parts = [part for part in text.split(";") if part.strip()]
    found = [POINT.fullmatch(part) for part in parts]
    if not parts or not all(found):
        wrong = next((part for part, hit in zip(parts, found, strict=True) if not hit), text)
        raise PlanError(
            f"{wrong.strip()!r} is not a point. Write latitude and longitude in degrees,"
            ' points separated by ";": --route "44.91,-99.62; 44.92,-99.61", or name a GeoJSON,'
            " GPX or KML file.",
            field="--route",
        )
    pairs = [(float(hit[2]), float(hit[1])) for hit in found if hit]
    return _degrees(pairs, "--route")


def _from_file(path: Path) -> FloatArray:
    lines = [_line(feature) for feature in read_features(path) if _drawn(feature)]
    if len(lines) != 1:
        raise ConfigError(
            f"{path.name}, features: it has {len(lines)} LineStrings, and a route is exactly"
            " one. Keep only the one you need, drawn from the launch outwards."
        )
    line = lines[0]
    if path.suffix.lower() == ".gpx" and len(line) > MOST_POINTS:
        line = _thinned(line)
    return _degrees(line, path.name)


def _drawn(feature: Mapping[str, Any]) -> bool:
    """Return whether a feature is a line; a track that comes back to its start is one too."""
    return feature["geometry"]["type"] == "LineString" or "closed_line" in feature


def _line(feature: Mapping[str, Any]) -> Any:
    coordinates = feature["geometry"].get("coordinates")
    return coordinates[0] if "closed_line" in feature else coordinates


def _thinned(line: list[list[float]]) -> list[list[float]]:
    """Return a recorded track without the points that say nothing new."""
    import shapely

    from safety_check.waters.projection import to_degrees, to_metres

    begins = line[0][0], line[0][1]
    drawn = shapely.LineString(to_metres(np.array(line, dtype=float), *begins))
    way = drawn.simplify(AS_DRAWN, preserve_topology=False)  # a track may go back as it came
    return [list(pair) for pair in to_degrees(shapely.get_coordinates(way), *begins).tolist()]


def _degrees(pairs: Any, where: str) -> FloatArray:
    """Return pairs of longitude and latitude as an array, refused where they are not."""
    if not isinstance(pairs, list) or not 1 <= len(pairs) <= MOST_POINTS:
        raise ConfigError(f"{where}: a route has 1 to {MOST_POINTS} points. Use fewer points.")
    for number, pair in enumerate(pairs, 1):
        if not _a_place(pair):
            raise ConfigError(
                f"{where}, point {number} = {pair!r}: this is not a valid coordinate. The option"
                f" takes"
                " LAT,LON; a GeoJSON file takes [LON, LAT]. Correct the point."
            )
    return np.array([pair[:2] for pair in pairs], dtype=float)


def _a_place(pair: Any) -> bool:
    if not isinstance(pair, list | tuple) or len(pair) < 2:
        return False
    if not all(
        isinstance(coordinate, int | float) and math.isfinite(coordinate) for coordinate in pair[:2]
    ):
        return False
    return bool(abs(pair[0]) <= 180 and abs(pair[1]) <= 90)


# -- checked against the water ------------------------------------------------------------------


def _require_on_water(way: FloatArray, water: Water, launch: Launch) -> None:
    if water.fetch_table is not None and not water.shoreline:
        _require_in_table(way, water.fetch_table)
        return
    from safety_check.waters.projection import local_rings

    rings = local_rings(water.shoreline, launch.longitude, launch.latitude)
    _require_points_afloat(way, rings)
    afloat = _afloat(way, rings)
    clear = clear_of_land(rings, afloat[:-1], afloat[1:])
    for leg, far in enumerate(clear, 1):
        if np.isfinite(far):
            begins = "the launch" if leg == 1 else f"point {leg - 1}"
            raise PlanError(
                f"--route, leg {leg}: it crosses land {far:.0f} m from {begins}. Move point {leg},"
                " or put a point before it that goes around it."
            )


def _require_points_afloat(way: FloatArray, rings: Sequence[FloatArray]) -> None:
    ashore = ~inside(rings, way) & (np.hypot(*way.T) > AT_THE_LAUNCH)
    gap = np.where(ashore, distance_to_shore(rings, way), 0.0)
    for number, far in enumerate(gap, 1):
        if far > OFF_THE_WATER:
            raise PlanError(
                f"--route, point {number}: it is {far:.0f} m from the water. Latitude comes"
                " first: LAT,LON (in a GeoJSON file longitude). Move the point onto the water."
            )


def _require_in_table(way: FloatArray, table: FetchTable) -> None:
    places = places_along(np.concatenate([np.zeros((1, 2)), way]))[1:]
    bearing = np.degrees(np.arctan2(places[:, 0], places[:, 1]))
    apart = np.abs((bearing[:, None] - table.bearing[None, :] + 180) % 360 - 180)
    open_water = table.fetch[np.argmin(apart, axis=1)]
    beyond = np.flatnonzero(np.hypot(*places.T) > open_water)
    if beyond.size:
        far = float(np.hypot(*places[beyond[0]]))
        raise PlanError(
            f"{far:.0f} m from the launch it leaves the water, which reaches"
            f" {open_water[beyond[0]]:.0f} m in that direction by its fetch table. Shorten the"
            f" route,"
            " or add the water again with its shoreline.",
            field="--route",
        )

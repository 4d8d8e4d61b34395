"""Point out a ramp on the outline of a water: a view of the shore, and places on it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.errors import PlanError
from safety_check.model.place import Launch, Water
from safety_check.waters import files
from safety_check.waters.geojson import LONGEST_NAME, describe
from safety_check.waters.projection import local_rings, to_degrees, to_metres
from safety_check.waters.sketch import sketch_shore

if TYPE_CHECKING:
    import shapely

ALL_AROUND = 1.12  # of the longer side of a water: the view of all of it
CLOSER = 5.0  # how many times closer the next view is
CLOSEST = 300.0  # m; a launch is at the shore within 50 m, about an eighth of such a view
WIDEST = 2.0e6  # m; the side of the largest view, wider than any lake
NEARLY = 0.9  # of the view of all of a water: its address has whole metres
PLACES = 9
HALF_A_PIXEL = 1 / 1300  # of the side of a view that is drawn 640 pixels wide


@dataclass(frozen=True)
class ShoreView:
    """A square part of a water, north up.

    Parameters
    ----------
    latitude, longitude
        Its middle. [deg]
    span
        Its side. [m]
    """

    latitude: float
    longitude: float
    span: float

    @property
    def middle(self) -> tuple[float, float]:
        """Longitude and latitude of the middle, as a projection takes them."""
        return self.longitude, self.latitude


def whole_view(water: Water) -> ShoreView:
    """Return the view of all of a water."""
    corners = np.concatenate(water.shoreline)
    longitude, latitude = ((corners.min(axis=0) + corners.max(axis=0)) / 2).tolist()
    metres = np.concatenate(local_rings(water.shoreline, longitude, latitude))
    span = 2 * float(np.abs(metres).max()) * ALL_AROUND
    return ShoreView(latitude, longitude, max(span, CLOSEST))


def view_around(place: tuple[float, float], span: float) -> ShoreView:
    """Return a view around latitude and longitude, no closer and no wider than is useful."""
    wide = span if math.isfinite(span) else WIDEST
    return ShoreView(*place, min(max(wide, CLOSEST), WIDEST))


def closer(view: ShoreView, place: tuple[float, float]) -> ShoreView:
    """Return the next closer view, around a place."""
    return view_around(place, view.span / CLOSER)


def place_in_view(view: ShoreView, right: float, down: float) -> tuple[float, float]:
    """Return latitude and longitude of a place in a view.

    Parameters
    ----------
    view
        What the user sees.
    right, down
        From its upper left corner, as shares of its side.
    """
    metres = np.array([[(right - 0.5) * view.span, (0.5 - down) * view.span]])
    longitude, latitude = to_degrees(metres, *view.middle)[0].tolist()
    return latitude, longitude


def shares_in_view(view: ShoreView, latitude: float, longitude: float) -> tuple[float, float]:
    """Return where a place is in a view, as shares of its side from its upper left corner."""
    east, north = to_metres(np.array([[longitude, latitude]]), *view.middle)[0].tolist()
    return 0.5 + east / view.span, 0.5 - north / view.span


def rings_in_view(water: Water, view: ShoreView) -> tuple[FloatArray, ...]:
    """Return the outline within a view, each ring (vertex, 2) in shares of its side.

    What an odd number of rings enclose is water. A little more than the view is kept, so that
    its edges are no shore.
    """
    import shapely

    edge = view.span  # half of it would be the view itself
    found = []
    for ring in local_rings(water.shoreline, *view.middle):
        known = ring[np.isfinite(ring).all(axis=1)]
        cut = shapely.clip_by_rect(shapely.Polygon(known), -edge, -edge, edge, edge)
        rough = shapely.simplify(cut, HALF_A_PIXEL * view.span)
        parts = [part for part in shapely.get_parts(rough) if part.geom_type == "Polygon"]
        found += [shapely.get_coordinates(shapely.get_exterior_ring(part)) for part in parts]
    turned = np.array([1.0, -1.0])
    return tuple(0.5 + turned * ring / view.span for ring in found if len(ring) > 3)


def nearest_shore(water: Water, place: tuple[float, float]) -> tuple[tuple[float, float], float]:
    """Return latitude and longitude of the shore nearest to a place, and how far it is. [m]."""
    import shapely

    latitude, longitude = place
    shore = shapely.MultiLineString(_lines(local_rings(water.shoreline, longitude, latitude)))
    line = shapely.shortest_line(shapely.Point(0.0, 0.0), shore)
    east, north = to_degrees(shapely.get_coordinates(line)[1:], longitude, latitude)[0].tolist()
    return (north, east), float(line.length)


def places_in_view(water: Water, view: ShoreView) -> tuple[tuple[float, float], ...]:
    """Return latitude and longitude of places on the shore of a view, evenly along it.

    Notes
    -----
    In the view of a whole water they are spread along its longest shore; in a closer one along
    the shore nearest to the middle of the view.
    """
    if view.span >= NEARLY * whole_view(water).span:
        return tuple((one.latitude, one.longitude) for one in sketch_shore(water.shoreline).places)
    import shapely

    middle = shapely.Point(0.0, 0.0)
    lines = _lines(local_rings(water.shoreline, *view.middle))
    shore = min(lines, key=lambda line: float(line.distance(middle)))
    length, at = float(shore.length), float(shapely.line_locate_point(shore, middle))
    steps = np.arange(PLACES) - (PLACES - 1) / 2
    along = (at + steps * min(view.span, length) / PLACES) % length
    marks = shapely.get_coordinates(shapely.line_interpolate_point(shore, along))
    return tuple((north, east) for east, north in to_degrees(marks, *view.middle).tolist())


def _lines(rings: Sequence[FloatArray]) -> list[shapely.LineString]:
    import shapely

    return [shapely.LineString(ring[np.isfinite(ring).all(axis=1)]) for ring in rings]


def add_launch(water: str, launch: Launch, folder: Path) -> Water:
    """Store a launch of a water, in place of one of the same name; return the water as it is now.

    Raises
    ------
    PlanError, ConfigError
        Where its name or its place cannot be used; LaunchError off the shore.
    """
    from safety_check.waters.launches import require_launch_at_shore, require_launch_of_table

    name = launch.name
    if not name.strip() or describe(name, LONGEST_NAME) != name:
        raise PlanError(
            f"{name[: 2 * LONGEST_NAME]!r} is not valid: use one line of at most {LONGEST_NAME}"
            " printable characters.",
            field="name",
        )

    def edit(known: Water) -> Water:
        if known.shoreline:
            require_launch_at_shore(launch, known.shoreline, known.name)
        elif known.launches:
            require_launch_of_table(launch, known)
        others = tuple(one for one in known.launches if one.name != name)
        return replace(known, launches=(*others, launch))

    return files.change(water, folder, edit)


def remove_launch(water: str, name: str, folder: Path) -> Water:
    """Remove a launch of a water; return the water as it is now.

    Raises
    ------
    PlanError
        Where it has no such launch.
    """

    def edit(known: Water) -> Water:
        others = tuple(one for one in known.launches if one.name != name)
        if len(others) == len(known.launches):
            raise PlanError(
                f"{known.name} has no launch {name!r}; nothing was changed.", field="launch"
            )
        return replace(known, launches=others)

    return files.change(water, folder, edit)

"""Whether an official message is about the places of a trip: by its polygons, circles and codes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import IntEnum
from itertools import groupby

from safety_check.arrays import FloatArray
from safety_check.settings.outlines import distance_to_area
from safety_check.sources.cap.message import Area, Circle, Info, Named
from safety_check.sources.stations import Station, distance
from safety_check.sources.warning_services.services import Place, load_file
from safety_check.sources.warning_services.zones import zones_named, zones_near

TURNS = (0.0, -360.0, 360.0)  # an area may end at the antimeridian, or go on beyond it
ABOVE = 100.0  # m; judgement: how far above the water an area may begin and still concern it


class Placement(IntEnum):
    """How an area lies to the places of a trip; the greater is the graver."""

    ELSEWHERE = 0
    UNKNOWN = 1
    HERE = 2


@dataclass(frozen=True)
class TripPlaces:
    """The places of a trip, and the zones around them.

    Parameters
    ----------
    places
        Latitude and longitude of each. [deg]
    zones
        The zones of the shipped shapes that are near any of them.
    elevation
        Height of the water above sea level; None where it is not known. [m]
    reach
        How far from the first place, the launch, the trip may be. [m]
    """

    places: tuple[Place, ...]
    zones: frozenset[str]
    elevation: float | None = None
    reach: float = 0.0

    def within(self) -> Iterator[tuple[Place, float]]:
        """Yield each place with the distance up to which an area concerns it. [m].

        Around the launch that is at least the reach: between the places that were picked, the
        trip may be anywhere up to there.
        """
        tolerance = load_file().zones.tolerance
        for number, place in enumerate(self.places):
            yield place, tolerance if number else max(tolerance, self.reach)


def trip_places(
    places: Sequence[Place], elevation: float | None = None, reach: float = 0.0
) -> TripPlaces:
    """Return the places of a trip, the launch first, with the zones around them."""
    trip = TripPlaces(tuple(places), frozenset(), elevation, reach)
    return replace(trip, zones=zones_near(trip.within()))


def place_info(info: Info, trip: TripPlaces) -> Placement:
    """Return how the areas of an information block lie to a trip; unknown where it has none."""
    return max((place_area(area, trip) for area in info.areas), default=Placement.UNKNOWN)


def place_area(area: Area, trip: TripPlaces) -> Placement:
    """Return how one area lies to a trip.

    Notes
    -----
    CAP 1.2 makes an area of all its polygons, circles and codes together. In practice a service
    names the same zone in several ways: as a polygon and by codes of one or several systems. So
    a place is outside where one of these ways is known in full, and no known part has it.
    """
    if _far_above(area, trip):
        return Placement.ELSEWHERE
    shapes: tuple[FloatArray | Circle, ...] = (*area.polygons, *area.circles)
    by_code = {system: list(codes) for system, codes in _by_system(area.geocodes)}
    named = [zone for codes in by_code.values() for code in codes for zone in zones_named(*code)]
    if any(_near(shape, trip) for shape in shapes) or not trip.zones.isdisjoint(named):
        return Placement.HERE
    in_full = any(all(zones_named(*code) for code in codes) for codes in by_code.values())
    return Placement.ELSEWHERE if in_full or (shapes and not area.unread) else Placement.UNKNOWN


def _far_above(area: Area, trip: TripPlaces) -> bool:
    """Return whether an area begins far above the water, as a warning for summits does."""
    if trip.elevation is None or area.altitude_m is None:
        return False
    return area.altitude_m > trip.elevation + ABOVE


def _by_system(codes: Sequence[Named]) -> Iterator[tuple[str, Iterator[Named]]]:
    return groupby(sorted(codes, key=lambda code: code.name), key=lambda code: code.name)


def _near(shape: FloatArray | Circle, trip: TripPlaces) -> bool:
    return any(_distance(shape, *place) <= within for place, within in trip.within())


def _distance(shape: FloatArray | Circle, latitude: float, longitude: float) -> float:
    """Return how far a place is from a shape; 0 where that can't be computed. [m]."""
    if isinstance(shape, Circle):
        middle = Station("", "", shape.latitude, shape.longitude)
        apart = distance(latitude, longitude, middle) - shape.radius_m
    else:
        around = (longitude + turn for turn in TURNS)
        apart = min(distance_to_area([shape], latitude, east, repair=True) for east in around)
    return 0.0 if math.isnan(apart) else apart

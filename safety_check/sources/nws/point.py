"""Data of api.weather.gov about a place, and the form that all its answers share."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from safety_check.errors import DataError
from safety_check.model.clean_text import clean_text
from safety_check.model.weather import Provenance
from safety_check.sources.answers import Answer, link, read
from safety_check.sources.sent_place import sent_place

if TYPE_CHECKING:
    from safety_check.sources.http.client import Client


class NwsAnswer(Answer):
    """Fields that every answer of this service may have; an error has a title and a detail."""

    title: str | None = None
    detail: str | None = None
    geometry: Any = None
    properties: dict[str, Any] | None = None


@dataclass(frozen=True)
class Point:
    """The service's data about a place.

    Parameters
    ----------
    grid, stations
        Paths of the raw grid and of the list of stations, nearest first.
    time_zone
        Name in the tz database; empty where it is unknown.
    office
        The office that makes the forecast.
    """

    grid: str
    stations: str
    time_zone: str
    office: str


def place(source: str, latitude: float, longitude: float) -> str:
    """Return a point as the service takes it: rounded, and without trailing zeros.

    Examples
    --------
    >>> place("nws_alerts", 42.7450001, -73.7520)
    '42.745,-73.752'
    """
    angles = sent_place(source, latitude, longitude)
    return ",".join(angle.rstrip("0").rstrip(".") if "." in angle else angle for angle in angles)


def query(latitude: float, longitude: float) -> str:
    """Return the path to ask first."""
    return f"/points/{place('nws_points', latitude, longitude)}"


def parse_point(body: bytes, provenance: Provenance) -> Point:
    """Return the service's data about a place.

    Its links are used as given, but only their paths; the host stays the configured one.
    """
    properties = properties_of(read(body, NwsAnswer, provenance.source), provenance)
    grid, stations = (
        link(properties.get(key)).path for key in ("forecastGridData", "observationStations")
    )
    if not (grid.startswith("/gridpoints/") and stations.startswith("/gridpoints/")):
        raise DataError(
            f"{provenance.source}: the point has no forecastGridData or no observationStations"
            " below /gridpoints/, so no forecast can be requested. Use another source here."
        )
    zone, office = (clean_text(str(properties.get(key) or "")) for key in ("timeZone", "gridId"))
    return Point(grid, stations, zone, office)


async def ask_point(
    client: Client, latitude: float, longitude: float, max_age: timedelta | None = None
) -> Point:
    """Request the data about a place, or use the saved answer if it is recent enough."""
    path = query(latitude, longitude)
    return await client.read(path, {}, parse_point, source="nws_points", max_age=max_age)


def properties_of(answer: NwsAnswer, provenance: Provenance) -> dict[str, Any]:
    """Return the properties, or raise with the service's own words for having none."""
    if answer.properties is not None:
        return answer.properties
    words = ": ".join(filter(None, (answer.title, answer.detail)))
    raise DataError(
        f"{provenance.source}: the answer has no properties."
        + (f" It says: {clean_text(words)!r}." if words else "")
        + " It can't be used; try again later, or use another source."
    )

"""Newest observations of the stations near a place (api.weather.gov)."""

from __future__ import annotations

import math
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from safety_check.errors import DataError, SourceError
from safety_check.model.clean_text import clean_text
from safety_check.model.weather import Observation, Provenance
from safety_check.sources.answers import Sensor, instant, number, observed, read
from safety_check.sources.http.error_messages import NothingToReport
from safety_check.sources.listing import Listing, read_list, require_entries
from safety_check.sources.metar_text import report_of_minute
from safety_check.sources.nws.grid import ANGLE, SPEED, TEMPERATURE, Units, unit_of
from safety_check.sources.nws.point import NwsAnswer, ask_point
from safety_check.sources.stations import Station, all_that_answer, greatest_distance, nearest

if TYPE_CHECKING:
    from safety_check.sources.http.client import Client

QUANTITIES = {  # our name: their name, the units that may come
    "wind_speed": ("windSpeed", SPEED),
    "wind_speed_of_gust": ("windGust", SPEED),
    "wind_from_direction": ("windDirection", ANGLE),
    "air_temperature": ("temperature", TEMPERATURE),
}
ASKED = 3  # how many stations: the nearest may have no data or no gust

# Flags of MADIS, the quality control behind the service (from memory, not read).
REJECTED = ("X", "B")  # failed a check, rejected by hand
SOUND = ("V", "S", "C", "G", "Z", "T")  # verified … no check applied; Q and others are doubtful


class Collection(NwsAnswer):
    """A FeatureCollection; the newest answer is a single Feature instead."""

    features: list[Any] | None = None


def parse_stations(body: bytes, provenance: Provenance) -> Listing[Station]:
    """Return the stations near a grid cell, in the order of the answer: nearest first."""
    answer = read(body, Collection, provenance.source)
    if answer.features is None:
        raise DataError(
            f"{provenance.source}: the list of stations has no features. It can't be used;"
            " try again later, or use another source."
        )
    stations = read_list(answer.features, _station, provenance.source, "stations")
    return require_entries(stations, provenance.source, "stations")


def _station(feature: object) -> Station | None:
    match feature:
        case {
            "geometry": {"coordinates": [longitude, latitude, *_]},
            "properties": {"stationIdentifier": str(name), **rest},
        }:
            label = clean_text(str(rest.get("name") or ""))
            return Station.of(name, label, number(latitude), number(longitude))
        case _:
            return None


def parse(body: bytes, provenance: Provenance, distance: float | None) -> Listing[Observation]:
    """Return the report of one station.

    Parameters
    ----------
    body
        One Feature, or a collection of which the first is the newest.
    distance
        From the launch. [m]

    Raises
    ------
    NothingToReport
        Where the collection is empty, as the service documents it for a station without data.

    Notes
    -----
    A null is never calm. Where the value is null, the raw report is read as well, because it
    often has gusts that the values lack. A value that failed its check is not replaced from the
    report, which has the value of the same sensor.
    """
    answer = read(body, Collection, provenance.source)
    if answer.features is None and answer.properties is None:
        raise DataError(
            f"{provenance.source}: the answer is not an observation."
            f" {clean_text(answer.detail or answer.title or '')}".rstrip()
            + " It can't be used; try again later, or use another source."
        )
    if answer.features == []:
        raise NothingToReport(f"{provenance.source}: this station has no observation now.")
    newest = (answer.features or [answer.properties])[0]
    properties = newest.get("properties", newest) if isinstance(newest, dict) else None
    if not isinstance(properties, dict):
        return Listing(unreadable=1)
    return _observations(properties, provenance, distance)


async def ask(client: Client, latitude: float, longitude: float) -> tuple[Observation, ...]:
    """Request the newest observations of the nearest stations within reach.

    Where every station in reach is gone, the next ones of the list show whether the service
    works: without an answer from any of them, nothing is known of the stations here either.
    """
    point = await ask_point(client, latitude, longitude)
    stations = await client.read(point.stations, {}, parse_stations, source="nws_observations")
    within = greatest_distance(QUANTITIES)
    in_order = nearest(stations, latitude, longitude, math.inf)
    near = [pair for pair in in_order if pair[0] <= within][:ASKED]
    try:
        return await all_that_answer(_ask_station(client, *pair) for pair in near)
    except NothingToReport:
        others = in_order[len(near) : len(near) + ASKED]
        await _require_an_answer(client, others)
        raise


async def _require_an_answer(client: Client, stations: Sequence[tuple[float, Station]]) -> None:
    """Raise DataError unless one of these stations answers."""
    with suppress(SourceError, DataError):
        if await all_that_answer(_ask_station(client, *pair) for pair in stations):
            return
    raise DataError("None of its stations answers, so stations near you are unknown.")


async def _ask_station(
    client: Client, distance: float, station: Station
) -> tuple[Observation, ...]:
    return await client.read(
        f"/stations/{quote(station.name, safe='')}/observations/latest",
        {},
        partial(parse, distance=distance),
        source="nws_observations",
        one_station=True,
    )


def _observations(
    properties: dict[str, Any], provenance: Provenance, distance: float | None
) -> Listing[Observation]:
    time = instant(properties.get("timestamp"))
    station = _label(properties)
    sensor = Sensor(station, distance, replace(provenance, model=station, issued=time))
    report = report_of_minute(properties.get("rawMessage"), time)
    calm = _value(properties, "windSpeed", SPEED)[0] == 0
    found: list[Observation] = []
    unreadable = 0
    for ours, (theirs, units) in QUANTITIES.items():
        value, flag = _value(properties, theirs, units)
        if flag in REJECTED or (calm and ours == "wind_from_direction"):
            continue
        missing = _null(properties, theirs)
        if missing:
            value, flag = getattr(report, ours, math.nan), "Z"
        seen = observed(ours, value, time, sensor, flagged=flag not in SOUND)
        found += seen
        unreadable += not seen and not missing
    return Listing(found, unreadable)


def _label(properties: dict[str, Any]) -> str:
    """Return the station's letters and, in newer answers, its name."""
    letters = str(properties.get("station") or "?").rpartition("/")[2]
    return clean_text(f"{letters} {properties.get('stationName') or ''}").strip()


def _value(properties: dict[str, Any], name: str, units: Units) -> tuple[float, str]:
    """Return a value in our unit, NaN where it is null or in a unit not known; and its flag."""
    match properties.get(name):
        case {"value": value, "unitCode": str(unit), **rest}:
            factor, offset = units.get(unit_of(unit), (math.nan, math.nan))
            return number(value) * factor + offset, str(rest.get("qualityControl", "Z"))
        case _:
            return math.nan, "Z"


def _null(properties: dict[str, Any], name: str) -> bool:
    """Return whether the service says that a value is missing; a missing key says nothing."""
    match properties.get(name):
        case {"value": None}:
            return True
        case _:
            return name in properties and properties[name] is None

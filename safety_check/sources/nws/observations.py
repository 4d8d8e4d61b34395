"""Newest observations of the stations near a place (api.weather.gov)."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from safety_check.errors import DataError
from safety_check.model.clean_text import clean_text
from safety_check.model.weather import Observation, Provenance
from safety_check.sources.answers import instant, number, observed, read
from safety_check.sources.nws import metar
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
ASKED = 3  # how many stations: the nearest may be silent or lack a gust

# Flags of MADIS, the quality control behind the service (from memory, not read).
REJECTED = ("X", "B")  # failed a check, rejected by hand
SOUND = ("V", "S", "C", "G", "Z", "T")  # verified … no check applied; Q and strange ones cast doubt


class Collection(NwsAnswer):
    """A FeatureCollection; the newest answer is a single Feature instead."""

    features: list[dict[str, Any]] | None = None


def parse_stations(body: bytes, provenance: Provenance) -> tuple[Station, ...]:
    """Return the stations near a grid cell, in the order of the answer: nearest first."""
    answer = read(body, Collection, provenance.source)
    if answer.features is None:
        raise DataError(
            f"{provenance.source}: the list of stations has no features. It can't be used;"
            " try again later, or use another source."
        )
    found = (_station(each) for each in answer.features)
    return tuple(each for each in found if each)


def _station(feature: dict[str, Any]) -> Station | None:
    match feature:
        case {
            "geometry": {"coordinates": [longitude, latitude, *_]},
            "properties": {"stationIdentifier": str(name), **rest},
        }:
            label = clean_text(str(rest.get("name") or ""))
            return Station.of(name, label, number(latitude), number(longitude))
        case _:
            return None


def parse(body: bytes, provenance: Provenance, distance: float | None) -> tuple[Observation, ...]:
    """Return what one station reports.

    Parameters
    ----------
    body
        One Feature, or a collection of which the first is the newest; an empty
        collection is a station that has nothing to say.
    distance
        From the launch. [m]

    Notes
    -----
    A null is never calm: where the decoded value is null, the raw report is read beside
    it, for gusts that stand in it are often left out of the values. A value that failed
    its check is not replaced from the report, which has it from the same sensor.
    """
    answer = read(body, Collection, provenance.source)
    if answer.features is None and answer.properties is None:
        raise DataError(
            f"{provenance.source}: the answer is no observation."
            f" {clean_text(answer.detail or answer.title or '')}".rstrip()
            + " It can't be used; try again later, or use another source."
        )
    newest = answer.features[:1] if answer.features is not None else [answer.properties]
    parts = [each.get("properties", each) if isinstance(each, dict) else None for each in newest]
    return tuple(
        seen
        for part in parts
        if isinstance(part, dict)
        for seen in _observations(part, provenance, distance)
    )


async def ask(client: Client, latitude: float, longitude: float) -> tuple[Observation, ...]:
    """Ask the nearest stations within reach; none when there is none."""
    point = await ask_point(client, latitude, longitude)
    stations = await client.read(point.stations, {}, parse_stations, source="nws_observations")
    near = nearest(stations, latitude, longitude, greatest_distance(QUANTITIES))[:ASKED]
    return await all_that_answer(
        client.read(
            f"/stations/{quote(station.name, safe='')}/observations/latest",
            {},
            partial(parse, distance=apart),
            source="nws_observations",
        )
        for apart, station in near
    )


def _observations(
    properties: dict[str, Any], provenance: Provenance, distance: float | None
) -> tuple[Observation, ...]:
    time = instant(properties.get("timestamp"))
    station = _label(properties)
    source = replace(provenance, model=station, issued=time)
    told = _report(properties.get("rawMessage"), time)
    calm = _value(properties, "windSpeed", SPEED)[0] == 0
    seen: list[Observation] = []
    for ours, (theirs, units) in QUANTITIES.items():
        value, flag = _value(properties, theirs, units)
        if flag in REJECTED or (calm and ours == "wind_from_direction"):
            continue
        if _null(properties, theirs):
            value, flag = getattr(told, ours, math.nan), "Z"
        doubted = flag not in SOUND
        seen += observed(ours, value, time, station, distance, source, flagged=doubted)
    return tuple(seen)


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
    match properties.get(name):
        case {"value": None} | None:
            return True
        case _:
            return False


def _report(message: object, time: datetime | None) -> metar.MetarReport | None:
    """Return the raw report, if it is of the same minute as the values."""
    told = metar.parse_metar(message) if isinstance(message, str) else None
    same = (
        told
        and time
        and (told.day, told.hour, told.minute)
        == (
            time.day,
            time.hour,
            time.minute,
        )
    )
    return told if same else None

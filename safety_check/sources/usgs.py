"""River and lake gauges of the US Geological Survey: water temperature and discharge.

The newer service is asked first, the older one in its stead. Gauges stand in the
channel near a bank; the surface of a lake may be warmer or colder.
"""

from __future__ import annotations

import html
import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from urllib.parse import parse_qsl

from pydantic import Field

from safety_check.errors import DataError
from safety_check.model.weather import Observation, Provenance
from safety_check.sources.answers import Answer, instant, link, number, observed, read
from safety_check.sources.stations import Station, distance
from safety_check.sources.text import clean_text
from safety_check.units import FOOT, ZERO_CELSIUS

# Version 0 of the newer service: a version 1 is said to have come in 2026, not seen yet.
LATEST = "/ogcapi/v0/collections/latest-continuous/items"
LOCATIONS = "/ogcapi/v0/collections/monitoring-locations/items"
LEGACY = "/nwis/iv/"
PAGE = 1000
NO_VALUE = -999_999.0

CUBIC_FOOT = FOOT**3
TEMPERATURE = {"degC": (1.0, ZERO_CELSIUS), "deg C": (1.0, ZERO_CELSIUS)}
DISCHARGE = {"ft^3/s": (CUBIC_FOOT, 0.0), "ft3/s": (CUBIC_FOOT, 0.0), "ft³/s": (CUBIC_FOOT, 0.0)}
PARAMETERS = {  # their code: our quantity, the units that may come
    "00010": ("water_temperature", TEMPERATURE),
    "00060": ("water_volume_transport_in_river_channel", DISCHARGE),
}
NORMAL = ("A", "P")  # approved, provisional; every other qualifier casts doubt
METRES_A_DEGREE = 110_000.0


class Collection(Answer):
    """A page of features; nothing found is an empty list."""

    features: list[dict[str, Any]]
    links: list[dict[str, Any]] = Field(default_factory=list)


class Legacy(Answer):
    """What the older service answers, wrapped in one key."""

    value: dict[str, Any]


@dataclass(frozen=True)
class Reading:
    """One value as it came.

    Parameters
    ----------
    site
        The gauge's number, with "USGS-" before it.
    sensor, described
        Which of its sensors, and what is said of it; one gauge may have several for one
        parameter.
    parameter, value, unit
        As they came.
    time
        When it was so.
    qualifiers
        The service's remarks on it.
    """

    site: str
    sensor: str
    described: str
    parameter: str
    value: float
    unit: str
    time: datetime | None
    qualifiers: tuple[str, ...]


def query(latitude: float, longitude: float, within: float) -> dict[str, str]:
    """Return what to ask for the newest values of all gauges in a box around a place."""
    return query_locations(latitude, longitude, within) | {"parameter_code": ",".join(PARAMETERS)}


def query_locations(latitude: float, longitude: float, within: float) -> dict[str, str]:
    """Return what to ask for the gauges in a box around a place."""
    box = ",".join(f"{edge:.4f}" for edge in _box(latitude, longitude, within))
    return {"bbox": box, "limit": str(PAGE), "f": "json"}


def query_legacy(latitude: float, longitude: float, within: float) -> dict[str, str]:
    """Return what to ask the older service for the same."""
    return {
        "format": "json",
        "bBox": ",".join(f"{edge:.4f}" for edge in _box(latitude, longitude, within)),
        "parameterCd": ",".join(PARAMETERS),
        "siteStatus": "active",
    }


def _box(latitude: float, longitude: float, within: float) -> tuple[float, float, float, float]:
    """Return west, south, east, north of a box that holds the circle."""
    up = within / METRES_A_DEGREE
    across = up / max(math.cos(math.radians(latitude)), 0.1)
    return longitude - across, latitude - up, longitude + across, latitude + up


def next_page(body: bytes, provenance: Provenance) -> dict[str, str] | None:
    """Return what to ask for the page after this one; None where it is the last."""
    links = read(body, Collection, provenance.source).links
    more = [each.get("href") for each in links if each.get("rel") == "next"]
    return dict(parse_qsl(link(more[0]).query)) if more else None


def parse_locations(body: bytes, provenance: Provenance) -> dict[str, Station]:
    """Return the gauges of a page by their number."""
    found = (_station(each) for each in read(body, Collection, provenance.source).features)
    return {each.name: each for each in found if each}


def parse(
    body: bytes,
    provenance: Provenance,
    sites: Mapping[str, Station],
    here: tuple[float, float],
) -> tuple[Observation, ...]:
    """Return the newest value of every sensor.

    Parameters
    ----------
    body
        A page of latest-continuous or continuous values.
    sites
        The gauges by number, for answers without places; a gauge that is in neither has
        no distance.
    here
        Latitude and longitude to measure from. [deg]

    Notes
    -----
    "Newest" may be years old: the time stays with the value, and the rules weigh it.
    """
    features = read(body, Collection, provenance.source).features
    places = dict(sites) | {each.name: each for each in map(_station, features) if each}
    readings = (_reading(each.get("properties")) for each in features)
    return _observations((each for each in readings if each), places, here, provenance)


def parse_legacy(
    body: bytes, provenance: Provenance, here: tuple[float, float]
) -> tuple[Observation, ...]:
    """Return the newest value of every sensor, from the older service."""
    series = read(body, Legacy, provenance.source).value.get("timeSeries")
    if not isinstance(series, list):
        raise DataError(
            f"{provenance.source}: value.timeSeries is missing. The answer can't be used;"
            " enter the water temperature by hand."
        )
    known = [each for each in series if isinstance(each, dict)]
    places = {each.name: each for each in map(_legacy_station, known) if each}
    readings = (reading for each in known for reading in _legacy_readings(each))
    return _observations(readings, places, here, provenance)


def _observations(
    readings: Iterable[Reading],
    places: Mapping[str, Station],
    here: tuple[float, float],
    provenance: Provenance,
) -> tuple[Observation, ...]:
    newest: dict[tuple[str, str, str], Observation] = {}
    for reading in readings:
        for seen in _observed(reading, places.get(reading.site), here, provenance):
            key = (reading.site, reading.sensor, reading.parameter)
            newest[key] = max(newest.get(key, seen), seen, key=lambda each: each.time)
    return tuple(newest.values())


def _observed(
    reading: Reading, place: Station | None, here: tuple[float, float], provenance: Provenance
) -> tuple[Observation, ...]:
    quantity, units = PARAMETERS.get(reading.parameter, ("", {}))
    factor, offset = units.get(html.unescape(reading.unit), (math.nan, math.nan))
    if not quantity or reading.value == NO_VALUE:
        return ()
    names = (reading.site, place.label if place else "", reading.described)
    station = " ".join(filter(None, names))
    return observed(
        quantity,
        reading.value * factor + offset,
        reading.time,
        station,
        distance(*here, place) if place else None,
        replace(provenance, model=station, issued=reading.time),
        flagged=any(each not in NORMAL for each in reading.qualifiers),
    )


def _reading(properties: object) -> Reading | None:
    if not isinstance(properties, dict):
        return None
    remark = properties.get("qualifier")
    return Reading(
        site=_text(properties.get("monitoring_location_id")),
        sensor=_text(properties.get("time_series_id")),
        described="",
        parameter=_text(properties.get("parameter_code")),
        value=number(properties.get("value")),
        unit=_text(properties.get("unit_of_measure")),
        time=instant(properties.get("time")),
        qualifiers=_remarks([remark] if isinstance(remark, str) else remark),
    )


def _station(feature: Mapping[str, Any]) -> Station | None:
    match feature:
        case {
            "geometry": {"coordinates": [longitude, latitude, *_]},
            "properties": dict() as properties,
        }:
            name = properties.get("monitoring_location_id") or feature.get("id")
            label = _text(properties.get("monitoring_location_name"))
            return Station.of(_text(name), label, number(latitude), number(longitude))
        case _:
            return None


def _legacy_readings(series: Mapping[str, Any]) -> Iterator[Reading]:
    """Yield every value of every sensor; each sensor is an entry of its own."""
    match series:
        case {
            "sourceInfo": {"siteCode": [{"value": site}, *_]},
            "variable": {
                "variableCode": [{"value": parameter}, *_],
                "unit": {"unitCode": unit},
                **variable,
            },
            "values": [*sensors],
        }:
            void = number(variable.get("noDataValue"))
        case _:
            return
    for sensor in sensors:
        method = next(iter(_dicts(sensor, "method")), {})
        number_of_sensor = str(method.get("methodID"))
        described = _text(method.get("methodDescription"))
        for value in _dicts(sensor, "value"):
            told = number(value.get("value"))
            yield Reading(
                site=f"USGS-{_text(site)}",
                sensor=number_of_sensor,
                described=described,
                parameter=_text(parameter),
                value=math.nan if told == void else told,
                unit=_text(unit),
                time=instant(value.get("dateTime")),
                qualifiers=_remarks(value.get("qualifiers")),
            )


def _legacy_station(series: Mapping[str, Any]) -> Station | None:
    match series:
        case {
            "sourceInfo": {
                "siteName": label,
                "siteCode": [{"value": site}, *_],
                "geoLocation": {"geogLocation": {"latitude": north, "longitude": east}},
            }
        }:
            return Station.of(f"USGS-{_text(site)}", _text(label), number(north), number(east))
        case _:
            return None


def _dicts(holder: object, key: str) -> list[dict[str, Any]]:
    held = holder.get(key) if isinstance(holder, dict) else None
    return [each for each in held if isinstance(each, dict)] if isinstance(held, list) else []


def _remarks(qualifiers: object) -> tuple[str, ...]:
    return tuple(map(str, qualifiers)) if isinstance(qualifiers, list) else ()


def _text(value: object) -> str:
    return clean_text(html.unescape(value)) if isinstance(value, str) else ""

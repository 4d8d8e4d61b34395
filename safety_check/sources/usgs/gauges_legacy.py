"""The older service of the US Geological Survey, in case the newer one is silent."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Any

from safety_check.errors import DataError
from safety_check.model.weather import Observation, Provenance
from safety_check.sources.answers import Answer, instant, number, read
from safety_check.sources.stations import Station
from safety_check.sources.usgs.readings import (
    PARAMETERS,
    Reading,
    box,
    observations,
    plain,
    remarks,
)

PATH = "/nwis/iv/"


class Legacy(Answer):
    """What the older service answers, wrapped in one key."""

    value: dict[str, Any]


def query(latitude: float, longitude: float, within: float) -> dict[str, str]:
    """Return what to ask for the newest values of all gauges in a box around a place."""
    return {
        "format": "json",
        "bBox": box(latitude, longitude, within),
        "parameterCd": ",".join(PARAMETERS),
        "siteStatus": "active",
    }


def parse(
    body: bytes, provenance: Provenance, here: tuple[float, float]
) -> tuple[Observation, ...]:
    """Return the newest value of every sensor."""
    series = read(body, Legacy, provenance.source).value.get("timeSeries")
    if not isinstance(series, list):
        raise DataError(
            f"{provenance.source}: value.timeSeries is missing. The answer can't be used;"
            " enter the water temperature by hand."
        )
    known = [each for each in series if isinstance(each, dict)]
    places = {each.name: each for each in map(_station, known) if each}
    readings = (reading for each in known for reading in _readings(each))
    return observations(readings, places, here, provenance)


def _readings(series: Mapping[str, Any]) -> Iterator[Reading]:
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
        sensor_number = str(method.get("methodID"))
        described = plain(method.get("methodDescription"))
        for value in _dicts(sensor, "value"):
            told = number(value.get("value"))
            yield Reading(
                site=f"USGS-{plain(site)}",
                sensor=sensor_number,
                described=described,
                parameter=plain(parameter),
                value=math.nan if told == void else told,
                unit=plain(unit),
                time=instant(value.get("dateTime")),
                qualifiers=remarks(value.get("qualifiers")),
            )


def _station(series: Mapping[str, Any]) -> Station | None:
    match series:
        case {
            "sourceInfo": {
                "siteName": label,
                "siteCode": [{"value": site}, *_],
                "geoLocation": {"geogLocation": {"latitude": north, "longitude": east}},
            }
        }:
            return Station.of(f"USGS-{plain(site)}", plain(label), number(north), number(east))
        case _:
            return None


def _dicts(holder: object, key: str) -> list[dict[str, Any]]:
    held = holder.get(key) if isinstance(holder, dict) else None
    return [each for each in held if isinstance(each, dict)] if isinstance(held, list) else []

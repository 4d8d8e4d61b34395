"""The older service of the US Geological Survey, for when the newer one fails."""

from __future__ import annotations

from typing import Any

from safety_check.errors import DataError
from safety_check.model.weather import Observation, Provenance
from safety_check.sources.answers import Answer, instant, number, read
from safety_check.sources.listing import Listing, read_list
from safety_check.sources.sent_place import sent_box
from safety_check.sources.stations import Station
from safety_check.sources.usgs.readings import (
    NO_VALUE,
    PARAMETERS,
    Reading,
    observations,
    plain,
    remarks,
)

PATH = "/nwis/iv/"


class Legacy(Answer):
    """The answer of the older service, inside one key."""

    value: dict[str, Any]


def query(latitude: float, longitude: float, within: float) -> dict[str, str]:
    """Return the query for the newest values of all gauges in a box around a place."""
    return {
        "format": "json",
        "bBox": sent_box("usgs_legacy", latitude, longitude, within),
        "parameterCd": ",".join(PARAMETERS),
        "siteStatus": "active",
    }


def parse(body: bytes, provenance: Provenance, here: tuple[float, float]) -> Listing[Observation]:
    """Return the newest value of every sensor."""
    series = read(body, Legacy, provenance.source).value.get("timeSeries")
    if not isinstance(series, list):
        raise DataError(
            f"{provenance.source}: value.timeSeries is missing. The answer can't be used;"
            " enter the water temperature by hand."
        )
    sensors = read_list(series, _series, provenance.source, "series")
    places = {gauge.name: gauge for gauge in map(_station, series) if gauge}
    unplaced = sum(site not in places for site, _ in sensors)
    readings = [reading for _, values in sensors for reading in values]
    found = observations(readings, places, here, provenance)
    lost = sum(values.unreadable for _, values in sensors)
    return Listing(found, found.unreadable + sensors.unreadable + unplaced + lost)


def _series(series: object) -> tuple[str, Listing[Reading]] | None:
    """Return a site with every value of its sensors; each sensor is an entry of its own.

    A sensor without a current value has an empty list of values; the list is never missing.
    """
    match series:
        case {
            "sourceInfo": {"siteCode": [{"value": site}, *_]},
            "variable": {
                "variableCode": [{"value": parameter}, *_],
                "unit": {"unitCode": unit},
                **variable,
            },
            "values": [_, *_] as sensors,
        }:
            no_value = number(variable.get("noDataValue"))
        case _:
            return None
    name = f"USGS-{plain(site)}"
    readings, unreadable = [], 0
    for sensor in sensors:
        method = next(iter(_dicts(sensor, "method")), {})
        values = _dicts(sensor, "value")
        unreadable += values.unreadable
        for value in values:
            raw = number(value.get("value"))
            readings.append(
                Reading(
                    site=name,
                    sensor=str(method.get("methodID")),
                    described=plain(method.get("methodDescription")),
                    parameter=plain(parameter),
                    value=raw,
                    unit=plain(unit),
                    given=raw not in (no_value, NO_VALUE),
                    time=instant(value.get("dateTime")),
                    qualifiers=remarks(value.get("qualifiers")),
                )
            )
    return name, Listing(readings, unreadable)


def _station(series: Any) -> Station | None:
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


def _dicts(holder: object, key: str) -> Listing[dict[str, Any]]:
    """Return the objects in a list; anything else counts as one unreadable entry."""
    found = holder.get(key) if isinstance(holder, dict) else None
    if not isinstance(found, list):
        return Listing(unreadable=1)
    objects = [entry for entry in found if isinstance(entry, dict)]
    return Listing(objects, len(found) - len(objects))

"""Tide stations of NOAA CO-OPS: water temperature and wind.

The answers do not name their units, so these cannot be checked: metric ones are requested,
and only values that are impossible in nature are refused.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import UTC, datetime
from functools import partial
from typing import TYPE_CHECKING, Any

from safety_check.errors import DataError
from safety_check.model.clean_text import clean_text
from safety_check.model.weather import Observation, Provenance
from safety_check.sources.answers import Answer, Sensor, number, observed, read
from safety_check.sources.http.error_messages import NothingToReport
from safety_check.sources.listing import Listing, read_list, require_entries
from safety_check.sources.stations import Station, all_that_answer, greatest_distance, nearest
from safety_check.units import ZERO_CELSIUS

if TYPE_CHECKING:
    from safety_check.sources.http.client import Client

DATA = "/api/prod/datagetter"
STATIONS = "/mdapi/prod/webapi/stations.json"
APPLICATION = "safety-check"
# Product → the list of stations that have it ("watertemp" and "met" from public use of the
# service, "tidepredictions" too; none was tested live).
STATION_TYPES = {
    "water_temperature": "watertemp",
    "wind": "met",
    "predictions": "tidepredictions",
}
ASKED = 2  # stations; a listed sensor may still have no data
NO_DATA = re.compile(r"^No (\w+ )?data was found")  # the documented words, with status 200


class Product(Answer):
    """The fields that the data service may answer; an error has status 200 too."""

    error: dict[str, Any] | None = None
    metadata: dict[str, Any] | None = None
    data: list[Any] | None = None
    predictions: list[Any] | None = None


class Stations(Answer):
    """The list of stations, or one station asked for by its number."""

    stations: list[Any]


def query_stations(product: str) -> dict[str, str]:
    """Return what to ask for the stations that have a product."""
    return {"type": STATION_TYPES[product]}


def query(station: str, product: str) -> dict[str, str]:
    """Return what to ask for the newest value of a product: water_temperature or wind."""
    return {
        "station": station,
        "product": product,
        "date": "latest",
        "units": "metric",
        "time_zone": "gmt",
        "format": "json",
        "application": APPLICATION,
    }


def parse_stations(body: bytes, provenance: Provenance) -> Listing[Station]:
    """Return the stations of a list, in its order."""
    raw = read(body, Stations, provenance.source).stations
    stations = read_list(raw, _station, provenance.source, "stations")
    return require_entries(stations, provenance.source, "stations")


def _station(entry: object) -> Station | None:
    if not isinstance(entry, dict) or not entry.get("id"):
        return None
    name, label = (clean_text(str(entry.get(key) or "")) for key in ("id", "name"))
    return Station.of(name, label, number(entry.get("lat")), number(entry.get("lng")))


def parse_water_temperature(
    body: bytes, provenance: Provenance, apart: float | None
) -> Listing[Observation]:
    """Return the newest known water temperature of a station; an empty value is missing."""
    return _newest(body, provenance, apart, {"water_temperature": ("v", ZERO_CELSIUS)})


def parse_wind(body: bytes, provenance: Provenance, apart: float | None) -> Listing[Observation]:
    """Return the newest known wind, gust and direction of a station."""
    fields = {
        "wind_speed": ("s", 0.0),
        "wind_speed_of_gust": ("g", 0.0),
        "wind_from_direction": ("d", 0.0),
    }
    return _newest(body, provenance, apart, fields)


async def ask(client: Client, latitude: float, longitude: float) -> tuple[Observation, ...]:
    """Ask the nearest stations within reach for water temperature and wind."""
    return await all_that_answer(
        _ask_product(client, latitude, longitude, product, parse_product, reach)
        for product, parse_product, reach in (
            (
                "water_temperature",
                parse_water_temperature,
                greatest_distance(["water_temperature"]),
            ),
            ("wind", parse_wind, greatest_distance(["wind_speed"])),
        )
    )


async def _ask_product(
    client: Client,
    latitude: float,
    longitude: float,
    product: str,
    parse_product: Callable[..., tuple[Observation, ...]],
    within: float,
) -> tuple[Observation, ...]:
    stations = await _stations(client, product)
    near = nearest(stations, latitude, longitude, within)[:ASKED]
    return await all_that_answer(
        client.read(
            DATA, query(station.name, product), partial(parse_product, apart=apart), source="coops"
        )
        for apart, station in near
    )


def recall_stations(client: Client) -> tuple[Station, ...]:
    """Return the stations on the last saved lists, however old; none without one."""
    lists = [
        client.recall(STATIONS, query_stations(product), parse_stations, source="coops") or ()
        for product in ("water_temperature", "wind")
    ]
    return tuple(station for stations in lists for station in stations)


async def _stations(client: Client, product: str) -> tuple[Station, ...]:
    return await client.read(STATIONS, query_stations(product), parse_stations, source="coops")


def refusal(source: str, error: dict[str, Any] | None) -> DataError:
    """Return the error for an answer without data; it quotes the service."""
    words = clean_text(str((error or {}).get("message") or "")).strip()
    kind = NothingToReport if NO_DATA.search(words) else DataError
    return kind(
        f"{source}: no data ({words or 'neither data nor an error'}). Its data is"
        " missing from this check; enter the value by hand."
    )


def _product(body: bytes, provenance: Provenance) -> Product:
    """Return an answer with data, or raise an error that quotes the service."""
    answer = read(body, Product, provenance.source)
    if answer.error is None and answer.data:
        return answer
    raise refusal(provenance.source, answer.error)


def _newest(
    body: bytes,
    provenance: Provenance,
    apart: float | None,
    fields: dict[str, tuple[str, float]],
) -> Listing[Observation]:
    answer = _product(body, provenance)
    raw = answer.data or []
    rows = read_list(raw, _row, provenance.source, "rows")
    about = answer.metadata or {}
    station = clean_text(f"{about.get('id', '?')} {about.get('name', '')}".strip())
    source = replace(provenance, model=station)
    found = [
        _latest(rows, quantity, field, offset, Sensor(station, apart, source))
        for quantity, (field, offset) in fields.items()
    ]
    unreadable = rows.unreadable + sum(seen.unreadable for seen in found)
    return Listing((observation for seen in found for observation in seen), unreadable)


def _row(raw: object) -> tuple[datetime, dict[str, Any]] | None:
    """Return a row with its time; None where it can't be read."""
    time = _time(raw) if isinstance(raw, dict) else None
    return (time, raw) if time and isinstance(raw, dict) else None


def _latest(
    rows: Iterable[tuple[datetime, dict[str, Any]]],
    quantity: str,
    field: str,
    offset: float,
    sensor: Sensor,
) -> Listing[Observation]:
    """Return the newest plausible value of a field, whatever the order of the rows."""
    unreadable = 0
    for time, row in sorted(rows, key=lambda pair: pair[0], reverse=True):
        if _absent(row, field):
            continue
        seen = observed(
            quantity,
            number(row.get(field)) + offset,
            time,
            replace(sensor, provenance=replace(sensor.provenance, issued=time)),
            flagged="1" in str(row.get("f")),
        )
        if seen:
            return Listing(seen, unreadable)
        unreadable += 1
    return Listing(unreadable=unreadable)


def _absent(row: dict[str, Any], field: str) -> bool:
    """Return whether a row says that it has no value; a calm has no direction."""
    calm = field == "d" and number(row.get("s")) == 0
    return calm or row.get(field, "?") in ("", None)


def _time(row: dict[str, Any]) -> datetime | None:
    """Return the time of a row, which is in the zone that was asked for: UTC."""
    try:
        return datetime.strptime(str(row.get("t")), "%Y-%m-%d %H:%M").replace(tzinfo=UTC)
    except ValueError:
        return None

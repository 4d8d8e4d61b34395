"""Newest reports of the aerodromes around a place (aviationweather.gov/data/api).

The service reads every METAR and SPECI of the world and sends their values beside the raw
text. Its numbers come without units: the wind is checked against the raw text, which names its
unit.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from functools import partial
from typing import TYPE_CHECKING, Any

from pydantic import RootModel

from safety_check.errors import DataError
from safety_check.model.clean_text import clean_text
from safety_check.model.weather import Observation, Provenance
from safety_check.sources.answers import Sensor, number, observed, read
from safety_check.sources.coverage import may_have_station
from safety_check.sources.http.error_messages import NothingToReport
from safety_check.sources.listing import Listing, read_list
from safety_check.sources.metar_text import MetarReport, report_of_minute
from safety_check.sources.sent_place import box_edges
from safety_check.sources.stations import Station, distance, greatest_distance
from safety_check.units import KNOT, ZERO_CELSIUS

if TYPE_CHECKING:
    from safety_check.sources.http.client import Client

SOURCE = "aviation_weather"
PATH = "/api/data/metar"
MOST = 400  # reports of one answer at most, says the documentation
SPEEDS = {"wind_speed": "wspd", "wind_speed_of_gust": "wgst"}  # in knots
QUANTITIES = (*SPEEDS, "wind_from_direction", "air_temperature")
ROUNDED = 1.0  # kt; values in knots are whole, and P99 means 100 or more


class Reports(RootModel[list[Any]]):
    """What the service answers: one entry for each station."""


@dataclass(frozen=True)
class AerodromeReport:
    """One entry of an answer.

    Parameters
    ----------
    station
        The aerodrome.
    time
        Of the observation, UTC; None where it can't be read.
    values
        As received.
    """

    station: Station
    time: datetime | None
    values: Mapping[str, Any]


@dataclass(frozen=True)
class Readings:
    """What one entry says, and how many of its values can't be read; nothing from out of reach."""

    station: Station
    observations: tuple[Observation, ...]
    unreadable: int


def query(latitude: float, longitude: float, within: float) -> tuple[dict[str, str], ...]:
    """Return the queries for the newest reports in a box around a place.

    There are two where the box crosses the antimeridian.

    Examples
    --------
    >>> query(59.9, 10.7, 40_000.0)
    ({'bbox': '59,9,61,12', 'format': 'json'},)
    """
    west, south, east, north = map(float, box_edges(SOURCE, latitude, longitude, within))
    spans = [(west, east)]
    if west < -180:
        spans = [(west + 360, 180.0), (-180.0, east)]
    elif east > 180:
        spans = [(west, 180.0), (-180.0, east - 360)]
    low, high = max(south, -90.0), min(north, 90.0)
    return tuple(
        {"bbox": f"{low:g},{left:g},{high:g},{right:g}", "format": "json"} for left, right in spans
    )


def parse(
    body: bytes, provenance: Provenance, latitude: float, longitude: float
) -> Listing[Readings]:
    """Return what each aerodrome reports, with its distance from a place.

    Raises
    ------
    DataError
        Where the answer is not a list, none of its entries can be read, or it has as many as
        the service sends at most: then the aerodrome here may be among those left out.
    """
    entries = read(body, Reports, provenance.source).root
    if len(entries) >= MOST:
        raise DataError(
            f"{provenance.source}: its answer has {len(entries)} reports, as many as it sends at"
            " most, so the one near you may be missing. It can't be used; use another source."
        )
    reports = read_list(entries, _report, provenance.source, "reports")
    here = (latitude, longitude)
    readings = [
        _readings(report, distance(*here, report.station), provenance) for report in reports
    ]
    unreadable = sum(reading.unreadable for reading in readings)
    return Listing(readings, reports.unreadable + unreadable)


async def ask(client: Client, latitude: float, longitude: float) -> tuple[Observation, ...]:
    """Request the newest reports of the aerodromes in a box around a place.

    Raises
    ------
    DataError
        Where no aerodrome reports although the shipped list has one near the place.
    NothingToReport
        Where none reports, and the list has none.
    """
    within = greatest_distance(QUANTITIES)
    parse_here = partial(parse, latitude=latitude, longitude=longitude)
    found: list[Readings] = []
    for asked in query(latitude, longitude, within):
        with suppress(NothingToReport):
            found += await client.read(PATH, asked, parse_here, source=SOURCE)
    if not found and may_have_station(SOURCE, latitude, longitude):
        raise DataError(
            "Its answer has no report of any aerodrome around this place, although one is known"
            " there. It can't be used; try again later, or use another source."
        )
    if not found:
        raise NothingToReport("No aerodrome around this place reports.")
    return tuple(seen for reading in found for seen in reading.observations)


def _report(entry: Any) -> AerodromeReport | None:
    match entry:
        case {"icaoId": str(letters), "lat": latitude, "lon": longitude, "obsTime": epoch, **rest}:
            label = clean_text(str(rest.get("name") or ""))
            name = clean_text(letters)
            station = Station.of(name, label, number(latitude), number(longitude))
            return AerodromeReport(station, _instant(epoch), entry) if name and station else None
        case _:
            return None


def _instant(epoch: object) -> datetime | None:
    """Return the instant of a number of seconds since 1970; None where it is none."""
    seconds = number(epoch) if isinstance(epoch, int) else math.nan
    if not 0 < seconds < 1e10:
        return None
    return datetime.fromtimestamp(seconds, UTC)


def _readings(report: AerodromeReport, apart: float, provenance: Provenance) -> Readings:
    station = report.station
    if apart > greatest_distance(QUANTITIES):  # the box is larger than the reach
        return Readings(station, (), 0)
    if report.time is None:
        return Readings(station, (), 1)
    name = f"{station.name} {station.label}".strip()
    sensor = Sensor(name, apart, replace(provenance, model=name, issued=report.time))
    text = report_of_minute(report.values.get("rawOb"), report.time)
    found: list[Observation] = []
    unreadable = 0
    for quantity in QUANTITIES:
        value, sound = _value(quantity, report.values, text)
        seen = observed(quantity, value, report.time, sensor)
        found += seen
        unreadable += not sound or (not math.isnan(value) and not seen)
    return Readings(station, tuple(found), unreadable)


def _value(
    quantity: str, values: Mapping[str, Any], text: MetarReport | None
) -> tuple[float, bool]:
    """Return a value in SI, NaN where none is reported; and whether it can be read."""
    if quantity in SPEEDS:
        return _speed(quantity, values, text)
    if quantity == "air_temperature":
        celsius, sound = _given(values, "temp")
        return celsius + ZERO_CELSIUS, sound
    return _direction(values, text)


def _speed(
    quantity: str, values: Mapping[str, Any], text: MetarReport | None
) -> tuple[float, bool]:
    """Return a speed as the raw text has it; where the values contradict it, the higher one."""
    knots, sound = _given(values, SPEEDS[quantity])
    written = getattr(text, quantity, math.nan)
    sent = knots * KNOT
    if math.isnan(written) or math.isnan(sent):
        return (sent if math.isnan(written) else written), sound
    agree = abs(written - sent) <= ROUNDED * KNOT
    return (written if agree else max(written, sent)), sound and agree


def _direction(values: Mapping[str, Any], text: MetarReport | None) -> tuple[float, bool]:
    """Return where the wind comes from; NaN where it is calm or variable, "VRB"."""
    if text is not None:
        return text.wind_from_direction, True
    if values.get("wdir") == "VRB" or number(values.get("wspd")) == 0:
        return math.nan, True
    return _given(values, "wdir")


def _given(values: Mapping[str, Any], name: str) -> tuple[float, bool]:
    """Return a number, and whether it can be read; a null or a missing key reports nothing."""
    raw = values.get(name)
    value = number(raw)
    return value, raw is None or not math.isnan(value)

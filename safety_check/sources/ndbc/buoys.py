"""Buoys and coastal stations of the US National Data Buoy Center (text files).

Realtime values have passed automatic checks only, and the wind is measured 3 to 40 m
above the water; neither is corrected here.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from functools import partial
from typing import TYPE_CHECKING
from urllib.parse import quote

from safety_check.errors import DataError, SafetyCheckError
from safety_check.model.clean_text import clean_text
from safety_check.model.weather import Observation, Provenance
from safety_check.sources.answers import Sensor, number, observed
from safety_check.sources.listing import Listing, read_list, require_entries
from safety_check.sources.stations import Station, all_that_answer, distance, greatest_distance
from safety_check.units import ZERO_CELSIUS

if TYPE_CHECKING:
    from safety_check.sources.http.client import Client

LATEST = "/data/latest_obs/latest_obs.txt"

POINTS = (
    *("N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE"),
    *("S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"),
)
DIRECTION = ("degT", "-")


@dataclass(frozen=True)
class Column:
    """How one column becomes one quantity.

    Parameters
    ----------
    quantity
        Our name.
    units
        The accepted units below its header; in any other the value is unknown.
    missing
        The number that means "missing" where a file does not write MM.
    offset
        Added to their value to get ours.
    """

    quantity: str
    units: tuple[str, ...]
    missing: float
    offset: float = 0.0


ASKED = 2  # files; one of 45 days is half a megabyte
PEAK_PERIOD = "sea_surface_wave_period_at_variance_spectral_density_maximum"
COLUMNS = {
    "WDIR": Column("wind_from_direction", DIRECTION, 999),
    "WSPD": Column("wind_speed", ("m/s",), 99),
    "GST": Column("wind_speed_of_gust", ("m/s",), 99),
    "WVHT": Column("sea_surface_wave_significant_height", ("m",), 99),
    "DPD": Column(PEAK_PERIOD, ("sec",), 99),
    "MWD": Column("sea_surface_wave_from_direction", DIRECTION, 999),
    "ATMP": Column("air_temperature", ("degC",), 999, ZERO_CELSIUS),
    "WTMP": Column("water_temperature", ("degC",), 999, ZERO_CELSIUS),
    "SwH": Column("sea_surface_swell_wave_significant_height", ("m",), 99),
    "SwP": Column("sea_surface_swell_wave_period", ("sec",), 99),
    "SwD": Column("sea_surface_swell_wave_from_direction", DIRECTION, 999),
    "WWH": Column("sea_surface_wind_wave_significant_height", ("m",), 99),
    "WWP": Column("sea_surface_wind_wave_period", ("sec",), 99),
    "WWD": Column("sea_surface_wind_wave_from_direction", DIRECTION, 999),
}
ALWAYS = ("WDIR", "WSPD", "GST", "WVHT", "WTMP")  # columns that the newest values always have
MISSING = ("MM", "N/A")
CLOCK = ("MM", "DD", "hh", "mm")  # month and minute differ only by case

Row = Mapping[str, str]


@dataclass(frozen=True)
class Table:
    """A file by its own header: the unit of each column, and the lines.

    Parameters
    ----------
    units
        The unit of each column by its name.
    rows
        The lines by the names of their columns.
    unreadable
        How many lines have another number of fields.
    """

    units: Mapping[str, str]
    rows: tuple[Row, ...]
    unreadable: int = 0


def path(station: str, kind: str = "txt") -> str:
    """Return the path of a station's last 45 days; kinds are txt, spec and cwind."""
    return f"/data/realtime2/{quote(station.upper(), safe='')}.{kind}"


def parse(
    body: bytes, provenance: Provenance, station: str, apart: float | None
) -> Listing[Observation]:
    """Return the newest known value of each column of a station's file, with its own time.

    Parameters
    ----------
    body
        A realtime2 file of kind txt, spec or cwind.
    station
        The station of the file.
    apart
        Its distance from the launch. [m]
    """
    table = _table(body, provenance)
    source = replace(provenance, model=station)
    found = [
        _newest(name, column, table.rows, Sensor(station, apart, source))
        for name, column in COLUMNS.items()
        if table.units.get(name) in column.units
    ]
    return _joined(found, table.unreadable)


def parse_latest(
    body: bytes, provenance: Provenance, latitude: float, longitude: float, within: float
) -> Listing[Observation]:
    """Return the newest line of every station within a distance [m] of a place.

    Raises
    ------
    DataError
        Where the list has no line, lacks a column that it always has, or has it in an unknown
        unit: then nothing is known about the stations near a place.
    """
    table = _table(body, provenance)
    _require_columns(table, provenance)
    require_entries(Listing(table.rows), provenance.source, "newest values")
    places = read_list(table.rows, _station, provenance.source, "stations")
    # A degree of latitude is 110.6 km at least (WGS84), so most stations need no exact distance.
    band = [pair for pair in places if abs(pair[1].latitude - latitude) * 110_000 <= within]
    found = [
        _newest(name, column, (row,), sensor)
        for row, station in band
        for away in [distance(latitude, longitude, station)]
        for sensor in [Sensor(station.name, away, replace(provenance, model=station.name))]
        if away <= within
        for name, column in COLUMNS.items()
        if table.units.get(name) in column.units
    ]
    return _joined(found, table.unreadable + places.unreadable)


def parse_stations(body: bytes, provenance: Provenance) -> Listing[Station]:
    """Return the stations on the list of newest values."""
    rows = _table(body, provenance).rows
    pairs = read_list(rows, _station, provenance.source, "stations")
    return Listing((station for _, station in pairs), pairs.unreadable)


def recall_stations(client: Client) -> tuple[Station, ...]:
    """Return the stations on the last saved list, however old; none without one."""
    return client.recall(LATEST, {}, parse_stations, source="ndbc") or ()


def _joined(found: Iterable[Listing[Observation]], unreadable: int) -> Listing[Observation]:
    parts = list(found)
    unreadable += sum(part.unreadable for part in parts)
    return Listing((seen for part in parts for seen in part), unreadable)


def _require_columns(table: Table, provenance: Provenance) -> None:
    known = {name for name in ALWAYS if table.units.get(name) in COLUMNS[name].units}
    lacking = [*({"STN", "LAT", "LON"} - table.units.keys()), *(set(ALWAYS) - known)]
    if lacking:
        raise DataError(
            f"{provenance.source}: the list of newest values has no {min(lacking)}, or has it in"
            " an unknown unit. It can't be used; try again later, or use another source."
        )


async def ask(client: Client, latitude: float, longitude: float) -> tuple[Observation, ...]:
    """Ask for the newest lines of all stations, then for the files of the nearest ones.

    A buoy's newest line often lacks the wave height or water temperature that an older line has,
    so its file is requested; where that fails, the newest line is used.
    """
    within = greatest_distance(column.quantity for column in COLUMNS.values())
    newest = partial(parse_latest, latitude=latitude, longitude=longitude, within=within)
    seen = await client.read(LATEST, {}, newest, source="ndbc")
    near = sorted({(observation.distance or 0.0, observation.station) for observation in seen})
    requests = [
        client.read(
            path(name),
            {},
            partial(parse, station=name, apart=apart),
            source="ndbc",
            one_station=True,
        )
        for apart, name in near[:ASKED]
    ]
    try:
        files = await all_that_answer(requests)
    except SafetyCheckError:
        files = ()
    in_files = {(observation.station, observation.quantity) for observation in files}
    return files + tuple(
        observation
        for observation in seen
        if (observation.station, observation.quantity) not in in_files
    )


def _station(row: Row) -> tuple[Row, Station] | None:
    """Return a line with its station; None where its place can't be read."""
    station = Station.of(clean_text(row["STN"]), "", number(row["LAT"]), number(row["LON"]))
    return (row, station) if station else None


def _table(body: bytes, provenance: Provenance) -> Table:
    """Return a file by its header; lines with another number of fields can't be read."""
    lines = body.decode("iso-8859-1").split("\n")
    heads = [line[1:].split() for line in lines[:2] if line.startswith("#")]
    if len(heads) < 2 or len(heads[0]) != len(heads[1]) or not set(CLOCK) <= set(heads[0]):
        start = clean_text(lines[0][:40])
        raise DataError(
            f"{provenance.source}: the file does not begin with its two header lines but with"
            f" {start!r}. It can't be used; try again later, or use another source."
        )
    if lines[-1]:
        raise DataError(
            f"{provenance.source}: the file ends within a line, so it was cut off. Its last"
            " values and stations can't be trusted; try again."
        )
    fields = [line.split() for line in lines if line.strip() and not line.startswith("#")]
    whole = [parts for parts in fields if len(parts) == len(heads[0])]
    return Table(
        units=dict(zip(*heads, strict=True)),
        rows=tuple(dict(zip(heads[0], parts, strict=True)) for parts in whole),
        unreadable=len(fields) - len(whole),
    )


def _newest(name: str, column: Column, rows: Iterable[Row], sensor: Sensor) -> Listing[Observation]:
    """Return the newest plausible value of a column, whatever the order of the lines."""
    given = [(_time(name, row), _value(name, row)) for row in rows if _given(name, column, row)]
    unreadable = sum(time is None for time, _ in given)
    for time, value in sorted((pair for pair in given if pair[0]), key=_age_order, reverse=True):
        dated = replace(sensor, provenance=replace(sensor.provenance, issued=time))
        seen = observed(column.quantity, value + column.offset, time, dated)
        if seen:
            return Listing(seen, unreadable)
        unreadable += 1
    return Listing(unreadable=unreadable)


def _age_order(dated: tuple[datetime | None, float]) -> tuple[datetime, float]:
    """Sort by time; of two values at one time the higher counts as the newer."""
    time, value = dated
    return time or datetime.min.replace(tzinfo=UTC), -math.inf if math.isnan(value) else value


def _given(name: str, column: Column, row: Row) -> bool:
    """Return whether a line has a value, readable or not; a calm has no direction."""
    calm = name == "WDIR" and number(row.get("WSPD")) == 0
    return not calm and row[name] not in MISSING and number(row[name]) != column.missing


def _value(name: str, row: Row) -> float:
    written = row[name]
    return POINTS.index(written) * 360 / len(POINTS) if written in POINTS else number(written)


def _time(name: str, row: Row) -> datetime | None:
    """Return the time of a value; a gust of the continuous winds has its own time."""
    written = [row.get("YY", row.get("YYYY", "")), *(row[key] for key in CLOCK)]
    try:
        year, month, day, hour, minute = (int(part) for part in written)
        time = datetime(year, month, day, hour, minute, tzinfo=UTC)
        if name != "GST" or row.get("GTIME", "9999") == "9999":
            return time
        clock = row["GTIME"]
        gust = time.replace(hour=int(clock[:2]), minute=int(clock[2:]))
        return gust if gust <= time else gust - timedelta(days=1)
    except (ValueError, OverflowError):
        return None

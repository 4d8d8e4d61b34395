"""Buoys and coastal stations of the US National Data Buoy Center (text files).

Realtime values have passed automatic checks only, and the wind is measured 3 to 40 m
above the water; neither is corrected here.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from functools import partial
from typing import TYPE_CHECKING
from urllib.parse import quote

from safety_check.errors import DataError, SafetyCheckError
from safety_check.model.clean_text import clean_text
from safety_check.model.weather import Observation, Provenance
from safety_check.sources.answers import number, observed
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
        The units that may stand below its header; in any other it is unknown.
    missing
        The number that stands for "missing" where a file does not write MM.
    offset
        From their unit to ours.
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
CLOCK = ("MM", "DD", "hh", "mm")  # month and minute differ only by case

Row = Mapping[str, str]


@dataclass(frozen=True)
class Table:
    """A file by its own header: the unit of each column, and the rows."""

    units: Mapping[str, str]
    rows: tuple[Row, ...]


def path(station: str, kind: str = "txt") -> str:
    """Return the path of a station's last 45 days; kinds are txt, spec and cwind."""
    return f"/data/realtime2/{quote(station.upper(), safe='')}.{kind}"


def parse(
    body: bytes, provenance: Provenance, station: str, apart: float | None
) -> tuple[Observation, ...]:
    """Return the newest known value of each column of a station's file, with its own time.

    Parameters
    ----------
    body
        A realtime2 file of kind txt, spec or cwind.
    station
        Whose file it is.
    apart
        How far it is from the launch. [m]
    """
    table = _table(body, provenance)
    source = replace(provenance, model=station)
    return tuple(
        seen
        for name, column in COLUMNS.items()
        if table.units.get(name) in column.units
        for seen in _newest(name, column, table.rows, (station, apart, source))
    )


def parse_latest(
    body: bytes, provenance: Provenance, latitude: float, longitude: float, within: float
) -> tuple[Observation, ...]:
    """Return what every station within a distance [m] of a place says in its newest line."""
    table = _table(body, provenance)
    if not {"STN", "LAT", "LON"} <= set(table.units):
        raise DataError(
            f"{provenance.source}: the list of newest values has no STN, LAT and LON, so no"
            " station can be placed. It can't be used; try again later."
        )
    return tuple(
        seen
        for row in table.rows
        for apart, station in _near(row, latitude, longitude, within)
        for name, column in COLUMNS.items()
        if table.units.get(name) in column.units
        for seen in _newest(
            name, column, (row,), (station.name, apart, replace(provenance, model=station.name))
        )
    )


async def ask(client: Client, latitude: float, longitude: float) -> tuple[Observation, ...]:
    """Ask for the newest lines of all stations, then for the files of the nearest ones.

    A buoy's newest line often lacks the wave or the water that stands a few lines below,
    so its file is asked for; where it does not come, the newest line stands.
    """
    within = greatest_distance(column.quantity for column in COLUMNS.values())
    newest = partial(parse_latest, latitude=latitude, longitude=longitude, within=within)
    seen = await client.read(LATEST, {}, newest, source="ndbc")
    near = sorted({(each.distance or 0.0, each.station) for each in seen})[:ASKED]
    questions = [
        client.read(path(name), {}, partial(parse, station=name, apart=apart), source="ndbc")
        for apart, name in near
    ]
    try:
        files = await all_that_answer(questions)
    except SafetyCheckError:
        files = ()
    told = {(each.station, each.quantity) for each in files}
    return files + tuple(each for each in seen if (each.station, each.quantity) not in told)


def _near(
    row: Row, latitude: float, longitude: float, within: float
) -> Iterator[tuple[float, Station]]:
    station = Station.of(clean_text(row["STN"]), "", number(row["LAT"]), number(row["LON"]))
    # A degree of latitude is 110.6 km at least (WGS84), so most stations need no geodesic.
    if station and abs(station.latitude - latitude) * 110_000 <= within:
        apart = distance(latitude, longitude, station)
        if apart <= within:
            yield apart, station


def _table(body: bytes, provenance: Provenance) -> Table:
    """Return a file by its header, without lines that have another number of fields."""
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
    fields = (line.split() for line in lines if not line.startswith("#"))
    rows = (dict(zip(heads[0], each, strict=True)) for each in fields if len(each) == len(heads[0]))
    return Table(dict(zip(*heads, strict=True)), tuple(rows))


def _newest(
    name: str, column: Column, rows: Iterable[Row], whose: tuple[str, float | None, Provenance]
) -> tuple[Observation, ...]:
    """Return the newest believable value of a column, whatever the order of the rows."""
    station, apart, source = whose
    known = ((_time(name, row), _value(name, column, row)) for row in rows)
    newest_first = sorted((each for each in known if each[0]), key=_age_order, reverse=True)
    found = (
        observed(column.quantity, value, time, station, apart, replace(source, issued=time))
        for time, value in newest_first
    )
    return next((seen for seen in found if seen), ())


def _age_order(known: tuple[datetime | None, float]) -> tuple[datetime, float]:
    """Sort by time; of two values at one time the higher counts as the newer."""
    time, value = known
    return time or datetime.min.replace(tzinfo=UTC), -math.inf if math.isnan(value) else value


def _value(name: str, column: Column, row: Row) -> float:
    written = row[name]
    if written in POINTS:
        return POINTS.index(written) * 360 / len(POINTS)
    value = number(written)
    calm = name == "WDIR" and number(row.get("WSPD")) == 0
    return math.nan if value == column.missing or calm else value + column.offset


def _time(name: str, row: Row) -> datetime | None:
    """Return when a value was so; a gust of the continuous winds has a clock of its own."""
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

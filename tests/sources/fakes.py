"""A fake of each service over real sockets: what it says on a calm day, and alone alarmed.

with Services() as services:
    services.say("ndbc", alarmed=True)      # that one tells of danger, the others of calm
    services.spoil("ndbc", slow, 5.0)       # and now it has a fault
    ... gather with services.addresses() ...
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache
from types import TracebackType
from typing import Any, Self
from unittest.mock import patch

from safety_check.sources import coverage, registry
from safety_check.sources.open_meteo.variables import ENSEMBLE, FORECAST, MARINE
from safety_check.sources.warning_services.services import load_file
from tests.sources import fake_warnings
from tests.sources.fake_server import Asked, FakeServer, Reply, json_reply, text_reply

NOW = datetime(2026, 6, 13, 14, tzinfo=UTC)
HERE = (44.9, -99.6)
FIRST = datetime(2026, 6, 12, tzinfo=UTC)
HOURS = 72
SPAN = "2026-06-12T00:00:00+00:00/P3D"

CALM_WIND = {"wind_speed_10m": 1.5, "wind_gusts_10m": 2.5, "wind_direction_10m": 270}
ALARMING_WIND = {"wind_speed_10m": 6.2, "wind_gusts_10m": 7.2, "wind_direction_10m": 270}
CALM = CALM_WIND | {
    "temperature_2m": 22.0,
    "relative_humidity_2m": 50,
    "precipitation": 0.0,
    "weather_code": 1,
    "visibility": 20_000.0,
    "pressure_msl": 1015.0,
    "cape": 50.0,
}
UNITS = {
    "wind_speed_10m": "m/s",
    "wind_gusts_10m": "m/s",
    "wind_direction_10m": "°",
    "temperature_2m": "°C",
    "relative_humidity_2m": "%",
    "precipitation": "mm",
    "weather_code": "wmo code",
    "visibility": "m",
    "pressure_msl": "hPa",
    "cape": "J/kg",
    "wave_height": "m",
    "wave_period": "s",
    "wave_direction": "°",
    "sea_surface_temperature": "°C",
}


# -- Open-Meteo --------------------------------------------------------------------------------


def open_meteo(columns: Mapping[str, Any], units: Mapping[str, str]) -> dict[str, Any]:
    """Return an answer whose columns never change."""
    time = [int((FIRST + timedelta(hours=hour)).timestamp()) for hour in range(HOURS)]
    return {
        "latitude": HERE[0],
        "longitude": HERE[1],
        "elevation": 500.0,
        "utc_offset_seconds": 0,
        "timezone": "GMT",
        "hourly_units": {"time": "unixtime", **units},
        "hourly": {"time": time, **{name: [value] * HOURS for name, value in columns.items()}},
    }


def forecast(alarmed: bool) -> dict[str, Any]:
    """Return four models, of which one sees more wind when it is alarmed."""
    models = registry.default_forecast()
    said = {model: dict(CALM) for model in models}
    if alarmed:
        said[models[-1]] |= ALARMING_WIND
    named = {column.name for column in FORECAST.values()}
    columns = {
        f"{name}_{model}": value
        for model in models
        for name, value in said[model].items()
        if name in named
    }
    return open_meteo(columns, {name: _unit(name) for name in columns})


def ensemble(alarmed: bool) -> dict[str, Any]:
    """Return every member of every ensemble, the first ensemble alarmed."""
    columns: dict[str, Any] = {}
    for model in registry.default_ensemble():
        runs = [
            "",
            *(f"_member{run:02d}" for run in range(1, registry.load_models()[model].members)),
        ]
        wind = ALARMING_WIND if alarmed and model == registry.default_ensemble()[0] else CALM_WIND
        for column in ENSEMBLE.values():
            columns |= {f"{column.name}{run}_{model}": wind[column.name] for run in runs}
    return open_meteo(columns, {name: _unit(name) for name in columns})


def marine(alarmed: bool) -> dict[str, Any]:
    """Return a sea beside the launch."""
    said = dict(
        zip((column.name for column in MARINE.values()), (0.05, 3.0, 270, 21.0), strict=True)
    )
    if alarmed:
        said["wave_height"] = 0.28  # m: between caution and no-go of a kayak
    return open_meteo(said, {name: UNITS[name] for name in said})


def _unit(column: str) -> str:
    longest_first = sorted(UNITS, key=len, reverse=True)
    return next(UNITS[name] for name in longest_first if column.startswith(name))


# -- MET Norway --------------------------------------------------------------------------------


def met_norway(alarmed: bool) -> dict[str, Any]:
    """Return hours that never change, from that of the check on, as the documents show them."""
    wind = ALARMING_WIND if alarmed else CALM_WIND
    details = {
        "wind_speed": wind["wind_speed_10m"],
        "wind_speed_of_gust": wind["wind_gusts_10m"],
        "wind_from_direction": 270.0,
        "air_temperature": 22.0,
        "relative_humidity": 50.0,
    }
    hour = {"summary": {"symbol_code": "fair_day"}, "details": {"precipitation_amount": 0.0}}
    data = {"instant": {"details": details}, "next_1_hours": hour}
    units = {
        "wind_speed": "m/s",
        "wind_speed_of_gust": "m/s",
        "wind_from_direction": "degrees",
        "air_temperature": "celsius",
        "relative_humidity": "%",
        "precipitation_amount": "mm",
    }
    first = NOW.replace(minute=0)
    rows = [(first + timedelta(hours=hours)).isoformat() for hours in range(HOURS)]
    return {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": [HERE[1], HERE[0], 505]},
        "properties": {
            "meta": {"updated_at": "2026-06-13T13:20:00Z", "units": units},
            "timeseries": [{"time": row, "data": data} for row in rows],
        },
    }


# -- National Weather Service ------------------------------------------------------------------


def point() -> dict[str, Any]:
    base = "https://api.weather.gov/gridpoints/XYZ/1,2"
    return {"properties": {"forecastGridData": base, "observationStations": f"{base}/stations"}}


def grid(alarmed: bool) -> dict[str, Any]:
    """Return a raw grid of one interval; its winds are in km/h."""
    wind, gust = (22.0, 26.0) if alarmed else (5.0, 9.0)
    layers = {
        "windSpeed": ("wmoUnit:km_h-1", wind),
        "windGust": ("wmoUnit:km_h-1", gust),
        "windDirection": ("wmoUnit:degree_(angle)", 270),
        "temperature": ("wmoUnit:degC", 22.0),
        "relativeHumidity": ("wmoUnit:percent", 50),
        "probabilityOfThunder": ("wmoUnit:percent", 0),
    }
    nothing: list[dict[str, Any]] = [
        {"coverage": None, "weather": None, "intensity": None, "attributes": []}
    ]
    told = {
        name: {"uom": unit, "values": [{"validTime": SPAN, "value": value}]}
        for name, (unit, value) in layers.items()
    }
    told["waveHeight"] = {"values": []}  # as in a cell inland
    told["weather"] = {"values": [{"validTime": SPAN, "value": nothing}]}
    head: dict[str, Any] = {
        "updateTime": "2026-06-13T12:00:00+00:00",
        "validTimes": SPAN,
        "gridId": "XYZ",
    }
    head |= {"elevation": {"unitCode": "wmoUnit:m", "value": 510.0}}
    west, south = HERE[1] - 0.01, HERE[0] - 0.01
    east, north = HERE[1] + 0.01, HERE[0] + 0.01
    corners = [[west, south], [east, south], [east, north], [west, north], [west, south]]
    geometry = {"type": "Polygon", "coordinates": [corners]}
    return {"geometry": geometry, "properties": head | told}


def alert(event: str, **more: Any) -> dict[str, Any]:
    told = {
        "id": f"urn:{event}",
        "event": event,
        "status": "Actual",
        "messageType": "Alert",
        "severity": "Minor",
        "headline": f"{event} until this evening",
        "onset": "2026-06-13T09:00:00-05:00",
        "ends": "2026-06-13T20:00:00-05:00",
        "senderName": "NWS Nowhere",
        "areaDesc": "Invented Lake",
    }
    return {"properties": told | more}


def alerts(alarmed: bool) -> dict[str, Any]:
    told = [alert("Beach Hazards Statement")] if alarmed else []
    return {"features": told, "updated": "2026-06-13T13:58:00+00:00"}


def stations() -> dict[str, Any]:
    there = {"type": "Point", "coordinates": [-99.6, 44.95]}
    known = {"stationIdentifier": "KXYZ", "name": "Invented Airport"}
    return {"features": [{"geometry": there, "properties": known}]}


def observation(alarmed: bool) -> dict[str, Any]:
    def amount(value: float | None, unit: str) -> dict[str, Any]:
        return {"value": value, "unitCode": f"wmoUnit:{unit}", "qualityControl": "V"}

    told = {
        "station": "https://api.weather.gov/stations/KXYZ",
        "timestamp": "2026-06-13T13:53:00+00:00",
        "windSpeed": amount(23.4 if alarmed else 5.4, "km_h-1"),
        "windGust": amount(None, "km_h-1"),
        "windDirection": amount(270, "degree_(angle)"),
        "temperature": amount(22, "degC"),
    }
    return {"properties": told}


# -- aerodromes ----------------------------------------------------------------------------------


def aerodrome(alarmed: bool) -> list[dict[str, Any]]:
    """Return the newest report of one invented aerodrome, which the other services lack."""
    knots = 12 if alarmed else 3
    return [
        {
            "icaoId": "KABC",
            "receiptTime": "2026-06-13T13:58:12.000Z",
            "obsTime": int(datetime(2026, 6, 13, 13, 55, tzinfo=UTC).timestamp()),
            "reportTime": "2026-06-13T14:00:00.000Z",
            "temp": 22,
            "dewp": 12,
            "wdir": 270,
            "wspd": knots,
            "visib": "10+",
            "metarType": "METAR",
            "rawOb": f"METAR KABC 131355Z 270{knots:02d}KT 10SM CLR 22/12 A2998",
            "lat": 44.93,
            "lon": -99.6,
            "elev": 500,
            "name": "Invented Field, SD, US",
        }
    ]


# -- buoys, tides, gauges ------------------------------------------------------------------------

LATEST_HEAD = (
    "#STN LAT LON YYYY MM DD hh mm WDIR WSPD GST WVHT DPD WTMP\n"
    "#text deg deg yr mo day hr mn degT m/s m/s m sec degC\n"
)
FILE_HEAD = "#YY MM DD hh mm WDIR WSPD GST WVHT DPD WTMP\n#yr mo dy hr mn degT m/s m/s m sec degC\n"


def buoy(alarmed: bool, rest: str = "0.1 3 23.0") -> tuple[str, str]:
    """Return the list of newest lines, and the file of its one buoy."""
    wind = "270 6.5 7.5" if alarmed else "270 1.5 2.0"
    latest = f"45999 44.92 -99.60 2026 06 13 13 50 {wind} {rest}\n"
    lines = f"2026 06 13 13 50 {wind} {rest}\n2026 06 13 13 40 270 1.0 2.0 0.1 3 23.0\n"
    return LATEST_HEAD + latest, FILE_HEAD + lines


def tide_stations() -> dict[str, Any]:
    return {"stations": [{"id": "1", "name": "Invented Pier", "lat": 44.91, "lng": -99.6}]}


def tide_station(alarmed: bool) -> dict[str, Any]:
    """Return both products in one answer, for they have one address."""
    speed = "6.5" if alarmed else "1.5"
    row = {"t": "2026-06-13 13:54", "s": speed, "d": "270", "g": "2.0", "v": "23.0", "f": "0,0"}
    return {"metadata": {"id": "1", "name": "Invented Pier"}, "data": [row]}


def gauge(alarmed: bool, unit: str = "degC") -> dict[str, Any]:
    told = {
        "time_series_id": "a",
        "monitoring_location_id": "USGS-1",
        "parameter_code": "00010",
        "time": "2026-06-13T13:45:00+00:00",
        "value": "18.0" if alarmed else "23.0",
        "unit_of_measure": unit,
    }
    there = {"type": "Point", "coordinates": [-99.6, 44.91]}
    return {"features": [{"geometry": there, "properties": told}]}


def older_gauge(alarmed: bool) -> dict[str, Any]:
    value = {"value": "18.0" if alarmed else "23.0", "dateTime": "2026-06-13T08:45:00.000-05:00"}
    where = {"geogLocation": {"latitude": 44.91, "longitude": -99.6}}
    series = {
        "sourceInfo": {
            "siteName": "INVENTED CREEK",
            "siteCode": [{"value": "1"}],
            "geoLocation": where,
        },
        "variable": {
            "variableCode": [{"value": "00010"}],
            "unit": {"unitCode": "deg C"},
            "noDataValue": -999999.0,
        },
        "values": [{"value": [value]}],
    }
    return {"value": {"timeSeries": [series]}}


# -- all of them -------------------------------------------------------------------------------

Replies = dict[str, Reply]


class Server(FakeServer):
    """A server that can also tell questions at one path apart."""

    def __init__(self, latency: float = 0.0) -> None:
        super().__init__(latency)
        self._special: dict[tuple[str, str, str], Reply] = {}

    def serve_where(self, path: str, key: str, value: str, reply: Reply) -> None:
        """Serve a reply to the questions in which a key has a value."""
        self._special[path, key, value] = reply

    def _reply(self, asked: Asked) -> Reply:
        for (path, key, value), reply in self._special.items():
            if asked.path == path and asked.query.get(key) == value:
                return reply
        return super()._reply(asked)


def _buoy_replies(alarmed: bool) -> Replies:
    latest, file = buoy(alarmed)
    return {
        "/data/latest_obs/latest_obs.txt": text_reply(latest),
        "/data/realtime2/45999.txt": text_reply(file),
    }


SAYS: dict[str, Callable[[bool], Replies]] = {
    "open_meteo": lambda alarmed: {"/v1/forecast": json_reply(forecast(alarmed))},
    "open_meteo_ensemble": lambda alarmed: {"/v1/ensemble": json_reply(ensemble(alarmed))},
    "open_meteo_marine": lambda alarmed: {"/v1/marine": json_reply(marine(alarmed))},
    "met_norway": lambda alarmed: {
        "/weatherapi/locationforecast/2.0/complete": json_reply(met_norway(alarmed))
    },
    "nws_points": lambda alarmed: {"/points/44.9,-99.6": json_reply(point())},
    "nws_grid": lambda alarmed: {"/gridpoints/XYZ/1,2": json_reply(grid(alarmed))},
    "nws_alerts": lambda alarmed: {"/alerts/active": json_reply(alerts(alarmed))},
    "nws_observations": lambda alarmed: {
        "/gridpoints/XYZ/1,2/stations": json_reply(stations()),
        "/stations/KXYZ/observations/latest": json_reply(observation(alarmed)),
    },
    "aviation_weather": lambda alarmed: {"/api/data/metar": json_reply(aerodrome(alarmed))},
    "ndbc": _buoy_replies,
    "coops": lambda alarmed: {
        "/mdapi/prod/webapi/stations.json": json_reply(tide_stations()),
        "/api/prod/datagetter": json_reply(tide_station(alarmed)),
    },
    "usgs": lambda alarmed: {
        "/ogcapi/v0/collections/latest-continuous/items": json_reply(gauge(alarmed)),
    },
    "usgs_legacy": lambda alarmed: {"/nwis/iv/": json_reply(older_gauge(alarmed))},
}
# Asked only where a water's temperature may be estimated: here they answer 404, unless a test
# serves their paths.
AIR = ("open_meteo_archive", "open_meteo_recent")
# The sources that a check asks: each of them alone can report a danger.
ALARMS = tuple(name for names in registry.adapters().values() for name in names)


class Services:
    """Every service on one server, each at its own paths.

    The invented lake has a buoy and a tide station. While the services run, it is therefore on
    the shipped list of sea stations too, unless it is `inland`.
    """

    def __init__(self, latency: float = 0.0, *, inland: bool = False) -> None:
        self.server = Server(latency)
        self.moved: dict[str, str] = {}
        here = [] if inland else [HERE]
        shipped = coverage.load_station_list

        def extended(file: str) -> coverage.StationList:
            listed = shipped(file)
            return listed.model_copy(update={"places": [*here, *listed.places]})

        self._stations = patch.object(coverage, "load_station_list", cache(extended))

    def __enter__(self) -> Self:
        self._stations.start()
        self.server.__enter__()
        for name in SAYS:
            self.say(name)
        for name in load_file().service:
            fake_warnings.say(self.server, name)
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.server.__exit__(kind, error, trace)
        self._stations.stop()

    def addresses(self) -> dict[str, str]:
        """Return where each service is."""
        everywhere = {name: self.server.url for name in (*SAYS, *AIR, *load_file().service)}
        return everywhere | self.moved

    def say(self, name: str, *, alarmed: bool = False) -> None:
        """Let a service say what it says."""
        for path, reply in SAYS[name](alarmed).items():
            self.server.serve(path, reply)

    def spoil(
        self, name: str, fault: Callable[[Reply], Reply | list[Reply]], *, alarmed: bool = False
    ) -> None:
        """Give every answer of a service a fault."""
        for path, reply in SAYS[name](alarmed).items():
            faulty = fault(reply)
            self.server.serve(path, *(faulty if isinstance(faulty, list) else [faulty]))

    def move(self, name: str, address: str) -> None:
        """Put a service elsewhere."""
        self.moved[name] = address


def document(reply: Reply) -> Any:
    """Return what a reply says."""
    return json.loads(reply.body)


def saying(reply: Reply, told: Any) -> Reply:
    """Return a reply that says something else."""
    return replace(reply, body=told if isinstance(told, bytes) else json.dumps(told).encode())

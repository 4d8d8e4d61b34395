"""Dangers, each known to one service alone, while every other service reports a calm day."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from safety_check.sources import registry
from tests.sources import fakes
from tests.sources.fake_server import Reply, json_reply, status, text_reply

MARINE, FORECAST, ENSEMBLE = "/v1/marine", "/v1/forecast", "/v1/ensemble"
POINT, GRID = "/points/44.9,-99.6", "/gridpoints/XYZ/1,2"
STATIONS, LATEST = "/gridpoints/XYZ/1,2/stations", "/stations/KXYZ/observations/latest"
ALERTS = "/alerts/active"
BUOYS, BUOY = "/data/latest_obs/latest_obs.txt", "/data/realtime2/45999.txt"
TIDE_LIST, TIDE = "/mdapi/prod/webapi/stations.json", "/api/prod/datagetter"
GAUGES, OLDER_GAUGES = "/ogcapi/v0/collections/latest-continuous/items", "/nwis/iv/"


@dataclass(frozen=True)
class Danger:
    """One danger and the answers that contain it.

    Parameters
    ----------
    service
        The service that reports it.
    hazard
        The danger in words.
    replies
        Path → the answer that contains it; every other path answers as on a calm day.
    attacked
        The paths whose answers the campaign damages.
    keys
        The columns, layers or fields that carry the danger.
    whole
        True where every fault is tried, false where only faults in `keys` are.
    measured
        True where the plan has no water temperature, so that a station must supply it.
    """

    service: str
    hazard: str
    replies: Mapping[str, Reply]
    attacked: tuple[str, ...]
    keys: tuple[str, ...] = ()
    whole: bool = False
    measured: bool = False


def list_dangers() -> tuple[Danger, ...]:
    """Return every danger of the campaign."""
    return (
        *_forecast_dangers(),
        *_ensemble_dangers(),
        *_marine_dangers(),
        *_grid_dangers(),
        *_alert_dangers(),
        *_observed_dangers(),
        *_buoy_dangers(),
        *_tide_dangers(),
        *_gauge_dangers(),
        *(_wind_seen_by(name) for name in ("met_norway", "aviation_weather")),
    )


# -- Open-Meteo --------------------------------------------------------------------------------

STRONG, GALE = (6.2, 7.2), (12.0, 15.0)  # m/s; beyond caution, and beyond the limit, of a kayak
IN_THE_AIR: Mapping[str, Mapping[str, Any]] = {
    "strong wind": {"wind_speed_10m": STRONG[0], "wind_gusts_10m": STRONG[1]},
    "gale": {"wind_speed_10m": GALE[0], "wind_gusts_10m": GALE[1]},
    "gusts": {"wind_gusts_10m": 9.0},
    "violent gusts": {"wind_gusts_10m": 14.0},
    "thunderstorm": {"weather_code": 95},
    "energy for thunderstorms": {"cape": 2500.0},
    "fog": {"visibility": 200.0},
    "fog by its code": {"weather_code": 45},
    "heavy rain": {"precipitation": 20.0},
    "frost": {"temperature_2m": -12.0},
    "heat": {"temperature_2m": 41.0},
    "falling pressure": {"pressure_msl": [1015.0 - 1.5 * hour for hour in range(fakes.HOURS)]},
    "sudden wind": {
        "wind_speed_10m": [0.5] * 41 + [5.4] * (fakes.HOURS - 41),
        "wind_gusts_10m": [1.0] * 41 + [6.0] * (fakes.HOURS - 41),
    },
    "wind shift": {
        "wind_speed_10m": 5.3,
        "wind_gusts_10m": 6.0,
        "wind_direction_10m": [270 if hour < 41 else 90 for hour in range(fakes.HOURS)],
    },
}


def _forecast_dangers() -> list[Danger]:
    model = next(model for model in registry.default_forecast() if not registry.lacks()[model])
    return [
        Danger(
            "open_meteo",
            hazard,
            {FORECAST: _with_columns(fakes.forecast(False), _of_model(values, model))},
            (FORECAST,),
            tuple(_of_model(values, model)),
            whole=hazard in ("strong wind", "gale"),
        )
        for hazard, values in IN_THE_AIR.items()
    ]


def _of_model(values: Mapping[str, Any], model: str) -> dict[str, Any]:
    return {f"{name}_{model}": value for name, value in values.items()}


def _with_columns(answer: dict[str, Any], columns: Mapping[str, Any]) -> Reply:
    changed = {
        name: value if isinstance(value, list) else [value] * fakes.HOURS
        for name, value in columns.items()
    }
    return json_reply(answer | {"hourly": answer["hourly"] | changed})


def _ensemble_dangers() -> list[Danger]:
    model = registry.default_ensemble()[0]
    calm = fakes.ensemble(False)
    winds = {"strong wind": STRONG, "gale": GALE}
    runs = [name for name in calm["hourly"] if name.endswith(model)]
    found = []
    for hazard, (wind, gust) in winds.items():
        raised = {name: wind for name in runs if name.startswith("wind_speed")} | {
            name: gust for name in runs if name.startswith("wind_gusts")
        }
        reply = {ENSEMBLE: _with_columns(calm, raised)}
        found.append(
            Danger("open_meteo_ensemble", hazard, reply, (ENSEMBLE,), tuple(raised), whole=True)
        )
    return found


def _marine_dangers() -> list[Danger]:
    return [
        Danger(
            "open_meteo_marine",
            hazard,
            {MARINE: _with_columns(fakes.marine(False), {"wave_height": height})},
            (MARINE,),
            ("wave_height",),
            whole=True,
        )
        for hazard, height in (("waves", 0.4), ("high waves", 1.5))
    ]


def _wind_seen_by(name: str) -> Danger:
    """Return a strong wind that only the second forecast, or only an aerodrome, reports."""
    answers = fakes.SAYS[name](True)
    return Danger(name, "strong wind", answers, tuple(answers), whole=True)


# -- National Weather Service ------------------------------------------------------------------

STORM: list[dict[str, Any]] = [
    {"coverage": "likely", "weather": "thunderstorms", "intensity": None, "attributes": []}
]
IN_THE_GRID: Mapping[str, Mapping[str, tuple[str, Any]]] = {
    "strong wind": {
        "windSpeed": ("wmoUnit:km_h-1", 22.0),
        "windGust": ("wmoUnit:km_h-1", 26.0),
    },
    "gale": {"windSpeed": ("wmoUnit:km_h-1", 45.0), "windGust": ("wmoUnit:km_h-1", 55.0)},
    "violent gusts": {"windGust": ("wmoUnit:km_h-1", 50.0)},
    "thunderstorm": {"weather": ("", STORM)},
    "chance of thunder": {"probabilityOfThunder": ("wmoUnit:percent", 60)},
    "waves": {"waveHeight": ("wmoUnit:m", 0.4)},
    "frost": {"temperature": ("wmoUnit:degC", -12.0)},
}


def _grid_dangers() -> list[Danger]:
    found = [
        Danger(
            "nws_grid",
            hazard,
            {GRID: json_reply(_grid(layers))},
            (GRID,),
            tuple(layers),
            whole=hazard in ("strong wind", "gale"),
        )
        for hazard, layers in IN_THE_GRID.items()
    ]
    gale = {POINT: json_reply(fakes.point()), GRID: json_reply(_grid(IN_THE_GRID["gale"]))}
    return [*found, Danger("nws_points", "gale", gale, (POINT,), whole=True)]


def _grid(layers: Mapping[str, tuple[str, Any]]) -> dict[str, Any]:
    calm = fakes.grid(False)
    told = {
        name: {"uom": unit, "values": [{"validTime": fakes.SPAN, "value": value}]}
        for name, (unit, value) in layers.items()
    }
    return calm | {"properties": calm["properties"] | told}


def _alert_dangers() -> list[Danger]:
    found = []
    for hazard in ("Beach Hazards Statement", "Gale Warning"):
        answer = fakes.alerts(False) | {"features": [fakes.alert(hazard)]}
        reply = {ALERTS: json_reply(answer)}
        found.append(Danger("nws_alerts", hazard, reply, (ALERTS,), whole=True))
    return found


def _observed_dangers() -> list[Danger]:
    found = []
    for hazard, speed in (("strong wind", 23.4), ("gale", 45.0)):
        told = fakes.observation(False)
        told["properties"]["windSpeed"]["value"] = speed
        replies = {STATIONS: json_reply(fakes.stations()), LATEST: json_reply(told)}
        found.append(Danger("nws_observations", hazard, replies, (STATIONS, LATEST), whole=True))
    return found


# -- buoys, tides, gauges ----------------------------------------------------------------------

AT_THE_BUOY = {
    "strong wind": ("6.5 7.5 0.1 3 23.0", "WSPD"),
    "gale": ("12.5 15.5 0.1 3 23.0", "WSPD"),
    "waves": ("1.5 2.0 0.4 3 23.0", "WVHT"),
    "high waves": ("1.5 2.0 1.5 5 23.0", "WVHT"),
    "cold water": ("1.5 2.0 0.1 3 18.0", "WTMP"),
    "icy water": ("1.5 2.0 0.1 3 4.0", "WTMP"),
}


def _buoy_dangers() -> list[Danger]:
    found = []
    for hazard, (values, column) in AT_THE_BUOY.items():
        latest = f"45999 44.92 -99.60 2026 06 13 13 50 270 {values}\n"
        lines = f"2026 06 13 13 50 270 {values}\n2026 06 13 13 40 270 {values}\n"
        replies = {
            BUOYS: text_reply(fakes.LATEST_HEAD + latest),
            BUOY: text_reply(fakes.FILE_HEAD + lines),
        }
        found.append(
            Danger(
                "ndbc",
                hazard,
                replies,
                (BUOYS, BUOY),
                (column,),
                whole=hazard in ("strong wind", "gale"),
                measured=column == "WTMP",
            )
        )
    return found


def _tide_dangers() -> list[Danger]:
    dangers = {"strong wind": ("s", "6.5"), "gale": ("s", "12.5")}
    dangers |= {"cold water": ("v", "18.0"), "icy water": ("v", "4.0")}
    found = []
    for hazard, (key, value) in dangers.items():
        told = fakes.tide_station(False)
        told["data"][0][key] = value
        replies = {TIDE_LIST: json_reply(fakes.tide_stations()), TIDE: json_reply(told)}
        found.append(
            Danger(
                "coops",
                hazard,
                replies,
                (TIDE_LIST, TIDE),
                (key,),
                whole=True,
                measured=key == "v",
            )
        )
    return found


def _gauge_dangers() -> list[Danger]:
    """Return cold water at a gauge that both of its addresses report, and one of them alone."""
    found = []
    for hazard, value in (("cold water", "18.0"), ("icy water", "4.0")):
        new, old = (json_reply(_warmth(gauge, value)) for gauge in (fakes.gauge, fakes.older_gauge))
        both = {GAUGES: new, OLDER_GAUGES: old}
        newer_down = {GAUGES: status(503), OLDER_GAUGES: old}
        for service, replies, attacked in (
            ("usgs", both, (GAUGES, OLDER_GAUGES)),
            ("usgs_legacy", newer_down, (OLDER_GAUGES,)),
        ):
            found.append(Danger(service, hazard, replies, attacked, whole=True, measured=True))
    return found


def _warmth(answer: Any, value: str) -> Any:
    return json.loads(json.dumps(answer(False)).replace('"23.0"', f'"{value}"'))

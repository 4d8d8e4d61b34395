"""Every parser of services' answers and of shapes, with recordings of what it reads."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from importlib import import_module
from pathlib import Path
from typing import Any

from benchmarks.campaign import made_bodies
from safety_check.model.moving_water import PredictionStation
from safety_check.model.provenance import Provenance
from safety_check.sources import saved_forecast
from safety_check.sources.cap.in_force import in_force
from safety_check.sources.cap.styles import READERS
from safety_check.sources.coops.currents import parse as parse_currents
from safety_check.sources.iwls.predictions import Directions
from safety_check.sources.stations import Station
from safety_check.waters import add, files
from tests.recordings import SHARED

HERE = (44.9, -93.2)
OF_ARCHIVE = (-12.5, -130.8)  # where it was recorded
OF_RINGS = (51.44, 4.93)
PASS = "63aef09f84e5432cd3b6c509"
STATION = PredictionStation("9447130", "Invented Pier", 500.0)
WHEN = datetime(2026, 6, 1, 12, tzinfo=UTC)
FROM = Provenance("a service", "", "", None, WHEN, recorded=True)


@dataclass(frozen=True)
class Parser:
    """One parser, and what it reads.

    Parameters
    ----------
    name
        Of it in the list of failures.
    recordings
        Files below the folder of recorded answers and data sets, as globs.
    read
        Takes a body and returns what it says.
    made
        Each returns a body made after the service's documents, where nothing fitting was recorded.
    """

    name: str
    recordings: tuple[str, ...]
    read: Callable[[bytes], object]
    made: tuple[Callable[[], bytes], ...] = ()

    def bodies(self) -> list[tuple[str, bytes]]:
        """Return each recording with its name, in their order, and what was made."""
        found = [path for glob in self.recordings for path in sorted(SHARED.glob(glob))]
        recorded = [(path.relative_to(SHARED).as_posix(), path.read_bytes()) for path in found]
        return recorded + [(f"made {place}", make()) for place, make in enumerate(self.made, 1)]


def _of(module: str, function: str = "parse", **more: Any) -> Callable[[bytes], object]:
    """Return a function of an adapter that takes a body, a provenance and perhaps more."""
    parse = getattr(import_module(f"safety_check.sources.{module}"), function)
    return lambda body: parse(body, FROM, **more)


def from_file(read: Callable[[Path], object], ending: str) -> Callable[[bytes], object]:
    """Return a function that puts a body into a file and reads that."""

    def in_a_file(body: bytes) -> object:
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / f"file{ending}"
            path.write_bytes(body)
            return read(path)

    return in_a_file


def _warnings(style: str) -> Callable[[bytes], object]:
    """Return a function that reads warnings and looks which of them are in force."""

    def listed(body: bytes) -> object:
        listing = READERS[style](body, "a service")
        return listing, in_force(listing.messages, WHEN)

    return listed


def _water(ending: str) -> Callable[[bytes], object]:
    return from_file(lambda path: add.from_file("Invented Lake", path), ending)


NWS = "recorded/noaa/nws"
TIDES = "recorded/tides"
OPEN_METEO = "recorded/open_meteo"
WARNINGS: Mapping[str, tuple[str, ...]] = {
    "cap": ("oasis/*.xml", "wmo/cap*.xml", "canada/*.xml", "germany/*.xml", "australia/*.xml"),
    "rss": ("norway/rss*.xml", "wmo/rss*.xml"),
    "meteoalarm": ("meteoalarm/*.json",),
    "norway": ("norway/*.json",),
}

ANSWERS: tuple[Parser, ...] = (
    Parser("nws grid", (f"{NWS}/gridpoint_[!G]*Z.json",), _of("nws.grid")),
    Parser("nws point", (f"{NWS}/points_*.json",), _of("nws.point", "parse_point")),
    Parser(
        "nws stations",
        (f"{NWS}/gridpoint_stations_*.json",),
        _of("nws.observations", "parse_stations"),
    ),
    Parser(
        "nws observations",
        (f"{NWS}/observation_*.json",),
        _of("nws.observations", distance=900.0),
    ),
    Parser("nws alerts", (f"{NWS}/alerts_*.json",), _of("nws.alerts")),
    Parser(
        "open-meteo forecast",
        (f"{OPEN_METEO}/forecast_*.json", f"{OPEN_METEO}/ensemble*.json"),
        _of("open_meteo.forecast", place=HERE),
    ),
    Parser(
        "open-meteo previous runs",
        (f"{OPEN_METEO}/previous_runs_*.json",),
        _of("open_meteo.previous_runs", place=HERE),
    ),
    Parser(
        "open-meteo regional",
        (),
        _of("open_meteo.regional", asked=made_bodies.REGIONAL),
        (made_bodies.TWO_REGIONAL_MODELS,),
    ),
    Parser("open-meteo marine", (f"{OPEN_METEO}/marine_*.json",), _of("open_meteo.marine")),
    Parser(
        "open-meteo air of days",
        (f"{OPEN_METEO}/archive_*.json",),
        _of("open_meteo.daily_air", here=OF_ARCHIVE, today=date(2023, 1, 1)),
    ),
    Parser(
        "open-meteo reanalysis",
        (f"{OPEN_METEO}/archive_*.json",),
        _of("open_meteo.reanalysis", here=OF_ARCHIVE),
    ),
    Parser(
        "open-meteo currents",
        (f"{TIDES}/open_meteo/*.json",),
        _of("open_meteo.currents"),
    ),
    Parser(
        "ndbc buoy",
        ("recorded/noaa/ndbc/*_realtime2_*",),
        _of("ndbc.buoys", station="44013", apart=900.0),
    ),
    Parser(
        "ndbc newest",
        ("recorded/noaa/ndbc/latest_obs_*.txt",),
        _of("ndbc.buoys", "parse_latest", latitude=43.0, longitude=-70.0, within=3e5),
    ),
    Parser(
        "ndbc stations",
        ("recorded/noaa/ndbc/latest_obs_*.txt",),
        _of("ndbc.buoys", "parse_stations"),
    ),
    Parser(
        "coops stations",
        (f"{TIDES}/coops/mdapi_stations_list_cut.json",),
        _of("coops.stations", "parse_stations"),
    ),
    Parser(
        "coops water",
        ("recorded/noaa/coops/*water_temperature*.json",),
        _of("coops.stations", "parse_water_temperature", apart=10.0),
    ),
    Parser("coops bins", (), _of("coops.currents", "parse_bins"), (made_bodies.CURRENT_BINS,)),
    Parser(
        "coops wind",
        (),
        _of("coops.stations", "parse_wind", apart=10.0),
        (made_bodies.WATER_LEVEL_STATION_WIND,),
    ),
    Parser(
        "coops tides",
        (f"{TIDES}/coops/*predictions_hilo*.json",),
        _of("coops.tides", station=STATION),
    ),
    Parser(
        "coops currents",
        (f"{TIDES}/coops/*currents_MAX_SLACK*.json",),
        lambda body: parse_currents(body, FROM, STATION, "12"),
    ),
    Parser(
        "coops constants",
        (f"{TIDES}/coops/*harcon*.json",),
        _of("coops.harmonics", station="9447130"),
    ),
    Parser(
        "iwls stations",
        (),
        _of("iwls.stations", "parse_stations"),
        (made_bodies.CANADIAN_STATIONS,),
    ),
    Parser(
        "iwls tides",
        (f"{TIDES}/iwls/*hilo*.json",),
        _of("iwls.predictions", "parse_tides", station=STATION),
    ),
    Parser(
        "iwls currents",
        (f"{TIDES}/iwls/*events*.json",),
        _of("iwls.predictions", "parse_currents", station=STATION, towards=Directions(45.0, 225.0)),
    ),
    Parser(
        "iwls directions",
        (f"{TIDES}/iwls/*metadata*.json",),
        _of(
            "iwls.predictions",
            "parse_directions",
            station=Station(PASS, "Active Pass", 48.86, -123.31),
        ),
    ),
    Parser("kartverket tides", (f"{TIDES}/kartverket/*.xml",), _of("kartverket.tides")),
    Parser("nwps gauge", (f"{TIDES}/nwps/*.json",), _of("nwps.gauge")),
    Parser(
        "usgs values",
        ("recorded/usgs/ogc_continuous_*.json", f"{TIDES}/usgs/ogc_*.json"),
        _of("usgs.gauges", sites={}, here=HERE),
    ),
    Parser(
        "usgs places",
        ("recorded/usgs/ogc_monitoring_*.json",),
        _of("usgs.gauges", "parse_locations"),
    ),
    Parser(
        "usgs older values",
        ("recorded/usgs/legacy_iv_*.json", f"{TIDES}/usgs/legacy_iv_*.json"),
        _of("usgs.gauges_legacy", here=HERE),
    ),
    Parser(
        "usgs days",
        (f"{TIDES}/usgs/statistics_*.json",),
        _of("usgs.statistics", site="USGS-01646500", day=date(2026, 1, 1)),
    ),
    Parser(
        "usgs rise",
        ("recorded/usgs/ogc_continuous_*.json",),
        _of("usgs.rivers", "parse_trend"),
    ),
    Parser(
        "overpass",
        ("recorded/osm/overpass_*.json",),
        _of("openstreetmap.overpass", here=OF_RINGS),
        (made_bodies.lake_of_many_rings,),
    ),
    Parser(
        "nominatim",
        ("recorded/osm/nominatim_*.json",),
        _of("openstreetmap.nominatim", name="Invented Lake"),
        (made_bodies.LAKES_BY_NAME,),
    ),
    Parser(
        "met norway",
        (),
        _of("met_norway.forecast"),
        (made_bodies.POINT_FORECAST,),
    ),
    Parser(
        "aerodromes",
        (),
        _of("aviation_weather.reports", latitude=53.0, longitude=13.4),
        (made_bodies.REPORTS,),
    ),
    Parser(
        "warnings, sweden",
        (),
        _warnings("sweden"),
        (made_bodies.SWEDISH_WARNINGS,),
    ),
    Parser(
        "warnings, canada_water",
        (),
        _warnings("canada_water"),
        (made_bodies.CANADIAN_MARINE_WARNINGS,),
    ),
    *(
        Parser(
            f"warnings, {style}",
            tuple(f"recorded/warnings/{glob}" for glob in globs),
            _warnings(style),
        )
        for style, globs in WARNINGS.items()
    ),
    Parser(
        "saved forecast",
        (f"{OPEN_METEO}/forecast_*.json", f"{NWS}/gridpoint_[!G]*Z.json"),
        from_file(lambda path: saved_forecast.read_forecast(path, HERE), ".json"),
    ),
    Parser(
        "water of a shape",
        ("datasets/lakes/*.geojson", "recorded/osm/*.geojson"),
        _water(".geojson"),
    ),
    Parser("stored water", (), from_file(files.load_file, ".geojson"), (made_bodies.stored_water,)),
    Parser("track", (), _water(".gpx"), (made_bodies.track,)),
    Parser("outline", (), _water(".kml"), (made_bodies.outline,)),
)

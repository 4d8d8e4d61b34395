"""Answers and files made after the documents of a service, where nothing fitting was recorded."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Callable
from pathlib import Path

import numpy as np

from safety_check.model.place import Launch, Water
from safety_check.sources.model_hosts import regional_models
from safety_check.waters import add, files
from tests.recordings import SHARED
from tests.sources.aviation_weather.test_reports import REPORT
from tests.sources.cap.test_bad_answers import MARINE, SMHI
from tests.sources.coops.test_currents import BINS
from tests.sources.coops.test_stations import WIND
from tests.sources.met_norway.test_forecast import DOCUMENTED
from tests.sources.open_meteo.test_regional import LOUGH_NEAGH, columns
from tests.sources.openstreetmap.test_nominatim import place
from tests.sources.test_moving_water import FAR_PASS

REGIONAL = regional_models(*LOUGH_NEAGH)
ANGLES = np.linspace(0, 2 * np.pi, 40)
SHORE = list(zip(-99.6 + 0.02 * np.cos(ANGLES), 44.9 + 0.01 * np.sin(ANGLES), strict=True))


def of_json(document: object) -> Callable[[], bytes]:
    """Return what makes a JSON body."""
    return lambda: json.dumps(document).encode()


REPORTS = of_json([REPORT, {**REPORT, "icaoId": "EDXN", "wgst": None}])
POINT_FORECAST = of_json(DOCUMENTED)
LAKES_BY_NAME = of_json([place(), place(osm_id=18, lat="45.9")])
SWEDISH_WARNINGS = of_json(SMHI)
CANADIAN_MARINE_WARNINGS = of_json(MARINE)
CURRENT_BINS = of_json(BINS)
WATER_LEVEL_STATION_WIND = of_json(WIND)
CANADIAN_STATIONS = of_json([FAR_PASS, {**FAR_PASS, "id": "b2"}])
TWO_REGIONAL_MODELS = of_json(columns(*REGIONAL))


def lake_of_many_rings() -> bytes:
    """Return a recorded boundary with enclaves, tagged as if it were a lake with islands."""
    path = SHARED / "recorded/osm/overpass_relation_out_geom_many_rings.json"
    if not path.exists():
        return b"{}"
    body = json.loads(path.read_text("utf-8"))
    body["elements"][0]["tags"]["natural"] = "water"
    return json.dumps(body).encode()


def track() -> bytes:
    """Return a track around an invented lake, with a waypoint at its ramp."""
    points = "".join(f'<trkpt lat="{y:.5f}" lon="{x:.5f}"/>\n' for x, y in SHORE)
    return (
        '<?xml version="1.0"?>\n<gpx version="1.1" creator="x"'
        ' xmlns="http://www.topografix.com/GPX/1/1">\n<wpt lat="44.9" lon="-99.58"><name>ramp'
        f"</name></wpt>\n<trk><name>shore</name><trkseg>\n{points}</trkseg></trk>\n</gpx>"
    ).encode()


def outline() -> bytes:
    """Return the same lake as a polygon of KML."""
    ring = "\n".join(f"{x:.5f},{y:.5f},0" for x, y in [*SHORE[:-1], SHORE[0]])
    return (
        '<?xml version="1.0"?>\n<kml xmlns="http://www.opengis.net/kml/2.2"><Document><Placemark>'
        "<name>shore</name><Polygon><outerBoundaryIs><LinearRing><coordinates>\n"
        f"{ring}\n</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark>"
        "<Placemark><name>ramp</name><Point><coordinates>-99.58,44.9</coordinates></Point>"
        "</Placemark></Document></kml>"
    ).encode()


def invented_lake() -> tuple[Water, Launch]:
    """Return a lake by its fetch in eight sectors, and its ramp."""
    ramp = Launch("ramp", 44.9, -99.6)
    sectors = "N 800 m, NE 1.2 km, E 2 km, SE 900 m, S 500 m, SW 700 m, W 1 km, NW 1 km"
    return add.from_sectors("Invented Lake", sectors, ramp, depth=8.0), ramp


def stored_water() -> bytes:
    """Return the file that the program stores of a water."""
    water, _ = invented_lake()
    with tempfile.TemporaryDirectory() as folder:
        return files.save(water, Path(folder)).read_bytes()

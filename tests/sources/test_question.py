"""What each adapter asks, over real sockets, and what it does when a part of it fails."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Any

import pytest

from safety_check.errors import DataError, SafetyCheckError, SourceError
from safety_check.sources.coops import stations as coops
from safety_check.sources.http import client
from safety_check.sources.http.asker import RetryPolicy
from safety_check.sources.ndbc import buoys
from safety_check.sources.nws import alerts, observations
from safety_check.sources.nws import (
    grid as nws,
)
from safety_check.sources.openstreetmap import overpass
from safety_check.sources.usgs import gauges
from tests.sources.fake_server import FakeServer, html_page, json_reply, status, text_reply

NOW = datetime(2026, 6, 1, 12, tzinfo=UTC)
HERE = (45.0, -90.0)
SERVICES = ("nws", "ndbc", "coops", "usgs", "usgs_legacy", "overpass")
QUICK = RetryPolicy(deadline=20.0, patience=5.0, first_pause=0.01)


@pytest.fixture
def server() -> Iterator[FakeServer]:
    with FakeServer() as running:
        yield running


def ask(server: FakeServer, ask_for: Any, *more: Any, cache: Any = None, here: Any = HERE) -> Any:
    async def go() -> Any:
        addresses = dict.fromkeys(SERVICES, server.url)
        async with client.open_client(
            cache, addresses=addresses, policy=QUICK, now=lambda: NOW
        ) as asker:
            return await ask_for(asker, *here, *more)

    return asyncio.run(go())


def paths(server: FakeServer) -> list[str]:
    return [request.path for request in server.asked]


# -- National Weather Service -----------------------------------------------------------------

POINT = "/points/45,-90"


def point(cell: str = "1,2") -> dict[str, Any]:
    base = f"https://api.weather.gov/gridpoints/XYZ/{cell}"
    return {"properties": {"forecastGridData": base, "observationStations": f"{base}/stations"}}


def grid(speed: float) -> dict[str, Any]:
    span = "2026-06-01T06:00:00+00:00/PT6H"
    wind = {"uom": "wmoUnit:m_s-1", "values": [{"validTime": span, "value": speed}]}
    times = {"updateTime": "2026-06-01T07:00:00+00:00", "validTimes": span}
    return {"properties": {**times, "windSpeed": wind}}


def test_a_forecast_is_found_by_the_links_of_its_point(server):
    server.serve(POINT, json_reply(point()))
    server.serve("/gridpoints/XYZ/1,2", json_reply(grid(5.0)))

    forecast = ask(server, nws.ask)

    assert forecast.quantities["wind_speed"][0, 0] == 5.0
    assert forecast.provenance.url == f"{server.url}/gridpoints/XYZ/1,2"
    assert paths(server) == [POINT, "/gridpoints/XYZ/1,2"]


def test_a_cell_that_is_gone_sends_us_back_to_the_point_although_it_was_remembered(
    server, tmp_path
):
    server.serve(POINT, json_reply(point("1,2")), json_reply(point("3,4")))
    server.serve("/gridpoints/XYZ/1,2", status(404))
    server.serve("/gridpoints/XYZ/3,4", json_reply(grid(7.0)))

    forecast = ask(server, nws.ask, cache=tmp_path)

    assert forecast.quantities["wind_speed"][0, 0] == 7.0
    assert paths(server) == [POINT, "/gridpoints/XYZ/1,2", POINT, "/gridpoints/XYZ/3,4"]


def test_a_cell_that_is_broken_is_not_looked_for_elsewhere(server):
    server.serve(POINT, json_reply(point()))
    server.serve("/gridpoints/XYZ/1,2", status(503, b'{"detail": "The grid has expired."}'))

    with pytest.raises(SourceError, match="has expired"):
        ask(server, nws.ask)
    assert paths(server).count(POINT) == 1


def test_alerts_are_asked_for_by_the_point(server):
    alert = {"event": "Gale Warning", "status": "Actual", "messageType": "Alert"}
    server.serve("/alerts/active", json_reply({"features": [{"properties": alert}]}))

    [told] = ask(server, alerts.ask)

    assert told.event == "Gale Warning"
    assert server.asked[0].query == {"point": "45,-90"}


def test_a_silent_alert_service_is_not_an_absence_of_alerts(server):
    server.serve("/alerts/active", html_page(503))

    with pytest.raises(SourceError, match="missing"):
        ask(server, alerts.ask)


def station(name: str, north: float) -> dict[str, Any]:
    return {
        "geometry": {"type": "Point", "coordinates": [-90.0, north]},
        "properties": {"stationIdentifier": name},
    }


def observed(name: str, speed: float) -> dict[str, Any]:
    wind = {"value": speed, "unitCode": "wmoUnit:m_s-1", "qualityControl": "V"}
    told = {"station": f"https://x/stations/{name}", "timestamp": "2026-06-01T11:50:00+00:00"}
    return {"properties": {**told, "windSpeed": wind}}


def stations(server: FakeServer, *listed: dict[str, Any]) -> None:
    server.serve(POINT, json_reply(point()))
    server.serve("/gridpoints/XYZ/1,2/stations", json_reply({"features": listed}))


def test_the_stations_within_reach_are_asked_and_one_that_fails_does_not_silence_the_others(
    server,
):
    stations(server, station("NEAR", 45.01), station("DOWN", 45.1), station("FAR", 46.0))
    server.serve("/stations/NEAR/observations/latest", json_reply(observed("NEAR", 4.0)))
    server.serve("/stations/DOWN/observations/latest", status(500))

    [seen] = ask(server, observations.ask)

    assert (seen.station, seen.value) == ("NEAR", 4.0)
    assert seen.distance == pytest.approx(1111, abs=1)  # a hundredth of a degree at 45° N
    assert "/stations/FAR/observations/latest" not in paths(server)


def test_when_every_station_fails_the_trouble_is_told(server):
    stations(server, station("DOWN", 45.01))
    server.serve("/stations/DOWN/observations/latest", status(500))

    with pytest.raises(SourceError, match="internal error"):
        ask(server, observations.ask)


def test_a_place_without_stations_within_reach_has_no_observations(server):
    stations(server, station("FAR", 47.0))

    assert ask(server, observations.ask) == ()


def test_the_name_of_a_station_can_not_lead_elsewhere(server):
    stations(server, station("../../evil?x=", 45.01))

    with pytest.raises(SafetyCheckError):
        ask(server, observations.ask)
    assert paths(server)[-1] == "/stations/..%2F..%2Fevil%3Fx%3D/observations/latest"


# -- buoys ------------------------------------------------------------------------------------

LATEST = """#STN LAT LON YYYY MM DD hh mm WDIR WSPD GST WVHT WTMP
#text deg deg yr mo day hr mn degT m/s m/s m degC
45001 45.01 -90.0 2026 06 01 11 50 270 5.0 MM MM MM
"""
FILE = """#YY MM DD hh mm WDIR WSPD WVHT
#yr mo dy hr mn degT m/s m
2026 06 01 11 50 270 5.0 MM
2026 06 01 11 40 270 6.0 0.4
"""


def test_a_wave_that_the_newest_line_lacks_is_found_in_the_file(server):
    server.serve(buoys.LATEST, text_reply(LATEST))
    server.serve("/data/realtime2/45001.txt", text_reply(FILE))

    seen = {observation.quantity: observation for observation in ask(server, buoys.ask)}

    assert seen["wind_speed"].value == 5.0
    assert seen["sea_surface_wave_significant_height"].value == 0.4
    assert [observation.distance for observation in seen.values()] == pytest.approx(
        [1111] * 3, abs=1
    )


def test_without_its_file_the_newest_line_of_a_buoy_stands(server):
    server.serve(buoys.LATEST, text_reply(LATEST))
    server.serve("/data/realtime2/45001.txt", html_page(404))

    assert {observation.quantity for observation in ask(server, buoys.ask)} == {
        "wind_speed",
        "wind_from_direction",
    }


def test_far_from_every_buoy_no_file_is_asked_for(server):
    server.serve(buoys.LATEST, text_reply(LATEST))

    assert ask(server, buoys.ask, here=(40.0, -90.0)) == ()
    assert paths(server) == [buoys.LATEST]


# -- tides ------------------------------------------------------------------------------------

TIDES = {"stations": [{"id": "1", "name": "Here", "lat": 45.01, "lng": -90.0}]}
WIND = {
    "metadata": {"id": "1", "name": "Here"},
    "data": [{"t": "2026-06-01 11:54", "s": "5.25", "d": "313", "g": "7.39", "f": "0,0"}],
}
NOTHING = {"error": {"message": "No data was found."}}


def test_tide_stations_are_asked_for_temperature_and_wind(server):
    server.serve(coops.STATIONS, json_reply(TIDES))
    server.serve(coops.DATA, json_reply(WIND))

    seen = {observation.quantity: observation.value for observation in ask(server, coops.ask)}

    assert seen == {
        "wind_speed": 5.25,
        "wind_speed_of_gust": 7.39,
        "wind_from_direction": 313.0,
    }
    products = {request.query["product"] for request in server.asked if request.path == coops.DATA}
    assert products == {"water_temperature", "wind"}


def test_a_tide_station_without_data_is_trouble_and_not_calm(server):
    server.serve(coops.STATIONS, json_reply(TIDES))
    server.serve(coops.DATA, json_reply(NOTHING))

    with pytest.raises(DataError, match="No data was found"):
        ask(server, coops.ask)


def test_inland_there_is_no_tide_station(server):
    far = {"id": "1", "name": "Far", "lat": 20.0, "lng": -60.0}
    server.serve(coops.STATIONS, json_reply({"stations": [far]}))

    assert ask(server, coops.ask) == ()


# -- gauges -----------------------------------------------------------------------------------


def gauge(name: str, value: str, *, placed: bool = True) -> dict[str, Any]:
    told = {
        "time_series_id": name,
        "monitoring_location_id": f"USGS-{name}",
        "parameter_code": "00010",
        "time": "2026-06-01T11:45:00+00:00",
        "value": value,
        "unit_of_measure": "degC",
    }
    place = {"type": "Point", "coordinates": [-90.0, 45.01]}
    return {"geometry": place if placed else None, "properties": told}


LEGACY = {
    "value": {
        "timeSeries": [
            {
                "sourceInfo": {
                    "siteName": "LAKE",
                    "siteCode": [{"value": "9"}],
                    "geoLocation": {"geogLocation": {"latitude": 45.01, "longitude": -90.0}},
                },
                "variable": {
                    "variableCode": [{"value": "00010"}],
                    "unit": {"unitCode": "deg C"},
                    "noDataValue": -999999.0,
                },
                "values": [
                    {"value": [{"value": "9", "dateTime": "2026-06-01T06:45:00.000-05:00"}]}
                ],
            }
        ]
    }
}


def test_gauges_that_come_with_their_place_need_one_question(server):
    server.serve(gauges.LATEST, json_reply({"features": [gauge("1", "12.5")]}))

    [seen] = ask(server, gauges.ask)

    assert seen.value == pytest.approx(285.65)
    assert seen.distance == pytest.approx(1111, abs=1)
    assert paths(server) == [gauges.LATEST]


def test_gauges_without_a_place_are_looked_up(server):
    site = {"id": "USGS-1", "geometry": gauge("1", "")["geometry"], "properties": {}}
    server.serve(gauges.LATEST, json_reply({"features": [gauge("1", "12.5", placed=False)]}))
    server.serve(gauges.LOCATIONS, json_reply({"features": [site]}))

    [seen] = ask(server, gauges.ask)

    assert seen.distance == pytest.approx(1111, abs=1)


def test_every_page_of_gauges_is_read(server):
    onward = {"rel": "next", "href": f"https://api.waterdata.usgs.gov{gauges.LATEST}?cursor=two"}
    server.serve(
        gauges.LATEST,
        json_reply({"features": [gauge("1", "12.5")], "links": [onward]}),
        json_reply({"features": [gauge("2", "11.0")]}),
    )

    assert len(ask(server, gauges.ask)) == 2
    assert server.asked[-1].query == {"cursor": "two"}


def test_pages_without_end_are_refused_and_the_older_service_is_asked(server):
    onward = {"rel": "next", "href": "https://x/items?cursor=again"}
    server.serve(gauges.LATEST, json_reply({"features": [], "links": [onward]}))
    server.serve("/nwis/iv/", json_reply(LEGACY))

    [seen] = ask(server, gauges.ask)

    assert seen.value == pytest.approx(282.15)
    assert paths(server).count(gauges.LATEST) == gauges.MOST_PAGES


@pytest.mark.parametrize("fault", [status(503), html_page(), json_reply({"type": "nothing"})])
def test_where_the_newer_service_fails_the_older_one_stands_in(server, fault):
    server.serve(gauges.LATEST, fault)
    server.serve("/nwis/iv/", json_reply(LEGACY))

    [seen] = ask(server, gauges.ask)

    assert seen.provenance.source == "U.S. Geological Survey, older service"


def test_when_both_services_fail_the_trouble_is_told(server):
    server.serve(gauges.LATEST, status(503))

    with pytest.raises(SourceError):
        ask(server, gauges.ask)


# -- shorelines -------------------------------------------------------------------------------


def test_a_shoreline_is_asked_for_with_its_credit(server):
    ring = [(-90.1, 44.9), (-89.9, 44.9), (-89.9, 45.1), (-90.1, 45.1), (-90.1, 44.9)]
    lake = {
        "type": "way",
        "id": 3,
        "tags": {"natural": "water", "name": "Lake"},
        "geometry": [{"lat": north, "lon": east} for east, north in ring],
    }
    server.serve("/api/interpreter", json_reply({"elements": [lake]}))

    found = ask(server, overpass.ask)

    assert [outline.name for outline in found.outlines] == ["Lake"]
    assert "© OpenStreetMap contributors, ODbL 1.0" in found.provenance.attribution
    assert "around:300,45.000,-90.000" in server.asked[0].query["data"]


def test_a_busy_map_server_says_so(server):
    server.serve("/api/interpreter", html_page(504))

    with pytest.raises(SourceError, match="gateway"):
        ask(server, overpass.ask)


def test_everything_asked_is_a_path_of_the_service_itself(server):
    server.serve(POINT, json_reply(json.loads(json.dumps(point()).replace("api.weather", "evil"))))
    server.serve("/gridpoints/XYZ/1,2", json_reply(grid(5.0)))

    assert ask(server, nws.ask).provenance.url.startswith(server.url)

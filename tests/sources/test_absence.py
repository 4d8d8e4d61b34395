"""Nothing is called absent that has only failed: lists, entries, values, and words of an error.

One service alone reports the danger. A fault that makes its answer look like "no station near
you" would show as a GO.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from safety_check.model.place import Launch
from safety_check.model.plan import Plan
from safety_check.model.verdict import Severity
from safety_check.sources.listing import Listing, read_list, require_entries
from tests.sources.fake_server import Reply, json_reply, status, text_reply
from tests.sources.fakes import SAYS, SPAN, Services, alert, document, marine, saying, stations
from tests.sources.gathering import briefing, severity_of, silent, trip

SHARED = {"usgs": ("usgs", "usgs_legacy")}
LISTS = {
    "aviation_weather": ["/api/data/metar"],
    "ndbc": ["/data/latest_obs/latest_obs.txt"],
    "coops": ["/mdapi/prod/webapi/stations.json", "/api/prod/datagetter"],
    "nws_observations": [
        "/gridpoints/XYZ/1,2/stations",
        "/stations/KXYZ/observations/latest",
    ],
    "usgs": ["/ogcapi/v0/collections/latest-continuous/items"],
}


def alarm(services: Services, name: str) -> None:
    for part in SHARED.get(name, (name,)):
        services.say(part, alarmed=True)


def off_the_map() -> Plan:
    """Return a trip on an island in the South Pacific, a thousand kilometres from aerodromes."""
    launch = Launch("landing", latitude=-49.7, longitude=-130.1)
    return replace(trip(water_temperature=296.15), launch=launch)


def held(services: Services, folder: Any) -> bool:
    return severity_of(briefing(services, folder)) > Severity.GO


# -- a status that is no answer ----------------------------------------------------------------


@pytest.mark.one_in(6)
@pytest.mark.parametrize("code", [404, 410])
@pytest.mark.parametrize(("name", "path"), [(n, path) for n in LISTS for path in LISTS[n]])
def test_a_list_that_is_gone_is_a_failure(services, name, path, code, tmp_path):
    alarm(services, name)
    if name == "usgs":
        services.server.serve("/nwis/iv/", status(code))
    services.server.serve(path, status(code))

    assert held(services, tmp_path)


def test_one_station_that_is_gone_is_absent_where_another_one_answers(services, tmp_path):
    two = stations()
    far = {"type": "Point", "coordinates": [-99.6, 46.5]}
    two["features"].append({"geometry": far, "properties": {"stationIdentifier": "KFAR"}})
    services.server.serve("/gridpoints/XYZ/1,2/stations", json_reply(two))
    calm = SAYS["nws_observations"](False)["/stations/KXYZ/observations/latest"]
    services.server.serve("/stations/KXYZ/observations/latest", status(404))
    services.server.serve("/stations/KFAR/observations/latest", calm)

    briefed = briefing(services, tmp_path)

    notes = silent(briefed, "National Weather Service, stations")
    assert [note.applies for note in notes] == [False]
    assert severity_of(briefed) == Severity.GO


def test_a_station_that_is_gone_does_not_hide_another_that_fails(services, tmp_path):
    two = stations()
    near = {"type": "Point", "coordinates": [-99.6, 44.96]}
    two["features"].append({"geometry": near, "properties": {"stationIdentifier": "KABC"}})
    services.server.serve("/gridpoints/XYZ/1,2/stations", json_reply(two))
    services.server.serve("/stations/KXYZ/observations/latest", status(404))
    services.server.serve("/stations/KABC/observations/latest", status(500))

    assert held(services, tmp_path)


def test_the_file_of_a_buoy_may_be_gone_while_its_newest_line_counts(services, tmp_path):
    services.server.serve("/data/realtime2/45999.txt", status(404))

    assert severity_of(briefing(services, tmp_path)) == Severity.GO


# -- words count only in their status ----------------------------------------------------------


@pytest.mark.one_in(2)
@pytest.mark.parametrize("code", [400, 403, 429, 500, 503])
def test_invalid_point_in_another_status_is_a_failure(services, code, tmp_path):
    services.say("nws_grid", alarmed=True)
    body = json.dumps({"type": "https://api.weather.gov/problems/InvalidPoint"}).encode()
    services.server.serve("/points/44.9,-99.6", status(code, body))

    assert held(services, tmp_path)


@pytest.mark.parametrize("code", [404, 429, 500, 503])
def test_no_data_here_in_another_status_is_a_failure(services, code, tmp_path):
    body = b'{"error":true,"reason":"No data is available for this location"}'
    services.server.serve("/v1/marine", status(code, body))

    assert held(services, tmp_path)


@pytest.mark.parametrize(
    "words", ["An internal error: no data (try later)", "Wrong Station ID", "", "no data ("]
)
def test_other_words_of_a_tide_station_are_a_failure(services, words, tmp_path):
    services.server.serve("/api/prod/datagetter", json_reply({"error": {"message": words}}))

    assert held(services, tmp_path)


# -- lists whose form has changed --------------------------------------------------------------


def renamed(old: str, new: str) -> Callable[[Reply], Reply]:
    def rename(reply: Reply) -> Reply:
        return saying(reply, reply.body.replace(f'"{old}"'.encode(), f'"{new}"'.encode()))

    return rename


def replaced(old: str, new: str) -> Callable[[Reply], Reply]:
    def replace(reply: Reply) -> Reply:
        return saying(reply, reply.body.replace(old.encode(), new.encode()))

    return replace


REPORT_KEYS = ("icaoId", "obsTime", "lat", "lon", "wspd", "rawOb")
DRIFT: dict[tuple[str, str], Callable[[Reply], Reply]] = {
    **{
        ("coops", key): renamed(key, "other")
        for key in ("stations", "id", "lat", "lng", "data", "t", "s", "g", "d", "v")
    },
    **{
        ("nws_observations", key): renamed(key, "other")
        for key in (
            *("features", "stationIdentifier", "coordinates", "geometry", "properties"),
            *("timestamp", "windSpeed", "windGust", "value", "unitCode"),
        )
    },
    **{
        ("usgs", key): renamed(key, "other")
        for key in (
            *("features", "properties", "parameter_code", "time", "value", "unit_of_measure"),
            *("timeSeries", "sourceInfo", "variable", "values", "dateTime", "coordinates"),
            *("monitoring_location_id", "siteCode", "geoLocation"),
        )
    },
    **{("ndbc", name): replaced(name, "OTHER") for name in ("STN", "LAT", "WSPD", "WVHT", "WTMP")},
    ("ndbc", "a short line"): replaced(" 3 23.0\n", " 3\n"),
    ("ndbc", "the place in words"): replaced(" 44.92 ", " N44.92 "),
    ("ndbc", "no number"): replaced("270 6.5 ", "270 x "),
    ("ndbc", "not a number"): replaced("270 6.5 ", "270 NaN "),
    ("ndbc", "an old sentinel"): replaced("270 6.5 ", "270 -9999 "),
    ("coops", "the place in words"): replaced("44.91", '"N44.91"'),
    ("coops", "no number"): replaced('"6.5"', '"x"'),
    ("coops", "infinity"): replaced('"6.5"', '"Infinity"'),
    ("coops", "an old sentinel"): replaced('"6.5"', '"-9999"'),
    ("nws_observations", "no number"): replaced("23.4", '"x"'),
    ("nws_observations", "an old sentinel"): replaced("23.4", "-9999"),
    **{("aviation_weather", key): renamed(key, "other") for key in REPORT_KEYS},
    ("aviation_weather", "no number"): replaced('"wspd": 12', '"wspd": "x"'),
    ("aviation_weather", "an old sentinel"): replaced('"wspd": 12', '"wspd": -9999'),
    ("aviation_weather", "the wind in m/s"): replaced('"wspd": 12', '"wspd": 6'),
    ("aviation_weather", "the place in words"): replaced("44.93", '"N44.93"'),
    ("aviation_weather", "the time in words"): replaced("1781358900", '"13:55"'),
    ("usgs", "no number"): replaced('"18.0"', '"x"'),
    ("usgs", "infinity"): replaced('"18.0"', '"Infinity"'),
}


@pytest.mark.one_in(8)
@pytest.mark.parametrize(("name", "fault"), DRIFT)
def test_a_changed_form_never_betters_the_verdict(services, name, fault, tmp_path):
    for part in SHARED.get(name, (name,)):
        services.spoil(part, DRIFT[name, fault], alarmed=True)

    assert held(services, tmp_path)


EMPTY = {
    "coops": ("/mdapi/prod/webapi/stations.json", json_reply({"stations": []})),
    "nws_observations": ("/gridpoints/XYZ/1,2/stations", json_reply({"features": []})),
    "ndbc": (
        "/data/latest_obs/latest_obs.txt",
        text_reply(
            "".join(
                SAYS["ndbc"](False)["/data/latest_obs/latest_obs.txt"]
                .body.decode()
                .splitlines(keepends=True)[:2]
            )
        ),
    ),
}


@pytest.mark.parametrize("name", EMPTY)
def test_an_empty_list_of_all_stations_is_a_failure(services, name, tmp_path):
    path, empty = EMPTY[name]
    services.server.serve(path, empty)

    assert held(services, tmp_path)


def test_an_empty_page_of_gauges_is_what_the_service_documents(services, tmp_path):
    services.server.serve(LISTS["usgs"][0], json_reply({"features": []}))

    notes = silent(briefing(services, tmp_path), "U.S. Geological Survey")
    assert [note.applies for note in notes] == [False]


@pytest.mark.parametrize("empty", [json_reply([]), status(204)], ids=["[]", "204"])
def test_no_report_at_all_is_a_failure_where_an_aerodrome_is_known(services, empty, tmp_path):
    services.server.serve("/api/data/metar", empty)

    assert held(services, tmp_path)
    [note] = silent(briefing(services, tmp_path), "Aviation Weather Center")
    assert "although one is known there" in note.reason


@pytest.mark.parametrize("empty", [json_reply([]), status(204)], ids=["[]", "204"])
def test_no_report_at_all_is_what_the_service_documents_far_from_aerodromes(empty, tmp_path):
    with Services(inland=True) as services:
        services.server.serve("/api/data/metar", empty)

        briefed = briefing(services, tmp_path, plan=off_the_map())

    [note] = silent(briefed, "Aviation Weather Center")
    assert not note.applies
    assert note.reason == "No aerodrome around this place reports."


@pytest.mark.one_in(2)
@pytest.mark.parametrize("name", [name for name in LISTS if name != "aviation_weather"])
def test_no_content_is_an_answer_only_where_the_service_documents_it(services, name, tmp_path):
    services.server.serve(LISTS[name][0], status(204))
    if name == "usgs":
        services.server.serve("/nwis/iv/", status(204))

    assert held(services, tmp_path)


def test_a_marine_answer_without_rows_is_not_an_absence_of_sea(services, tmp_path):
    empty = marine(alarmed=True)
    empty["hourly"] = {name: [] for name in empty["hourly"]}
    services.server.serve("/v1/marine", json_reply(empty))

    assert held(services, tmp_path)


def test_one_unreadable_station_among_readable_ones_holds_the_verdict(services, tmp_path):
    two = document(SAYS["coops"](False)["/mdapi/prod/webapi/stations.json"])
    two["stations"].append({"id": "2", "name": "Nearer Pier", "lat": "unknown", "lng": -99.6})
    services.server.serve("/mdapi/prod/webapi/stations.json", json_reply(two))

    briefed = briefing(services, tmp_path)

    assert severity_of(briefed) == Severity.MARGINAL
    [note] = silent(briefed, "NOAA CO-OPS")
    assert note.reason.startswith(
        "2 values or stations in its answers can't be read"
    )  # asked twice


# -- the mechanism -----------------------------------------------------------------------------


def positive(entry: int) -> int | None:
    return entry if entry > 0 else None


def test_readable_entries_stay_and_the_others_are_counted():
    listing = read_list([1, -2, 3], positive, "a service", "numbers")

    assert listing.unreadable == 1
    assert tuple(listing) == (1, 3)


def test_a_list_of_which_nothing_can_be_read_is_refused():
    with pytest.raises(Exception, match="none of the 2 numbers"):
        read_list([-1, -2], positive, "a service", "numbers")


def test_an_empty_list_is_refused_only_where_it_can_not_be_empty():
    assert read_list([], positive, "a service", "numbers") == ()
    with pytest.raises(Exception, match="list of numbers is empty"):
        require_entries(Listing(), "a service", "numbers")


# -- the age of "no warning" -------------------------------------------------------------------

AGES = {
    "1970": "1970-01-01T00:00:00+00:00",
    "a year ago": "2025-06-13T13:58:00+00:00",
    "seven hours ago": "2026-06-13T07:00:00+00:00",
    "without a zone": "2026-06-13T13:58:00",
    "not a time": "yesterday",
    "tomorrow": "2026-06-14T13:58:00+00:00",
    "null": None,
    "a number": "0",
}


@pytest.mark.one_in(2)
@pytest.mark.parametrize("updated", AGES)
def test_a_list_of_warnings_of_another_time_does_not_show_that_there_are_none(
    services, updated, tmp_path
):
    services.server.serve("/alerts/active", json_reply({"features": [], "updated": AGES[updated]}))

    briefed = briefing(services, tmp_path)

    assert severity_of(briefed) == Severity.MARGINAL
    [note] = silent(briefed, "National Weather Service, alerts")
    assert "Read the official forecast." in note.reason


def test_a_list_of_warnings_without_its_own_time_does_not_show_that_there_are_none(
    services, tmp_path
):
    services.server.serve("/alerts/active", json_reply({"features": []}))

    assert held(services, tmp_path)


def test_a_list_of_warnings_of_five_hours_ago_still_counts(services, tmp_path):
    fresh = {"features": [], "updated": "2026-06-13T09:00:00+00:00"}
    services.server.serve("/alerts/active", json_reply(fresh))

    assert not held(services, tmp_path)


def test_an_alert_on_an_old_list_still_forbids(services, tmp_path):
    old = {"features": [alert("Gale Warning")], "updated": "2026-06-12T09:00:00+00:00"}
    services.server.serve("/alerts/active", json_reply(old))

    assert severity_of(briefing(services, tmp_path)) == Severity.NO_GO


# -- waves of a grid cell ------------------------------------------------------------------------

ROUGH = {"uom": "wmoUnit:m", "values": [{"validTime": SPAN, "value": 0.4}]}
BROKEN_WAVES = [
    ROUGH | {"values": [{"validTime": "soon", "value": 0.4}]},
    ROUGH | {"values": [{"validTime": SPAN, "value": None}]},
    ROUGH | {"values": [{"validTime": SPAN, "value": "x"}]},
    ROUGH | {"values": [{"validTime": SPAN, "value": False}]},
    ROUGH | {"values": [{"validTime": SPAN, "height": 0.4}]},
    ROUGH | {"uom": "wmoUnit:furlong"},
    ROUGH | {"values": {}},
    {"uom": "wmoUnit:m"},
    None,
]


def waves(services: Services, layer: object) -> None:
    told = document(SAYS["nws_grid"](False)["/gridpoints/XYZ/1,2"])
    told["properties"]["waveHeight"] = layer
    services.server.serve("/gridpoints/XYZ/1,2", json_reply(told))


@pytest.mark.one_in(3)
@pytest.mark.parametrize("layer", [ROUGH, *BROKEN_WAVES], ids=str)
def test_waves_of_a_grid_that_cannot_be_read_hold_the_verdict(services, layer, tmp_path):
    waves(services, layer)

    assert held(services, tmp_path)


@pytest.mark.parametrize("parts", [[], [{"validTime": SPAN, "value": 0}]], ids=str)
def test_a_cell_without_waves_is_no_loss(services, parts, tmp_path):
    """Empty inland, nothing but 0 at the shore: six recorded offices."""
    waves(services, {"uom": "wmoUnit:m", "values": parts})

    assert not held(services, tmp_path)


# -- a gauge whose parameter can't be read ---------------------------------------------------------


@pytest.mark.one_in(3)
@pytest.mark.parametrize("code", ["x", "", "0001", "000100", None, 10], ids=str)
@pytest.mark.parametrize("name", ["usgs", "usgs_legacy"])
def test_a_gauge_whose_parameter_cannot_be_read_holds_the_verdict(services, name, code, tmp_path):
    """Colder water than the user entered would be lost; the other address is down."""
    [(path, reply)] = SAYS[name](True).items()
    [(other, _)] = SAYS["usgs" if name == "usgs_legacy" else "usgs_legacy"](False).items()
    told = document(reply)
    if name == "usgs":
        told["features"][0]["properties"]["parameter_code"] = code
    else:
        told["value"]["timeSeries"][0]["variable"]["variableCode"][0]["value"] = code
    services.server.serve(path, json_reply(told))
    services.server.serve(other, status(503))

    assert held(services, tmp_path)

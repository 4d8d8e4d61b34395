from __future__ import annotations

import copy
import json
from typing import Any

import pytest
from hypothesis import given

from safety_check.errors import DataError
from safety_check.model.weather import Observation
from safety_check.sources.http.error_messages import NothingToReport
from safety_check.sources.nws.observations import parse, parse_stations
from tests.properties import cases
from tests.recordings import shared_folder
from tests.sources.spoiled import NO_JSON, absolute, any_bytes, at, provenance

KNOT = 1852 / 3600
NOW = at("2026-03-04T21:32:27")  # LBNL1: its id says 21:15:00, its timestamp now - 1047 seconds


def recorded(name: str) -> bytes:
    return absolute((shared_folder("recorded", "noaa", "nws") / name).read_bytes(), NOW)


def values(body: bytes) -> dict[str, float]:
    return {
        observation.quantity: observation.value for observation in parse(body, provenance(), 1200.0)
    }


# -- recordings; every expected value was read in the file by eye -----------------------------

RECORDED = [
    (
        # windSpeed 16.56 km/h, windGust null; the METAR has 35009G19KT, temperature -13.3
        "observation_KMSP_20240112T1553Z.json",
        {
            "wind_speed": 4.6,
            "wind_speed_of_gust": 19 * KNOT,
            "wind_from_direction": 350,
            "air_temperature": 259.85,
        },
    ),
    (
        # 25003KT: no gust told, 5.4 km/h, 13.9 degC
        "observation_KBHM_20240220T1553Z.json",
        {"wind_speed": 1.5, "wind_from_direction": 250, "air_temperature": 287.05},
    ),
    (
        "observation_KLIT_20240220T1553Z.json",
        {"wind_speed": 1.5, "wind_from_direction": 270, "air_temperature": 285.95},
    ),
    (
        # a single Feature
        "observation_latest_KFLL_20220302T2353Z.json",
        {"wind_speed": 2.1, "wind_from_direction": 20, "air_temperature": 295.95},
    ),
    (
        # a mesonet station without a METAR; 10.224 and 19.044 km/h
        "relative_time/observation_LBNL1.json",
        {
            "wind_speed": 2.84,
            "wind_speed_of_gust": 5.29,
            "wind_from_direction": 241.4,
            "air_temperature": 287.98,
        },
    ),
    (
        # neither gust nor METAR: the gust is not known, and not calm
        "relative_time/observation_KMSP.json",
        {"wind_speed": 4.12, "wind_from_direction": 200, "air_temperature": 278.15},
    ),
]


@pytest.mark.parametrize(("name", "expected"), RECORDED)
def test_a_recorded_observation_has_the_values_that_stand_in_it(name, expected):
    assert values(recorded(name)) == pytest.approx(expected, rel=1e-9)  # rounding of km/h only


def test_an_empty_collection_of_one_station_says_that_it_has_nothing_to_report():
    with pytest.raises(NothingToReport):
        parse(recorded("observation_PPIZ_no_data.json"), provenance(), 0.0)


def test_a_recorded_observation_says_who_saw_it_when_and_how_far_away():
    seen = parse(recorded("observation_KMSP_20240112T1553Z.json"), provenance(), 1200.0)

    assert {observation.time for observation in seen} == {at("2024-01-12T15:53:00")}
    assert {observation.station for observation in seen} == {"KMSP"}
    assert {observation.distance for observation in seen} == {1200.0}
    assert {observation.provenance.issued for observation in seen} == {at("2024-01-12T15:53:00")}
    assert not any(observation.flagged for observation in seen)


def test_a_newer_answer_names_the_station():
    seen = parse(recorded("relative_time/observation_LBNL1.json"), provenance(), None)

    assert {observation.station for observation in seen} == {"LBNL1 Berkeley Lab"}
    assert {observation.time for observation in seen} == {at("2026-03-04T21:15:00")}


def test_a_recorded_list_has_its_stations_nearest_first():
    stations = parse_stations(recorded("gridpoint_stations_GUM_47_48.json"), provenance())

    assert [station.name for station in stations[:2]] == ["PGUM", "PGUA"]
    assert stations[0].label == "Guam International Airport"
    assert (stations[0].latitude, stations[0].longitude) == (13.48395, 144.79712)


@pytest.mark.parametrize(
    "name", ["500_unexpected_problem.json", "503_unavailable_web_service.json"]
)
@pytest.mark.parametrize(
    "reading", [parse_stations, lambda body, source: parse(body, source, None)]
)
def test_a_recorded_fault_is_refused(name, reading):
    with pytest.raises(DataError, match="can't be used"):
        reading(recorded(f"errors/{name}"), provenance())


# -- answers made by hand ---------------------------------------------------------------------


def amount(value: object, unit: str, flag: str | None = "V") -> dict[str, Any]:
    told = {"value": value, "unitCode": f"wmoUnit:{unit}"}
    return told if flag is None else {**told, "qualityControl": flag}


GOOD = {
    "station": "https://api.weather.gov/stations/KXYZ",
    "timestamp": "2026-06-01T11:53:00+00:00",
    "rawMessage": "KXYZ 011153Z 27010G20KT 10SM CLR 13/01 A3024",
    "temperature": amount(13, "degC"),
    "windDirection": amount(270, "degree_(angle)"),
    "windSpeed": amount(18, "km_h-1"),
    "windGust": amount(36, "km_h-1"),
}


def answer(**changes: object) -> dict[str, Any]:
    properties = {**copy.deepcopy(GOOD), **changes}
    return {"type": "FeatureCollection", "features": [{"properties": properties}]}


def told(**changes: object) -> dict[str, Observation]:
    body = json.dumps(answer(**changes)).encode()
    return {observation.quantity: observation for observation in parse(body, provenance(), 0.0)}


@pytest.mark.parametrize("flag", ["X", "B"])
def test_a_value_that_failed_its_check_is_rejected_and_not_taken_from_the_report(flag):
    assert "wind_speed_of_gust" not in told(windGust=amount(36, "km_h-1", flag))
    assert "wind_speed_of_gust" not in told(windGust=amount(None, "km_h-1", flag))


@pytest.mark.parametrize("flag", ["Q", "?", "new"])
def test_a_questioned_value_is_kept_and_marked(flag):
    assert told(windGust=amount(36, "km_h-1", flag))["wind_speed_of_gust"].flagged


@pytest.mark.parametrize("flag", ["V", "S", "C", "G", "Z", "T", None])
def test_a_sound_or_unchecked_value_is_not_marked(flag):
    assert not told(windGust=amount(36, "km_h-1", flag))["wind_speed_of_gust"].flagged


def test_a_null_gust_is_read_from_the_report():
    gust = told(windGust=amount(None, "km_h-1", "Z"))["wind_speed_of_gust"]

    assert gust.value == pytest.approx(20 * KNOT)


def test_a_null_wind_is_read_from_the_report():
    seen = told(windSpeed=amount(None, "km_h-1"), windDirection=None)

    assert seen["wind_speed"].value == pytest.approx(10 * KNOT)
    assert seen["wind_from_direction"].value == 270


@pytest.mark.parametrize(
    "message",
    [
        "",
        None,
        7,
        "KXYZ 011053Z 27010G20KT",  # of another hour
        "KXYZ 011153Z AUTO /////KT 10SM",
    ],
)
def test_a_null_wind_without_a_report_of_that_minute_is_unknown_and_never_calm(message):
    seen = told(windSpeed=amount(None, "km_h-1"), windGust=None, rawMessage=message)

    assert not {"wind_speed", "wind_speed_of_gust"} & seen.keys()


def test_a_calm_has_no_direction():
    seen = told(windSpeed=amount(0, "km_h-1"), windDirection=amount(0, "degree_(angle)"))

    assert seen["wind_speed"].value == 0
    assert "wind_from_direction" not in seen


@pytest.mark.parametrize("unit", ["kt", "mi_h-1", "", "K"])
def test_a_value_in_a_strange_unit_is_unknown(unit):
    assert "wind_speed" not in told(windSpeed=amount(18, unit))


def test_a_speed_in_metres_a_second_is_one():
    assert told(windSpeed=amount(18, "m_s-1"))["wind_speed"].value == 18  # before 2020


@pytest.mark.parametrize("value", [-4, 9999, "eighteen", True, [18], {}])
def test_a_wind_beyond_nature_or_no_number_is_unknown(value):
    assert "wind_speed" not in told(windSpeed=amount(value, "km_h-1"))


@pytest.mark.parametrize("time", [None, "2026-06-01T11:53:00", "", "2031-01-01T00:00:00Z"])
def test_an_observation_without_a_time_or_ahead_of_the_clock_is_dropped(time):
    assert told(timestamp=time) == {}


def test_an_old_observation_keeps_its_age():
    seen = told(timestamp="2026-05-31T22:00:00+00:00")  # seen 13.5 h old

    assert seen["wind_speed"].time == at("2026-05-31T22:00:00")


def test_of_several_the_first_counts():
    body = answer()
    body["features"].append({"properties": {**GOOD, "windSpeed": amount(0, "km_h-1")}})

    seen = parse(json.dumps(body).encode(), provenance(), None)

    assert [observation.value for observation in seen if observation.quantity == "wind_speed"] == [
        5
    ]


@pytest.mark.parametrize("feature", [{}, {"properties": None}, {"properties": []}])
def test_a_station_that_says_nothing_is_no_error(feature):
    assert parse(json.dumps({"features": [feature]}).encode(), provenance(), None) == ()


@pytest.mark.parametrize("case", NO_JSON)
@pytest.mark.parametrize(
    "reading", [parse_stations, lambda body, source: parse(body, source, None)]
)
def test_what_is_no_answer_is_refused(case, reading):
    with pytest.raises(DataError, match="a service"):
        reading(NO_JSON[case], provenance())


def station_list(*places: object) -> bytes:
    features = [
        {"geometry": {"coordinates": place}, "properties": {"stationIdentifier": "KXYZ"}}
        for place in places
    ]
    return json.dumps({"features": features}).encode()


OFF_THE_GLOBE: tuple[list[Any], ...] = ([500, 0], [None, 1], [], ["a", "b"])


def test_a_station_off_the_globe_is_counted_as_unreadable():
    found = parse_stations(station_list([-90.0, 45.0], *OFF_THE_GLOBE), provenance())

    assert [station.name for station in found] == ["KXYZ"]
    assert found.unreadable == 4


@pytest.mark.parametrize("places", [(), OFF_THE_GLOBE])
def test_a_list_without_any_readable_station_is_refused(places):
    with pytest.raises(DataError, match="can't be used"):
        parse_stations(station_list(*places), provenance())


@cases(250)
@given(any_bytes(answer()))
def test_any_bytes_are_observations_or_refused(body):
    try:
        found = parse(body, provenance(), 0.0)
    except DataError:
        return
    assert all(isinstance(value, Observation) for value in found)


STATIONS = {
    "features": [
        {
            "geometry": {"coordinates": [144.8, 13.5]},
            "properties": {"stationIdentifier": "PGUM", "name": "Guam"},
        }
    ]
}


@cases(150)
@given(any_bytes(STATIONS))
def test_any_bytes_are_stations_or_refused(body):
    try:
        found = parse_stations(body, provenance())
    except DataError:
        return
    assert all(abs(item.latitude) <= 90 for item in found)


@pytest.mark.parametrize(
    ("changes", "unreadable"),
    [
        ({}, 0),
        ({"windGust": None}, 0),  # the service says that there is none
        ({"windGust": amount(None, "km_h-1"), "rawMessage": None}, 0),
        ({"windGust": amount(36, "kt")}, 1),
        ({"windGust": amount(36, "kt"), "temperature": "warm"}, 2),
        ({"windSpeed": amount(0, "km_h-1"), "windDirection": amount(0, "K")}, 0),
    ],
)
def test_what_can_not_be_read_is_counted_and_what_is_not_said_is_not(changes, unreadable):
    found = parse(json.dumps(answer(**changes)).encode(), provenance(), 0.0)

    assert found.unreadable == unreadable


def test_a_light_wind_has_a_direction():
    seen = told(windSpeed=amount(1, "m_s-1"), windDirection=amount(10, "degree_(angle)"))

    assert seen["wind_from_direction"].value == 10


def test_an_entry_that_is_no_observation_is_counted():
    found = parse(b'{"features": ["x", {}]}', provenance(), 0.0)

    assert (len(found), found.unreadable) == (0, 1)

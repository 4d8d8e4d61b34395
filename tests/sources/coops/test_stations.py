from __future__ import annotations

import copy
import json
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given

from safety_check.errors import DataError
from safety_check.model.weather import Observation
from safety_check.sources.coops.stations import (
    parse_stations,
    parse_water_temperature,
    parse_wind,
    query,
    query_stations,
)
from safety_check.sources.listing import Listing
from safety_check.sources.stations import Station
from tests.properties import cases
from tests.recordings import shared_folder
from tests.sources.spoiled import NO_JSON, any_bytes, at, provenance


def recorded(name: str) -> bytes:
    return (shared_folder("recorded", "noaa", "coops") / name).read_bytes()


Result = Listing[Observation] | Listing[Station] | DataError


def readings(body: bytes) -> list[Result]:
    """Return what each parser makes of a body."""
    results: list[Result] = []
    parsers: tuple[Callable[[], Result], ...] = (
        lambda: parse_water_temperature(body, provenance(), 10.0),
        lambda: parse_wind(body, provenance(), 10.0),
        lambda: parse_stations(body, provenance()),
    )
    for reading in parsers:
        try:
            results.append(reading())
        except DataError as trouble:
            results.append(trouble)
    return results


# -- recordings; every expected value was read in the file by eye -----------------------------


def test_a_recorded_series_gives_its_newest_temperature():
    [seen] = parse_water_temperature(
        recorded("8723970_water_temperature_20140927.json"), provenance(), 10.0
    )

    assert seen.value == pytest.approx(303.75)  # 30.6 degC
    assert seen.time == at("2014-09-28T23:54:00")
    assert seen.station == "8723970 Vaca Key, Florida Bay"
    assert not seen.flagged


def test_a_recorded_empty_value_is_no_value():
    # 2014-09-28 00:00 has v "" and f "1,1,1": cut the series there, and it is the newest
    body = json.loads(recorded("8723970_water_temperature_20140927.json"))
    body["data"] = [entry for entry in body["data"] if entry["t"] <= "2014-09-28 00:00"]

    [seen] = parse_water_temperature(json.dumps(body).encode(), provenance(), 10.0)

    assert body["data"][-1]["v"] == ""
    assert seen.time == at("2014-09-27T23:54:00")


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("error_no_data_http200.json", "No data was found. This product may not be offered"),
        ("error_no_predictions_http200.json", "No Predictions data was found"),
    ],
)
def test_a_recorded_error_with_status_200_is_an_error(name, words):
    for result in readings(recorded(name))[:2]:
        assert isinstance(result, DataError)
        assert words in str(result)


def test_a_recorded_station_has_its_place():
    [station] = parse_stations(
        recorded("9447130_mdapi_station_expanded_20260421.json"), provenance()
    )

    assert (station.name, station.label) == ("9447130", "Seattle")
    assert (station.latitude, station.longitude) == (47.60264, -122.3393)


# -- answers made by hand; no whole recording of a wind was found -----------------------------

WIND: dict[str, Any] = {
    "metadata": {"id": "9410230", "name": "La Jolla", "lat": "32.8669", "lon": "-117.2571"},
    "data": [
        {"t": "2026-06-01 11:48", "s": "4.00", "d": "310.00", "dr": "NW", "g": "6.1", "f": "0,0"},
        {"t": "2026-06-01 11:54", "s": "5.25", "d": "313.00", "dr": "NW", "g": "7.39", "f": "0,0"},
    ],
}
TEMPERATURE: dict[str, Any] = {
    "metadata": {"id": "1", "name": "Here"},
    "data": [{"t": "2026-06-01 11:54", "v": "12.5", "f": "0,0,0"}],
}
LIST = {"stations": [{"id": "1", "name": "Here", "lat": 45.0, "lng": -90.0}]}


def wind(**changes: object) -> dict[str, Observation]:
    body = copy.deepcopy(WIND)
    body["data"][1].update(changes)
    seen = parse_wind(json.dumps(body).encode(), provenance(), 10.0)
    return {observation.quantity: observation for observation in seen}


def test_a_wind_is_told_with_gust_and_direction():
    assert {name: item.value for name, item in wind().items()} == {
        "wind_speed": 5.25,
        "wind_speed_of_gust": 7.39,
        "wind_from_direction": 313.0,
    }
    assert {item.time for item in wind().values()} == {at("2026-06-01T11:54:00")}


def test_the_newest_counts_whatever_the_order_of_the_rows():
    turned = {**WIND, "data": WIND["data"][::-1]}

    assert parse_wind(json.dumps(turned).encode(), provenance(), 10.0) == tuple(wind().values())


@pytest.mark.parametrize("written", ["", None, "MM", "-1", "999", "nan", [], True])
def test_a_gust_that_is_missing_is_that_of_the_row_before_with_its_age(written):
    gust = wind(g=written)["wind_speed_of_gust"]

    assert (gust.value, gust.time) == (6.1, at("2026-06-01T11:48:00"))


def test_a_calm_has_no_direction():
    seen = wind(s="0.00", d="0.00")

    assert seen["wind_speed"].value == 0
    assert seen["wind_from_direction"].time == at("2026-06-01T11:48:00")


@pytest.mark.parametrize(("flags", "doubted"), [("0,0", False), ("1,0", True), ("0,1", True)])
def test_a_raised_flag_is_kept_as_a_doubt(flags, doubted):
    assert wind(f=flags)["wind_speed"].flagged is doubted


@pytest.mark.parametrize("time", ["", None, "2026-06-01T11:54Z", "2026-06-31 11:54", "noon"])
def test_a_row_without_a_time_is_left_out(time):
    assert wind(t=time)["wind_speed"].time == at("2026-06-01T11:48:00")


def test_a_row_ahead_of_the_clock_is_left_out():
    assert wind(t="2026-06-02 11:54")["wind_speed"].time == at("2026-06-01T11:48:00")


def test_rows_that_can_not_be_read_are_counted():
    body = copy.deepcopy(WIND)
    body["data"] += [{"t": "noon", "s": "1"}, None]
    body["data"][1].update(s="999", g="", d="x")

    seen = parse_wind(json.dumps(body).encode(), provenance(), 10.0)

    # two rows without a time, and of the newest row the wind and the direction
    assert seen.unreadable == 4
    assert [item.value for item in seen] == [4.0, 6.1, 310.0]


def test_a_field_that_is_missing_is_no_value_and_one_that_is_gone_is_counted():
    body = copy.deepcopy(WIND)
    del body["data"][1]["g"]

    assert parse_wind(json.dumps(body).encode(), provenance(), 10.0).unreadable == 1
    body["data"][1]["g"] = None
    assert parse_wind(json.dumps(body).encode(), provenance(), 10.0).unreadable == 0


@pytest.mark.parametrize("written", ["88", "-40", "", None])
def test_a_water_temperature_that_no_water_has_is_unknown(written):
    body = copy.deepcopy(TEMPERATURE)
    body["data"][0]["v"] = written

    assert parse_water_temperature(json.dumps(body).encode(), provenance(), 10.0) == ()


@pytest.mark.parametrize(
    "body",
    [
        {},
        {"error": {}},
        {"error": {"message": None}},
        {"error": {"message": "down"}, "data": []},
        {"metadata": {}},
        {"data": "none"},
        {"predictions": [{"t": "noon", "v": "1"}]},
    ],
)
def test_an_answer_without_data_is_an_error(body):
    for result in readings(json.dumps(body).encode())[:2]:
        assert isinstance(result, DataError)


@pytest.mark.parametrize("case", NO_JSON)
def test_what_is_no_answer_is_refused(case):
    for result in readings(NO_JSON[case]):
        assert isinstance(result, DataError)
        assert "a service" in str(result)


def test_what_is_asked_is_metric_and_in_utc():
    asked = query("9447130", "wind")

    assert (asked["units"], asked["time_zone"], asked["date"]) == ("metric", "gmt", "latest")
    assert query_stations("water_temperature") == {"type": "watertemp"}


@cases(250)
@given(any_bytes(WIND) | any_bytes(TEMPERATURE) | any_bytes(LIST))
def test_any_bytes_are_objects_or_refused(body):
    for result in readings(body):
        assert isinstance(result, tuple | DataError)


@pytest.mark.parametrize("gone", ["id", "lat", "lng"])
def test_a_station_without_its_number_or_place_is_counted(gone):
    [good] = LIST["stations"]
    body = {"stations": [good, {**good, gone: None}, "x"]}

    found = parse_stations(json.dumps(body).encode(), provenance())

    assert (len(found), found.unreadable) == (1, 2)

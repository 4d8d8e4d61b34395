"""Aerodrome reports: the values of documented answers, decoded by hand from the raw text.

No answer of the service was recorded. The keys and types are those that its documentation and
stored answers of others show; the aerodromes are invented.
"""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmarks.aerodromes import aerodrome_places
from safety_check.errors import DataError
from safety_check.model.weather import Observation
from safety_check.sources.aviation_weather.reports import MOST, parse, query
from safety_check.sources.coverage import may_have_station
from safety_check.sources.stations import greatest_distance
from tests.properties import cases
from tests.sources.spoiled import HTML, NO_JSON, any_bytes, at, provenance

HERE = (53.0, 13.5)
KNOT = 1852 / 3600
FETCHED = "2026-06-10T12:30:00+00:00"

# METAR EDXM 101150Z 24008G19KT 210V280 9999 FEW030 18/09 Q1015, by hand: the 10th, 11:50 UTC;
# wind from 240 degrees, 8 kt, gusts 19 kt; visibility 10 km or more; 18 degrees Celsius.
REPORT: dict[str, Any] = {
    "icaoId": "EDXM",
    "receiptTime": "2026-06-10T11:55:12.000Z",
    "obsTime": 1781092200,
    "reportTime": "2026-06-10T12:00:00.000Z",
    "temp": 18,
    "dewp": 9,
    "wdir": 240,
    "wspd": 8,
    "wgst": 19,
    "visib": "6+",
    "altim": 1015,
    "qcField": 0,
    "metarType": "METAR",
    "rawOb": "METAR EDXM 101150Z 24008G19KT 210V280 9999 FEW030 18/09 Q1015",
    "lat": 53.1,
    "lon": 13.5,
    "elev": 41,
    "name": "Invented Field, BB, DE",
}


def report(group: str, **values: Any) -> dict[str, Any]:
    """Return the report with another wind group and other values."""
    return REPORT | {"rawOb": f"METAR EDXM 101150Z {group} 9999 18/09 Q1015", **values}


def read(*entries: Any) -> tuple[dict[str, Observation], int]:
    """Return the observations of an answer by quantity, and how much can't be read."""
    listing = parse(json.dumps(entries).encode(), provenance(FETCHED), *HERE)
    found = {seen.quantity: seen for reading in listing for seen in reading.observations}
    return found, listing.unreadable


def values(*entries: Any) -> dict[str, float]:
    """Return the values of an answer of which everything can be read."""
    found, unreadable = read(*entries)
    assert unreadable == 0
    return {quantity: seen.value for quantity, seen in found.items()}


def test_a_report_has_the_values_of_its_raw_text():
    found, unreadable = read(REPORT)

    assert unreadable == 0
    assert {quantity: seen.value for quantity, seen in found.items()} == {
        "wind_speed": pytest.approx(8 * KNOT),
        "wind_speed_of_gust": pytest.approx(19 * KNOT),
        "wind_from_direction": 240,
        "air_temperature": pytest.approx(273.15 + 18),
    }


def test_a_report_has_the_time_place_and_name_of_its_aerodrome():
    seen = read(REPORT)[0]["wind_speed"]

    assert seen.time == at("2026-06-10T11:50:00")
    assert seen.station == seen.provenance.model == "EDXM Invented Field, BB, DE"
    assert seen.provenance.issued == seen.time
    # a tenth of a degree of the meridian at 53 degrees north: 11.13 km (WGS84)
    assert seen.distance == pytest.approx(11_130, abs=10)


# The wind group as written, the values beside it, and what they mean by hand.
WINDS: list[tuple[str, dict[str, Any], dict[str, float]]] = [
    ("VRB03KT", {"wdir": "VRB", "wspd": 3, "wgst": None}, {"wind_speed": 3 * KNOT}),
    ("00000KT", {"wdir": 0, "wspd": 0, "wgst": None}, {"wind_speed": 0.0}),
    (
        "05003MPS",  # 3 m/s are 5.83 kt, which the service rounds to 6
        {"wdir": 50, "wspd": 6, "wgst": None},
        {"wind_speed": 3.0, "wind_from_direction": 50},
    ),
    (
        "270P99KT",
        {"wdir": 270, "wspd": 99, "wgst": None},
        {"wind_speed": 100 * KNOT, "wind_from_direction": 270},
    ),
    ("/////KT", {"wdir": None, "wspd": None, "wgst": None}, {}),
]


@pytest.mark.parametrize(("group", "sent", "meant"), WINDS)
def test_the_wind_of_a_report_is_that_of_its_raw_text(group, sent, meant):
    found = values(report(group, **sent))

    del found["air_temperature"]
    assert found == pytest.approx(meant)


def test_a_report_without_a_gust_key_says_nothing_about_gusts():
    calm = report("24008KT")
    del calm["wgst"]

    assert "wind_speed_of_gust" not in values(calm)


@pytest.mark.parametrize("raw", [None, "", "METAR EDXM 091150Z 24030KT", 5])
def test_without_a_raw_text_of_the_same_minute_the_values_are_in_knots(raw):
    found = values(REPORT | {"rawOb": raw})

    assert found["wind_speed"] == pytest.approx(8 * KNOT)
    assert found["wind_from_direction"] == 240


@pytest.mark.parametrize(("sent", "used"), [(4, 8 * KNOT), (15, 15 * KNOT), (10, 10 * KNOT)])
def test_where_value_and_raw_text_differ_the_higher_counts_and_it_is_said(sent, used):
    # 4 for 8 kt is what the service would send if it changed to metres per second
    found, unreadable = read(REPORT | {"wspd": sent})

    assert found["wind_speed"].value == pytest.approx(used)
    assert unreadable == 1


@pytest.mark.parametrize("sent", ["x", True, [8], {}])
def test_a_value_that_is_no_number_counts_as_unreadable(sent):
    assert read(REPORT | {"wspd": sent, "rawOb": None})[1] == 1


def test_the_reports_of_several_aerodromes_are_all_read():
    other = REPORT | {"icaoId": "EDXN", "name": None, "wgst": None, "rawOb": None}
    listing = parse(json.dumps([REPORT, other]).encode(), provenance(FETCHED), *HERE)

    assert [reading.station.name for reading in listing] == ["EDXM", "EDXN"]


def test_a_report_of_the_future_counts_as_unreadable():
    late = REPORT | {"obsTime": REPORT["obsTime"] + 7200, "rawOb": None}

    assert read(late) == ({}, 4)


FAR = {"icaoId": "EDXF", "lat": 54.5}  # 167 km north


@pytest.mark.parametrize("fault", [{"obsTime": None}, {"wspd": "x"}, {"wspd": 99}, {"wgst": -5}])
def test_what_can_not_be_read_counts_only_within_reach(fault):
    assert read(REPORT, REPORT | fault)[1] == 1
    assert read(REPORT, REPORT | fault | FAR)[1] == 0


def test_an_aerodrome_without_a_place_may_be_the_one_here():
    assert read(REPORT, REPORT | FAR | {"lat": None})[1] == 1


def test_an_aerodrome_out_of_reach_reports_nothing_for_this_place():
    assert read(REPORT | FAR) == ({}, 0)


@pytest.mark.parametrize(
    "sent", [{"wdir": "VRB", "wspd": 3}, {"wdir": 240, "wspd": 0}, {"wdir": None, "wspd": 3}]
)
def test_without_a_raw_text_a_calm_or_variable_wind_has_no_direction(sent):
    assert "wind_from_direction" not in values(REPORT | sent | {"rawOb": None})


@pytest.mark.parametrize(
    "epoch", ["1781092200", 10**10, 1781092200000, -5, 0, None, True, "x", 2**80]
)
def test_an_entry_without_a_time_in_seconds_is_not_read(epoch):
    body = json.dumps([REPORT, REPORT | {"obsTime": epoch}]).encode()

    assert parse(body, provenance(FETCHED), *HERE).unreadable == 1


def test_an_answer_as_long_as_the_service_sends_at_most_is_refused():
    with pytest.raises(DataError, match="400 reports, as many as it sends at most"):
        read(*[REPORT] * MOST)


@pytest.mark.parametrize("body", [body for body in NO_JSON.values() if body != b"[]"] + [HTML])
def test_what_is_no_list_of_reports_is_refused(body):
    with pytest.raises(DataError, match="a service"):
        parse(body, provenance(), *HERE)


@cases(300)
@given(any_bytes([REPORT, report("VRB03KT", wdir="VRB", wspd=3, wgst=None)]) | st.just(b"[]"))
def test_any_bytes_are_reports_or_refused(body):
    try:
        listing = parse(body, provenance(FETCHED), *HERE)
    except DataError:
        return
    for reading in listing:
        for seen in reading.observations:
            assert seen.value >= 0
            assert seen.distance is not None


# -- the box ------------------------------------------------------------------------------------

REACH = greatest_distance(["wind_speed", "air_temperature"])


@pytest.mark.parametrize(
    ("place", "boxes"),
    [
        ((59.9, 10.7), ["59,9,61,12"]),
        ((-17.6, 179.9), ["-18,179,-17,180", "-18,-180,-17,-179"]),  # Fiji
        ((52.9, -179.9), ["52,179,54,180", "52,-180,54,-179"]),
        ((89.9, 0.5), ["89,-4,90,5"]),
        ((-89.9, 0.5), ["-90,-4,-89,5"]),
        ((0.5, -178.9), ["0,-180,1,-178"]),  # it ends at the antimeridian
        ((0.5, 178.9), ["0,178,1,180"]),
    ],
)
def test_the_box_has_whole_degrees_and_holds_the_reach(place, boxes):
    assert [asked["bbox"] for asked in query(place[0], place[1], REACH)] == boxes


@given(st.floats(-84, 84), st.floats(-180, 180))
def test_launches_of_one_lake_share_a_box_that_is_not_too_large(latitude, longitude):
    for asked in query(latitude, longitude, REACH):
        south, west, north, east = map(float, asked["bbox"].split(","))
        assert -90 <= south < north <= 90
        assert -180 <= west < east <= 180
        assert north - south <= 3


# -- where an aerodrome may be -------------------------------------------------------------------


@pytest.mark.parametrize(
    "place", [(47.7, 9.4), (54.6, -6.4), (43.6, -79.4), (32.5, -117.0), (60.4, 5.3), (-36.8, 174.8)]
)
def test_near_cities_an_aerodrome_may_report(place):
    assert may_have_station("aviation_weather", *place)


@pytest.mark.parametrize("place", [(-49.7, -130.1), (72.0, -40.0), (0.0, -30.0)])
def test_far_from_land_none_does(place):
    assert not may_have_station("aviation_weather", *place)


def test_the_shipped_list_has_the_reporting_aerodromes_to_a_tenth_of_a_degree():
    listed = json.dumps(
        {
            "EDXM": {"latitude": 53.14, "longitude": 13.46, "reporting": True},
            "EDXO": {"latitude": -0.04, "longitude": 1.26, "reporting": True},
            "EDXN": {"latitude": 53.2, "longitude": 13.5, "reporting": False},
            "EDXP": {"latitude": 53.2, "longitude": 13.5, "reporting": None},
        }
    )

    assert aerodrome_places(listed) == [(0.0, 1.3), (53.1, 13.5)]

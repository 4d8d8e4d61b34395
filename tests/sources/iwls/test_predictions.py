"""Predictions of the Canadian Hydrographic Service: recordings, missing events, and fuzz."""

from __future__ import annotations

import json
from typing import Any

import numpy as np
import pytest
from hypothesis import given

from safety_check.errors import DataError
from safety_check.model.moving_water import CurrentEvent, CurrentKind, PredictionStation, TideEvent
from safety_check.sources.iwls.predictions import (
    Directions,
    parse_currents,
    parse_directions,
    parse_tides,
)
from safety_check.sources.iwls.stations import (
    CURRENT_EVENTS,
    HIGH_AND_LOW,
    nearest_with,
    parse_stations,
    query,
)
from safety_check.sources.stations import Station
from safety_check.units import KNOT
from tests.properties import cases
from tests.recordings import shared_folder
from tests.sources.spoiled import NO_JSON, any_bytes, at, provenance

STATION = PredictionStation("a1", "Invented Pass", 500.0)
TOWARDS = Directions(45.0, 225.0)
TIDES: list[Any] = [
    {"eventDate": "2026-10-05T03:25:00Z", "qcFlagCode": "1", "value": 3.3},
    {"eventDate": "2026-10-05T06:59:00Z", "qcFlagCode": "1", "value": 3.6},
    {"eventDate": "2026-10-05T14:39:00Z", "qcFlagCode": "1", "value": 1.2},
]
CURRENTS: list[Any] = [
    {"eventDate": "2026-07-22T00:16:00Z", "qualifier": "SLACK", "value": 0.0},
    {"eventDate": "2026-07-22T02:59:00Z", "qualifier": "EXTREMA_FLOOD", "value": 1.9},
    {"eventDate": "2026-07-22T05:31:00Z", "qualifier": "SLACK", "value": 0.0},
]


def recorded(name: str) -> bytes:
    return (shared_folder("recorded", "tides", "iwls") / name).read_bytes()


def body_of(rows: Any) -> bytes:
    return rows if isinstance(rows, bytes) else json.dumps(rows).encode()


def tides(rows: Any) -> Any:
    return parse_tides(body_of(rows), provenance(), STATION)


def currents(rows: Any) -> Any:
    return parse_currents(body_of(rows), provenance(), STATION, TOWARDS)


def test_recorded_tides_are_told_apart_by_their_neighbours():
    found = tides(recorded("07735_vancouver_wlp-hilo_20261005.json"))

    # the first event is lower than the next one, although it is 3.3 m high: a mixed tide
    assert found.events[0] == TideEvent(at("2026-10-05T03:25"), 3.341, high=False)
    assert found.events[1] == TideEvent(at("2026-10-05T06:59"), 3.609, high=True)
    assert found.events[2] == TideEvent(at("2026-10-05T14:39"), 1.158, high=False)
    assert [one.high for one in found.events[:6]] == [False, True, False, True, False, True]
    assert found.datum == "chart datum"


def test_recorded_current_events_have_their_kind_and_knots():
    found = currents(recorded("active-pass-events_20260722.json"))

    assert found.events[0] == CurrentEvent(at("2026-07-22T00:16"), CurrentKind.SLACK, 0.0)
    assert found.events[1] == CurrentEvent(at("2026-07-22T02:59"), CurrentKind.FLOOD, 1.919 * KNOT)
    assert found.events[3].kind == CurrentKind.EBB
    assert found.events[3].speed == pytest.approx(4.03 * KNOT)
    assert (found.flood_towards, found.ebb_towards, found.depth) == (45.0, 225.0, None)


def test_a_recorded_station_has_its_directions_and_series():
    body = recorded("active-pass-metadata_20260722.json")
    key = "63aef09f84e5432cd3b6c509"

    towards = parse_directions(body, provenance(), Station(key, "Active Pass", 48.86, -123.31))
    [station] = parse_stations(b"[" + body + b"]", provenance())

    assert towards == TOWARDS
    assert (station.station.name, station.station.label) == (key, "Active Pass")
    assert station.series == {"wcsp1", "wcdp1", "wcp1-events"}
    here = (48.86, -123.31)
    assert nearest_with([station], CURRENT_EVENTS, here, 5000.0) is not None
    assert nearest_with([station], HIGH_AND_LOW, here, 5000.0) is None


@pytest.mark.parametrize("series", ["wcsp1", "wcdp1"])
def test_a_recorded_series_is_not_taken_for_events(series):
    with pytest.raises(DataError, match="only 0 can be read"):
        currents(recorded(f"active-pass-{series}_20260722.json"))


@pytest.mark.parametrize(
    "rows",
    [
        [],
        TIDES[:1],
        [*TIDES, {"eventDate": "2026-10-05T22:20:00Z", "value": 1.0}],  # low after low
        [*TIDES, {"eventDate": "2026-10-05T22:20:00Z", "value": None}],
        [*TIDES, {"eventDate": "2026-10-05T22:20:00", "value": 4.0}],
        [*TIDES, TIDES[0]],
        [*TIDES, None],
    ],
)
def test_tides_with_a_missing_or_unreadable_event_are_refused(rows):
    with pytest.raises(DataError, match="not high and"):
        tides(rows)


@pytest.mark.parametrize(
    "row",
    [
        {"eventDate": "2026-07-22T09:00:00Z", "qualifier": "WEAK_AND_VARIABLE", "value": 0.1},
        {"eventDate": "2026-07-22T09:00:00Z", "qualifier": "EXTREMA_EBB", "value": -4},
        {"eventDate": "2026-07-22T09:00:00Z", "qualifier": "EXTREMA_EBB"},
        {"qualifier": "SLACK", "value": 0},
        CURRENTS[0],
    ],
)
def test_one_current_event_that_can_not_be_read_refuses_all(row):
    with pytest.raises(DataError, match="of 4 rows only 3"):
        currents([*CURRENTS, row])


@pytest.mark.parametrize(
    "said", [{"floodDirection": None}, {"ebbDirection": 400}, {"id": "another"}]
)
def test_directions_that_are_missing_or_of_another_station_are_refused(said):
    about = {"id": "a1", "floodDirection": 45, "ebbDirection": 225, **said}

    with pytest.raises(DataError, match="directions"):
        parse_directions(json.dumps(about).encode(), provenance(), Station("a1", "", 0.0, 0.0))


@pytest.mark.parametrize(
    ("flood", "ebb", "known"),
    [(0, 360, True), (360, 0, True), (0.5, 180, True), (-0.5, 180, False), (180, 360.5, False)],
)
def test_a_direction_is_one_of_the_compass(flood, ebb, known):
    about = json.dumps({"id": "a1", "floodDirection": flood, "ebbDirection": ebb}).encode()
    here = Station("a1", "", 0.0, 0.0)
    if known:
        assert parse_directions(about, provenance(), here) == Directions(flood, ebb)
    else:
        with pytest.raises(DataError, match="directions"):
            parse_directions(about, provenance(), here)


def test_two_equal_heights_are_not_told_apart():
    level = [*TIDES, {"eventDate": "2026-10-05T22:20:00Z", "value": 1.2}]

    with pytest.raises(DataError, match="its 4 rows are not high and low water by turns"):
        tides(level)
    first = [{"eventDate": "2026-10-04T22:20:00Z", "value": 3.3}, *TIDES]
    with pytest.raises(DataError, match="not high and"):
        tides(first)


def test_what_is_asked_encloses_the_hours():
    asked = query(HIGH_AND_LOW, np.array(["2026-06-01T12"], dtype="datetime64[s]"))

    assert asked == {
        "time-series-code": "wlp-hilo",
        "from": "2026-05-31T00:00:00Z",
        "to": "2026-06-02T23:59:59Z",
    }


@pytest.mark.parametrize("case", [case for case in NO_JSON if case != "a list"])
def test_what_is_no_answer_is_refused(case):
    for read in (tides, currents, lambda body: parse_stations(body, provenance())):
        with pytest.raises(DataError, match="a service"):
            read(NO_JSON[case])


@cases(150)
@given(any_bytes(TIDES) | any_bytes(CURRENTS))
def test_any_bytes_are_events_in_order_or_refused(body):
    for read in (tides, currents):
        try:
            found = read(body)
        except DataError:
            continue
        times = [one.time for one in found.events]
        assert times == sorted(set(times))


def series_station(key: str, north: float, code: str = HIGH_AND_LOW) -> dict[str, Any]:
    return {
        "id": key, "officialName": f"Station {key}", "latitude": north, "longitude": -123.0,
        "timeSeries": [{"code": code}, "x"],
    }  # fmt: skip


def test_the_nearest_station_with_the_series_counts_up_to_the_greatest_distance():
    rows = [
        series_station("far", 49.2),
        series_station("near", 49.1),
        series_station("other", 49.0, CURRENT_EVENTS),
    ]
    stations = parse_stations(body_of(rows), provenance())
    here = (49.0, -123.0)

    away, station = nearest_with(stations, HIGH_AND_LOW, here, 50_000.0) or (0.0, None)

    assert station is not None
    assert (station.name, station.label) == ("near", "Station near")
    assert away == pytest.approx(11_120, abs=5)  # a tenth of a degree of the meridian (WGS84)
    assert nearest_with(stations, HIGH_AND_LOW, here, away) is not None
    assert nearest_with(stations, HIGH_AND_LOW, here, away - 1e-6) is None


@pytest.mark.parametrize(
    "broken", [{"id": "a/b"}, {"id": 7}, {"timeSeries": None}, {"latitude": 91}]
)
def test_a_station_that_can_not_be_read_is_counted(broken):
    found = parse_stations(
        body_of([series_station("a", 49.0), series_station("b", 49.0) | broken]), provenance()
    )

    assert (len(found), found.unreadable) == (1, 1)


@pytest.mark.parametrize(("body", "start"), [(b"", "nothing"), (b"x" * 39 + b"yz", "x" * 39 + "y")])
def test_what_is_no_list_is_told_by_its_first_forty_bytes(body, start):
    with pytest.raises(DataError, match=f"it begins with '{start}'. The answer"):
        tides(body)

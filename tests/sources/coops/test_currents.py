"""Current predictions of NOAA CO-OPS: recordings, bins, units, and fuzz."""

from __future__ import annotations

import json
from typing import Any

import numpy as np
import pytest
from hypothesis import given

from safety_check.errors import DataError
from safety_check.model.moving_water import (
    CurrentEvent,
    CurrentKind,
    CurrentPrediction,
    PredictionStation,
)
from safety_check.sources.coops.currents import choose_bin, parse, parse_bins, query
from safety_check.units import FOOT, KNOT
from tests.properties import cases
from tests.recordings import shared_folder
from tests.sources.spoiled import NO_JSON, any_bytes, at, provenance

STATION = PredictionStation("INV0101", "Invented Narrows", 500.0)
HERE = (45.0, -90.0)


def event(**said: Any) -> dict[str, Any]:
    return {
        "Type": "slack", "meanFloodDir": 28, "meanEbbDir": 211, "Bin": "4",
        "Time": "2026-06-01 12:00", "Depth": "2", "Velocity_Major": 0, **said,
    }  # fmt: skip


EVENTS: dict[str, Any] = {
    "current_predictions": {
        "units": "meters, cm/s",
        "cp": [
            event(Velocity_Major=-0.01),
            event(Type="flood", Time="2026-06-01 15:00", Velocity_Major=58.8),
            event(Time="2026-06-01 18:10", Depth=None),
            event(Type="ebb", Time="2026-06-01 21:00", Velocity_Major=-91.0),
        ],
    }
}


def one_bin(
    station: str, number: int, depth: int | None, kind: str, north: float
) -> dict[str, Any]:
    return {
        "id": station, "name": f"Station {station}", "lat": 45.0 + north, "lng": -90.0,
        "type": kind, "currbin": number, "depth": depth,
    }  # fmt: skip


BINS: dict[str, Any] = {
    "stations": [
        one_bin("A", 3, 35, "H", 0.0),
        one_bin("A", 12, 6, "H", 0.0),
        one_bin("A", 8, 19, "H", 0.0),
        one_bin("W", 1, 2, "W", 0.0),
        one_bin("B", 1, None, "S", 0.03),
    ]
}


def recorded(name: str) -> dict[str, Any]:
    folder = shared_folder("recorded", "tides", "coops")
    found: dict[str, Any] = json.loads((folder / name).read_text("utf-8"))
    return found


def parsed(body: bytes | dict[str, Any], asked: str = "4") -> CurrentPrediction:
    text = body if isinstance(body, bytes) else json.dumps(body).encode()
    return parse(text, provenance(), STATION, asked)


def bins(body: dict[str, Any]) -> Any:
    return parse_bins(json.dumps(body).encode(), provenance())


def test_recorded_events_of_the_shallowest_bin():
    found = parsed(recorded("hudson_currents_MAX_SLACK_bin12_6ft_lst_ldt_20260901.json"), "12")

    assert (found.flood_towards, found.ebb_towards) == (26.0, 212.0)
    assert found.depth == pytest.approx(6 * FOOT)
    assert found.events[0] == CurrentEvent(at("2026-09-01T02:00"), CurrentKind.SLACK, 0.0)
    assert found.events[1] == CurrentEvent(at("2026-09-01T05:52"), CurrentKind.EBB, 3.2 * KNOT)
    assert found.events[2].speed == 0.0  # -0.01 in the answer: slack is what Type says
    assert found.events[3].kind == CurrentKind.FLOOD


def test_a_deeper_bin_is_weaker_and_earlier():
    found = parsed(recorded("hudson_currents_MAX_SLACK_bin8_19ft_lst_ldt_20260901.json"), "8")
    ebbs = [one for one in found.events if one.kind == CurrentKind.EBB]

    assert (found.flood_towards, found.ebb_towards) == (28.0, 211.0)
    assert max(one.speed for one in ebbs) == pytest.approx(2.47 * KNOT)
    assert at("2026-09-01T08:30") in [one.time for one in found.events]


def test_metric_answers_are_centimetres_a_second():
    found = parsed(EVENTS)

    assert [one.speed for one in found.events] == pytest.approx([0.0, 0.588, 0.0, 0.91])
    assert found.depth == 2.0


def test_the_nearest_station_with_a_prediction_and_its_shallowest_bin():
    away, chosen = choose_bin(bins(BINS), *HERE, 5000.0) or (np.nan, None)

    assert chosen is not None
    assert (away, chosen.station.name, chosen.number) == (0.0, "A", "12")
    assert choose_bin(bins(BINS), 46.0, -90.0, 5000.0) is None
    asked = query(chosen, np.array(["2026-06-01T12"], dtype="datetime64[s]"))
    assert (asked["bin"], asked["interval"], asked["units"]) == ("12", "MAX_SLACK", "metric")


def test_without_depths_the_first_bin_of_a_station_counts():
    rows = [{**row, "depth": None} for row in BINS["stations"]]

    _, chosen = choose_bin(bins({"stations": rows}), *HERE, 5000.0) or (0, None)

    assert chosen is not None
    assert chosen.number == "3"


@pytest.mark.parametrize("depth", [-1e308, -1, 1e308])
def test_a_bin_of_a_depth_that_no_sea_has_is_not_the_shallowest(depth):
    rows = [one_bin("A", 3, 35, "H", 0.0), {**one_bin("A", 8, 19, "H", 0.0), "depth": depth}]

    _, chosen = choose_bin(bins({"stations": rows}), *HERE, 5000.0) or (0, None)

    assert chosen is not None
    assert chosen.number == "3"


def test_a_station_of_weak_and_variable_current_predicts_nothing():
    weak = [row for row in BINS["stations"] if row["type"] == "W"]

    assert choose_bin(bins({"stations": weak}), *HERE, 5000.0) is None


def test_a_station_at_the_greatest_distance_counts():
    away, _ = choose_bin(bins(BINS), 45.01, -90.0, 5000.0) or (np.nan, None)

    assert choose_bin(bins(BINS), 45.01, -90.0, away) is not None
    assert choose_bin(bins(BINS), 45.01, -90.0, away - 1e-6) is None


@pytest.mark.parametrize("gone", ["id", "currbin", "lat", "lng"])
def test_a_bin_without_its_number_or_place_is_counted_as_unreadable(gone):
    spoiled = {**BINS["stations"][0], gone: None}

    found = bins({"stations": [*BINS["stations"][1:], spoiled, "x"]})

    assert (len(found), found.unreadable) == (4, 2)


@pytest.mark.parametrize(
    ("flood", "ebb", "known"),
    [(0, 360, True), (360, 0, True), (0.5, 180, True), (-1, 180, False), (0, 360.5, False)],
)
def test_a_direction_is_one_of_the_compass(flood, ebb, known):
    told = {"units": "meters, cm/s", "cp": [event(meanFloodDir=flood, meanEbbDir=ebb)]}
    if known:
        found = parsed({"current_predictions": told})
        assert (found.flood_towards, found.ebb_towards) == (flood, ebb)
    else:
        with pytest.raises(DataError, match="the directions"):
            parsed({"current_predictions": told})


def test_rows_that_disagree_on_a_direction_are_refused():
    rows = [event(), event(Time="2026-06-01 15:00", meanFloodDir=29)]

    with pytest.raises(DataError, match=r"the directions \(nan, 211\)"):
        parsed({"current_predictions": {"units": "meters, cm/s", "cp": rows}})


def test_a_depth_that_is_missing_is_unknown_and_feet_are_metres():
    def depth(units: str, said: object) -> float | None:
        told = {"units": units, "cp": [event(Depth=said)]}
        return parsed({"current_predictions": told}).depth

    assert depth("feet, knots", "10") == pytest.approx(3.048)
    assert depth("meters, cm/s", None) is None


@pytest.mark.parametrize(
    "changed",
    [
        {"units": "furlongs"},
        {"cp": []},
        {"cp": [*EVENTS["current_predictions"]["cp"], event(Type="turn", Time="2026-06-02 00:00")]},
        {"cp": [*EVENTS["current_predictions"]["cp"], event(Bin="3", Time="2026-06-02 00:00")]},
        {"cp": [*EVENTS["current_predictions"]["cp"], event()]},
        {"cp": [event(meanFloodDir=None)]},
        {"cp": [event(meanEbbDir=400)]},
        {"cp": [event(Type="ebb", Velocity_Major=9999)]},
        {"cp": [event(Type="ebb", Velocity_Major=None)]},
        {"cp": [event(Time="noon")]},
        {"cp": [None]},
    ],
)
def test_an_answer_with_anything_unreadable_is_refused(changed):
    with pytest.raises(DataError):
        parsed({"current_predictions": EVENTS["current_predictions"] | changed})


def test_the_words_of_an_error_are_quoted():
    with pytest.raises(DataError, match="not a valid station"):
        parsed(recorded("error_invalid_station_http200.json"))


@pytest.mark.parametrize("case", NO_JSON)
def test_what_is_no_answer_is_refused(case):
    for read in (lambda: parsed(NO_JSON[case]), lambda: parse_bins(NO_JSON[case], provenance())):
        with pytest.raises(DataError, match="a service"):
            read()


@cases(200)
@given(any_bytes(EVENTS))
def test_any_bytes_are_events_in_order_or_refused(body):
    try:
        found = parsed(body)
    except DataError:
        return
    times = [one.time for one in found.events]
    assert times == sorted(set(times))
    assert all(0 <= one.speed <= 12 for one in found.events)


@cases(100)
@given(any_bytes(BINS))
def test_any_bytes_are_bins_or_refused(body):
    try:
        found = parse_bins(body, provenance())
    except DataError:
        return
    assert len(found) + found.unreadable >= 1


def test_a_subordinate_station_predicts_too():
    found = {one.station.name: one.predicted for one in bins(BINS)}

    assert found == {"A": True, "W": False, "B": True}

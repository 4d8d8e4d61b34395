"""Tide predictions of NOAA CO-OPS: recordings, rows that can't be read, and fuzz."""

from __future__ import annotations

import json
from typing import Any

import numpy as np
import pytest
from hypothesis import given

from safety_check.errors import DataError
from safety_check.model.moving_water import PredictionStation, TideEvent, TidePrediction
from safety_check.sources.coops.tides import parse, query
from safety_check.units import FOOT
from tests.properties import cases
from tests.recordings import shared_folder
from tests.sources.spoiled import NO_JSON, any_bytes, at, provenance

STATION = PredictionStation("1", "Invented Pier", 500.0)
HILO: dict[str, Any] = {
    "predictions": [
        {"t": "2026-06-01 05:10", "v": "0.204", "type": "L"},
        {"t": "2026-06-01 11:28", "v": "1.65", "type": "H"},
        {"t": "2026-06-01 18:08", "v": "-0.1", "type": "L"},
    ]
}


def recorded(name: str) -> bytes:
    return (shared_folder("recorded", "tides", "coops") / name).read_bytes()


def parsed(body: bytes | dict[str, Any]) -> TidePrediction:
    text = body if isinstance(body, bytes) else json.dumps(body).encode()
    return parse(text, provenance(), STATION)


def test_recorded_events_of_san_francisco():
    found = parsed(recorded("9414290_predictions_hilo_MLLW_metric_gmt_20261005.json"))

    assert len(found.events) == 12
    assert found.events[0] == TideEvent(at("2026-10-05T01:32"), 1.721, high=True)
    assert found.events[1] == TideEvent(at("2026-10-05T08:42"), -0.027, high=False)
    assert found.events[-2].time < found.events[-1].time
    assert (found.datum, found.station) == ("MLLW", STATION)
    assert found.provenance.model == "Invented Pier"


def test_recorded_events_in_feet_are_numbers_as_they_came():
    # asked for in feet, local time, by somebody else: the answer names no unit, so that metres
    # are always requested
    found = parsed(recorded("hudson_predictions_hilo_feet_lst_ldt_20260901.json"))

    assert found.events[0].height == 0.204
    assert found.events[1].height * FOOT == pytest.approx(1.650, abs=5e-4)
    assert [event.high for event in found.events[:4]] == [False, True, False, True]


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("8665530_predictions_hourly_STND_20210101.json", "only 0 are high or low water"),
        ("8720030_predictions_hourly_STND_20210101.json", "only 0 are high or low water"),
        ("error_invalid_station_http200.json", "not a valid station"),
        ("error_no_data_water_level_9999531_http200.json", "No data was found"),
    ],
)
def test_a_recording_without_events_is_refused(name, words):
    with pytest.raises(DataError, match=words):
        parsed(recorded(name))


@pytest.mark.parametrize(
    "row",
    [
        None,
        {"t": "2026-06-02 01:00", "v": "1.0"},
        {"t": "2026-06-02 01:00", "v": "", "type": "H"},
        {"t": "2026-06-02 01:00", "v": "99", "type": "H"},
        {"t": "2026-06-02T01:00", "v": "1", "type": "H"},
        {"t": "2026-06-02 01:00", "v": "1", "type": "HH"},
        {"t": "2026-06-01 11:28", "v": "1.65", "type": "H"},
    ],
)
def test_one_row_that_can_not_be_read_is_enough_to_refuse_all(row):
    with pytest.raises(DataError, match="of 4 rows only 3"):
        parsed({"predictions": [*HILO["predictions"], row]})


def test_events_come_in_any_order():
    assert parsed({"predictions": HILO["predictions"][::-1]}).events == parsed(HILO).events


def test_what_is_asked_encloses_the_hours_in_metres_and_utc():
    hours = np.array(["2026-06-01T12", "2026-06-01T13"], dtype="datetime64[s]")

    asked = query("9414290", hours)

    assert (asked["begin_date"], asked["end_date"]) == ("20260531", "20260602")
    assert (asked["units"], asked["time_zone"], asked["datum"]) == ("metric", "gmt", "MLLW")
    assert asked["interval"] == "hilo"


@pytest.mark.parametrize("case", NO_JSON)
def test_what_is_no_answer_is_refused(case):
    with pytest.raises(DataError, match="a service"):
        parsed(NO_JSON[case])


@cases(200)
@given(any_bytes(HILO))
def test_any_bytes_are_events_in_order_or_refused(body):
    try:
        found = parsed(body)
    except DataError:
        return
    times = [event.time for event in found.events]
    assert times == sorted(set(times))
    assert all(abs(event.height) <= 30 for event in found.events)

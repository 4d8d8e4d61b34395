"""Tides computed from stored constants: a recorded station, the printed events, and refusals."""

from __future__ import annotations

import copy
import json
from datetime import timedelta
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import given

from safety_check.errors import DataError
from safety_check.model.moving_water import PredictionStation
from safety_check.sources.coops import tides
from safety_check.sources.coops.harmonics import StationConstants, parse, path, predict, query
from safety_check.units import FOOT
from tests.properties import cases
from tests.recordings import shared_folder
from tests.sources.spoiled import NO_JSON, any_bytes, provenance

STATION = PredictionStation("9414290", "San Francisco", 0.0)


def recorded(name: str) -> bytes:
    return (shared_folder("recorded", "tides", "coops") / name).read_bytes()


def described(**changed: Any) -> dict[str, Any]:
    station = {
        "id": "9414290",
        "datums": {"units": "meters", "datums": [{"name": "MSL", "value": 2.728},
                                                 {"name": "MLLW", "value": 1.777}]},
        "harmonicConstituents": {
            "units": "meters",
            "HarmonicConstituents": [
                {"name": "M2", "amplitude": 0.576, "phase_GMT": 208.2, "speed": 28.984104},
                {"name": "SSA", "amplitude": 0.0, "phase_GMT": 0.0, "speed": 0.0821373},
            ],
        },
    }  # fmt: skip
    return {"stations": [station | changed]}


def parsed(body: bytes | dict[str, Any], station: str = "9414290") -> StationConstants:
    return parse(body if isinstance(body, bytes) else json.dumps(body).encode(), provenance(),
                 station)  # fmt: skip


def test_a_recorded_station_in_feet():
    found = parsed(
        recorded("9447130_mdapi_expanded_harcon_datums_floodlevels_feet_20260421_cut.json"),
        "9447130",
    )

    assert found.mean == pytest.approx((14.58 - 7.94) * FOOT)
    assert found.harmonics[0].amplitude == pytest.approx(3.49 * FOOT)
    assert found.harmonics[0].phase == 10.8


def test_computed_events_are_those_that_the_service_printed():
    printed = tides.parse(
        recorded("9414290_predictions_hilo_MLLW_metric_gmt_20261005.json"), provenance(), STATION
    )
    constants = json.loads(recorded("9414290_constituents_metric.json"))["constituents"]
    told = {"units": "meters", "HarmonicConstituents": constants}
    hours = np.arange("2026-10-05T12", "2026-10-07T12", dtype="datetime64[h]")

    found = predict(
        parsed(described(harmonicConstituents=told)), STATION, hours.astype("datetime64[s]")
    )

    computed = {event.time.replace(second=0): event for event in found.events}
    for event in printed.events:
        near = min(computed, key=lambda time: abs(time - event.time))
        assert abs((near - event.time).total_seconds()) <= 60
        assert computed[near].high == event.high
        assert computed[near].height == pytest.approx(event.height, abs=0.002)
    assert not found.station.official
    assert "not official" in found.provenance.model


def test_a_high_water_with_two_tops_is_one_high_water():
    # cos(a) - 0.27 cos(2a) has its tops where cos(a) = 1/1.08, 46 minutes before and after a dip
    # of 3 mm; top 0.733, bottom -1.27 times the amplitude. Nodes change M2 and M4 by 4 and 8 %.
    rows = [
        {"name": "M2", "amplitude": 1.0, "phase_GMT": 0.0},
        {"name": "M4", "amplitude": 0.27, "phase_GMT": 180.0},
    ]
    told = parsed(described(harmonicConstituents={"units": "meters", "HarmonicConstituents": rows}))
    hours = np.arange("2026-10-05T12", "2026-10-07T12", dtype="datetime64[h]")

    events = predict(told, STATION, hours.astype("datetime64[s]")).events

    assert len(events) >= 10  # two highs and two lows a day, over three days
    for one, other in pairwise(events):
        assert one.high != other.high
        assert timedelta(hours=5) < other.time - one.time < timedelta(hours=7.5)
        for event in (one, other):
            assert event.height - told.mean == pytest.approx(
                0.733 if event.high else -1.27, abs=0.1
            )


@pytest.mark.parametrize(
    "changed",
    [
        {"id": "another"},
        {"datums": None},
        {"datums": {"units": "fathoms", "datums": described()["stations"][0]["datums"]["datums"]}},
        {"datums": {"units": "meters", "datums": [{"name": "MSL", "value": 1.0}]}},
        {"harmonicConstituents": {"units": "meters", "HarmonicConstituents": []}},
        {"harmonicConstituents": {"units": None, "HarmonicConstituents": [{}]}},
    ],
)
def test_a_station_without_usable_constants_is_refused(changed):
    with pytest.raises(DataError, match="can't be computed"):
        parsed(described(**changed))


@pytest.mark.parametrize(
    "said", [{"name": "X9"}, {"amplitude": None}, {"amplitude": -1}, {"phase_GMT": 999}]
)
def test_one_constant_that_can_not_be_read_refuses_all(said):
    body = copy.deepcopy(described())
    body["stations"][0]["harmonicConstituents"]["HarmonicConstituents"][1].update(said)

    with pytest.raises(DataError, match="can't be computed"):
        parsed(body)


@pytest.mark.parametrize("name", ["1612480", "9999531"])
def test_a_recorded_list_of_constants_alone_is_no_station(name):
    with pytest.raises(DataError):
        parsed(recorded(f"{name}_mdapi_harcon_feet_20240904.json"))


def test_what_is_asked_is_metric():
    assert query() == {"expand": "datums,harcon", "units": "metric"}
    assert path("9414290") == "/mdapi/prod/webapi/stations/9414290.json"


@pytest.mark.parametrize("case", NO_JSON)
def test_what_is_no_answer_is_refused(case):
    with pytest.raises(DataError, match="a service"):
        parsed(NO_JSON[case])


@cases(150)
@given(any_bytes(described()))
def test_any_bytes_are_constants_or_refused(body):
    try:
        found = parsed(body)
    except DataError:
        return
    assert np.isfinite(found.mean)


@pytest.mark.parametrize(
    ("said", "known"),
    [
        *(({"phase_GMT": 360}, True), ({"phase_GMT": 360.5}, False), ({"phase_GMT": -0.5}, False)),
        *(({"amplitude": 20}, True), ({"amplitude": 20.5}, False), ({"amplitude": 0}, True)),
    ],
)
def test_a_constant_has_a_phase_of_the_circle_and_a_height_that_a_tide_can_have(said, known):
    body = copy.deepcopy(described())
    body["stations"][0]["harmonicConstituents"]["HarmonicConstituents"][1].update(said)

    if known:
        assert parsed(body).mean == pytest.approx(2.728 - 1.777)
    else:
        with pytest.raises(DataError, match="can't be computed"):
            parsed(body)

"""Tide, current and rivers through the client: asked for moving water only, and never lost."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from safety_check.conditions.moving_water import choose_flow, current_at
from safety_check.model.moving_water import FloodCategory, MovingWater
from safety_check.model.weather import Briefing
from safety_check.sources.coverage import covers
from safety_check.sources.gather import gather_briefing
from safety_check.sources.http.asker import RetryPolicy
from safety_check.sources.registry import moving_adapters
from safety_check.units import FOOT
from tests.sources.fake_server import (
    Reply,
    cut_off,
    hanging,
    html_page,
    json_reply,
    slow,
    status,
    too_many,
)
from tests.sources.fakes import NOW, SAYS, Services, document, saying, tide_station
from tests.sources.gathering import PATIENT, question, settings, trip

STATIONS, DATA = "/mdapi/prod/webapi/stations.json", "/api/prod/datagetter"
BRISK = RetryPolicy(deadline=3.0, patience=1.0, first_pause=0.01)  # a busy machine answers in it
TIDAL = frozenset({"tide", "current"})
PIER = {
    "id": "1", "name": "Invented Pier", "lat": 44.91, "lng": -99.6,
    "type": "H", "currbin": 1, "depth": 2,
}  # fmt: skip


def event(kind: str, time: str, speed: float) -> dict[str, Any]:
    return {
        "Type": kind, "meanFloodDir": 30, "meanEbbDir": 200, "Bin": "1", "Depth": "2",
        "Time": f"2026-06-{time}", "Velocity_Major": speed,
    }  # fmt: skip


PREDICTED: dict[str, Any] = tide_station(False) | {
    "predictions": [
        {"t": "2026-06-13 06:00", "v": "0.2", "type": "L"},
        {"t": "2026-06-13 12:10", "v": "1.6", "type": "H"},
        {"t": "2026-06-13 18:20", "v": "0.3", "type": "L"},
        {"t": "2026-06-14 00:30", "v": "1.5", "type": "H"},
    ],
    "current_predictions": {
        "units": "meters, cm/s",
        "cp": [
            event("slack", "13 12:00", 0),
            event("ebb", "13 15:00", -80.0),
            event("slack", "13 18:00", 0.01),
            event("flood", "13 21:00", 60.0),
        ],
    },
}


FAR_PASS = {
    "id": "a1", "officialName": "Far Pass", "latitude": 60.0, "longitude": -110.0,
    "timeSeries": [{"code": "wcp1-events"}, {"code": "wlp-hilo"}],
}  # fmt: skip


def with_current(told: Any) -> Any:
    """Add the sea model's current, half a metre a second to the north."""
    count = len(told["hourly"]["time"])
    columns = {"ocean_current_velocity": [1.8] * count, "ocean_current_direction": [0] * count}
    units = {"ocean_current_velocity": "km/h", "ocean_current_direction": "°"}
    return told | {
        "hourly": told["hourly"] | columns,
        "hourly_units": told["hourly_units"] | units,
    }


@pytest.fixture
def services():
    with Services() as fakes:
        for path, told in RIVER_REPLIES.items():
            fakes.server.serve(path, json_reply(told))
        fakes.server.serve(STATIONS, json_reply({"stations": [PIER]}))
        fakes.server.serve(DATA, json_reply(PREDICTED))
        sea = SAYS["open_meteo_marine"](False)["/v1/marine"]
        fakes.server.serve("/v1/marine", saying(sea, with_current(document(sea))))
        fakes.server.serve("/api/v1/stations", json_reply([FAR_PASS]))
        yield fakes


def gathered(
    services: Services, folder: Path, kinds: frozenset[str] = TIDAL, policy: Any = PATIENT
) -> Briefing:
    own = settings({**services.addresses(), **others(services)}, folder)
    return gather_briefing(replace(question(trip(), own), moving=kinds), own, policy)


def others(services: Services) -> dict[str, str]:
    """Where the services are that no check of still water asks."""
    return {name: services.server.url for name in ("nwps", "iwls", "kartverket")}


RIVER = frozenset({"river"})
LATEST = "/ogcapi/v0/collections/latest-continuous/items"
CONTINUOUS = "/ogcapi/v0/collections/continuous/items"
NORMALS, GAUGE = "/statistics/v0/observationNormals", "/nwps/v1/gauges/01"


def level(parameter: str, value: str, unit: str, time: str) -> dict[str, Any]:
    properties = {
        "monitoring_location_id": "USGS-01", "parameter_code": parameter, "value": value,
        "unit_of_measure": unit, "time": f"2026-06-13T{time}:00+00:00", "time_series_id": parameter,
    }  # fmt: skip
    return {"geometry": {"coordinates": [-99.6, 44.91]}, "properties": properties}


RIVER_REPLIES: dict[str, dict[str, Any]] = {
    LATEST: {
        "features": [
            level("00065", "12.0", "ft", "13:45"), level("00060", "900", "ft^3/s", "13:45"),
        ]
    },
    CONTINUOUS: {
        "features": [
            level("00065", "10.0", "ft", "09:45"), level("00065", "12.0", "ft", "13:45"),
        ]
    },
    NORMALS: {
        "features": [
            {
                "properties": {
                    "monitoring_location_id": "USGS-01",
                    "data": [
                        {
                            "parameter_code": "00060",
                            "unit_of_measure": "ft^3/s",
                            "values": [
                                {
                                    "computation": "percentile",
                                    "percentiles": ["50", "90", "95"],
                                    "values": ["200", "600", "800"],
                                    "sample_count": 40,
                                    "time_of_year": "06-13",
                                }
                            ],
                        }
                    ],
                }
            }
        ]
    },
    GAUGE: {
        "lid": "INVT2",
        "status": {
            "observed": {
                "primary": 12.0, "floodCategory": "action", "validTime": "2026-06-13T13:45:00Z",
            },
            "forecast": {
                "primary": 16.0, "floodCategory": "minor", "validTime": "2026-06-14T06:00:00Z",
            },
        },
        "flood": {
            "stageUnits": "ft", "flowUnits": "cfs",
            "categories": {"action": {"stage": 11, "flow": -9999},
                           "minor": {"stage": 15, "flow": -9999}},
        },
    },
}  # fmt: skip


def known(told: Briefing) -> bool:
    """Whether the current at the trip's first hour is known."""
    flow = choose_flow(told.moving) if told.moving else None
    hour = np.array(["2026-06-13T15"], dtype="datetime64[s]")
    return flow is not None and bool(np.isfinite(current_at(flow.current, hour)).all())


def test_still_water_asks_no_service_of_moving_water(services, tmp_path):
    told = gathered(services, tmp_path, frozenset())

    assert told.moving is None
    assert moving_adapters(frozenset()) == {}
    assert not any("predictions" in request.query.get("product", "") for request in
                   services.server.asked)  # fmt: skip


def test_tidal_water_gets_tide_and_current_of_the_nearest_station(services, tmp_path):
    told = gathered(services, tmp_path)

    assert told.moving is not None
    assert told.moving.tidal
    [tide], [current] = told.moving.tides, told.moving.currents
    assert tide.events[1].height == 1.6
    assert current.station.label == "Invented Pier"
    assert current.station.distance == pytest.approx(1111, abs=5)  # 0.01° of latitude
    assert known(told)
    assert not any(failure.applies for failure in told.silences)


FAULTS: dict[str, Callable[[Reply], Reply]] = {
    "slow": lambda reply: slow(reply, 5.0),
    "hanging half-way": hanging,
    "truncated": cut_off,
    "429": lambda reply: too_many(60),
    "HTML": lambda reply: html_page(200),
    "404": lambda reply: status(404),
    "500": lambda reply: status(500),
    "null": lambda reply: saying(reply, b"null"),
    "empty": lambda reply: saying(reply, {}),
    "an error of its own": lambda reply: saying(reply, {"error": {"message": "down"}}),
}


@pytest.mark.one_in(8)
@pytest.mark.promise("moving water must be known")
@pytest.mark.parametrize("fault", FAULTS)
@pytest.mark.parametrize("path", [STATIONS, DATA])
def test_a_fault_leaves_the_current_unknown_and_is_told(services, path, fault, tmp_path):
    reply = json_reply({"stations": [PIER]} if path == STATIONS else PREDICTED)
    services.server.serve(path, FAULTS[fault](reply))

    told = gathered(services, tmp_path, policy=BRISK)

    assert told.moving is not None
    assert told.moving.tidal
    assert not known(told)
    titles = {failure.source for failure in told.silences if failure.applies}
    assert {"NOAA CO-OPS, tide predictions", "NOAA CO-OPS, current predictions"} <= titles


def test_no_station_near_is_said_and_leaves_the_current_unknown(services, tmp_path):
    services.server.serve(STATIONS, json_reply({"stations": [PIER | {"lat": 44.0}]}))

    told = gathered(services, tmp_path)

    assert not known(told)
    reasons = [failure.reason for failure in told.silences if "predictions" in failure.source]
    assert len(reasons) == 4  # of two countries, tide and current
    assert all("No station within" in reason for reason in reasons)


def test_a_station_that_can_not_be_read_may_be_the_nearest(services, tmp_path):
    services.server.serve(STATIONS, json_reply({"stations": [PIER, {"id": "2"}]}))

    told = gathered(services, tmp_path)

    assert known(told)
    notes = [failure for failure in told.silences if "can't be read" in failure.reason]
    assert {failure.source for failure in notes if failure.applies} >= {
        "NOAA CO-OPS, current predictions"
    }


def test_a_saved_prediction_still_holds_when_the_service_fails(services, tmp_path):
    gathered(services, tmp_path)
    services.server.serve(DATA, status(500))

    assert known(gathered(services, tmp_path))


def test_without_an_answer_the_tide_is_computed_from_stored_constants(services, tmp_path):
    constants = {
        "id": "1",
        "datums": {"units": "meters", "datums": [{"name": "MSL", "value": 1.0},
                                                 {"name": "MLLW", "value": 0.2}]},
        "harmonicConstituents": {
            "units": "meters",
            "HarmonicConstituents": [{"name": "M2", "amplitude": 0.6, "phase_GMT": 10.0}],
        },
    }  # fmt: skip
    services.server.serve(
        "/mdapi/prod/webapi/stations/1.json", json_reply({"stations": [constants]})
    )
    before = gathered(services, tmp_path).moving
    assert before is not None
    assert before.tides[0].station.official
    for path in (STATIONS, DATA, "/mdapi/prod/webapi/stations/1.json"):
        services.server.serve(path, status(500))
    later = NOW + timedelta(days=20)  # beyond the span of the stored prediction

    own = settings({**services.addresses(), **others(services)}, tmp_path)
    asked = replace(question(trip(now=later), own, later), moving=TIDAL)
    told = gather_briefing(asked, own, PATIENT)

    assert told.moving is not None
    [tide] = told.moving.tides
    assert not tide.station.official
    assert {round(event.height, 1) for event in tide.events} <= {0.2, 1.4}  # 0.8 +- 0.6
    notes = [failure for failure in told.silences if "not official" in failure.reason]
    assert [failure.applies for failure in notes] == [False]


def test_a_sea_model_is_a_hint_only_where_no_station_predicts(services, tmp_path):
    first = choose_flow(gathered(services, tmp_path).moving or MovingWater())
    services.server.serve(STATIONS, json_reply({"stations": [PIER | {"lat": 44.0}]}))
    second = choose_flow(gathered(services, tmp_path / "anew").moving or MovingWater())

    assert first is not None
    assert first.hint is None
    assert second is not None
    assert second.hint is not None
    assert second.hint.north[0] == pytest.approx(0.5)
    assert np.isnan(current_at(second.current, second.hint.time)).all()


def test_a_lost_hint_is_told_only_where_it_would_be_used(services, tmp_path):
    services.server.serve("/v1/marine", status(500))
    with_station = gathered(services, tmp_path)
    services.server.serve(STATIONS, json_reply({"stations": [PIER | {"lat": 44.0}]}))
    without = gathered(services, tmp_path / "anew")

    told = [
        [failure.applies for failure in said.silences if failure.source.endswith("sea currents")]
        for said in (with_station, without)
    ]
    assert told == [[False], [True]]


def test_in_canada_and_norway_their_services_are_asked():
    tides = moving_adapters(frozenset({"tide"}))

    assert {
        name for sources in tides.values() for name in sources if covers(name, 49.3, -123.1)
    } == {"coops_tides", "iwls_tides"}
    assert {name for sources in tides.values() for name in sources if covers(name, 59.9, 10.7)} == {
        "kartverket"
    }


# -- rivers ------------------------------------------------------------------------------------


def test_a_river_has_its_level_rise_rank_and_category(services, tmp_path):
    told = gathered(services, tmp_path, RIVER)

    assert told.moving is not None
    assert not told.moving.tidal
    [river] = told.moving.rivers
    assert river.stage == pytest.approx(12 * FOOT)
    assert river.discharge == pytest.approx(900 * FOOT**3)
    assert river.rise == pytest.approx(2 * FOOT / (4 * 3600))
    assert (river.percentile, river.years) == ((0.95, 1.0), 40)
    assert (river.category, river.forecast_category) == (FloodCategory.ACTION, FloodCategory.MINOR)
    assert not any(failure.applies for failure in told.silences)


@pytest.mark.one_in(8)
@pytest.mark.parametrize("fault", FAULTS)
@pytest.mark.parametrize("path", [CONTINUOUS, NORMALS, GAUGE])
def test_a_part_of_a_river_that_fails_is_unknown_and_is_told(services, path, fault, tmp_path):
    services.server.serve(path, FAULTS[fault](json_reply(RIVER_REPLIES[path])))

    told = gathered(services, tmp_path, RIVER, BRISK)

    assert told.moving is not None
    [river] = told.moving.rivers
    lost = {
        CONTINUOUS: np.isnan(river.rise),
        NORMALS: (river.percentile, river.years) == (None, 0),
        GAUGE: river.category == river.forecast_category == FloodCategory.UNKNOWN,
    }
    assert lost[path]
    gone = path == GAUGE and fault == "404"  # the service does not know this gauge
    assert gone or any(failure.applies for failure in told.silences)


@pytest.mark.one_in(6)
@pytest.mark.parametrize("fault", FAULTS)
def test_a_river_without_its_level_is_unknown(services, fault, tmp_path):
    services.server.serve(LATEST, FAULTS[fault](json_reply(RIVER_REPLIES[LATEST])))

    told = gathered(services, tmp_path, RIVER, BRISK)

    assert told.moving is None
    assert any(failure.applies for failure in told.silences)


def test_an_old_level_is_none(services, tmp_path):
    old = {"features": [level("00065", "12.0", "ft", "01:45")]}
    services.server.serve(LATEST, json_reply(old))

    told = gathered(services, tmp_path, RIVER)

    assert told.moving is None
    assert any("No station within" in failure.reason for failure in told.silences)

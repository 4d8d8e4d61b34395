"""Flood categories: recordings, sentinels, mixed units, and what is never safe."""

from __future__ import annotations

import copy
import json
from typing import Any

import pytest
from hypothesis import given

from safety_check.errors import DataError
from safety_check.model.moving_water import FloodCategory, RiverStages
from safety_check.sources.nwps.gauge import GaugeFlood, parse, path
from safety_check.units import FOOT
from tests.properties import cases
from tests.recordings import shared_folder
from tests.sources.spoiled import NO_JSON, any_bytes, provenance

FETCHED = "2026-09-26T01:00:00+00:00"
GAUGE: dict[str, Any] = {
    "lid": "INVT2",
    "status": {
        "observed": {
            "primary": 13.04, "primaryUnit": "ft", "secondary": 0.234, "secondaryUnit": "kcfs",
            "floodCategory": "no_flooding", "validTime": "2026-09-25T23:50:00Z",
        },
        "forecast": {
            "primary": 26.0, "primaryUnit": "ft", "secondary": 4.0, "secondaryUnit": "kcfs",
            "floodCategory": "action", "validTime": "2026-09-29T09:00:00Z",
        },
    },
    "flood": {
        "stageUnits": "ft", "flowUnits": "cfs",
        "categories": {
            "major": {"stage": 42, "flow": -9999}, "moderate": {"stage": 38, "flow": 16586},
            "minor": {"stage": 33, "flow": 9000}, "action": {"stage": 25, "flow": 5000},
        },
    },
}  # fmt: skip


def parsed(body: bytes | dict[str, Any], fetched: str = FETCHED) -> GaugeFlood:
    text = body if isinstance(body, bytes) else json.dumps(body).encode()
    return parse(text, provenance(fetched))


def changed(part: str, **said: Any) -> dict[str, Any]:
    gauge = copy.deepcopy(GAUGE)
    gauge["status"][part].update(said)
    return gauge


def recorded(name: str) -> bytes:
    return (shared_folder("recorded", "tides", "nwps") / name).read_bytes()


def test_a_recorded_gauge_without_flow_thresholds():
    found = parsed(recorded("gauge_ACRT2_20260925_cut.json"))

    assert found.category == FloodCategory.NONE
    assert found.forecast == FloodCategory.NONE
    assert found.stages == RiverStages(25 * FOOT, 33 * FOOT, 38 * FOOT, 42 * FOOT)
    assert found.flows == RiverStages()  # -9999 is no threshold


def test_a_recorded_gauge_without_a_forecast():
    found = parsed(recorded("gauge_FIHM1_01013500_20240328_cut.json"), "2024-03-28T12:00:00+00:00")

    assert found.category == FloodCategory.NONE
    assert found.forecast == FloodCategory.UNKNOWN  # fcst_not_current, year 1, -999
    assert found.stages == RiverStages(moderate=12 * FOOT, major=13 * FOOT)
    assert found.flows.moderate == pytest.approx(16586 * FOOT**3)


def test_a_recorded_category_is_not_known_a_day_later():
    found = parsed(recorded("gauge_ACRT2_20260925_cut.json"), "2026-09-27T01:00:00+00:00")

    assert found.category == FloodCategory.UNKNOWN
    assert found.forecast == FloodCategory.NONE  # a forecast for the 29th


@pytest.mark.parametrize(
    "said",
    [
        {"floodCategory": word}
        for word in ("obs_not_current", "not_defined", "out_of_service", "", None, 7, "NONE")
    ]
    + [
        {"validTime": "0001-01-01T00:00:00Z"},
        {"validTime": None},
        {"validTime": "2026-09-26T03:00:00Z"},
        {"primary": -999, "secondary": -999},
        {"primary": None, "secondary": "n/a"},
    ],
)
def test_what_is_not_defined_or_not_current_is_never_safe(said):
    assert parsed(changed("observed", **said)).category == FloodCategory.UNKNOWN


@pytest.mark.parametrize(
    ("made", "observed", "forecast"),
    [
        # received at 01:00 on the 26th; a reading counts for six hours, a clock may be 15 min ahead
        ("2026-09-25T19:00:00Z", True, True),
        ("2026-09-25T18:59:59Z", False, False),
        ("2026-09-26T01:15:00Z", True, True),
        ("2026-09-26T01:15:01Z", False, True),
        ("2026-09-26T06:59:00Z", False, True),
    ],
)
def test_a_category_counts_for_six_hours_and_a_forecast_also_ahead(made, observed, forecast):
    now = parsed(changed("observed", validTime=made)).category
    ahead = parsed(changed("forecast", validTime=made)).forecast
    assert now == (FloodCategory.NONE if observed else FloodCategory.UNKNOWN)
    assert ahead == (FloodCategory.ACTION if forecast else FloodCategory.UNKNOWN)


def test_one_of_two_quantities_is_enough_for_a_category():
    for said in ({"primary": -999}, {"secondary": None}):
        assert parsed(changed("observed", **said)).category == FloodCategory.NONE


def test_thresholds_of_equal_height_are_known():
    level = copy.deepcopy(GAUGE)
    level["flood"]["categories"]["minor"]["stage"] = 25
    level["flood"]["stageUnits"] = "m"

    assert parsed(level).stages == RiverStages(25.0, 25.0, 38.0, 42.0)


@pytest.mark.parametrize("word", ["action", "minor", "moderate", "major"])
def test_a_flood_is_one(word):
    assert parsed(changed("observed", floodCategory=word)).category == FloodCategory(word)


def test_thresholds_count_in_their_own_unit():
    thousands = GAUGE | {"flood": GAUGE["flood"] | {"flowUnits": "kcfs"}}
    unknown = GAUGE | {"flood": GAUGE["flood"] | {"flowUnits": "buckets"}}

    assert parsed(thousands).flows.minor == pytest.approx(9e6 * FOOT**3)
    assert parsed(unknown).flows == RiverStages()


def test_thresholds_that_do_not_ascend_are_none():
    mixed = copy.deepcopy(GAUGE)
    mixed["flood"]["categories"]["minor"]["stage"] = 12

    assert parsed(mixed).stages == RiverStages()


def test_a_threshold_that_no_river_reaches_is_not_known():
    # 1e308 ft would mean that no flood is ever a moderate one.
    absurd = copy.deepcopy(GAUGE)
    absurd["flood"]["categories"]["moderate"] |= {"stage": 1e308, "flow": 1e308}

    assert parsed(absurd).stages.moderate is None
    assert parsed(absurd).flows.moderate is None
    assert parsed(absurd).stages.minor == parsed(GAUGE).stages.minor


def test_a_gauge_is_asked_for_by_its_number():
    assert path("USGS-01013500") == "/nwps/v1/gauges/01013500"


@pytest.mark.parametrize("case", NO_JSON)
def test_what_is_no_answer_is_refused(case):
    with pytest.raises(DataError, match="a service"):
        parsed(NO_JSON[case])


@cases(200)
@given(any_bytes(GAUGE))
def test_any_bytes_are_categories_or_refused(body):
    try:
        found = parsed(body)
    except DataError:
        return
    assert isinstance(found.category, FloodCategory)


@pytest.mark.parametrize(
    ("unit", "factor"), [("cfs", FOOT**3), ("kcfs", 1000 * FOOT**3), ("cms", 1.0)]
)
def test_each_unit_of_discharge_is_in_cubic_metres_a_second(unit, factor):
    gauge = GAUGE | {"flood": GAUGE["flood"] | {"flowUnits": unit}}

    assert parsed(gauge).flows.action == pytest.approx(5000 * factor)
    assert parsed(gauge).flows.major is None

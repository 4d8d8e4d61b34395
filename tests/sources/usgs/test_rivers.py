"""Rivers: recorded levels and percentiles, the rise, the rank for the day, and the categories."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.errors import DataError
from safety_check.model.moving_water import FloodCategory, RiverStages
from safety_check.sources.stations import Station, load_reaches
from safety_check.sources.usgs import statistics
from safety_check.sources.usgs.gauges import parse_page
from safety_check.sources.usgs.readings import Reading
from safety_check.sources.usgs.rivers import (
    FLOW,
    QUANTITY,
    STAGE,
    Level,
    category_of,
    level_of,
    levels_of,
    nearest_river,
    parse_trend,
    query,
    query_trend,
    rise_of,
    worst,
)
from safety_check.sources.usgs.statistics import DayPercentiles
from safety_check.units import FOOT
from tests.properties import cases
from tests.recordings import shared_folder
from tests.sources import gathering
from tests.sources.spoiled import NO_JSON, any_bytes, provenance

SITE, DAY = "USGS-12451000", date(2026, 1, 1)
NOON = datetime(2026, 6, 1, 12, tzinfo=UTC)


def recorded(name: str) -> bytes:
    return (shared_folder("recorded", "tides", "usgs") / name).read_bytes()


def ranks(body: bytes | dict[str, Any]) -> DayPercentiles:
    text = body if isinstance(body, bytes) else json.dumps(body).encode()
    return statistics.parse(text, provenance(), SITE, DAY)


# -- levels ------------------------------------------------------------------------------------


def test_recorded_stage_and_discharge_of_one_gauge():
    page = parse_page(
        recorded("ogc_latest-continuous_stage_discharge_20260807.json"),
        provenance("2026-08-07T19:00:00+00:00"),
    )

    found = levels_of([page], page.places)

    assert found.unreadable == 0
    assert {station.name for station, _ in found} == {"USGS-06904500"}
    values = {level.parameter: level.value for _, level in found}
    assert values[STAGE] == pytest.approx(1.59 * FOOT)
    assert values[FLOW] == pytest.approx(535 * FOOT**3)
    assert found[0][1].time == datetime(2026, 8, 7, 18, 45, tzinfo=UTC)


def value(said: Any, unit: str = "ft", parameter: str = STAGE, **more: Any) -> dict[str, Any]:
    properties = {
        "monitoring_location_id": "USGS-1", "parameter_code": parameter, "value": said,
        "unit_of_measure": unit, "time": "2026-06-01T11:45:00+00:00", "time_series_id": "a", **more,
    }  # fmt: skip
    return {
        "geometry": {"type": "Point", "coordinates": [-90.0, 45.0]},
        "properties": properties,
    }


@pytest.mark.parametrize(
    ("one", "unreadable"),
    [
        (value("2.1", "furlong"), 1),
        (value("2.1", time="2026-06-02T11:45:00+00:00"), 1),
        (value("1e9"), 1),
        (value("-999999"), 0),
        (value("2.1", qualifier=["ICE"]), 0),
    ],
)
def test_a_value_that_can_not_be_used_is_counted_unless_the_service_says_so(one, unreadable):
    page = parse_page(json.dumps({"features": [one, value("3.0")]}).encode(), provenance())

    found = levels_of([page], page.places)

    assert len(found) == 1
    assert found.unreadable == unreadable


def test_what_is_asked_names_both_parameters_and_the_span():
    assert query(45.0, -90.0, 15_000.0)["parameter_code"] == "00060,00065"
    asked = query_trend(SITE, NOON.replace(minute=50))
    assert asked["time"] == "2026-06-01T06:45:00Z/2026-06-01T12:45:00Z"


# -- the rise ----------------------------------------------------------------------------------


def stages(*values: tuple[float, float]) -> list[Level]:
    return [Level(STAGE, metres, NOON + timedelta(hours=hour)) for hour, metres in values]


def test_the_rise_counts_from_the_lowest_of_the_last_hours():
    falling_then_rising = stages((0, 1.0), (2, 0.4), (4, 1.0))

    assert rise_of(falling_then_rising) == pytest.approx(0.6 / 7200)
    assert rise_of(stages((0, 1.0), (4, 0.6))) == pytest.approx(-0.4 / 14400)


def test_too_short_a_time_tells_no_rise():
    assert rise_of(stages((0, 1.0), (4, 1.006))) == 0.0  # two steps of the gauge
    assert rise_of(stages((0, 1.0), (4, 1.0092))) > 0
    assert math.isnan(rise_of([]))
    assert math.isnan(rise_of(stages((0, 1.0))))
    assert math.isnan(rise_of(stages((0, 1.0), (0.5, 2.0))))
    assert math.isnan(rise_of([Level(FLOW, 1.0, NOON), Level(FLOW, 2.0, NOON)]))


def test_a_rise_needs_an_hour_and_counts_from_the_first_value_where_the_newest_is_the_lowest():
    assert rise_of(stages((0, 1.0), (1, 1.36))) == pytest.approx(1e-4)  # 0.36 m in 3600 s
    assert rise_of(stages((0, 1.0), (2, 0.5), (4, 0.5))) == pytest.approx(-0.5 / 14400)
    assert rise_of(stages((4, 0.6), (0, 1.0))) == pytest.approx(-0.4 / 14400)  # in any order


@pytest.mark.parametrize(
    ("minute", "end"), [(0, "12:00"), (14, "12:00"), (15, "12:15"), (44, "12:30"), (59, "12:45")]
)
def test_the_trend_ends_at_the_quarter_hour_in_utc(minute, end):
    moment = NOON.replace(minute=minute, second=59, microsecond=1)
    here = moment.astimezone(timezone(timedelta(hours=-5)))

    begin = f"06{end[2:]}"
    assert query_trend(SITE, here)["time"] == f"2026-06-01T{begin}:00Z/2026-06-01T{end}:00Z"


@pytest.mark.parametrize(
    ("changed", "used"),
    [
        ({}, True),
        ({"unit": "m", "value": 0.64008}, True),
        ({"time": NOON + timedelta(minutes=15)}, True),
        ({"time": NOON + timedelta(minutes=15, seconds=1)}, False),
        ({"time": None}, False),
        ({"given": False}, False),
        ({"value": math.nan}, False),
        ({"unit": "ft3/s"}, False),
        ({"parameter": "00010"}, False),
        ({"qualifiers": ("A", "P")}, True),
        ({"qualifiers": ("P", "e")}, False),
    ],
)
def test_a_level_has_a_known_unit_a_time_that_has_come_and_no_remark(changed, used):
    reading = Reading("USGS-1", "a", "", STAGE, 2.1, "ft", True, NOON, ("P",))

    found = level_of(replace(reading, **changed), NOON)

    assert (found is not None) == used
    if found is not None:
        assert found.value == pytest.approx(2.1 * FOOT)


def test_a_trend_is_read_from_the_values_of_the_hours():
    rows = [value(str(1 + hour), time=f"2026-06-01T{6 + hour:02}:00:00Z") for hour in range(4)]

    rise = parse_trend(json.dumps({"features": rows}).encode(), provenance())

    assert rise == pytest.approx(3 * FOOT / 10_800)


@given(st.lists(st.tuples(st.floats(0, 6), st.floats(0, 5)), min_size=2), st.floats(0.01, 2))
def test_a_higher_newest_stage_never_rises_less(values, more):
    levels = stages(*values)
    newest = max(levels, key=lambda level: level.time)
    higher = [replace(one, value=one.value + more) if one is newest else one for one in levels]

    before, after = rise_of(levels), rise_of(higher)

    assert math.isnan(before) or after >= before - 1e-12


# -- the rank for the day ----------------------------------------------------------------------


def test_recorded_percentiles_of_the_first_of_january():
    found = ranks(recorded("statistics_observationNormals.json"))

    assert found.years == 104
    assert [share for share, _ in found.steps] == [0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95]
    assert found.steps[0][1] == pytest.approx(150.75 * FOOT**3)
    assert found.steps[-1][1] == pytest.approx(1092.5 * FOOT**3)
    assert found.between(700 * FOOT**3) == (0.9, 0.95)
    assert found.between(2000 * FOOT**3) == (0.95, 1.0)
    assert found.between(100 * FOOT**3) == (0.0, 0.05)
    assert found.between(math.nan) is None


def test_a_recorded_table_of_the_older_service_is_refused():
    with pytest.raises(DataError, match="not JSON"):
        ranks(recorded("stat_daily_01645000_00060_rdb_20200306_cut.txt"))


def normals(**changed: Any) -> dict[str, Any]:
    percentiles = {
        "computation": "percentile", "percentiles": ["50", "90"], "values": ["10", "20"],
        "sample_count": 12, "time_of_year": "01-01", "time_of_year_type": "day_of_year", **changed,
    }  # fmt: skip
    series = {"parameter_code": FLOW, "unit_of_measure": "ft^3/s", "values": [percentiles]}
    return {
        "features": [{"properties": {"monitoring_location_id": SITE, "data": [series]}}],
        "next": None,
    }


def test_percentiles_of_few_years_may_have_gaps():
    found = ranks(normals(percentiles=["50", "90"], values=["nan", "20"]))

    [(share, flow)] = found.steps
    assert (share, flow) == pytest.approx((0.9, 20 * FOOT**3))


@pytest.mark.parametrize(
    "said",
    [
        {"values": ["20", "10"]},
        {"values": ["10"]},
        {"values": None},
        {"sample_count": None},
        {"sample_count": 0},
        {"time_of_year": "01-02"},
        {"computation": "median"},
        {"percentiles": ["90", "50"], "values": ["10", "20"]},
        {"percentiles": ["90", "50"], "values": ["20", "10"]},
    ],
)
def test_percentiles_that_are_not_those_of_the_day_are_refused(said):
    with pytest.raises(DataError, match="not one list of percentiles"):
        ranks(normals(**said))


def test_a_discharge_as_great_as_a_percentile_has_reached_it():
    found = ranks(normals(sample_count=1))

    assert found.years == 1
    assert found.between(10 * FOOT**3) == (0.5, 0.9)
    assert found.between(9.999 * FOOT**3) == (0.0, 0.5)
    assert found.between(20 * FOOT**3) == (0.9, 1.0)


def test_what_is_not_of_discharge_has_no_percentiles_and_an_unknown_unit_is_refused():
    other, unit, twice = normals(), normals(), normals()
    other["features"][0]["properties"]["data"][0]["parameter_code"] = "00065"
    unit["features"][0]["properties"]["data"][0]["unit_of_measure"] = "m3/s"
    twice["features"] *= 2

    assert ranks(other) == DayPercentiles((), 0)
    for body in (unit, twice):
        with pytest.raises(DataError, match="USGS-12451000, 01-01: not one list"):
            ranks(body)


def test_the_percentiles_of_one_day_are_asked_for():
    assert statistics.query(SITE, date(2026, 3, 9)) == {
        "monitoring_location_id": SITE,
        "parameter_code": "00060",
        "computation_type": "percentile",
        "start_date": "03-09",
        "end_date": "03-09",
    }


def test_another_site_has_no_percentiles_here():
    other = normals()
    other["features"][0]["properties"]["monitoring_location_id"] = "USGS-2"

    assert ranks(other) == DayPercentiles((), 0)
    assert ranks({"features": []}).between(5.0) is None
    assert statistics.query(SITE, DAY)["monitoring_location_id"] == SITE


# -- categories --------------------------------------------------------------------------------

BOUNDS = RiverStages(2.0, 3.0, 4.0, 5.0)


@pytest.mark.parametrize(
    ("level", "category"),
    [(1.9, "no_flooding"), (2.0, "action"), (3.5, "minor"), (4.0, "moderate"), (9.0, "major")],
)
def test_a_level_has_reached_the_category_whose_threshold_it_passed(level, category):
    assert category_of(level, BOUNDS) == FloodCategory(category)


def test_below_thresholds_without_an_action_stage_nothing_is_proved():
    assert category_of(1.0, RiverStages(moderate=4.0)) == FloodCategory.UNKNOWN
    assert category_of(4.5, RiverStages(moderate=4.0)) == FloodCategory.MODERATE
    assert category_of(math.nan, BOUNDS) == FloodCategory.UNKNOWN
    assert category_of(1.0, RiverStages()) == FloodCategory.UNKNOWN


def test_the_worst_known_category_counts():
    unknown, none, minor = FloodCategory.UNKNOWN, FloodCategory.NONE, FloodCategory.MINOR

    assert worst([unknown, minor, none]) == minor
    assert worst([unknown, none]) == none
    assert worst([unknown, unknown]) == unknown


@given(st.floats(0, 8), st.floats(0, 3))
def test_more_stage_is_never_a_lower_category(level, more):
    order = list(FloodCategory)

    assert order.index(category_of(level + more, BOUNDS)) >= order.index(category_of(level, BOUNDS))


# -- anything ------------------------------------------------------------------------------------


@pytest.mark.parametrize("case", NO_JSON)
def test_what_is_no_answer_is_refused(case):
    for read in (lambda: ranks(NO_JSON[case]), lambda: parse_trend(NO_JSON[case], provenance())):
        with pytest.raises(DataError, match="a service"):
            read()


@cases(200)
@given(any_bytes(normals()))
def test_any_bytes_are_percentiles_in_order_or_refused(body):
    try:
        found = ranks(body)
    except DataError:
        return
    assert list(found.steps) == sorted(found.steps)


# -- the nearest gauge ---------------------------------------------------------------------------

NEAR, FAR = Station("USGS-1", "", 45.0, -90.0), Station("USGS-2", "FAR RIVER", 45.01, -90.0)


def nearest(tmp_path, *found: tuple[Station, Level], within: float = 50_000.0):
    asked = replace(gathering.question(gathering.trip(), gathering.settings({}, tmp_path)), at=NOON)
    return nearest_river(found, replace(asked, here=(45.0, -90.0)), provenance(), within)


def test_the_newest_stage_and_discharge_of_the_nearest_gauge_count(tmp_path):
    levels = [
        (FAR, Level(STAGE, 9.0, NOON)),
        (NEAR, Level(STAGE, 2.0, NOON - timedelta(minutes=15))),
        (NEAR, Level(STAGE, 1.0, NOON - timedelta(minutes=30))),
        (NEAR, Level(FLOW, 30.0, NOON - timedelta(minutes=45))),
    ]
    for found in (levels, levels[::-1]):
        river = nearest(tmp_path, *found)

        assert (river.station.name, river.station.distance) == ("USGS-1", 0.0)
        assert (river.stage, river.discharge) == (2.0, 30.0)
        assert river.time == NOON - timedelta(minutes=45)  # as old as the older of the two
        assert river.provenance.model == "USGS-1"  # it has no other name


def test_a_level_counts_up_to_the_greatest_age_and_distance(tmp_path):
    age = timedelta(seconds=load_reaches()[QUANTITY].age)
    old = (FAR, Level(STAGE, 2.0, NOON - age))
    away = nearest(tmp_path, old).station.distance

    assert away == pytest.approx(1111, abs=2)  # a hundredth of a degree at 45 degrees north
    assert nearest(tmp_path, old, within=away).provenance.model == "FAR RIVER"
    assert math.isnan(nearest(tmp_path, old).discharge)
    assert nearest(tmp_path, old, within=away - 1e-6) is None
    older = (FAR, Level(STAGE, 2.0, NOON - age - timedelta(seconds=1)))
    assert nearest(tmp_path, older) is None
    assert nearest(tmp_path) is None

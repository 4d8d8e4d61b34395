"""A river's readings: which gauge, how old, and what counts where they say different things."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

import numpy as np
import pytest

from safety_check.arrays import hour_axis
from safety_check.conditions.river import (
    CATEGORY,
    DISCHARGE,
    PERCENTILE,
    RISING,
    STAGE,
    OwnGauge,
    count_together,
    current_reading,
    river_quantities,
)
from safety_check.model.moving_water import (
    FloodCategory,
    MovingWater,
    PredictionStation,
    RiverReading,
    RiverStages,
)
from safety_check.settings.moving_water import load_moving_water
from tests import scenes

AT = scenes.NOW
HOURS = hour_axis(AT, AT + timedelta(hours=3))
RULE = load_moving_water().river.model_copy(update={"greatest_age": 3600.0, "holds": 7200.0})
NONE, ACTION, MINOR, MODERATE, MAJOR, UNKNOWN = (
    FloodCategory.NONE, FloodCategory.ACTION, FloodCategory.MINOR, FloodCategory.MODERATE,
    FloodCategory.MAJOR, FloodCategory.UNKNOWN,
)  # fmt: skip
BY_STAGE, NO_LIMIT = OwnGauge(stage=True), OwnGauge()


def gauge(distance: float | None = 500.0, time: datetime | None = AT, **said: Any) -> RiverReading:
    station = PredictionStation("inv", "Invented River", distance)
    return RiverReading(station, time, scenes.FROM_A_FILE, **said)


def quantities(
    *readings: RiverReading, own: OwnGauge = NO_LIMIT, at: datetime = AT
) -> dict[str, Any]:
    moving = MovingWater(rivers=readings)
    return river_quantities(moving, HOURS, at, own, RULE)


def first_hour(reading: RiverReading, name: str, own: OwnGauge = NO_LIMIT) -> float:
    return float(quantities(reading, own=own)[name][0, 0])


def same(one: float, other: float) -> bool:
    return one == other or (math.isnan(one) and math.isnan(other))


# -- which reading -----------------------------------------------------------------------------


@pytest.mark.parametrize("seconds", [-3601, -3600, 0, 3600, 3601])
def test_a_reading_counts_to_its_greatest_age_before_and_after_the_check(seconds: int) -> None:
    reading = gauge(time=AT + timedelta(seconds=seconds))
    found = current_reading(MovingWater(rivers=(reading,)), AT, RULE)
    assert found == (reading if abs(seconds) <= 3600 else None)


def test_a_reading_without_a_time_does_not_count() -> None:
    assert current_reading(MovingWater(rivers=(gauge(time=None),)), AT, RULE) is None
    assert current_reading(MovingWater(), AT, RULE) is None


def test_the_nearest_gauge_counts_with_what_stands_within_300_m_of_it() -> None:
    stage, flow, far = (
        gauge(500.0, stage=2.0),
        gauge(800.0, discharge=30.0),
        gauge(800.1, rise=1.0),
    )
    found = current_reading(MovingWater(rivers=(stage, flow, far)), AT, RULE)
    assert found is not None
    assert (found.stage, found.discharge) == (2.0, 30.0)
    assert math.isnan(found.rise)


def test_a_gauge_farther_off_does_not_stand_in_for_an_old_one_nearer() -> None:
    old, far = gauge(500.0, AT - timedelta(hours=9)), gauge(900.0)
    assert current_reading(MovingWater(rivers=(old, far)), AT, RULE) is None


def test_the_users_own_reading_comes_first_and_once() -> None:
    own, near = gauge(None, stage=3.0), gauge(4000.0, stage=2.0, discharge=8.0)
    found = current_reading(MovingWater(rivers=(near, own)), AT, RULE)
    assert found is not None
    assert (found.station.distance, found.stage, found.discharge) == (None, 3.0, 8.0)


def test_without_a_reading_nothing_is_known() -> None:
    assert set(quantities()) == {CATEGORY, PERCENTILE, RISING}
    assert set(quantities(own=OwnGauge(stage=True))) == {CATEGORY, PERCENTILE, RISING, STAGE}
    assert set(quantities(own=OwnGauge(discharge=True))) == {
        *(CATEGORY, PERCENTILE, RISING, DISCHARGE)
    }
    for values in quantities(own=OwnGauge(stage=True, discharge=True)).values():
        assert values.shape == (1, len(HOURS))
        assert np.isnan(values).all()


def test_a_reading_holds_for_the_hours_that_begin_by_its_end() -> None:
    found = quantities(gauge(stage=2.0, discharge=5.0), own=OwnGauge(stage=True, discharge=True))
    assert found[STAGE].shape == (1, 4)
    assert found[STAGE][0, :3].tolist() == [2.0] * 3  # the third begins two hours later
    assert np.isnan(found[STAGE][0, 3])
    assert found[DISCHARGE][0, 0] == 5.0


# -- several as one ----------------------------------------------------------------------------


def together(first: RiverReading, other: RiverReading) -> RiverReading:
    found = count_together([first, other])
    assert found is not None
    return found


def test_of_two_times_the_earlier_counts() -> None:
    late, early = gauge(time=AT), gauge(time=AT - timedelta(minutes=5))
    assert together(late, early).time == early.time
    assert together(early, late).time == early.time
    assert together(late, gauge(time=None)).time == AT
    assert count_together([]) is None


def test_what_the_first_knows_counts_and_the_other_fills_in() -> None:
    nothing, known = gauge(), gauge(stage=2.0, discharge=9.0)
    assert together(nothing, known).stage == 2.0
    assert together(known, gauge(stage=5.0, discharge=7.0)).stage == 2.0
    assert together(known, gauge(stage=5.0, discharge=7.0)).discharge == 9.0


@pytest.mark.parametrize(
    ("one", "other", "expected"),
    [(1.0, 2.0, 2.0), (2.0, 1.0, 2.0), (math.nan, -1.0, -1.0), (-1.0, math.nan, -1.0)],
)
def test_the_faster_rise_counts(one: float, other: float, expected: float) -> None:
    assert together(gauge(rise=one), gauge(rise=other)).rise == expected
    assert math.isnan(together(gauge(), gauge()).rise)


@pytest.mark.parametrize(
    ("one", "other", "expected"),
    [
        *((NONE, MINOR, MINOR), (MAJOR, ACTION, MAJOR), (UNKNOWN, NONE, NONE)),
        *((ACTION, UNKNOWN, ACTION), (UNKNOWN, UNKNOWN, UNKNOWN)),
    ],
)
def test_the_worse_category_counts_and_a_known_one_before_an_unknown(
    one: FloodCategory, other: FloodCategory, expected: FloodCategory
) -> None:
    found = together(
        gauge(category=one, forecast_category=one), gauge(category=other, forecast_category=other)
    )
    assert found.category == expected
    assert found.forecast_category == expected


@pytest.mark.parametrize(
    ("stage", "discharge", "expected"),
    [
        *((2.9, 10.0, UNKNOWN), (3.0, 10.0, ACTION), (4.0, 10.0, MINOR), (2.9, 50.0, MAJOR)),
        *((4.0, 50.0, MAJOR), (math.nan, math.nan, UNKNOWN)),
    ],
)
def test_what_the_user_reads_reaches_the_categories_of_the_gauge(
    stage: float, discharge: float, expected: FloodCategory
) -> None:
    levels = gauge(stages=RiverStages(action=3.0, minor=4.0), flows=RiverStages(major=50.0))
    assert together(gauge(None, stage=stage, discharge=discharge), levels).category == expected


@pytest.mark.parametrize(
    ("own", "at_gauge", "expected"),
    [(9.0, 9.0, (0.2, 0.4)), (9.1, 9.0, (0.2, 1.0)), (8.9, 9.0, (0.2, 0.4))],
)
def test_above_a_ranked_discharge_only_the_lower_end_of_its_rank_holds(
    own: float, at_gauge: float, expected: tuple[float, float]
) -> None:
    ranked = gauge(discharge=at_gauge, percentile=(0.2, 0.4))
    assert together(gauge(None, discharge=own), ranked).percentile == expected
    own_rank = gauge(None, discharge=own, percentile=(0.7, 0.8))
    assert together(own_rank, ranked).percentile == (0.7, 0.8)
    assert together(own_rank, gauge()).percentile == (0.7, 0.8)
    assert together(gauge(None), gauge()).percentile is None


# -- what counts -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("now", "ahead", "expected"),
    [
        *((NONE, NONE, 0.0), (ACTION, NONE, 1.0), (NONE, MAJOR, 4.0), (MINOR, UNKNOWN, 2.0)),
        (MODERATE, MINOR, 3.0),
        *((UNKNOWN, UNKNOWN, math.nan), (UNKNOWN, ACTION, math.nan), (UNKNOWN, MINOR, 2.0)),
        *((UNKNOWN, MAJOR, 4.0),),
    ],
)
def test_the_worse_of_the_category_now_and_ahead_counts(
    now: FloodCategory, ahead: FloodCategory, expected: float
) -> None:
    reading = gauge(category=now, forecast_category=ahead, rise=0.0, stage=1.0)
    assert same(first_hour(reading, CATEGORY), expected)


@pytest.mark.parametrize(
    ("rise", "ahead", "expected"),
    [
        *((0.0, UNKNOWN, 0.0), (-1.0, NONE, 0.0), (0.0, ACTION, 1.0), (1e-9, NONE, math.nan)),
        *((math.nan, NONE, math.nan), (1e-9, ACTION, math.nan), (1e-9, MINOR, 2.0)),
    ],
)
def test_a_limit_of_the_users_own_excuses_an_unknown_category_while_the_river_does_not_rise(
    rise: float, ahead: FloodCategory, expected: float
) -> None:
    reading = gauge(forecast_category=ahead, rise=rise, stage=1.0)
    assert same(first_hour(reading, CATEGORY, BY_STAGE), expected)


@pytest.mark.parametrize(
    ("own", "said", "excused"),
    [
        (OwnGauge(), {"stage": 1.0, "discharge": 1.0}, False),
        (OwnGauge(stage=True), {"stage": 1.0}, True),
        (OwnGauge(stage=True), {"discharge": 1.0}, False),
        (OwnGauge(discharge=True), {"discharge": 1.0}, True),
        (OwnGauge(discharge=True), {"stage": 1.0}, False),
        (OwnGauge(stage=True, discharge=True), {"discharge": 1.0}, True),
    ],
)
def test_only_a_limit_on_a_reading_that_is_known_excuses(
    own: OwnGauge, said: dict[str, Any], excused: bool
) -> None:
    found = first_hour(gauge(rise=0.0, **said), PERCENTILE, own)
    assert same(found, 0.0 if excused else math.nan)


@pytest.mark.parametrize(
    ("bounds", "expected"),
    [((), 0.2), ((0.2,), 0.2), ((0.3,), 0.5), ((0.5,), 0.2), ((0.1, 0.3), 0.5)],
)
def test_the_higher_percentile_counts_where_a_bound_lies_between_the_two(
    bounds: tuple[float, ...], expected: float
) -> None:
    reading = gauge(percentile=(0.2, 0.5), rise=1.0)
    own = OwnGauge(ranks=bounds)
    assert first_hour(reading, PERCENTILE, own) == expected
    assert first_hour(reading, RISING, own) == expected
    assert first_hour(replace(reading, rise=0.0), RISING, own) == 0.0
    assert first_hour(replace(reading, rise=math.nan), RISING, own) == expected

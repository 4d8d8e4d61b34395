"""Tide, ebb, depth and dam in each hour: at a bound, beside it, and where nothing is known."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np
import pytest

from safety_check.arrays import hour_axis, to_datetime64
from safety_check.conditions.tide_hours import (
    ANNOUNCED,
    NONE_ASKED,
    dam_release,
    ebb_at_bar,
    instants,
    least_depth,
    signed_speed,
    tide_known,
)
from safety_check.model.moving_water import (
    CurrentEvent,
    CurrentKind,
    CurrentPrediction,
    CurrentSeries,
    MovingWater,
    PredictionStation,
    TideEvent,
    TidePrediction,
)
from safety_check.settings.moving_water import TideRule, load_moving_water
from tests import scenes

START = scenes.START
HOURS = hour_axis(START, START + timedelta(hours=3))  # four hours
RULES = load_moving_water()
STATION = PredictionStation("inv0101", "Invented Narrows", 900.0)


def after(hours: float) -> datetime:
    return START + timedelta(hours=hours)


def tide(*events: tuple[float, float, bool]) -> TidePrediction:
    """Return a tide by hours after the start, height, and whether it is high water."""
    made = tuple(TideEvent(after(hour), height, high) for hour, height, high in events)
    return TidePrediction(made, "MLLW", STATION, scenes.FROM_A_FILE)


def current(*events: tuple[float, str, float]) -> CurrentPrediction:
    made = tuple(CurrentEvent(after(hour), CurrentKind(kind), v) for hour, kind, v in events)
    return CurrentPrediction(made, 30.0, 200.0, None, STATION, scenes.FROM_A_FILE)


def entered(speed: float) -> MovingWater:
    """Return a current to the south-east by south, all day."""
    time = np.array([to_datetime64(after(hours)) for hours in (-9, 24)])
    return MovingWater(
        entered=CurrentSeries(time, np.full(2, 0.6 * speed), np.full(2, -0.8 * speed))
    )


def known(values: np.ndarray) -> list[bool]:
    assert values.shape == (1, len(HOURS))
    return np.isfinite(values[0]).tolist()


def test_an_hour_is_looked_at_every_ten_minutes_from_end_to_end() -> None:
    minutes = (instants(HOURS) - HOURS[:, None]) / np.timedelta64(60, "s")
    assert minutes.tolist() == [[0.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0]] * 4


def test_a_high_or_low_water_makes_the_tide_known_for_its_time_before_and_after() -> None:
    rule = replace_holds(2 * 3600.0)
    assert known(tide_known(MovingWater(tides=(tide((0, 1, True)),)), HOURS, rule)) == [
        *(True, True, True), False,
    ]  # fmt: skip
    far = tide((-9, 1, True), (4, 0, False))
    assert known(tide_known(MovingWater(tides=(far,)), HOURS, rule)) == [False, False, True, True]
    assert tide_known(MovingWater(tides=(far,)), HOURS, rule)[0, 3] == 1.0


def replace_holds(seconds: float) -> TideRule:
    return RULES.tide.model_copy(update={"holds": seconds})


def test_only_the_nearest_tide_counts_and_without_one_it_is_not_known() -> None:
    tides = (tide((-99, 1, True)), tide((1, 1, True)))
    assert known(tide_known(MovingWater(tides=tides), HOURS, RULES.tide)) == [False] * 4
    assert known(tide_known(MovingWater(), HOURS, RULES.tide)) == [False] * 4


@pytest.mark.parametrize(("share", "expected"), [(0.0, 0.0), (0.999, 0.0), (1.001, np.nan)])
def test_an_entered_current_may_be_the_ebb_unless_it_is_weak(share: float, expected: float) -> None:
    found = ebb_at_bar(entered(share * RULES.current.weak), HOURS, RULES.current)
    assert np.array_equal(found, np.full((1, 4), expected), equal_nan=True)


def test_a_current_exactly_as_strong_as_a_weak_one_is_weak() -> None:
    rule = RULES.current.model_copy(update={"weak": 0.5})
    east_alone = MovingWater(
        entered=CurrentSeries(
            np.array([to_datetime64(after(-1)), to_datetime64(after(9))]), np.full(2, 0.5),
            np.zeros(2),
        )
    )  # fmt: skip
    assert ebb_at_bar(east_alone, HOURS, rule).tolist() == [[0.0] * 4]
    for ebb, found in ((0.5, 0.0), (0.501, 1.0)):
        steady = MovingWater(currents=(current((-3, "ebb", ebb), (5, "ebb", ebb)),))
        assert ebb_at_bar(steady, HOURS, rule).tolist() == [[found] * 4]


def test_the_ebb_of_a_prediction_counts_in_every_hour_that_it_touches() -> None:
    # Flood until 2 h, ebb after that.
    turning = current((-1, "flood", 1.0), (2, "slack", 0.0), (5, "ebb", 1.0))
    found = ebb_at_bar(MovingWater(currents=(turning,)), HOURS, RULES.current)
    assert found.tolist() == [[0.0, 0.0, 1.0, 1.0]]


def test_an_hour_that_the_prediction_does_not_cover_is_unknown_unless_the_ebb_runs_in_it() -> None:
    half = current((-3, "flood", 1.0), (0, "slack", 0.0), (1.5, "ebb", 1.0))
    found = ebb_at_bar(MovingWater(currents=(half,)), HOURS, RULES.current)
    assert found[0, :2].tolist() == [1.0, 1.0]  # the second hour is known for its first half only
    assert np.isnan(found[0, 2:]).all()


def test_an_hour_of_which_only_a_part_is_known_to_be_flood_may_have_ebb() -> None:
    part = current((-3, "slack", 0.0), (0.5, "flood", 1.0))
    assert np.isnan(ebb_at_bar(MovingWater(currents=(part,)), HOURS, RULES.current)).all()


def test_a_predicted_current_is_positive_on_the_flood_and_negative_on_the_ebb() -> None:
    turning = current((-3, "flood", 2.0), (0, "slack", 0.0), (3, "ebb", 1.5))
    at = np.array([to_datetime64(after(hours)) for hours in (-3, 0, 3, 3.1)])
    found = signed_speed(turning, at)
    assert found[:3] == pytest.approx([2.0, 0.0, -1.5], abs=1e-12)
    assert np.isnan(found[3])


def test_a_falling_tide_is_ebb_and_a_rising_one_proves_nothing() -> None:
    found = ebb_at_bar(
        MovingWater(tides=(tide((-4, 0, False), (2, 2, True), (8, 0, False)),)), HOURS,
        RULES.current,
    )  # fmt: skip
    assert np.isnan(found[0, :2]).all()
    assert found[0, 2:].tolist() == [1.0, 1.0]


def test_a_tide_that_stands_proves_nothing() -> None:
    stands = tide((-4, 1.0, True), (9, 1.0, False))
    assert np.isnan(ebb_at_bar(MovingWater(tides=(stands,)), HOURS, RULES.current)).all()


def test_without_tide_and_current_the_ebb_is_unknown() -> None:
    found = ebb_at_bar(MovingWater(), HOURS, RULES.current)
    assert found.shape == (1, 4)
    assert np.isnan(found).all()


def test_the_entered_current_comes_first_and_a_predicted_one_before_the_tide() -> None:
    falling = tide((-3, 2, True), (9, 0, False))
    flood = current((-9, "slack", 0.0), (0, "flood", 1.0), (9, "slack", 0.0))
    both = MovingWater(tides=(falling,), currents=(flood,))
    assert ebb_at_bar(both, HOURS, RULES.current).tolist() == [[0.0] * 4]
    calm = replace(both, entered=entered(0.0).entered)
    assert ebb_at_bar(calm, HOURS, RULES.current).tolist() == [[0.0] * 4]


def test_the_water_over_a_launch_is_the_lowest_of_the_hour_and_never_below_nought() -> None:
    falling = tide((0, 3.0, True), (6, 1.0, False))
    time = instants(HOURS)
    # By the cosine: 2 + cos(30°), 2 + cos(60°), 2 + cos(90°), 2 + cos(120°) at the hours' ends.
    ends = 2 + np.cos(np.radians([30.0, 60.0, 90.0, 120.0]))
    assert least_depth(falling, time, 0.0) == pytest.approx(ends)
    assert least_depth(falling, time, 2.0) == pytest.approx(np.maximum(ends - 2.0, 0.0))
    assert least_depth(falling, time, 5.0).tolist() == [0.0] * 4
    assert np.isnan(least_depth(None, time, 0.0)).all()
    assert least_depth(None, time, 0.0).shape == (4,)
    assert least_depth(None, time[0], 0.0).shape == ()
    assert least_depth(falling, time[0], 0.0) == pytest.approx(ends[0])


def test_a_release_endangers_from_some_time_before_it_on() -> None:
    rule = RULES.dam.model_copy(update={"before": 1800.0})
    # Danger from 1:30 on, so the hour from 1:00 to 2:00 has it; at 1:30 sharp after 2 h too.
    assert dam_release((after(2),), HOURS, rule).tolist() == [[0.0, *[ANNOUNCED] * 3]]
    assert dam_release((after(9), after(2)), HOURS, rule).tolist() == [[0.0, *[ANNOUNCED] * 3]]
    # Danger from 2:00 on: the hour that ends then has none yet.
    assert dam_release((after(2.5),), HOURS, rule).tolist() == [[0.0, 0.0, *[ANNOUNCED] * 2]]


def test_no_release_is_no_danger_and_nobody_asked_is_a_level_of_its_own() -> None:
    assert dam_release((), HOURS, RULES.dam).tolist() == [[0.0] * 4]
    assert dam_release(None, HOURS, RULES.dam).tolist() == [[NONE_ASKED] * 4]

"""Tide, current and river around a trip, by hand."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import datetime, timedelta
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from safety_check.arrays import hour_axis, to_datetime64
from safety_check.assess.movement import describe_movement, list_turns
from safety_check.conditions.case import Case
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
from safety_check.model.water_movement import Movement
from safety_check.use_cases.trust import load_trust
from tests import afloat, scenes

START, HOUR = scenes.START, timedelta(hours=1)
NEAR = PredictionStation("XX1", "Invented Narrows", 900.0)
FAR = PredictionStation("XX2", "Invented Point", 9000.0)
BY_HAND = PredictionStation("own", "entered", None)


def after(hours: float) -> datetime:
    return START + hours * HOUR


def tide(*events: tuple[float, float], station: PredictionStation = NEAR) -> TidePrediction:
    """Return a tide by hours after the start and height; from 1 m on it is high water."""
    made = tuple(TideEvent(after(hour), height, height >= 1) for hour, height in events)
    return TidePrediction(made, "MLLW", station, scenes.FROM_A_FILE)


def current(
    *events: tuple[float, CurrentKind, float], station: PredictionStation = NEAR
) -> CurrentPrediction:
    made = tuple(CurrentEvent(after(hour), kind, speed) for hour, kind, speed in events)
    return CurrentPrediction(made, 90.0, 270.0, None, station, scenes.FROM_A_FILE)


def entered(*points: tuple[float, float, float]) -> CurrentSeries:
    """Return a current by hours after the start, and its speed to the east and to the north."""
    hours, east, north = zip(*points, strict=True)
    time = np.array([to_datetime64(after(hour)) for hour in hours])
    return CurrentSeries(time, np.array(east), np.array(north))


def described(
    moving: MovingWater, hours: int = 4, dries: float | None = None, courses: tuple[float, ...] = ()
) -> Movement:
    """Return what is told of some hours from the start on, with the courses of the way home."""
    case = Case(
        afloat.plan(afloat.ESTUARY, dries, hours=hours),
        scenes.briefing(), scenes.POND, scenes.settings(), load_trust(),
    )  # fmt: skip
    way = SimpleNamespace(longest=SimpleNamespace(courses=np.array(courses)))
    time = hour_axis(START, after(hours - 1))
    weighed: Any = SimpleNamespace(conditions=SimpleNamespace(time=time, way=way))
    return describe_movement(case, moving, weighed)


SLACK, FLOOD, EBB = CurrentKind.SLACK, CurrentKind.FLOOD, CurrentKind.EBB


def test_turns_are_those_of_the_nearest_stations_in_order() -> None:
    moving = MovingWater(
        tides=(tide((3, 0.2), (-3, 1.9)), tide((1, 1.5), station=FAR)),
        currents=(current((2, SLACK, 0.0), (-1, EBB, 0.7), (5, FLOOD, 0.9)), current((1, EBB, 2))),
    )
    assert [
        (turn.time, turn.what, turn.value) for turn in list_turns(moving, after(-3), after(5))
    ] == [
        (after(-3), "high water", 1.9),
        (after(-1), "ebb", 0.7),
        (after(2), "slack", 0.0),
        (after(3), "low water", 0.2),
        (after(5), "flood", 0.9),
    ]


def test_a_current_that_the_user_entered_has_no_predicted_turns() -> None:
    predicted = MovingWater(currents=(current((1, EBB, 0.7)),))
    assert len(list_turns(predicted, START, after(4))) == 1
    own = replace(predicted, entered=entered((0, 1, 0), (4, 1, 0)))
    assert list_turns(own, START, after(4)) == ()


@pytest.mark.parametrize(("hour", "shown"), [(0, True), (4, True), (-0.01, False), (4.01, False)])
def test_turns_are_shown_from_the_first_hour_to_the_end_of_the_last(
    hour: float, shown: bool
) -> None:
    assert len(described(MovingWater(tides=(tide((hour, 1.0)),))).turns) == shown


def test_heights_and_currents_are_told_for_each_hour() -> None:
    # A cosine from 0 m at the start to 2 m six hours later: 1 m half way, 0.5 m after 2 h.
    moving = MovingWater(
        tides=(tide((0, 0.0), (6, 2.0)), tide((0, 1.0), (6, 0.0), station=FAR)),
        entered=entered((0, 0.0, 0.0), (2, 0.6, 0.8), (4, 0.0, 0.0)),
    )
    told = described(moving)
    assert told.height == pytest.approx((0.0, 1 - math.cos(math.pi / 6), 0.5, 1.0))
    # From nothing to 1 m/s in two hours and back: the strongest of each hour.
    assert told.current == pytest.approx((0.5, 1.0, 1.0, 0.5))
    nothing = described(MovingWater())
    assert (nothing.height, nothing.current, nothing.against) == ((), (), None)


def test_the_current_sets_against_the_way_home_from_its_turn_on() -> None:
    # To the west at first, to the east after an hour: against a course west from then on, to 5 min.
    turning = MovingWater(entered=entered((-1, -1.0, 0.0), (3, 1.0, 0.0), (9, 1.0, 0.0)))
    west, east, north = 270.0, 90.0, 0.0
    assert described(turning, courses=(west,)).against == after(1) + timedelta(minutes=5)
    assert described(turning, courses=(west, east)).against == START
    steady = MovingWater(entered=entered((-1, 1.0, 0.0), (9, 1.0, 0.0)))
    assert described(steady, courses=(north, east)).against is None


def test_a_launch_has_water_while_the_tide_is_above_where_it_dries() -> None:
    # Above 1 m from 3 h to 9 h after each low water; in steps of ten minutes, both ends within.
    twice = MovingWater(tides=(tide((0, 0.0), (6, 2.0), (12, 0.0), (18, 2.0), (24, 0.0)),))
    ten = timedelta(minutes=10)
    assert described(twice, hours=24, dries=1.0).wet == (
        (after(3) + ten, after(9) - ten),
        (after(15) + ten, after(21) - ten),
    )
    assert described(twice, hours=8, dries=1.0).wet == ((after(3) + ten, after(8)),)
    assert described(twice, hours=24, dries=-0.5).wet == ((START, after(24)),)
    assert described(twice, hours=24, dries=2.5).wet == ()
    assert described(MovingWater(), dries=1.0).wet == ()
    assert described(twice, hours=24).wet is None


def test_a_river_is_told_by_stage_discharge_rise_and_the_greater_percentile() -> None:
    told = described(MovingWater(rivers=(afloat.river(stage=0.6, rise=0.001, percentile=0.5),)))
    assert told.river == (
        *(("stage", 0.6), ("discharge", 12.0)),
        *(("rise", 0.001), ("percentile", 0.5)),
    )
    unranked = described(MovingWater(rivers=(afloat.river(percentile=None),))).river
    assert math.isnan(dict(unranked)["percentile"])
    assert described(MovingWater()).river == ()


def test_the_stations_that_count_are_named_once_and_none_for_what_was_entered() -> None:
    both = MovingWater(
        tides=(tide((0, 1.0)), tide((0, 1.0), station=FAR)),
        currents=(current(station=NEAR), current(station=FAR)),
    )
    assert described(both).origin == ("Invented Narrows",)
    apart = replace(both, currents=(current(station=FAR), current()))
    assert described(apart).origin == ("Invented Narrows", "Invented Point")
    own = MovingWater(tides=(tide((0, 1.0), station=BY_HAND),))
    assert described(own).origin == ()

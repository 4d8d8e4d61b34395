"""Where a trip may be: out from the launch, at its reach, back by the end and its margin."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.arrays import hour_axis
from safety_check.conditions.course import (
    CourseRule,
    describe_course,
    equal_hours,
    farthest_from_shore,
    farthest_in_trip,
    farthest_on_return,
    within_reach,
)
from safety_check.model.place import OpenWater
from safety_check.model.plan import Plan
from safety_check.model.verdict import Severity, Verdict
from tests import invented_lake as lake
from tests import scenes
from tests.properties import cases, note, takes

HOUR = 3600.0
RULE = CourseRule(margin=1800.0, fastest=1.5)
PACE = 1.5 * 0.45  # m/s of a float tube
SLOW = "float-tube"
WATER = lake.open_water(4000.0, most=60)
HOURS = hour_axis(scenes.START - timedelta(hours=3), scenes.START + timedelta(hours=14))
BEFORE = 3


def farthest(trip: Plan, rule: CourseRule = RULE) -> np.ndarray:
    return farthest_in_trip(trip, HOURS, rule)


def test_a_slow_craft_is_near_the_launch_at_first_and_at_the_end() -> None:
    trip = scenes.plan(SLOW, hours=6)
    expected = PACE * HOUR * np.array([1.0, 2.0, 3.0, 3.25, 2.5, 1.5, 0.5])
    assert farthest(trip)[BEFORE : BEFORE + 7] == pytest.approx(expected)
    assert np.isinf(farthest(trip)[:BEFORE]).all()
    assert np.isinf(farthest(trip)[BEFORE + 7 :]).all()


def test_a_start_within_an_hour_counts_from_its_minute_on() -> None:
    trip = scenes.plan(SLOW, hours=6, start=scenes.START + timedelta(minutes=45))
    assert farthest(trip)[BEFORE] == pytest.approx(PACE * 900)


def test_the_hour_of_a_return_is_that_of_a_trip_of_whole_hours() -> None:
    trip = scenes.plan(SLOW, hours=6)
    assert farthest_on_return(trip, 1, RULE)[0] == pytest.approx(farthest(trip)[BEFORE + 6])


@given(st.floats(0.2, 9), st.floats(0, 4), st.floats(0, 59), st.floats(0, 1800), st.floats(1, 3))
def test_a_longer_plan_more_margin_or_a_faster_craft_is_never_nearer(
    hours: float, longer: float, minutes: float, margin: float, faster: float
) -> None:
    start = scenes.START + timedelta(minutes=minutes)
    trip = scenes.plan(SLOW, hours=hours, start=start)
    touched = np.isfinite(farthest(trip, CourseRule(margin, 1.5)))
    here = farthest(trip, CourseRule(margin, 1.5))[touched]
    for other, rule in (
        (scenes.plan(SLOW, hours=hours + longer, start=start), CourseRule(margin, 1.5)),
        (trip, CourseRule(1800.0, 1.5)),
        (trip, CourseRule(margin, 1.5 * faster)),
    ):
        assert (farthest(other, rule)[touched] >= here - 1e-6).all()


def test_the_sentence_says_when_the_reach_can_be_reached() -> None:
    trip = replace(scenes.plan(hours=5), reach=1350.0)
    said = describe_course(trip, 1350.0, RULE)
    assert said.farthest == 1350.0
    assert said.since - trip.start == timedelta(seconds=720)  # 1350 m at 1.5 times 1.25 m/s
    assert trip.end + timedelta(minutes=30) - said.until == timedelta(seconds=720)


def test_a_reach_too_far_for_the_plan_is_not_assumed() -> None:
    said = describe_course(scenes.plan(SLOW, hours=1), 5000.0, RULE)
    assert said.farthest == pytest.approx(PACE * 0.75 * HOUR)
    assert said.since == said.until


@given(st.floats(0, 5000))
def test_no_place_within_is_farther_from_the_shore_or_left_out(far: float) -> None:
    away = np.hypot(*WATER.points.T)
    shore = farthest_from_shore(WATER, np.array([far]))[0]
    assert shore >= WATER.distance_from_shore[away <= far].max(initial=0.0)
    near = within_reach(WATER, np.asarray(far))
    assert near[away <= far].all()


def test_the_launch_alone_has_less_sea_than_the_open_water() -> None:
    near = within_reach(WATER, np.asarray(0.0))
    assert near[0]
    assert not near.all()
    assert WATER.fetch[:, near].max() < WATER.fetch.max()


# -- which places ------------------------------------------------------------------------------


def row(*east: float, from_shore: float = 10.0) -> OpenWater:
    """Return places east of the launch, in a row."""
    points = np.array([[value, 0.0] for value in east])
    return replace(
        scenes.open_water(100.0),
        points=points,
        fetch=np.ones((72, len(east))),
        distance_from_shore=np.full(len(east), from_shore) + np.arange(len(east)) * 100.0,
    )


@pytest.mark.parametrize(
    ("far", "near"),
    [
        (0.0, [True, True, False]),  # the most isolated place is 200 m from the next
        (99.9, [True, True, False]),
        (100.0, [True, True, True]),
    ],
)
def test_the_next_places_beyond_a_distance_count_too(far: float, near: list[bool]) -> None:
    assert within_reach(row(0.0, 100.0, 300.0), np.asarray(far)).tolist() == near


def test_a_launch_alone_has_no_next_place() -> None:
    assert within_reach(row(50.0), np.asarray(50.0)).tolist() == [True]
    assert within_reach(row(50.0), np.asarray(49.9)).tolist() == [False]
    assert within_reach(row(50.0, np.nan), np.asarray(49.9)).tolist() == [False, True]


def test_a_place_that_only_fills_a_row_of_several_sites_is_always_in_and_moves_nothing() -> None:
    filled = row(0.0, 100.0, np.nan)
    assert within_reach(filled, np.asarray(0.0)).tolist() == [True, True, True]
    assert within_reach(row(0.0, 100.0, 250.0, np.nan), np.asarray(0.0)).tolist() == [
        *(True, True, False, True),
    ]  # fmt: skip


def test_no_place_is_farther_from_the_shore_than_its_way_and_the_launch_are() -> None:
    three = row(0.0, 100.0, 300.0)  # 10, 110 and 210 m from the shore
    found = farthest_from_shore(three, np.array([0.0, 50.0, 200.0, 500.0, np.inf]))
    assert found.tolist() == [10.0, 60.0, 210.0, 210.0, 210.0]
    assert farthest_from_shore(row(0.0, 100.0), np.array([50.0])).tolist() == [60.0]


def test_of_a_single_place_nobody_knows_how_far_the_launch_is_from_the_shore() -> None:
    found = farthest_from_shore(row(0.0, from_shore=80.0), np.array([0.0, 50.0, 100.0]))
    assert found.tolist() == [0.0, 50.0, 80.0]


def test_hours_of_equal_distance_are_looked_at_together_and_infinite_ones_not_at_all() -> None:
    found = list(equal_hours(np.array([300.0, np.inf, 100.0, 300.0])))
    assert [(float(far), at.tolist()) for far, at in found] == [(100.0, [2]), (300.0, [0, 3])]


def test_of_several_sites_an_hour_is_looked_at_where_one_of_them_is_limited() -> None:
    within = np.array([[np.inf, 200.0, np.inf], [np.inf, np.inf, 50.0]])
    found = [(far.tolist(), at.tolist()) for far, at in equal_hours(within)]
    assert found == [([200.0, np.inf], [1]), ([np.inf, 50.0], [2])]


# -- verdicts ------------------------------------------------------------------------------------


def test_the_report_says_how_far_out_each_hour_may_be() -> None:
    trip = replace(scenes.plan(SLOW, hours=8), reach=3000.0)
    hours = scenes.verdict(trip=trip, water=WATER).hours
    assert hours[0].shown["farthest_from_launch"] == pytest.approx(PACE * HOUR)
    assert hours[-1].shown["farthest_from_launch"] == pytest.approx(PACE * 1800)


def never_better(change: str, before: Verdict, after: Verdict) -> None:
    assert after.severity >= before.severity
    note(f"{change}_worse", after.severity > before.severity)


@takes(longer_worse=0.1, farther_worse=0.1, windier_worse=0.1)
@cases(25, fewest=3)
@given(
    st.lists(st.sampled_from([1.0, 2.0, 3.0, 4.0, 6.0]), min_size=72, max_size=72),
    st.sampled_from([SLOW, "sit-on-top-kayak"]),
    st.floats(0, 359),
    st.integers(2, 8),
    st.integers(0, 4),
    st.floats(100, 3000),
    st.floats(0, 2000),
)
def test_longer_farther_or_windier_is_never_better(
    winds: list[float], craft: str, direction: float, hours: int, longer: int, reach: float,
    farther: float,
) -> None:  # fmt: skip
    sky = scenes.forecast({"wind_from_direction": direction})
    sky.quantities["wind_speed"][:] = winds
    sky.quantities["wind_speed_of_gust"][:] = winds
    windier = replace(
        sky,
        quantities={
            **sky.quantities,
            "wind_speed": sky.quantities["wind_speed"] + 1.0,
            "wind_speed_of_gust": sky.quantities["wind_speed_of_gust"] + 1.0,
        },
    )
    trip = replace(scenes.plan(craft, hours=hours), reach=reach, water=lake.WATER)
    waters = [lake.open_water(value, most=30) for value in (reach, reach + farther)]
    here = scenes.verdict(sky, trip, waters[0])
    slow = next(one for one in here.findings if one.hazard == "slow_way_home")
    if slow.severity == Severity.GO:  # else the plan is too short for its way
        longer_trip = replace(trip, end=trip.end + timedelta(hours=longer))
        never_better("longer", here, scenes.verdict(sky, longer_trip, waters[0]))
    never_better(
        "farther", here, scenes.verdict(sky, replace(trip, reach=reach + farther), waters[1])
    )
    never_better("windier", here, scenes.verdict(windier, trip, waters[0]))

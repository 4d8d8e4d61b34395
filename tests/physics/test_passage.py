"""The way home through the hours, against an hour-by-hour walk and by its order."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.physics.drive import cruising, hard
from safety_check.physics.paddling import speed_made_good
from safety_check.physics.passage import last_turn_back, time_to_return
from tests.properties import cases, note, takes

HOUR = 3600.0


def walked_home(speed, lengths, departure):
    """The same way home, walked leg by leg and hour by hour for one member. [s]"""
    at = departure * HOUR
    for leg, length in enumerate(lengths):
        left = length
        while left > 0:
            hour = int(at // HOUR)
            if hour >= len(speed):
                return math.nan
            still = list(zip(speed[hour], lengths, strict=True))[leg:]
            ahead = [pace for pace, size in still if size > 0]
            if any(v <= 0 for v in ahead):
                return math.inf
            if any(math.isnan(v) for v in ahead):
                return math.nan
            needed = left / speed[hour][leg]
            spell = min(needed, (hour + 1) * HOUR - at)
            left = 0.0 if spell == needed else left - spell * speed[hour][leg]
            at = at + needed if spell == needed else (hour + 1) * HOUR
    return at - departure * HOUR


def test_a_steady_speed_takes_distance_over_speed():
    home = time_to_return(np.full((10, 1), 0.8), np.array([4000.0]))

    assert home[:8] == pytest.approx(5000.0, rel=1e-12)


def test_a_way_that_outlasts_the_forecast_is_unknown():
    assert np.isnan(time_to_return(np.full((3, 1), 0.8), np.array([10_000.0]))).all()


def test_a_way_that_ends_with_the_forecast_is_known():
    assert time_to_return(np.full((3, 1), 1.0), np.array([3 * HOUR]))[0] == 3 * HOUR


def test_being_blown_back_on_the_way_is_not_getting_home():
    speed = np.array([[1.0], [-0.2], [1.0], [1.0]])

    home = time_to_return(speed, np.array([5400.0]))

    assert home[:2].tolist() == [np.inf, np.inf]
    assert home[2] == 5400.0


def test_an_unknown_hour_on_the_way_is_unknown_and_after_it_no_matter():
    speed = np.array([[1.0], [1.0], [np.nan], [1.0]])

    home = time_to_return(speed, np.array([5400.0]))

    assert home[0] == 5400.0
    assert np.isnan(home[1:]).tolist() == [True, True, True]


def test_each_leg_is_sailed_at_its_own_speed():
    speed = np.broadcast_to(np.array([1.0, 0.5, 2.0]), (8, 3))

    home = time_to_return(speed, np.array([3600.0, 3600.0, 3600.0]))

    assert home[0] == pytest.approx(3600 + 7200 + 1800, rel=1e-12)


def test_a_craft_that_stands_still_is_not_getting_home():
    home = time_to_return(np.array([[0.0], [1.0]]), np.array([10.0]))

    assert home == pytest.approx([np.inf, 10.0])


def test_each_hour_is_sailed_at_its_own_speed():
    home = time_to_return(np.array([[1.0], [0.5], [2.0], [2.0]]), np.array([4500.0]))

    # 3600 m in the first hour and 900 at half a metre a second; 1800 and then 2700 at two; 2250 s.
    assert home[:3].tolist() == [5400.0, 4950.0, 2250.0]


def test_a_leg_without_headway_still_ahead_counts_while_under_way():
    speed = np.array([[1.0, -0.1], [1.0, 1.0], [1.0, 1.0]])

    home = time_to_return(speed, np.array([3600.0, 1800.0]))

    assert home.tolist()[:2] == [np.inf, 5400.0]


def test_a_proved_stop_outweighs_an_unknown_leg_in_the_same_hour():
    assert time_to_return(np.array([[-0.1, np.nan]]), np.array([10.0, 10.0]))[0] == np.inf


def test_at_home_already_takes_no_time():
    home = time_to_return(np.array([[-1.0], [np.nan]]), np.array([0.0]))

    assert home.tolist() == [0.0, 0.0]


@pytest.mark.parametrize("length", [np.nan, -1.0])
def test_a_length_that_is_none_makes_the_time_unknown(length):
    home = time_to_return(np.ones((3, 4, 2)), np.array([length, 100.0]))

    assert home.shape == (3, 4)
    assert np.isnan(home).all()


def test_half_a_metre_is_a_way_too():
    home = time_to_return(np.array([[0.5], [-0.5]]), np.array([0.5]))

    assert home.tolist() == [1.0, np.inf]


def test_members_do_not_touch_each_other():
    speed = np.stack([np.full((6, 2), 0.3), np.full((6, 2), 2.0), np.full((6, 2), np.nan)])

    together = time_to_return(speed, np.array([900.0, 600.0]))

    alone = [time_to_return(member, np.array([900.0, 600.0])) for member in speed]
    assert np.array_equal(together, np.stack(alone), equal_nan=True)


speeds = st.one_of(st.floats(0.05, 3), st.sampled_from([-0.5, 0.0, math.nan, 1.0]))


@cases(100)
@given(
    speed=st.lists(st.tuples(speeds, speeds), min_size=1, max_size=8),
    lengths=st.tuples(st.floats(0, 9000), st.floats(0, 9000)),
    slower=st.floats(0, 1),
)
def test_the_way_home_is_the_one_walked_hour_by_hour(speed, lengths, slower):
    members = np.stack([np.array(speed), np.array(speed) - slower])

    home = time_to_return(members, np.array(lengths))

    for row, member in zip(home, members, strict=True):
        walked = [walked_home(member.tolist(), lengths, hour) for hour in range(len(speed))]
        known = np.isfinite(row) & np.isfinite(walked)
        same = (row == walked) | (np.isnan(row) & np.isnan(walked)) | known
        assert same.all()
        assert row[known] == pytest.approx(np.array(walked)[known], abs=1e-3)  # rounding


@takes(home_and_later=0.3)
@cases(100)
@given(
    wind=st.lists(st.floats(0, 14), min_size=3, max_size=10),
    more=st.floats(0, 5),
    length=st.floats(100, 8000),
    longer=st.floats(0, 4000),
)
def test_more_headwind_or_a_longer_way_never_gets_you_home_sooner(wind, more, length, longer):
    north = np.array(0.0)
    winds = np.stack([wind, np.array(wind) + more])[..., np.newaxis]
    speed = speed_made_good(winds, north, north, hard(cruising(1.25, 4.5, 0.50, 22.0)))

    lighter, stronger = time_to_return(speed, np.array([length]))
    further = time_to_return(speed[0], np.array([length + longer]))

    # Unknown is the end of the forecast: both must then be past it, or blown back.
    # A second allows for what the bisection leaves of each speed.
    for later in (stronger, further):
        assert not (np.isnan(lighter) & np.isfinite(later)).any()
        both = np.isfinite(lighter) & np.isfinite(later)
        assert (later[both] >= lighter[both] - 1.0).all()
        note("home_and_later", (later[both] > lighter[both] + 1.0).any())
        assert not (np.isinf(lighter) & np.isfinite(later)).any()


@takes(home_and_later=0.2)
@cases(100)
@given(
    speed=st.lists(st.tuples(speeds, speeds), min_size=2, max_size=8),
    lengths=st.tuples(st.floats(1, 9000), st.floats(1, 9000)),
    longer=st.floats(0, 5000),
    leg=st.integers(0, 1),
)
def test_a_longer_leg_never_turns_an_unproven_way_home_into_a_proven_one(
    speed, lengths, longer, leg
):
    stretched = np.array(lengths)
    stretched[leg] += longer

    near, far = (time_to_return(np.array(speed), way) for way in (np.array(lengths), stretched))

    assert not (~np.isfinite(near) & np.isfinite(far)).any()
    both = np.isfinite(near) & np.isfinite(far)
    assert (far[both] >= near[both] - 1e-3).all()  # rounding
    note("home_and_later", (far[both] > near[both] + 1e-3).any())


# Worked by hand: home in 40, 60, 90 minutes, then not at all; deadlines after the first hour.
@pytest.mark.promise("turn back in time")
@pytest.mark.parametrize(
    ("until", "last"), [(2400.0, 0.0), (7199.0, 0.0), (7200.0, 3600.0), (13_000.0, 7200.0)]
)
def test_the_last_hour_to_turn_back_is_the_last_that_is_home_in_time(until, last):
    home = np.array([2400.0, 3600.0, 5400.0, np.inf])

    assert last_turn_back(home, np.array(until)) == last


def test_too_late_from_the_first_is_minus_infinity():
    assert last_turn_back(np.array([2400.0, 100.0]), np.array(2399.0)) == -np.inf


def test_an_hour_after_one_that_is_too_late_does_not_count():
    assert last_turn_back(np.array([100.0, np.inf, 100.0]), np.array(1e6)) == 0.0


def test_an_unknown_first_hour_makes_the_turn_unknown_and_a_later_one_ends_it():
    home = np.array([[np.nan, 100.0], [100.0, np.nan]])

    last = last_turn_back(home, np.array(1e6))

    assert np.isnan(last[0])
    assert last[1] == 0.0


def test_each_member_may_have_its_own_deadline():
    home = np.array([[100.0, 100.0], [100.0, 100.0]])

    assert last_turn_back(home, np.array([200.0, 4000.0])).tolist() == [0.0, 3600.0]
    assert np.isneginf(last_turn_back(home, np.array(np.nan))).all()

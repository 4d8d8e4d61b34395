"""A craft on moving water: the arithmetic of vectors, and the order of currents."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.physics.current import (
    CurrentOnCourse,
    current_on_course,
    ferry_angle,
    wind_over_water,
)
from safety_check.physics.drive import cruising
from safety_check.physics.paddling import speed_made_good
from safety_check.physics.passage import time_to_return

KAYAK = cruising(1.25, 4.5, 0.50, 22.0)
CALM, NORTH = np.zeros(1), np.zeros(1)


def made_good(along: float, across: float, wind: float = 0.0) -> float:
    met = CurrentOnCourse(np.array([along]), np.array([across]))
    return float(speed_made_good(np.array([wind]), NORTH, NORTH, KAYAK, current=met)[0])


def test_no_current_is_still_water():
    still = speed_made_good(np.array([4.0]), NORTH, NORTH, KAYAK)

    assert made_good(0.0, 0.0, 4.0) == still[0]


def test_at_half_the_speed_a_return_trip_takes_a_third_longer():
    # D / (V - U) + D / (V + U) against 2 D / V with U = V / 2
    way = sum(1000 / made_good(along, 0.0) for along in (-0.625, 0.625))

    assert way / (2000 / made_good(0.0, 0.0)) == pytest.approx(4 / 3, rel=1e-5)


def test_against_the_speed_of_the_craft_nobody_gets_home():
    assert made_good(-1.25, 0.0) < 1e-5  # as the speed is bisected
    assert made_good(0.0, 1.26) < 0
    home = time_to_return(np.full((4, 1), made_good(-1.3, 0.0)), np.array([100.0]))
    assert np.isinf(home).all()


def test_the_bow_points_into_the_current():
    # 3-4-5: across 0.75 with 1.25 through the water leaves 1.0 on the course
    angle = ferry_angle(np.array(1.25), CurrentOnCourse(np.array(0.0), np.array(0.75)))

    assert angle == pytest.approx(36.87, abs=0.01)
    assert made_good(0.0, 0.75) == pytest.approx(1.0, abs=1e-5)


def test_an_unknown_current_is_unknown():
    unknown = CurrentOnCourse(np.array([np.nan]), np.array([0.0]))

    assert np.isnan(speed_made_good(CALM, NORTH, NORTH, KAYAK, current=unknown)).all()
    assert np.isnan(ferry_angle(np.array([1.0, np.nan]), CurrentOnCourse(
        np.zeros(2), np.array([np.nan, 0.0])))).all()  # fmt: skip
    assert np.isnan(wind_over_water(np.array(5.0), np.array(np.nan), np.zeros(1), np.zeros(1)))


def test_wind_against_a_current_is_stronger_over_the_water():
    # 12 kt against 3 kt acts like 15 kt; across it like the root of the sum of squares
    over = wind_over_water(
        np.array(12.0), np.array([180.0, 0.0, 90.0]), np.zeros(3), np.full(3, -3.0)
    )

    assert over == pytest.approx([15.0, 9.0, np.sqrt(153)], rel=1e-12)


@given(east=st.floats(-3, 3), north=st.floats(-3, 3), course=st.floats(0, 360))
def test_a_current_is_as_strong_whatever_the_course(east, north, course):
    met = current_on_course(np.array(east), np.array(north), np.array(course))

    assert np.hypot(*met) == pytest.approx(np.hypot(east, north), abs=1e-9)


@given(
    along=st.floats(-2, 0),
    across=st.floats(-2, 2),
    more=st.floats(0, 1),
    wind=st.floats(0, 10),
)
def test_more_current_against_or_across_is_never_faster(along, across, more, wind):
    here = made_good(along, across, wind)

    assert made_good(along - more, across, wind) <= here + 1e-9
    assert made_good(along, across + np.copysign(more, across), wind) <= here + 1e-9

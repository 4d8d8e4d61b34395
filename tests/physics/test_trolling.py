"""What a trolling speed costs up, down and across the wind."""

from __future__ import annotations

import numpy as np
import pytest

from safety_check.physics.drive import HARD_HOUR, Drive, cruising
from safety_check.physics.paddling import speed_through_water, wave_factor
from safety_check.physics.trolling import effort_to_hold

NORTH = np.array(0.0)
SIT_ON_TOP = cruising(1.25, 4.5, 0.50, 22.0)
PACE = 0.67056  # m/s: 1.5 mph, the middle of the default band


def test_holding_the_cruise_speed_in_calm_takes_the_cruise():
    assert effort_to_hold(1.25, np.array(0.0), NORTH, NORTH, SIT_ON_TOP) == pytest.approx(1.0)


@pytest.mark.parametrize("wind", [0.0, 2.0, 4.0, 5.4, 7.0])
def test_the_effort_is_the_one_that_reaches_that_speed_in_the_waves_of_that_wind(wind):
    effort = effort_to_hold(PACE, np.array(wind), NORTH, NORTH, SIT_ON_TOP).item()

    pushed = Drive(effort * SIT_ON_TOP.power, 4.5, 0.50, 22.0)
    flat = speed_through_water(np.array(wind), NORTH, NORTH, pushed)
    in_waves = flat * wave_factor(np.array(wind))
    assert in_waves == pytest.approx(PACE, abs=1e-5)  # what the bisection leaves


def test_trolling_up_the_wind_needs_more_effort_than_across_and_across_more_than_down():
    up, across, down = effort_to_hold(
        PACE, np.array(5.0), NORTH, np.array([0.0, 90.0, 180.0]), SIT_ON_TOP
    )

    assert down < across < up < HARD_HOUR


def test_down_a_strong_wind_the_craft_must_be_held_back():
    assert effort_to_hold(PACE, np.array(7.0), NORTH, np.array(180.0), SIT_ON_TOP) < 0


def test_a_wind_beyond_the_thrust_asks_for_endless_effort():
    assert effort_to_hold(PACE, np.array(12.0), NORTH, NORTH, SIT_ON_TOP) == np.inf


def test_more_headwind_never_needs_less_effort():
    effort = effort_to_hold(PACE, np.linspace(0, 20, 200), NORTH, NORTH, SIT_ON_TOP)

    assert (effort[1:] >= effort[:-1]).all()


@pytest.mark.parametrize(
    ("speed", "wind", "drive"),
    [
        (0.0, 3.0, SIT_ON_TOP),
        (np.nan, 3.0, SIT_ON_TOP),
        (PACE, np.nan, SIT_ON_TOP),
        (PACE, -1.0, SIT_ON_TOP),
        (PACE, 3.0, cruising(0.0, 4.5, 0.5, 22.0)),
    ],
)
def test_what_is_unknown_or_absurd_stays_unknown(speed, wind, drive):
    assert np.isnan(effort_to_hold(speed, np.array(wind), NORTH, NORTH, drive))

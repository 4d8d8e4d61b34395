"""Speeds of a known craft give that craft back, and its own limits are where its speed halves."""

from __future__ import annotations

import numpy as np
import pytest

from safety_check.physics import own_speed
from safety_check.physics.drive import Drive, cruising
from safety_check.physics.own_speed import (
    fit_own_speed,
    own_wind_limits,
    wind_at_share_of_cruise,
)
from safety_check.physics.paddling import speed_made_good

KAYAK = cruising(1.25, 4.5, 0.50, 22.0)
COURSE = np.arange(0.0, 360.0, 30.0)
WIND = 5.0, 40.0  # m/s, from


def track(craft: Drive, course: np.ndarray = COURSE) -> np.ndarray:
    """Return the speeds of a craft on some courses, all round the compass if not told which."""
    return speed_made_good(np.full(course.shape, WIND[0]), np.array(WIND[1]), course, craft)


@pytest.mark.parametrize("share", [1 / 3, 1 / 2, 0.9])
def test_a_share_of_the_cruise_is_left_in_the_first_tenth_of_wind_that_leaves_less(share):
    ahead, calm = np.zeros(1), speed_made_good(np.zeros(1), np.zeros(1), np.zeros(1), KAYAK)

    wind = wind_at_share_of_cruise(KAYAK, share)

    before, there = speed_made_good(np.array([wind - 0.1, wind]), ahead, ahead, KAYAK)
    assert there < share * calm[0] <= before


def test_a_craft_that_no_wind_slows_so_far_has_the_strongest_wind_that_is_tried():
    assert wind_at_share_of_cruise(cruising(1.25, 4.5, 0.0, 900.0), 0.1) == pytest.approx(19.9)


def test_the_way_home_is_slow_at_a_half_and_doubtful_at_a_third_of_the_cruise():
    half, third = (wind_at_share_of_cruise(KAYAK, share) for share in (1 / 2, 1 / 3))

    assert own_wind_limits(KAYAK) == (half, third)
    assert half < third


@pytest.fixture
def few_tries(monkeypatch):
    """Try nine crafts in place of 384, which takes seconds."""
    monkeypatch.setattr(own_speed, "CRUISES", np.array([0.9, 1.0, 1.1]))
    monkeypatch.setattr(own_speed, "AREAS", np.array([0.5, 1.0, 1.5]))


@pytest.mark.usefixtures("few_tries")
def test_the_speeds_of_a_known_craft_give_that_craft_back():
    paddled = cruising(1.1 * 1.25, 4.5, 1.5 * 0.50, 22.0)

    found = fit_own_speed(track(paddled), COURSE, *WIND, 1.25, KAYAK)

    assert found.best == found.worst == paddled
    assert found.cruise_speed == found.least_cruise_speed == pytest.approx(1.1 * 1.25)
    assert found.misfit == 0.0


@pytest.mark.usefixtures("few_tries")
def test_a_cruise_beyond_the_crafts_thrust_shows_that_the_thrust_is_greater():
    weak = cruising(1.25, 4.5, 0.50, 5.0)
    found = fit_own_speed(track(KAYAK), COURSE, *WIND, 1.25, weak)

    assert found.best.greatest_thrust == pytest.approx(found.best.power / found.cruise_speed)
    assert found.best.greatest_thrust > 5.0


@pytest.mark.usefixtures("few_tries")
@pytest.mark.parametrize("count", [12, 4])
def test_what_fits_about_as_well_is_within_two_standard_deviations(count):
    # By hand, for n stretches: a sum of squares of at most 1 + 2 / (n - 2) times the least.
    course = COURSE[:: 12 // count]
    speed = track(KAYAK, course) + 0.15 * np.random.default_rng(2).normal(size=count)
    tried = {
        cruise: {area: cruising(cruise * 1.25, 4.5, area * 0.5, 22.0) for area in (0.5, 1.0, 1.5)}
        for cruise in (0.9, 1.0, 1.1)
    }
    left = {
        (cruise * 1.25, craft): ((speed - track(craft, course)) ** 2).sum()
        for cruise, crafts in tried.items()
        for craft in crafts.values()
    }
    least = min(left.values())
    good = [one for one, squares in left.items() if squares <= least * (1 + 2 / (count - 2))]

    found = fit_own_speed(speed, course, *WIND, 1.25, KAYAK)

    assert 1 < len(good) < 9
    assert left[found.cruise_speed, found.best] == least
    assert found.misfit == pytest.approx(np.sqrt(least / count))
    assert found.least_cruise_speed == min(cruise for cruise, _ in good)
    assert own_wind_limits(found.worst)[0] == min(own_wind_limits(craft)[0] for _, craft in good)

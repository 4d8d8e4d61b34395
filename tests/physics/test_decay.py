"""What is left of a sea without wind: against the law of growth, and a walk second by second."""

from __future__ import annotations

import numpy as np
import pytest

from safety_check.physics.decay import left_after_an_hour, old_sea_period
from safety_check.physics.waves import peak_period, significant_height

WHITECAPS = 2.36e-5  # of the energy, a radian; WAM cycle 3 (Komen et al. 1984, second-hand)
MEAN_OVER_PEAK = 0.857  # period of the Pierson-Moskowitz spectrum (from memory)


@pytest.mark.parametrize("wind", [2.0, 8.0, 20.0])
def test_an_old_sea_has_the_period_of_the_fully_grown_sea_of_its_height(wind):
    height, period = significant_height(wind, np.inf), peak_period(wind, np.inf)

    assert old_sea_period(height**2) == pytest.approx(period, rel=1e-9)


def test_a_metre_of_old_sea_has_a_period_of_five_seconds():
    # By hand: 7.69 √(H / 0.24 g) with H = 1 m and g = 9.81 m/s².
    assert old_sea_period(np.array(1.0)) == pytest.approx(5.0117, abs=1e-4)


@pytest.mark.parametrize("height", [0.3, 1.0, 2.5])
def test_far_from_shore_a_sea_loses_its_whitecaps_alone(height):
    period = 7.69 * np.sqrt(height / (0.24 * 9.81))

    left = left_after_an_hour(np.array(height**2), np.array(1e12))

    lost = WHITECAPS * 2 * np.pi / (MEAN_OVER_PEAK * period) * 3600
    assert left == pytest.approx(height**2 * np.exp(-lost))


@pytest.mark.parametrize("fetch", [2e3, 20e3, 100e3])
def test_near_the_shore_it_also_travels_away_at_its_group_speed(fetch):
    # dE/dt = -c E / R second by second; c is g T / 4 π, and T goes with the root of the height.
    energy = 1.0
    for _ in range(3600):
        period = 7.69 * np.sqrt(np.sqrt(energy) / (0.24 * 9.81))
        energy -= energy * 9.81 * period / (4 * np.pi) / fetch

    near, far = left_after_an_hour(np.array(1.0), np.array([fetch, 1e12]))

    assert near / far == pytest.approx(energy, rel=3e-3)  # of the steps of a second


def test_of_flat_water_nothing_is_left_and_at_the_shore_all_but_nothing():
    left = left_after_an_hour(np.array([0.0, 1.0, np.nan]), np.array([5e3, 0.0, 5e3]))

    assert left[0] == 0
    assert left[1] < 1e-9
    assert np.isnan(left[2])

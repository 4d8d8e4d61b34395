"""The strength behind a cruise speed."""

from __future__ import annotations

import numpy as np
import pytest

from safety_check.physics.drive import AIR_DENSITY, HARD_HOUR, Drive, cruise_power, cruising, hard
from safety_check.physics.paddling import speed_through_water
from safety_check.units import KNOT

CALM = NORTH = np.array(0.0)
SIT_ON_TOP = cruising(1.25, 4.5, 0.50, 22.0)


def test_cruise_power_is_what_drives_the_craft_at_its_cruise_speed():
    power = cruise_power(1.25, 4.5, 0.50)

    assert power == pytest.approx((4.5 + 0.5 * AIR_DENSITY * 0.50) * 1.25**3, rel=1e-12)
    assert speed_through_water(CALM, NORTH, NORTH, SIT_ON_TOP) == pytest.approx(1.25, abs=1e-5)
    assert hard(SIT_ON_TOP).power == HARD_HOUR * power


# Published hull table of single sea kayaks (second-hand): 3.60 to 5.20 N at 3 kt are 5.6 to 8.0 W.
@pytest.mark.parametrize(("force", "watts"), [(3.60, 5.6), (5.20, 8.0)])
def test_cruise_power_agrees_with_published_hull_drag(force, watts):
    three_knots = 3 * KNOT

    power = cruise_power(three_knots, force / three_knots**2, 0.0)

    assert power == pytest.approx(watts, abs=0.05)  # printed to a tenth


def test_a_hard_hour_keeps_hull_and_thrust():
    assert hard(Drive(10.0, 4.5, 0.5, 22.0)) == Drive(25.0, 4.5, 0.5, 22.0)


@pytest.mark.parametrize("cruise", [0.0, -1.0, 10.1, np.nan, np.inf])
def test_an_implausible_cruise_speed_has_no_power(cruise):
    assert np.isnan(cruise_power(cruise, 4.5, 0.5))
    assert not cruising(cruise, 4.5, 0.5, 22.0).able

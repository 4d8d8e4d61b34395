"""Waves on a current: printed and independent values, breaking, and the order of currents."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.physics.waves import GRAVITY
from safety_check.physics.waves_on_current import ratios_on_current, waves_on_current

# Our own output of the closed form of Longuet-Higgins and Stewart, 1961, for deep water:
# c / c0 = (1 + sqrt(1 + 4 U / c0)) / 2, H / H0 = c0 / sqrt(c (c + 2 U)); the program solves the
# two equations numerically instead. U / c0, L / L0, H / H0, steepness.
DEEP = [
    (0.20, 1.3708, 0.7374, 0.5379),
    (0.10, 1.1916, 0.8422, 0.7068),
    (-0.02, 0.9596, 1.0423, 1.0862),
    (-0.05, 0.8972, 1.1163, 1.2442),
    (-0.10, 0.7873, 1.2805, 1.6265),
    (-0.15, 0.6662, 1.5405, 2.3123),
    (-0.20, 0.5236, 2.0665, 3.9467),
]


@pytest.mark.parametrize(("share", "length", "height", "steepness"), DEEP)
@pytest.mark.parametrize("period", [2.0, 7.0])
def test_deep_water_agrees_with_the_closed_form(period, share, length, height, steepness):
    speed = GRAVITY * period / (2 * np.pi)

    found = ratios_on_current(np.array(period), np.array(share * speed))

    assert found[0] == pytest.approx(height, abs=1e-4)  # as printed, four decimals
    assert found[1] == pytest.approx(length, abs=1e-4)
    assert found[0] / found[1] == pytest.approx(steepness, abs=2e-4)


def bisected(of: Callable[[float], float], low: float, high: float) -> float:
    """Root of a function that changes sign once."""
    rising = of(high) > 0
    for _ in range(200):
        middle = (low + high) / 2
        low, high = (low, middle) if (of(middle) > 0) == rising else (middle, high)
    return low


@pytest.mark.parametrize("depth", [1.0, 3.0, 8.0, np.inf])
@pytest.mark.parametrize("against", [0.0, 0.2, 0.4])
def test_an_independent_solver_finds_the_same_wave(depth, against):
    period, omega = 4.0, 2 * np.pi / 4.0

    def sigma(k: float) -> float:
        return float(np.sqrt(GRAVITY * k * np.tanh(min(k * depth, 300.0))))

    def group(k: float) -> float:
        return (sigma(k * 1.00001) - sigma(k * 0.99999)) / (0.00002 * k)

    crest = bisected(lambda k: group(k) - against, 1e-3, 300.0) if against else 300.0
    still = bisected(lambda k: sigma(k) - omega, 1e-3, 300.0)
    k = bisected(lambda k: sigma(k) - k * against - omega, 1e-3, crest)
    action = group(still) / omega / ((group(k) - against) / sigma(k))

    height, length = ratios_on_current(np.array(period), np.array(-against), depth)

    assert height == pytest.approx(np.sqrt(action), rel=1e-4)  # of the difference quotient
    assert length == pytest.approx(still / k, rel=1e-6)


def test_the_example_of_the_coastal_engineering_manual():
    # EM 1110-2-1100 part II, ch. 6, 2002, example II-6-4: T = 5 s, H = 1 m, d = 5 m, against
    # 1 m/s: 1.35 from a graph. Linear wave action gives 1.41, or 1.30 with the shoaling counted;
    # graph and law may differ by as much.
    met = waves_on_current(np.array(1.0), np.array(5.0), np.array(-1.0), 5.0)

    assert 1.28 <= met.height <= 1.45
    assert met.breaking == 0


def test_beyond_the_range_of_the_law_waves_break():
    deep_speed = GRAVITY * 3.0 / (2 * np.pi)

    met = waves_on_current(
        np.array(0.1), np.array(3.0), deep_speed * np.array([-0.149, -0.151, -0.3, -2.0])
    )

    assert met.breaking.tolist() == [0, 1, 1, 1]
    assert met.height_ratio[1:] == pytest.approx(1.5405, abs=1e-4)
    assert np.all(met.height >= 0.1)


def test_a_steep_wave_breaks_before_the_current_stops_it():
    met = waves_on_current(np.array([0.2, 1.3]), np.array(3.0), np.array(-0.5))

    assert met.breaking.tolist() == [0, 1]
    assert 1.3 < met.height[1] < 1.3 * met.height_ratio[1]


@pytest.mark.parametrize("depth", [1.0, 4.0, np.inf])
def test_on_still_water_a_wave_breaks_at_the_limit_of_miche(depth):
    # H / L = 0.142 tanh kd, with k from the dispersion relation by bisection: 1.995 m where deep.
    omega = 2 * np.pi / 3.0
    k = bisected(lambda k: GRAVITY * k * np.tanh(min(k * depth, 300.0)) - omega**2, 1e-3, 300.0)
    limit = 0.142 * 2 * np.pi / k * np.tanh(min(k * depth, 300.0))

    met = waves_on_current(limit * np.array([0.999, 1.001]), np.array(3.0), np.array(0.0), depth)

    assert met.breaking.tolist() == [0, 1]
    assert met.height_ratio == pytest.approx([1.0, 1.0])
    if np.isinf(depth):
        assert limit == pytest.approx(1.995, abs=1e-3)


def test_a_wave_that_broke_on_the_way_keeps_the_height_at_which_it_broke():
    # In steps of a fortieth of its speed: at each the lower of its height and the limit, and the
    # highest of these and of the wave on still water.
    speed, height = GRAVITY * 3.0 / (2 * np.pi), 1.3
    tried = []
    for share in (0.025, 0.05, 0.075, 0.1, 0.125, 0.14):
        ratio, length = ratios_on_current(np.array(3.0), np.array(-share * speed))
        tried.append(min(height * ratio, 0.142 * length * 2 * np.pi * speed**2 / GRAVITY))

    met = waves_on_current(np.array(height), np.array(3.0), np.array(-0.14 * speed))

    assert met.breaking == 1
    assert met.height == pytest.approx(max(height, *tried))


def test_in_shallow_water_a_current_that_stops_the_waves_is_seen():
    # waves of 12 s over 0.3 m run at 1.7 m/s; 15 % of their deep speed is 2.8 m/s
    met = waves_on_current(np.array(0.02), np.array(12.0), np.array(-2.0), 0.3)

    assert met.breaking == 1
    assert np.isinf(met.steepness_ratio)
    assert np.isfinite(met.height)


def test_a_following_current_gives_no_credit():
    met = waves_on_current(np.array(0.5), np.array(4.0), np.array([0.0, 0.5, 3.0]))

    assert met.height.tolist() == [0.5, 0.5, 0.5]
    assert met.steepness_ratio == pytest.approx(1.0, rel=1e-12)


def test_flat_water_stays_flat_and_unknown_stays_unknown():
    met = waves_on_current(
        np.array([0.0, np.nan, 0.3, 0.3]),
        np.array([0.0, 3.0, np.nan, 3.0]),
        np.array([-1.0, -1.0, -1.0, np.nan]),
    )

    assert met.height[0] == 0
    assert met.breaking[0] == 0
    for part in met:
        assert np.isnan(part[1:]).all()


@given(
    height=st.floats(0.01, 3),
    period=st.floats(0.8, 12),
    along=st.floats(-4, 1),
    more=st.floats(0, 2),
    depth=st.sampled_from([0.5, 2.0, 10.0, np.inf]),
)
def test_more_current_against_the_waves_is_never_lower_or_less_steep(
    height, period, along, more, depth
):
    weaker, stronger = (
        waves_on_current(np.array(height), np.array(period), np.array(speed), depth)
        for speed in (along, along - more)
    )

    assert stronger.height >= weaker.height * (1 - 1e-3)  # broken on the way: steps of 0.025
    assert stronger.steepness_ratio >= weaker.steepness_ratio * (1 - 1e-9)
    assert stronger.breaking >= weaker.breaking

"""Wave length, steepness, breaking and whitecaps against printed values."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.physics.wave_shape import (
    depth_limited_height,
    highest_tenth,
    steepness,
    wavelength,
    whitecap_fraction,
)
from safety_check.physics.waves import GRAVITY, peak_period, significant_height


def test_dispersion_matches_the_manuals_example():
    # Coastal Engineering Manual, EM 1110-2-1100, part II, ch. 1, example II-1-1: a wave of
    # 10 s over 3 m has d/L 0.05641, L 53.2 m, C 5.32 m/s.
    length = float(wavelength(10.0, 3.0))

    assert 3.0 / length == pytest.approx(0.05641, rel=1e-3)  # read from a table of 4 digits
    assert length == pytest.approx(53.2, rel=1e-3)
    assert length / 10.0 == pytest.approx(5.32, rel=1e-3)


def test_dispersion_matches_the_handbooks_table():
    # Shore Protection Manual, 1984, table C-1 (from memory): d/L0 0.1 has d/L 0.1410 and
    # tanh kd 0.7093.
    period = 2 * np.pi
    deep = GRAVITY * period**2 / (2 * np.pi)
    length = float(wavelength(period, 0.1 * deep))

    assert 0.1 * deep / length == pytest.approx(0.1410, abs=1e-4)
    assert np.tanh(2 * np.pi * 0.1 * deep / length) == pytest.approx(0.7093, abs=1e-4)


@given(st.floats(0.2, 30), st.floats(0.001, 10_000))
def test_every_length_satisfies_the_dispersion_relation(period, depth):
    wave_number = 2 * np.pi / wavelength(period, depth)
    squared = GRAVITY * wave_number * np.tanh(wave_number * depth)

    assert squared == pytest.approx((2 * np.pi / period) ** 2, rel=1e-11)  # stated: 1e-12 of L


@given(st.floats(0.2, 30), st.floats(1e-9, 1e9))
def test_a_wave_is_longest_over_deep_water(period, depth):
    assert wavelength(period, depth) <= wavelength(period) * (1 + 1e-12)


def test_a_length_that_makes_no_sense_is_unknown():
    periods, depths = [np.nan, -1.0, 3.0, 3.0, 3.0], [2.0, 2.0, 0.0, -1.0, np.nan]

    assert np.isnan(wavelength(periods, depths)).all()
    assert wavelength(0.0, 5.0) == 0


def test_lake_waves_are_steep():
    # Steepness 0.045 to 0.058 for ten cases between 3 and 15 m/s; not published: computed
    # beforehand by another program.
    wind = np.array([3, 5, 5, 6.7, 8, 8, 10, 10, 12, 15])
    fetch = np.array([1e3, 500, 2e3, 3e3, 1e3, 5e3, 5e3, 1e4, 3e3, 2e4])
    depth = np.array([10.0, 3, 10, 5, 2, 10, 10, 30, 8, 30])
    length = wavelength(peak_period(wind, fetch, depth), depth)
    ratio = steepness(significant_height(wind, fetch, depth), length)

    assert ratio.min() > 0.045
    assert ratio.max() < 0.059  # the shallowest of them: 0.0584


def test_steepness_needs_a_wave_and_its_length():
    assert steepness(0.0, 0.0) == 0
    assert np.isnan(steepness([0.3, np.nan, 0.3, -0.1], [0.0, 5.0, np.nan, 5.0])).all()


def test_the_bed_breaks_a_sea_of_about_half_the_depth():
    assert depth_limited_height(2.0) == pytest.approx(1.1)
    assert np.isnan(depth_limited_height([0.0, -1.0, np.nan])).all()


def test_the_highest_tenth_stands_a_quarter_above():
    # Rayleigh's distribution: erfc and exp give 1.2724; in print as 1.27.
    assert highest_tenth(1.0) == pytest.approx(1.2724, abs=0.003)
    assert np.isnan(highest_tenth([-0.1, np.nan])).all()


def test_whitecaps_cover_what_the_law_says():
    # Monahan and O'Muircheartaigh 1980, W = 3.84e-6 U^3.41; values computed apart.
    covered = whitecap_fraction([3.0, 5.0, 7.0, 10.0, 15.0])

    assert covered == pytest.approx([0.00016, 0.00093, 0.0029, 0.0099, 0.039], rel=0.03)


def test_whitecaps_do_not_grow_beyond_the_law_nor_from_nothing():
    assert whitecap_fraction(50.0) == whitecap_fraction(20.0)
    assert np.isnan(whitecap_fraction([np.nan, -2.0])).all()

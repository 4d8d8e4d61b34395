"""Gust factors and means against the manuals' own numbers."""

from __future__ import annotations

import numpy as np
import pytest

from safety_check.physics.gusts import GUST_FACTORS, gust_factor, mean_ratio_cem

# CEM part II, ch. 2: 300 s about 1.09 (example II-2-1); 5400 and 10 800 s (example II-2-2);
# 600 s 1.05 (table II-8-8). Tolerances are half the last printed digit.
PUBLISHED = [(300, 1.09, 0.005), (600, 1.05, 0.005), (5400, 0.9735, 5e-5), (10_800, 0.9284, 5e-5)]


@pytest.mark.parametrize(("period", "ratio", "half_digit"), PUBLISHED)
def test_means_of_other_periods_match_the_manual(period, ratio, half_digit):
    assert mean_ratio_cem(np.array(period)) == pytest.approx(ratio, abs=half_digit)


def test_five_minute_winds_become_hourly_winds_as_in_the_manual():
    # CEM example II-2-1: 20.3, 24.8, 28.2 m/s over 5 min are 18.6, 22.8, 25.9 over the hour.
    hourly = np.array([20.3, 24.8, 28.2]) / mean_ratio_cem(np.array(300.0))

    # Printed to a tenth, and the manual divides by 1.09, its ratio already rounded.
    assert hourly == pytest.approx([18.6, 22.8, 25.9], abs=0.05 + 25.9 * 0.0005)


def test_a_three_hour_wind_becomes_a_ninety_minute_wind_as_in_the_manual():
    # CEM example II-2-2: ratio 1.048, so 19.9 m/s over 3 h are 20.8 over 90 min.
    ratio = mean_ratio_cem(np.array(5400.0)) / mean_ratio_cem(np.array(10_800.0))

    assert ratio == pytest.approx(1.048, abs=0.001)
    assert 19.9 * ratio == pytest.approx(20.8, abs=0.1)  # the manual rounds down midway


def test_means_of_other_periods_match_an_independent_computation():
    # Not published: the same form, computed beforehand by an independent program.
    periods = np.array([3, 10, 30, 60, 120, 180, 300, 600, 1800, 3600, 5400, 10_800])
    ratios = [1.509, 1.433, 1.324, 1.244, 1.169, 1.131, 1.091, 1.050, 1.012, 1.0, 0.974, 0.928]

    assert mean_ratio_cem(periods) == pytest.approx(ratios, abs=0.001)  # three printed digits


def test_shorter_means_are_higher_without_a_jump_at_the_hour():
    periods = np.geomspace(1.01, 36_000, 2000)

    steps = np.diff(mean_ratio_cem(periods))

    # The manual's two forms meet at the hour to within 0.0003, the upper one higher.
    assert (steps < 0.0004).all()
    assert (np.delete(steps, np.searchsorted(periods, 3600) - 1) < 0).all()
    assert (steps > -0.002).all()


@pytest.mark.parametrize("period", [np.nan, -3.0, 0.0, 1.0, 40_000.0])
def test_outside_the_manuals_range_the_ratio_is_unknown(period):
    assert np.isnan(mean_ratio_cem(np.array(period)))


# WMO/TD-No. 1555 (2010), 3-second gust over the 10-minute mean.
@pytest.mark.parametrize(
    ("exposure", "factor"),
    [("inland", 1.66), ("offshore wind", 1.52), ("onshore wind", 1.38), ("open sea", 1.23)],
)
def test_gust_factors_match_the_guideline(exposure, factor):
    assert gust_factor(exposure, 600) == factor


def test_rougher_ground_and_longer_means_make_larger_gust_factors():
    table = np.array([list(row.values()) for row in GUST_FACTORS.values()])

    assert (np.diff(table, axis=0) < 0).all()
    assert (np.diff(table, axis=1) < 0).all()


def test_an_untabled_gust_factor_is_unknown():
    assert np.isnan(gust_factor("open sea", 900))
    assert np.isnan(gust_factor("forest", 600))

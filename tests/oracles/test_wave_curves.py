"""The growth law on a grid of winds, fetches and depths, against published curves."""

from __future__ import annotations

import numpy as np
import pytest

from benchmarks.other_growth_laws import (
    jonswap1973,
    kahma_calkoen1992,
    smb,
    wilson1965,
    young_verhagen1996,
)
from safety_check.physics.waves import peak_period, significant_height

WIND, FETCH = np.meshgrid(np.geomspace(3, 20, 25), np.geomspace(100, 40_000, 40))  # m/s, m
SCALED_FETCH = 9.81 * FETCH / WIND**2
DEPTHS = (0.5, 1.0, 2.0, 5.0, 10.0)  # m


def test_deep_water_follows_the_composite_curve_until_the_sea_is_nearly_grown() -> None:
    growing = SCALED_FETCH < 3_000
    height, period = (values[growing] for values in kahma_calkoen1992(WIND, FETCH))
    # The curve's powers of the fetch are 0.45 and 0.27, the law's 0.452 and 0.271.
    np.testing.assert_allclose(significant_height(WIND, FETCH)[growing], height, rtol=0.02)
    np.testing.assert_allclose(peak_period(WIND, FETCH)[growing], period, rtol=0.01)


def test_on_lakes_it_lies_among_three_families_and_above_the_low_ones() -> None:
    lake = (FETCH >= 1_000) & (FETCH <= 20_000) & (WIND >= 5) & (WIND <= 15)
    ours = significant_height(WIND, FETCH)[lake]
    families = np.stack([ours, smb(WIND, FETCH)[0][lake], wilson1965(WIND, FETCH)[0][lake]])
    # Fitted apart, on other waters: their own spread is a tenth.
    np.testing.assert_allclose(
        families, np.broadcast_to(families.mean(0), families.shape), rtol=0.1
    )
    assert (ours > jonswap1973(WIND, FETCH)[0][lake]).all()


@pytest.mark.parametrize("depth", DEPTHS)
def test_over_a_shoal_it_ends_at_the_limit_measured_on_a_shallow_lake(depth: float) -> None:
    far = 1e9  # m; growth is complete
    wind = np.geomspace(3, 20, 25)
    # Lake George; the law is a later fit to the same data, a tenth apart at most.
    limit, _ = young_verhagen1996(wind, far, depth)
    np.testing.assert_allclose(significant_height(wind, far, depth), limit, rtol=0.1)

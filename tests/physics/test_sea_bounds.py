"""The quick bounds of the sea lie on either side of the sea itself."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from safety_check.physics.growth_through_hours import height_through_hours
from safety_check.physics.sea_bounds import most_sea, no_sea
from tests.properties import cases

AROUND = np.arange(0.0, 360.0, 15.0)
ROUNDED = 1 + 1e-9
hundredths = st.integers(0, 2000).map(lambda number: number / 100)  # m/s
winds = arrays(float, (2, 12), elements=hundredths | st.just(np.nan))
directions = arrays(float, (2, 12), elements=st.floats(0.0, 359.0) | st.just(np.nan))
fetches = arrays(float, 24, elements=st.floats(0.0, 40_000.0))


@cases(60)
@given(winds, directions, fetches, st.sampled_from([1.0, 10.0, np.inf]))
def test_no_sea_is_outside_the_two_bounds(
    wind: np.ndarray, direction: np.ndarray, fetch: np.ndarray, depth: float
) -> None:
    inputs = wind, direction, AROUND, fetch, depth
    low, exact, high = (law(*inputs) for law in (no_sea, height_through_hours, most_sea))
    np.testing.assert_array_equal(np.isnan(low), np.isnan(exact))
    np.testing.assert_array_equal(np.isnan(high), np.isnan(exact))
    known = ~np.isnan(exact)
    assert (low[known] == 0).all()
    assert (exact[known] <= ROUNDED * high[known]).all()


def test_in_steady_wind_along_a_long_lake_the_upper_bound_is_not_far_above_the_sea() -> None:
    """Not so loose that it says nothing: within a half on round water of four kilometres."""
    wind, north = np.full((1, 12), 8.0), np.zeros((1, 12))
    inputs = wind, north, AROUND, np.full(24, 4000.0)
    ratio = most_sea(*inputs) / height_through_hours(*inputs)
    assert (ratio < 1.5).all()


def test_over_no_depth_nothing_is_known() -> None:
    inputs = np.full((1, 3), 8.0), np.zeros((1, 3)), AROUND, np.full(24, 4000.0), 0.0
    for law in (no_sea, height_through_hours, most_sea):
        assert np.isnan(law(*inputs)).all()

"""The value that a share of the forecasts reaches, against sums done by hand."""

from __future__ import annotations

import numpy as np
import pytest

from safety_check.rules.reached import (
    weighted_low_quantile,
    weighted_quantile,
    weighted_quantiles,
)

VALUES = np.array([4.0, 9.0, 1.0, 6.0])
WEIGHTS = np.array([0.4, 0.1, 0.3, 0.2])
NAN = float("nan")


# Of the weight, 0.1 reaches 9, 0.3 reaches 6, 0.7 reaches 4 and all of it reaches 1.
@pytest.mark.parametrize(
    ("share", "value"),
    [(0.05, 9), (0.1, 9), (0.11, 6), (0.3, 6), (0.31, 4), (0.7, 4), (0.71, 1), (1.0, 1)],
)
def test_at_least_the_share_reaches_the_value(share: float, value: float) -> None:
    assert weighted_quantile(VALUES, WEIGHTS, share) == value
    assert weighted_quantile(VALUES, 5 * WEIGHTS, share) == value  # any sum of weights


# 0.3 falls to 1, 0.7 to 4, 0.9 to 6 and all of it to 9.
@pytest.mark.parametrize(
    ("share", "value"), [(0.3, 1), (0.31, 4), (0.7, 4), (0.71, 6), (0.9, 6), (0.91, 9)]
)
def test_at_least_the_share_falls_to_the_value(share: float, value: float) -> None:
    assert weighted_low_quantile(VALUES, WEIGHTS, share) == value


def test_unknown_counts_as_highest_and_where_low_is_worse_as_lowest() -> None:
    values = np.array([4.0, NAN, 1.0, 6.0])
    assert np.isnan(weighted_quantile(values, WEIGHTS, 0.1))
    assert weighted_quantile(values, WEIGHTS, 0.11) == 6
    assert np.isnan(weighted_low_quantile(values, WEIGHTS, 0.1))
    assert weighted_low_quantile(values, WEIGHTS, 0.11) == 1


def test_several_shares_at_once_are_those_of_each() -> None:
    assert weighted_quantiles(VALUES, WEIGHTS, (0.1, 0.31, 1.0)) == [9, 4, 1]


def test_many_hours_at_once_have_the_values_of_each() -> None:
    hours = np.random.default_rng(5).choice([1.0, 2.0, 3.0, NAN], (4, 20))
    shares = (0.1, 0.5, 0.9)
    together = weighted_quantiles(hours, WEIGHTS, shares)
    for hour in range(20):
        alone = [weighted_quantile(hours[:, hour], WEIGHTS, share) for share in shares]
        np.testing.assert_array_equal([values[hour] for values in together], alone)

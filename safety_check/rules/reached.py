"""What the forecasts reach: a value at a share of their weight."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from safety_check.arrays import FloatArray


def weighted_quantile(values: FloatArray, weights: FloatArray, share: float) -> float:
    """Return the value that at least a share of the weight reaches; NaN counts as highest.

    Examples
    --------
    >>> weighted_quantile(np.array([1.0, 5.0, 3.0]), np.array([0.5, 0.1, 0.4]), 0.1)
    5.0
    """
    return weighted_quantiles(values, weights, (share,))[0]


def weighted_quantiles(
    values: FloatArray, weights: FloatArray, shares: Sequence[float]
) -> list[float]:
    """Return for each share the value that at least so much of the weight reaches."""
    order = np.argsort(np.where(np.isnan(values), np.inf, values), kind="stable")[::-1]
    sums = np.cumsum(weights[order]) / weights.sum()
    return [float(values[order[np.searchsorted(sums, share - 1e-9)]]) for share in shares]


def weighted_low_quantile(values: FloatArray, weights: FloatArray, share: float) -> float:
    """Return the value that at least a share of the weight falls to; NaN counts as lowest."""
    return -weighted_quantile(-values, weights, share)

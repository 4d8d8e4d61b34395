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
    return float(weighted_quantiles(values, weights, (share,))[0])


def weighted_quantiles(
    values: FloatArray, weights: FloatArray, shares: Sequence[float]
) -> list[FloatArray]:
    """Return for each share the values that at least so much of the weight reaches.

    Parameters
    ----------
    values : array (member, ...)
        NaN counts as highest.
    weights : array (member,)
        With any sum.
    shares
        Above 0, at most 1. [1]

    Returns
    -------
    list of array (...)
    """
    order = np.argsort(np.where(np.isnan(values), np.inf, values), axis=0, kind="stable")[::-1]
    falling = np.take_along_axis(values, order, axis=0)
    sums = np.cumsum(weights[order], axis=0) / weights.sum()
    places = [(sums < share - 1e-9).sum(axis=0, keepdims=True) for share in shares]
    return [np.take_along_axis(falling, place, axis=0)[0] for place in places]


def weighted_low_quantile(values: FloatArray, weights: FloatArray, share: float) -> float:
    """Return the value that at least a share of the weight falls to; NaN counts as lowest."""
    return -weighted_quantile(-values, weights, share)

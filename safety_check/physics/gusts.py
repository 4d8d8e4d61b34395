"""Gusts and shorter means against the mean wind."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

from safety_check.arrays import FloatArray

GUST_FACTORS: Mapping[str, Mapping[float, float]] = MappingProxyType(
    {
        "inland": {3600: 1.75, 600: 1.66, 180: 1.58, 120: 1.55, 60: 1.49},
        "offshore wind": {3600: 1.60, 600: 1.52, 180: 1.44, 120: 1.42, 60: 1.36},
        "onshore wind": {3600: 1.45, 600: 1.38, 180: 1.31, 120: 1.28, 60: 1.23},
        "open sea": {3600: 1.30, 600: 1.23, 180: 1.17, 120: 1.15, 60: 1.11},
    }
)
"""Highest 3-second gust over the mean, by exposure and period of the mean [s]. [1]"""


def mean_ratio_cem(period: FloatArray) -> FloatArray:
    """Highest mean over a period against the mean of its hour.

    Parameters
    ----------
    period : array of any shape
        Averaging time. [s]

    Returns
    -------
    array, shape of period
        [1]; NaN outside 1 to 36 000 s.

    References
    ----------
    .. [CEM-II-2] USACE, Coastal Engineering Manual, EM 1110-2-1100, part II, ch. 2, 2003: the
       form below an hour from memory, not read; the form above an hour as in example II-2-2.

    Examples
    --------
    >>> mean_ratio_cem(np.array([3.0, 600.0, 3600.0])).round(2)
    array([1.51, 1.05, 1.  ])
    """
    logarithm = np.log10(np.where((period > 1) & (period <= 36_000), period, np.nan))
    within_hour = 1.277 + 0.296 * np.tanh(0.9 * (np.log10(45.0) - logarithm))
    beyond_hour = 1.5334 - 0.15 * logarithm
    return np.where(period <= 3600, within_hour, beyond_hour)


def gust_factor(exposure: str, period: float) -> float:
    """Highest 3-second gust over the mean of a period.

    Parameters
    ----------
    exposure
        "inland", "offshore wind", "onshore wind" (both at a coast) or "open sea".
    period
        Of the mean: 3600, 600, 180, 120 or 60. [s]

    Returns
    -------
    float
        [1]; NaN for a period or exposure that the table does not have.

    Notes
    -----
    Made for tropical cyclones; on small lakes in thermal weather gusts are stronger.

    References
    ----------
    .. [Harper2010] Harper, Kepert and Ginger, Guidelines for converting between various wind
       averaging periods, WMO/TD-No. 1555, 2010: title page read, values second-hand; the
       hour at open sea from memory, since the copy that was read prints 1.4 there.

    Examples
    --------
    >>> gust_factor("offshore wind", 600)
    1.52
    """
    return GUST_FACTORS.get(exposure, {}).get(period, np.nan)

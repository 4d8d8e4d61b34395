"""The order in which weather codes of WMO table 4677 endanger a small craft."""

from __future__ import annotations

import numpy as np

from safety_check.arrays import FloatArray

FOG = (45, 48)
THUNDER = 95  # and above


def danger(code: float) -> tuple[bool, bool, float]:
    """Return a key that grows with the danger of a code: thunder before fog before rain.

    Examples
    --------
    >>> max([65.0, 45.0, 95.0], key=danger), max([65.0, 45.0], key=danger)
    (95.0, 45.0)
    """
    return code >= THUNDER, code in FOG, code


def more_dangerous(one: FloatArray, other: FloatArray) -> FloatArray:
    """Return in each hour the more dangerous code; NaN where either is unknown."""
    own, others = (
        codes + 100 * np.isin(codes, FOG) + 200 * (codes >= THUNDER) for codes in (one, other)
    )
    known = ~np.isnan(one) & ~np.isnan(other)
    return np.where(known, np.where(others > own, other, one), np.nan)

"""Array types shared by every formula, and the time axis."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime
from typing import Any

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.signedinteger[Any]]
BoolArray = NDArray[np.bool_]
TimeArray = NDArray[np.datetime64]


def hour_axis(start: datetime, end: datetime) -> TimeArray:
    """Return the start of every hour that a span touches, the hour of its end included.

    Examples
    --------
    >>> from datetime import datetime, timezone
    >>> day = datetime(2026, 6, 10, tzinfo=timezone.utc)
    >>> hour_axis(day.replace(hour=5, minute=30), day.replace(hour=7)).astype("datetime64[h]")
    array(['2026-06-10T05', '2026-06-10T06', '2026-06-10T07'],
          dtype='datetime64[h]')
    """
    first, last = (to_datetime64(moment).astype("datetime64[h]") for moment in (start, end))
    return np.arange(first, last + 1).astype("datetime64[s]")


def distinct(values: np.ndarray) -> np.ndarray:
    """Return the distinct values of a row, sorted.

    Asked for the indices too, `np.unique` does without masked arrays, which are slow to import.

    Examples
    --------
    >>> distinct(np.array([3, 1, 3]))
    array([1, 3])
    """
    found: np.ndarray = np.unique(values, return_index=True)[0]
    return found


def one_of(values: FloatArray, some: Iterable[float]) -> BoolArray:
    """Return which values (...) are among some few; NaN never is.

    Like `np.isin`, which imports masked arrays for a short row.

    Examples
    --------
    >>> one_of(np.array([45.0, 3.0, np.nan]), (45, 48))
    array([ True, False, False])
    """
    found = np.zeros(values.shape, dtype=bool)
    for one in some:
        found |= values == one
    return found


def median(values: FloatArray) -> float:
    """Return the middle of a row that is not empty; NaN where a value is.

    Like `np.median`, which imports masked arrays.

    Examples
    --------
    >>> median(np.array([3.0, 1.0, 2.0])), median(np.array([4.0, 1.0]))
    (2.0, 2.5)
    """
    if np.isnan(values).any():
        return float("nan")
    ordered, half = np.sort(values), len(values) // 2
    return float(ordered[half] + ordered[len(values) - 1 - half]) / 2


def to_datetime64(moment: datetime) -> np.datetime64:
    """Return a time-zone-aware moment as UTC, to the second."""
    return np.datetime64(moment.astimezone(UTC).replace(tzinfo=None), "s")


def to_utc(time: np.datetime64) -> datetime:
    """Return an instant of a time axis as a time-zone-aware moment in UTC.

    Examples
    --------
    >>> to_utc(np.datetime64("2026-06-12T09:00")).isoformat()
    '2026-06-12T09:00:00+00:00'
    """
    moment: datetime = time.astype("datetime64[s]").item()
    return moment.replace(tzinfo=UTC)

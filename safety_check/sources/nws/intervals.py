"""Intervals of time as ISO 8601 writes them, and the whole hours that they cover."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from safety_check.arrays import FloatArray, TimeArray
from safety_check.sources.answers import instant

HOUR = timedelta(hours=1)

# What to use where two intervals include one hour: the worse value, or neither.
Choice = Callable[[FloatArray, FloatArray], FloatArray]

_DURATION = re.compile(
    r"P(?=.)(?:(?P<weeks>\d+)W)?(?:(?P<days>\d+)D)?"
    r"(?:T(?=.)(?:(?P<hours>\d+)H)?(?:(?P<minutes>\d+)M)?(?:(?P<seconds>\d+)S)?)?",
    re.ASCII,
)


@dataclass(frozen=True)
class Interval:
    """A span of time, its start included and its end not."""

    start: datetime
    end: datetime


def duration(text: str) -> timedelta | None:
    """Return a length of time written as ISO 8601 does; None where it can't be read.

    Years and months cannot be read, because they have no fixed length. Fractions cannot be read
    either, because no service here writes them.

    Examples
    --------
    >>> duration("P7DT14H")
    datetime.timedelta(days=7, seconds=50400)
    >>> duration("P1M") is None
    True
    """
    found = _DURATION.fullmatch(text)
    try:
        counts = found.groupdict("0").items() if found else None
        return timedelta(**{unit: int(count) for unit, count in counts}) if counts else None
    except (OverflowError, ValueError):
        return None


def interval(text: str) -> Interval | None:
    """Return start/duration or start/end; None where it can't be read or lasts no time.

    Examples
    --------
    >>> interval("2024-02-23T12:00:00+00:00/PT3H").end.isoformat()
    '2024-02-23T15:00:00+00:00'
    """
    first, _, second = text.partition("/")
    start, end, length = instant(first), instant(second), duration(second)
    try:
        end = start + length if start and length else end
    except OverflowError:
        return None
    return Interval(start, end) if start and end and end > start else None


def whole_hours(span: Interval) -> TimeArray:
    """Return the whole hours from the start to the end of a span, both included."""
    start, end = (
        np.datetime64(moment.replace(tzinfo=None), "s") for moment in (span.start, span.end)
    )
    last = -(-end.astype(np.int64) // 3600)
    hours = np.arange(start.astype(np.int64) // 3600, last + 1) * 3600
    return hours.astype("datetime64[s]")


def agreed(one: FloatArray, other: FloatArray) -> FloatArray:
    """Return the value if both are the same, NaN where they differ."""
    return np.where(one == other, one, np.nan)


def expand(parts: Iterable[tuple[Interval, float]], time: TimeArray, choice: Choice) -> FloatArray:
    """Return one value for the hour that starts at each time.

    Parameters
    ----------
    parts
        Intervals and what holds in them, in any order.
    time : array (hour,)
        Whole hours UTC, without a gap. [datetime64[s]]
    choice
        The value to use where two intervals include one hour.

    Returns
    -------
    array (hour,)
        NaN in the gaps between the intervals and outside them: the service gives no value for
        those hours, and the hour before does not replace it.
    """
    values = np.full(len(time), np.nan)
    claimed = np.zeros(len(time), dtype=bool)
    origin = datetime.fromisoformat(f"{time[0]}+00:00")
    for span, value in parts:
        first = max(0, math.floor((span.start - origin) / HOUR))
        last = max(0, math.ceil((span.end - origin) / HOUR))
        old, new = values[first:last], np.full(len(values[first:last]), value)
        values[first:last] = np.where(claimed[first:last], choice(old, new), new)
        claimed[first:last] = True
    return values

"""The part of each hour that a trip is judged in, and the worse end of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from safety_check.arrays import FloatArray, IntArray, TimeArray, to_datetime64
from safety_check.conditions.ensemble import HOUR
from safety_check.model.plan import Plan

LEAD_IN = 24  # hours before the first one whose wind can still be felt in the sea


@dataclass(frozen=True)
class HourParts:
    """Which part of each hour is judged.

    Parameters
    ----------
    first, last : array (..., hour)
        Where the part begins and ends, as shares of the hour, 0 to 1.
    """

    first: FloatArray
    last: FloatArray

    def some(self, hours: slice) -> HourParts:
        """Return the parts of some of the hours."""
        return HourParts(self.first[..., hours], self.last[..., hours])


def whole_hours(count: int) -> HourParts:
    """Return some hours, each judged as a whole."""
    return HourParts(np.zeros(count), np.ones(count))


def return_hours(count: int, margin: float) -> HourParts:
    """Return some hours, each judged from its start on for the margin [s] after a return."""
    return HourParts(np.zeros(count), np.full(count, min(margin / 3600, 1.0)))


def trip_parts(plan: Plan, hours: TimeArray, margin: float) -> HourParts:
    """Return whole hours, those of the trip's start and of its last judged minute in part.

    Parameters
    ----------
    plan
        Its start and end.
    hours : array (hour,)
        Start of each hour.
    margin
        For how long after its end a trip is still judged. [s]
    """
    first = (to_datetime64(plan.start) - hours) / HOUR
    last = (last_judged(plan, margin) - hours) / HOUR
    return HourParts(
        np.where((first > 0) & (first < 1), first, 0.0),
        np.where((last > 0) & (last < 1), last, 1.0),
    )


def last_judged(plan: Plan, margin: float) -> np.datetime64:
    """Return the last instant of a plan that is judged: its end and the margin [s] after it."""
    return to_datetime64(plan.end) + np.timedelta64(round(margin), "s")


def hours_of(plan: Plan, hours: TimeArray, margin: float = 0.0) -> IntArray:
    """Return which hours a trip touches.

    Parameters
    ----------
    plan
        Its start and end.
    hours : array (hour,)
        Start of each hour.
    margin
        For how long after its end a trip is still judged. [s]
    """
    start, end = to_datetime64(plan.start), last_judged(plan, margin)
    return np.flatnonzero((hours > start - HOUR) & (hours < end))


def hour_ends(hours: TimeArray) -> TimeArray:
    """Return the whole hours that bound the hours of a span, and those of the lead-in."""
    return np.arange(hours[0] - LEAD_IN * HOUR, hours[-1] + 2 * HOUR, HOUR)


def max_of_parts(values: FloatArray, parts: HourParts) -> FloatArray:
    """Return the higher of the values at the two ends of each part, from hour ends to hours.

    Parameters
    ----------
    values : array (..., member, instant)
        On `hour_ends`. Between two of them a value is interpolated.
    parts
        The part of each hour that is judged.
    """
    return np.maximum(_value_at(values, parts.first), _value_at(values, parts.last))


def min_of_parts(values: FloatArray, parts: HourParts) -> FloatArray:
    """Return the lower of the values at the two ends of each part, as `max_of_parts`."""
    return np.minimum(_value_at(values, parts.first), _value_at(values, parts.last))


def _value_at(values: FloatArray, share: FloatArray) -> FloatArray:
    start, end = values[..., LEAD_IN:-1], values[..., LEAD_IN + 1 :]
    share = share[..., None, :]
    with np.errstate(invalid="ignore"):  # infinity times a share of none
        between = (1 - share) * start + share * end
    inside: FloatArray = np.where(share <= 0, start, np.where(share >= 1, end, between))
    return inside

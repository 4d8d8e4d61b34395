"""How far from its launch a trip may be at each time: going out, at its reach, coming back."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from safety_check.arrays import FloatArray, TimeArray, to_datetime64, to_utc
from safety_check.conditions.ensemble import HOUR
from safety_check.conditions.hour_parts import hours_of, last_judged, trip_parts
from safety_check.model.place import OpenWater
from safety_check.model.plan import Plan
from safety_check.model.verdict import AssumedCourse

SECOND = np.timedelta64(1, "s")


@dataclass(frozen=True)
class CourseRule:
    """How the distance of a trip from its launch is estimated.

    Parameters
    ----------
    margin
        How late after its end a trip may be back, and is still judged. [s]
    fastest
        The fastest way out or home that is assumed, times the cruise speed. [1]
    """

    margin: float
    fastest: float


def anywhere(count: int) -> FloatArray:
    """Return infinity for each hour: the whole reach counts."""
    return np.full(count, np.inf)


def farthest_in_trip(plan: Plan, hours: TimeArray, rule: CourseRule) -> FloatArray:
    """Return how far from its launch a trip can be in the judged part of each hour.

    Parameters
    ----------
    plan
        Its start and end, and the cruise speed of its craft.
    hours : array (hour,)
        Start of each hour.
    rule
        How it is followed.

    Returns
    -------
    array (hour,)
        [m]; infinite in hours that the trip does not touch, where the whole reach counts.

    Notes
    -----
    This is the farthest place that can have been reached, and from which there is still time to
    be back, at the fastest speed assumed. The reach of the plan limits it further. A later end,
    an earlier start or a faster craft never makes it less.
    """
    parts = trip_parts(plan, hours, rule.margin)
    since = (hours - to_datetime64(plan.start)) / SECOND
    lasts = (last_judged(plan, rule.margin) - to_datetime64(plan.start)) / SECOND
    first, last = (since + share * (HOUR / SECOND) for share in (parts.first, parts.last))
    at = np.clip(lasts / 2, first, last)
    within = rule.fastest * plan.craft.cruise_speed * np.minimum(at, lasts - at)
    touched = np.isin(np.arange(len(hours)), hours_of(plan, hours, rule.margin))
    return np.where(touched, np.maximum(within, 0.0), np.inf)


def farthest_on_return(plan: Plan, count: int, rule: CourseRule) -> FloatArray:
    """Return how far from the launch trips can be that end at the start of each hour."""
    return np.full(count, rule.fastest * plan.craft.cruise_speed * rule.margin)


def farthest_from_shore(water: OpenWater, within: FloatArray) -> FloatArray:
    """Return the greatest distance from shore within a distance of the launch (hour,) [m].

    No place is farther from the shore than its distance from the launch plus the launch's own
    distance from the shore.
    """
    farthest = np.max(water.distance_from_shore)
    at_launch = water.distance_from_shore[0] if len(water.points) > 1 else 0.0
    near: FloatArray = np.minimum(farthest, within + at_launch)
    return near


def water_within(water: OpenWater, far: float) -> OpenWater:
    """Return the places within a distance [m] of the launch, and the next ones to them."""
    away = np.hypot(water.points[:, 0], water.points[:, 1])
    near = away <= far + _spacing(water.points)
    if near.all():
        return water
    return replace(
        water,
        points=water.points[near],
        fetch=water.fetch[:, near],
        radials=water.radials[:, near],
        distance_from_shore=water.distance_from_shore[near],
    )


def _spacing(points: FloatArray) -> float:
    """Return the distance of the most isolated place from the next one. [m]."""
    if len(points) < 2:
        return 0.0
    apart = np.hypot(*(points[:, None, :] - points[None, :, :]).transpose(2, 0, 1))
    np.fill_diagonal(apart, np.inf)
    return float(apart.min(axis=1).max())


def describe_course(plan: Plan, reach: float, rule: CourseRule) -> AssumedCourse:
    """Return how far from the launch a trip is assumed to be, and when.

    Parameters
    ----------
    plan
        Its start and end, and the cruise speed of its craft.
    reach
        The farthest place of the plan from its launch. [m]
    rule
        How it is followed.
    """
    speed = rule.fastest * plan.craft.cruise_speed
    start, end = to_datetime64(plan.start), last_judged(plan, rule.margin)
    farthest = min(reach, speed * float((end - start) / SECOND) / 2)
    way = np.timedelta64(round(farthest / speed), "s")
    return AssumedCourse(farthest, speed, to_utc(start + way), to_utc(end - way))

"""How far from its launch a trip may be at each time: going out, at its reach, coming back."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from safety_check.arrays import BoolArray, FloatArray, IntArray, TimeArray, to_datetime64, to_utc
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
    return np.where(touched, within, np.inf)


def farthest_on_return(plan: Plan, count: int, rule: CourseRule) -> FloatArray:
    """Return how far from the launch trips can be that end at the start of each hour."""
    return np.full(count, rule.fastest * plan.craft.cruise_speed * rule.margin)


def farthest_from_shore(water: OpenWater, within: FloatArray) -> FloatArray:
    """Return the greatest distance from shore within a distance of the launch (..., hour) [m].

    No place is farther from the shore than its distance from the launch plus the launch's own
    distance from the shore.
    """
    farthest = np.max(water.distance_from_shore, axis=-1)
    several = water.places.sum(axis=-1) > 1
    at_launch = np.where(several, water.distance_from_shore[..., 0], 0.0)
    near: FloatArray = np.minimum(farthest[..., None], within + at_launch[..., None])
    return near


def equal_hours(within: FloatArray) -> Iterator[tuple[FloatArray, IntArray]]:
    """Yield each distance from the launch that is not infinite, and the hours that it holds in.

    Parameters
    ----------
    within : array (..., hour)
        How far from the launch the trip can be in each hour. [m]

    Yields
    ------
    array (...), array
        A distance at each site [m], and the hours in which it is that at every site.
    """
    columns, of = np.unique(within, axis=-1, return_inverse=True)
    for number, far in enumerate(np.moveaxis(columns, -1, 0)):
        if not np.isinf(far).all():
            yield np.asarray(far), np.flatnonzero(of == number)


def within_reach(water: OpenWater, far: FloatArray) -> BoolArray:
    """Return which places lie within a distance of the launch, and the next ones to them.

    Parameters
    ----------
    water
        At one site or many.
    far : array (...)
        At each site. [m]

    Returns
    -------
    array (..., point)
    """
    away = np.hypot(water.points[..., 0], water.points[..., 1])
    near: BoolArray = away <= (far + _spacing(water))[..., None]
    return near | ~water.places


def _spacing(water: OpenWater) -> FloatArray:
    """Return the distance of the most isolated place from the next one, (...) [m]."""
    points = water.points
    apart = np.hypot(*np.moveaxis(points[..., :, None, :] - points[..., None, :, :], -1, 0))
    apart = np.where(np.eye(points.shape[-2], dtype=bool) | np.isnan(apart), np.inf, apart)
    nearest = np.where(water.places, apart.min(axis=-1), 0.0)
    spacing: FloatArray = np.where(np.isinf(nearest), 0.0, nearest).max(axis=-1)
    return spacing


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

"""Build the question for all sources from a plan."""

from __future__ import annotations

from datetime import datetime, timedelta

import numpy as np

from safety_check.arrays import FloatArray, hour_axis
from safety_check.model.place import OpenWater
from safety_check.model.plan import Plan
from safety_check.sources.question import SPEED, TEMPERATURE, WAVES, Place, Question
from safety_check.waters.projection import to_degrees


def build_question(plan: Plan, water: OpenWater, now: datetime, unit: str) -> Question:
    """Return the question that a plan puts to every source.

    Parameters
    ----------
    plan
        Who goes where and when.
    water
        The open water around the launch.
    now
        The time of the check.
    unit
        The unit in which the user reads distances.
    """
    return Question(
        here=(plan.launch.latitude, plan.launch.longitude),
        places=alert_places(plan, water),
        hours=hour_axis(plan.start, plan.end + timedelta(hours=1)),
        wanted=wanted_observations(plan),
        at=now,
        unit=unit,
        elevation=plan.water.elevation,
        moving=wanted_movement(plan),
        launches=tuple((launch.latitude, launch.longitude) for launch in plan.water.launches),
        reach=straight_reach(plan, water),
    )


def straight_reach(plan: Plan, water: OpenWater) -> float:
    """Return how far from the launch a trip may be, in a straight line. [m].

    Nobody is farther out than the water is long. On a water of sectors that is the longest fetch.
    """
    out = np.hypot(*water.points.T).max() if plan.water.shoreline else water.fetch.max()
    return float(min(plan.reach, out))


def wanted_observations(plan: Plan) -> frozenset[str]:
    """Return the observed quantities that the rules weigh on a trip."""
    temperature = {TEMPERATURE} if plan.water_temperature is None else set()
    return frozenset({SPEED, WAVES} | temperature)


def wanted_movement(plan: Plan) -> frozenset[str]:
    """Return what must be known of the movement of a plan's water; nothing on still water."""
    tidal = ("tide", "current") if plan.water.tidal else ()
    return frozenset((*tidal, *(("river",) if plan.water.flowing else ())))


def alert_places(plan: Plan, water: OpenWater) -> tuple[Place, ...]:
    """Return the launch, the point farthest from shore, and the farthest point of the trip.

    A launch is in a zone on land. The water in front of it may be another zone, with
    warnings of its own.
    """
    launch = np.array([[plan.launch.longitude, plan.launch.latitude]])
    found = [launch, _farthest_points(plan, water)]
    if plan.route is not None:
        found.append(plan.route)
    rounded = np.round(np.concatenate(found), 4)
    return tuple(dict.fromkeys((float(north), float(east)) for east, north in rounded))


def _farthest_points(plan: Plan, water: OpenWater) -> FloatArray:
    """Return longitude and latitude of the point farthest from shore and of that farthest out."""
    if not plan.water.shoreline:
        return np.empty((0, 2))
    out = np.hypot(*water.points.T).argmax()
    ends = water.points[[water.distance_from_shore.argmax(), out]]
    return to_degrees(ends, plan.launch.longitude, plan.launch.latitude)

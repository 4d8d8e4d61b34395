"""The light of each hour, and of a trip."""

from __future__ import annotations

import numpy as np

from safety_check.arrays import FloatArray, TimeArray, to_datetime64
from safety_check.conditions.ensemble import HOUR
from safety_check.conditions.hour_parts import last_judged
from safety_check.model.place import Launch
from safety_check.model.plan import Plan
from safety_check.physics.daylight import (
    CIVIL_TWILIGHT,
    HORIZON,
    crossings,
    solar_elevation,
    time_to_dark,
)


def light_of_trip(plan: Plan, hours: TimeArray, margin: float) -> dict[str, FloatArray]:
    """Return the darker end of each hour, cut to the trip.

    In the margin [s] after the plan's end the light of the first instant counts: the limits
    on the light have a margin of their own.
    """
    start, end = to_datetime64(plan.start), to_datetime64(plan.end)
    first = np.where((hours <= start) & (start < hours + HOUR), start, hours)
    last = np.where((hours <= end) & (end < hours + HOUR), end, hours + HOUR)
    after = (hours >= end) & (hours < last_judged(plan, margin))
    return light(plan.launch, first, np.where(after, hours, last))


def light(launch: Launch, first: TimeArray, last: TimeArray) -> dict[str, FloatArray]:
    """Return the darker end of each span of time, from its first to its last instant."""
    place = (launch.latitude, launch.longitude)
    height = np.minimum(solar_elevation(*place, first), solar_elevation(*place, last))
    dark, dusk = (
        np.minimum(*(time_to_dark(*place, moment, altitude) for moment in (first, last)))
        for altitude in (HORIZON, CIVIL_TWILIGHT)
    )
    return {
        "solar_elevation_angle": height[None, :],
        "time_to_dark": dark[None, :],
        "time_to_dusk": dusk[None, :],
    }


def daylight(launch: Launch, hours: TimeArray) -> list[tuple[np.datetime64, np.datetime64]]:
    """Return each span from sunrise to sunset, cut to the hours and their ends."""
    start, end = hours[0], hours[-1] + HOUR
    rises, sets = crossings(launch.latitude, launch.longitude, start, end, HORIZON)
    edges = np.sort(np.concatenate([rises, sets, [start, end]]))
    middles = edges[:-1] + (edges[1:] - edges[:-1]) // 2
    up = solar_elevation(launch.latitude, launch.longitude, middles) > HORIZON
    return [(a, b) for a, b, light in zip(edges[:-1], edges[1:], up, strict=True) if light]

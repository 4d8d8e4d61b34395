"""Where the wind takes a craft that cannot be moved, or a swimmer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np

from safety_check.arrays import FloatArray, IntArray, median
from safety_check.model.advice import AdriftWind, Drift
from safety_check.model.place import OpenWater
from safety_check.physics.drift import HOUR, drift_path, landfall
from safety_check.physics.leeway import (
    Leeway,
    aside_speed,
    downwind_speed,
    drift_velocity,
    stopped_speed,
)

LONGEST = 6  # h for which a drift is computed
MOST_MEMBERS = 40  # a drift is only information, so this many members may represent all
SIDES = (-1, 1)


@dataclass(frozen=True)
class DriftRange:
    """Where the wind takes a craft or a swimmer, in every member that is computed.

    Parameters
    ----------
    what
        "craft" or "swimmer".
    hour
        The hour in which it begins.
    start : array (2,)
        The place where it begins. [m east and north of the launch]
    speed, time, point, last : arrays (future,), (future,), (future, 2), (future, 2)
        Speed at first [m s⁻¹]; time until it reaches a shore [s], infinite if it reaches none in
        that time; the place where it does [m]; where it would be after all the time, if there
        were no shore [m].
    within
        For how long it is computed. [s]
    """

    what: str
    hour: int
    start: FloatArray
    speed: FloatArray
    time: FloatArray
    point: FloatArray
    last: FloatArray
    within: float


@dataclass(frozen=True)
class DriftStart:
    """Where and when a drift begins.

    Parameters
    ----------
    place : array (2,)
        [m east and north of the launch]
    hour
        The hour in which it begins.
    current : array (hour, sample, 2)
        Where the water flows to, east and north, in each hour [m s⁻¹]; None on still water.
    """

    place: FloatArray
    hour: int
    current: FloatArray | None = None

    def carry(self, velocity: FloatArray) -> FloatArray:
        """Return velocities (member, hour, 2) with the mean current of each hour [m s⁻¹]."""
        assert self.current is not None
        hours = slice(self.hour, self.hour + velocity.shape[1])
        carried: FloatArray = velocity + self.current[hours].mean(axis=1)
        return carried


def drifts_from(
    begins: datetime,
    hour: int,
    wind: AdriftWind,
    water: OpenWater,
    leeways: Mapping[str, Leeway],
) -> tuple[Drift, ...]:
    """Return where a disabled craft and a swimmer go from an hour on.

    Parameters
    ----------
    begins, hour
        The start of the hour, and its place among those of the wind.
    wind, water, leeways
        As in `find_drifts`.
    """
    start = DriftStart(np.array(wind.place), hour, wind.current)
    found = find_drifts(leeways, start, water, wind.speed, wind.direction, wind.weights)
    return tuple(in_the_middle(drift, begins) for drift in found)


def in_the_middle(found: DriftRange, begins: datetime) -> Drift:
    """Return the drift of the member in the middle, by the time to a shore."""
    order = np.argsort(np.where(np.isnan(found.time), np.inf, found.time), kind="stable")
    middle = int(order[len(order) // 2])
    known = not np.isnan(found.time).any()
    ends = found.point if np.isfinite(found.time[middle]) else found.last
    return Drift(
        what=found.what,
        begins=begins,
        place=(float(found.start[0]), float(found.start[1])),
        speed=median(found.speed),
        within=found.within,
        share=float(np.mean(np.isfinite(found.time))) if known else np.nan,
        time=float(found.time[middle]),
        shore=(float(found.point[middle, 0]), float(found.point[middle, 1])),
        ends=(float(ends[middle, 0]), float(ends[middle, 1])),
    )


def represent(wind: AdriftWind) -> AdriftWind:
    """Return a wind with only as many members as a drift needs."""
    some = some_of(wind.weights)
    return replace(
        wind,
        speed=wind.speed[some],
        direction=wind.direction[some],
        weights=np.full(len(some), 1 / len(some)),
    )


def find_drifts(
    leeways: Mapping[str, Leeway],
    start: DriftStart,
    water: OpenWater,
    wind: FloatArray,
    direction: FloatArray,
    weights: FloatArray,
) -> tuple[DriftRange, DriftRange]:
    """Return where a disabled craft and a swimmer go.

    Parameters
    ----------
    leeways
        "craft" and "swimmer" → how they drift.
    start
        Where and when it begins.
    water
        Its shoreline; without one no landfall can be computed.
    wind, direction : array (member, hour + 1)
        At the instants that bound the hours. [m s⁻¹, deg true from]
    weights : array (member,)
        Sum 1.

    Notes
    -----
    Each member counts twice: once for an object that drifts to the left of the wind, once to the
    right. Which side it takes cannot be predicted.
    """
    some, hours = some_of(weights), slice(start.hour, start.hour + LONGEST)
    wind = np.repeat(wind[some, hours], len(SIDES), axis=0)
    direction = np.repeat(direction[some, hours], len(SIDES), axis=0)
    along = {
        "craft": stopped_speed(wind, leeways["craft"]),
        "swimmer": downwind_speed(wind, leeways["swimmer"]),
    }
    craft, swimmer = (
        _follow(what, start, water, along[what], _aside(wind, leeways[what]), direction)
        for what in ("craft", "swimmer")
    )
    return craft, swimmer


def some_of(weights: FloatArray) -> IntArray:
    """Return members that represent all in proportion to their weights; all where they are few."""
    if len(weights) <= MOST_MEMBERS and np.ptp(weights) < 1e-9:
        return np.arange(len(weights))
    asked = (np.arange(MOST_MEMBERS) + 0.5) / MOST_MEMBERS * weights.sum()
    some: IntArray = np.minimum(np.searchsorted(np.cumsum(weights), asked), len(weights) - 1)
    return some


def _aside(wind: FloatArray, row: Leeway) -> FloatArray:
    """Return the crosswind drift; rows alternate between the two sides."""
    return np.stack(
        [aside_speed(speed, row, SIDES[number % len(SIDES)]) for number, speed in enumerate(wind)]
    )


def _follow(
    what: str,
    start: DriftStart,
    water: OpenWater,
    along: FloatArray,
    aside: FloatArray,
    direction: FloatArray,
) -> DriftRange:
    velocity = drift_velocity(along, aside, direction)
    speed = np.hypot(along[:, 0], aside[:, 0])
    if start.current is not None:
        velocity = start.carry(velocity)
        speed = np.hypot(velocity[:, 0, 0], velocity[:, 0, 1])
    path = drift_path(start.place, velocity)
    time, point = np.full(len(path), np.nan), np.full((len(path), 2), np.nan)
    if water.rings:
        landed = landfall(path, water.rings)
        time, point = landed.time, landed.point
    within = along.shape[1] * HOUR
    return DriftRange(what, start.hour, start.place, speed, time, point, path[:, -1], within)

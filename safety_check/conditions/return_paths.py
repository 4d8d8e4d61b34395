"""Start points of the ways home: on a route, or all points within reach."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.model.place import OpenWater
from safety_check.model.plan import Plan
from safety_check.waters.route import clear_of_land, corners, places_along

SECTORS = 24  # of 15°: a course is off by 7.5° at most, a head wind by 1 %


LEAST = 1.0  # m; even at the launch there is a way home


@dataclass(frozen=True)
class Legs:
    """A way home, leg after leg.

    Parameters
    ----------
    start : array (2,)
        Where it begins. [m east and north of the launch]
    courses, lengths : array (leg,)
        [deg true, m]
    """

    start: FloatArray
    courses: FloatArray
    lengths: FloatArray

    def last(self, far: float) -> Legs:
        """Return the last so many metres of the way; its `start` stays unchanged."""
        after = np.cumsum(self.lengths[::-1])[::-1] - self.lengths
        lengths = np.clip(far - after, 0.0, self.lengths)
        return Legs(self.start, self.courses[lengths > 0], lengths[lengths > 0])


@dataclass(frozen=True)
class ReturnPaths:
    """Every way home that a trip may need; a place nearer on the same course needs less.

    Parameters
    ----------
    places : array (..., way, 2)
        Where each straight way begins. [m east and north of the launch]
    courses, lengths : array (..., way)
        Of the straight ways. [deg true, m]
    back
        Along the route, from its last place whose straight way crosses land; None where no
        straight way crosses land.
    route
        Along all of the route; None where no route was given.
    """

    places: FloatArray
    courses: FloatArray
    lengths: FloatArray
    back: Legs | None = None
    route: Legs | None = None

    @property
    def longest(self) -> FloatArray:
        """Length of the longest way home, (...) [m]."""
        back = 0.0 if self.back is None else float(self.back.lengths.sum())
        longest: FloatArray = np.maximum(self.lengths.max(axis=-1), back)
        return longest

    @property
    def farthest(self) -> float:
        """Distance from the launch to the farthest start of a way home. [m]."""
        back = 0.0 if self.back is None else float(np.hypot(*self.back.start))
        return max(float(self.lengths.max()), back)

    def straight(self, way: int) -> Legs:
        """Return one straight way."""
        one = slice(way, way + 1)
        return Legs(self.places[way], self.courses[one], self.lengths[one])


def find_return_paths(plan: Plan, water: OpenWater) -> ReturnPaths:
    """Return the ways home from a plan's route, or from all of its reach in a straight line.

    Parameters
    ----------
    plan
        Its route or its reach.
    water
        The open water within the reach.

    Notes
    -----
    Of all places in one sector of the compass the farthest counts, on the course of the
    sector's middle. To a reach behind a spit the way goes straight across the spit; the
    real way is longer. Along a route a straight way is taken only where it stays on the water.
    """
    if plan.route is None:
        return ReturnPaths(*_farthest(_within_reach(plan, water)))
    way = corners(plan, water)
    places = places_along(way)
    launch = np.broadcast_to(places[0], places.shape)
    clear = np.isinf(clear_of_land(water.rings, places, launch))
    hidden = np.flatnonzero(~clear)
    back = _back(way, _passed(places)[hidden[-1]]) if hidden.size else None
    return ReturnPaths(*_farthest(places[clear]), back=back, route=_back(way, _passed(way)[-1]))


def _within_reach(plan: Plan, water: OpenWater) -> FloatArray:
    """Return the places that the trip may reach; by the table where there is no shoreline."""
    if water.rings:
        return water.points
    turn = np.radians(water.bearings)
    far = np.minimum(water.fetch[:, 0], plan.reach)
    return np.column_stack([far * np.sin(turn), far * np.cos(turn)])


def _back(way: FloatArray, passed: float) -> Legs:
    """Return the way back to the launch from so far along a route."""
    at = _passed(way)
    place = [np.interp(passed, at, way[:, axis]) for axis in (0, 1)]
    behind = way[at < passed - 1e-6]
    legs = np.diff(np.concatenate([[place], behind[::-1]]), axis=0)
    return Legs(np.array(place), _bearing(legs), np.hypot(legs[:, 0], legs[:, 1]))


def _passed(way: FloatArray) -> FloatArray:
    """Return the distance along a way to each of its points."""
    legs = np.diff(way, axis=0)
    return np.concatenate([[0.0], np.cumsum(np.hypot(legs[:, 0], legs[:, 1]))])


def _farthest(places: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return the farthest place of each sector, the sector's course home, and how far."""
    far = np.hypot(places[:, 0], places[:, 1])
    sector = np.rint(_bearing(places) / (360 / SECTORS)).astype(int) % SECTORS
    lengths = np.zeros(SECTORS)
    np.maximum.at(lengths, sector, far)
    lengths[0] = max(lengths[0], LEAST)
    used = np.flatnonzero(lengths)
    at = [int(np.argmax(np.where(sector == number, far, -np.inf))) for number in used]
    return places[at], (used * 360 / SECTORS + 180) % 360, lengths[used]


def _bearing(way: FloatArray) -> FloatArray:
    bearing: FloatArray = np.degrees(np.arctan2(way[..., 0], way[..., 1])) % 360
    return bearing

"""The way home: how long it takes in each hour and member, and when to turn back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from safety_check.arrays import FloatArray, IntArray, TimeArray
from safety_check.conditions.course import equal_hours
from safety_check.conditions.hour_parts import hours_of
from safety_check.conditions.return_paths import LEAST, Legs, ReturnPaths, find_return_paths
from safety_check.model.place import OpenWater
from safety_check.model.plan import Plan
from safety_check.physics.current import CurrentOnCourse, current_on_course
from safety_check.physics.drive import Drive
from safety_check.physics.paddling import headway_wind, speed_left_in_waves, speed_made_good
from safety_check.physics.passage import HOUR, last_turn_back, time_to_return
from safety_check.settings.propulsion import derive_drive

FARTHEST = "farthest_from_launch"
LONGEST = 48 * HOUR  # a way home that takes longer counts as one that never ends


@dataclass(frozen=True)
class HomeWinds:
    """The winds that a way home may meet.

    Parameters
    ----------
    speed, direction : array (member, hour + 1)
        As forecast, at the instants that bound the hours. [m s⁻¹, deg true from]
    weights : array (member,)
        Sum 1.
    observed
        Directions that are observed [deg true from], each with how much it counts at each
        instant, array (hour + 1,). [1]
    waves
        Significant wave heights that are observed [m], each in the same way.
    current : array (hour + 1, sample, 2)
        Where the water flows to, east and north, through the hour that begins at each instant
        [m s⁻¹]; None on still water.
    """

    speed: FloatArray
    direction: FloatArray
    weights: FloatArray
    observed: tuple[tuple[float, FloatArray], ...] = ()
    waves: tuple[tuple[float, FloatArray], ...] = ()
    current: FloatArray | None = None

    def from_instant(self, first: int) -> HomeWinds:
        """Return the winds from one instant on, by its index, without the current."""

        def later(
            observed: tuple[tuple[float, FloatArray], ...],
        ) -> tuple[tuple[float, FloatArray], ...]:
            return tuple((value, weight[first:]) for value, weight in observed)

        return HomeWinds(
            self.speed[:, first:],
            self.direction[:, first:],
            self.weights,
            later(self.observed),
            later(self.waves),
        )


@dataclass(frozen=True)
class ReturnTrip:
    """Getting home, for every member and hour, of one site or many.

    Parameters
    ----------
    ways
        Every way home that may be needed.
    drive
        The drive of the craft at its cruise speed.
    winds
        The winds that it may meet.
    straight : array (..., member, hour + 1, way)
        Speed made good on each straight way. [m s⁻¹]
    paces
        Ways as shares of each leg made in a second, arrays (..., member, hour + 1, leg).
    times
        Time home from each hour's start by each of `paces`, arrays (..., member, hour). [s]
    trip : array (trip hour,)
        Which hours the trip touches.
    """

    ways: ReturnPaths
    drive: Drive
    winds: HomeWinds
    straight: FloatArray
    paces: tuple[FloatArray, ...]
    times: tuple[FloatArray, ...]
    trip: IntArray

    @property
    def time(self) -> FloatArray:
        """Time home from each hour's start, by the longest way, (..., member, hour) [s]."""
        longest: FloatArray = np.maximum.reduce(self.times)
        return longest

    @cached_property
    def _costs(self) -> list[FloatArray]:
        """The time by each of `paces` in the hours of the trip, the members together [s]."""
        return [self.winds.weights @ _capped(time[:, self.trip]) for time in self.times]

    @property
    def _bundle(self) -> int:
        return int(np.argmax([cost.max() for cost in self._costs]))

    @property
    def hour(self) -> int:
        """The hour of the trip from which it takes longest, the members together; of one site."""
        return int(self.trip[np.argmax(self._costs[self._bundle])])

    @cached_property
    def longest(self) -> Legs:
        """The way home that takes longest in that hour, the members together; of one site."""
        if self._bundle and self.ways.back is not None:
            return self.ways.back
        shares = self.straight[:, self.hour] / self.ways.lengths
        return self.ways.straight(_slowest(shares, self.winds.weights))


# -- how long --------------------------------------------------------------------------------


def find_return_trip(
    plan: Plan, hours: TimeArray, water: OpenWater, winds: HomeWinds
) -> ReturnTrip:
    """Return the way home for every member and hour.

    Parameters
    ----------
    plan
        The craft, and where it goes.
    hours : array (hour,)
        Start of each hour.
    water
        The open water within the reach or along the route.
    winds
        On the instants that bound the hours.

    Notes
    -----
    Within an hour the slower of its two ends counts, and in each hour the slowest of the
    straight ways, as a share of its length: in a wind that turns that is a little longer
    than any one way takes, never shorter.
    """
    ways = find_return_paths(plan, water)
    return return_along(ways, derive_drive(plan.craft), winds, hours_of(plan, hours))


def return_along(ways: ReturnPaths, drive: Drive, winds: HomeWinds, trip: IntArray) -> ReturnTrip:
    """Return the way home along given paths, at one site or many.

    Parameters
    ----------
    ways, drive, winds, trip
        As in `ReturnTrip`; the paths of many sites have no part along a route.
    """
    straight = ground_speed(winds, ways.courses, drive)
    shares = straight / ways.lengths[..., None, None, :]
    paces = [shares.min(axis=-1, keepdims=True)]
    if ways.back is not None:
        paces.append(ground_speed(winds, ways.back.courses, drive) / ways.back.lengths)
    times = tuple(time_of(pace) for pace in paces)
    return ReturnTrip(ways, drive, winds, straight, tuple(paces), times, trip)


def ground_speed(winds: HomeWinds, courses: FloatArray, drive: Drive) -> FloatArray:
    """Return the speed made good on some courses, the slower end of each hour.

    Parameters
    ----------
    winds
        On the instants that bound the hours. An observed direction counts where it is slower
        than the forecast one, and observed waves where they leave less than this wind's.
    courses : array (..., leg)
        [deg true]
    drive
        The drive of the craft.

    Returns
    -------
    array (..., member, hour + 1, leg)
        [m s⁻¹]; after the last whole hour only one end counts.

    Notes
    -----
    A current counts at its worst in each hour, against the craft and across its course. Where it
    would carry the craft home it counts as none, since its time may be wrong.
    """
    if winds.current is None:
        speed = _speed_at(winds, courses, drive)
        ends = speed[..., 1:, :]
    else:
        met = worst_on_course(winds.current, courses)
        speed = _speed_at(winds, courses, drive, met)
        before = CurrentOnCourse(met.along[:-1], met.across[:-1])
        ends = _speed_at(winds.from_instant(1), courses, drive, before)
    slower = np.minimum(speed[..., :-1, :], ends)
    return np.concatenate([slower, speed[..., -1:, :]], axis=-2)


def worst_on_course(current: FloatArray, courses: FloatArray) -> CurrentOnCourse:
    """Return the worst of a current for some courses in each hour.

    Parameters
    ----------
    current : array (hour, sample, 2)
        Where the water flows to, east and north. [m s⁻¹]
    courses : array (leg,)
        [deg true]

    Returns
    -------
    CurrentOnCourse, arrays (hour, leg)
        Along the course what is most against it, 0 where nothing is; across it the most. [m s⁻¹]
    """
    east, north = current[..., 0, None], current[..., 1, None]
    met = current_on_course(east, north, courses)
    against = np.minimum(met.along, 0.0).min(axis=1)
    return CurrentOnCourse(against, np.abs(met.across).max(axis=1))


def _speed_at(
    winds: HomeWinds, courses: FloatArray, drive: Drive, current: CurrentOnCourse | None = None
) -> FloatArray:
    """Return the speed made good at each instant, (member, instant, leg) [m s⁻¹]."""
    wind, left = winds.speed[..., None], _left_by_waves(winds)[:, None]
    courses = courses[..., None, None, :]
    speed = speed_made_good(wind, winds.direction[..., None], courses, drive, left, current)
    for direction, weight in winds.observed:
        facing = np.full_like(wind, direction)
        observed = speed_made_good(wind, facing, courses, drive, left, current)
        slower = speed + (observed - speed) * weight[:, None]
        # Where the forecast direction is not known, the way home stays unknown.
        speed = np.where(observed < speed, slower, speed)
    return speed


def _left_by_waves(winds: HomeWinds) -> FloatArray:
    """Return the share of its speed that observed waves leave a craft (hour + 1,) [1]."""
    left = np.ones(winds.speed.shape[-1])
    for height, weight in winds.waves:
        left = np.minimum(left, 1 - weight * (1 - speed_left_in_waves(np.asarray(height))))
    return left


def time_within(way: ReturnTrip, within: FloatArray) -> FloatArray:
    """Return the time home from as far out as each hour allows.

    Parameters
    ----------
    way
        The way home from the whole reach.
    within : array (..., hour)
        How far from the launch, or along a route, one can be. [m]

    Returns
    -------
    array (..., member, hour)
        [s]; 0 at the launch.
    """
    time = way.time.copy()
    for far, at in equal_hours(within):
        if (far < way.ways.longest).any():
            first = int(at[0])  # no hour before counts
            time[..., at] = _time_from(way, far, first)[..., at - first]
    return time


def _time_from(way: ReturnTrip, far: FloatArray, first: int) -> FloatArray:
    """Return the time home in each hour from the first on, from at most so far (...) out [m]."""
    reach = np.maximum(far, LEAST)
    lengths = np.minimum(way.ways.lengths, reach[..., None])
    shares = way.straight[..., first:, :] / lengths[..., None, None, :]
    time = time_of(shares.min(axis=-1, keepdims=True))
    if way.ways.back is not None:
        back = way.ways.back.last(float(reach))
        pace = ground_speed(way.winds, back.courses, way.drive) / back.lengths
        time = np.maximum(time, time_of(pace[:, first:]))
    return np.where((far > 0)[..., None, None], time, 0.0)


def time_of(pace: FloatArray) -> FloatArray:
    """Return the time home (..., member, hour) [s] at shares of each leg made in a second."""
    return time_to_return(pace, np.ones(pace.shape[-1]))[..., :-1]


def _capped(time: FloatArray) -> FloatArray:
    return np.where(time < LONGEST, time, LONGEST)


def _slowest(shares: FloatArray, weights: FloatArray) -> int:
    """Return the way that takes longest, the members together."""
    known = shares > 1 / LONGEST
    return int(np.argmax(weights @ np.where(known, 1 / np.where(known, shares, 1.0), LONGEST)))


# -- what is weighed -------------------------------------------------------------------------


def quantities(
    lasts: FloatArray,
    way: ReturnTrip,
    within: FloatArray,
    wind: FloatArray,
    light: Mapping[str, FloatArray],
) -> dict[str, FloatArray]:
    """Return the quantities of getting home that the rules weigh.

    Parameters
    ----------
    lasts : array (...)
        How long the trip is. [s]
    way
        The way home.
    within : array (..., hour)
        How far from the launch one can be in each hour. [m]
    wind : array (..., member, hour)
        The worse end of each hour. [m s⁻¹]
    light
        Time to sunset and to civil dusk. [s]
    """
    farthest = np.minimum(within, np.asarray(way.ways.longest)[..., None])[..., None, :]
    time_home = time_within(way, within)
    return {
        FARTHEST: farthest,
        "time_home": time_home,
        "way_home_share_of_trip": time_home / lasts[..., None, None],
        "share_of_hold_station_wind": wind / headway_wind(way.drive),
        **light_once_home(light, time_home),
    }


def light_once_home(light: Mapping[str, FloatArray], time: FloatArray) -> dict[str, FloatArray]:
    """Return how much light is left on arrival home [s]; minus infinity if it is never reached.

    Parameters
    ----------
    light
        "time_to_dark" and "time_to_dusk", arrays that broadcast to (member, hour). [s]
    time : array (member, hour)
        Time home. [s]
    """
    never = np.isinf(time)
    way = np.where(never, 0.0, time)
    return {
        f"time_to_{name}_once_home": np.where(never, -np.inf, light[f"time_to_{name}"] - way)
        for name in ("dark", "dusk")
    }


def latest_turn_back(way: ReturnTrip, first: int, until: float) -> FloatArray:
    """Return the latest time to turn back, for each member.

    Parameters
    ----------
    way
        The way home.
    first
        The hour from which the trip is under way.
    until
        When to be home, after that hour's start. [s]

    Returns
    -------
    array (member,)
        After that hour's start [s], never too late; minus infinity where even then it is
        too late, NaN where the way home is not known.

    Notes
    -----
    The whole hour is exact. Within it the way home is taken at the slowest pace of all
    the hours until then, so the time given is never later than the true one.
    """
    latest = np.full(len(way.time), until)
    for pace in way.paces:
        latest = np.minimum(latest, _turn_back(pace[:, first:], until))
    return latest


def _turn_back(pace: FloatArray, until: float) -> FloatArray:
    hour = last_turn_back(time_of(pace), np.asarray(until))
    clock = HOUR * np.arange(pace.shape[1])
    met = (clock < until) & (clock >= hour[:, None])
    slowest = np.where(met[..., None], pace, np.inf).min(axis=1)
    headway = slowest > 0
    needs = np.where(headway, 1 / np.where(headway, slowest, 1.0), np.inf).sum(axis=-1)
    return np.where(np.isfinite(hour), np.maximum(hour, until - needs), hour)

"""The way home: how long it takes in each hour and member, and when to turn back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from safety_check.arrays import FloatArray, TimeArray
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
    """Getting home, for every member and hour.

    Parameters
    ----------
    ways
        Every way home that may be needed.
    drive
        The drive of the craft at its cruise speed.
    winds
        The winds that it may meet.
    straight : array (member, hour + 1, way)
        Speed made good on each straight way. [m s⁻¹]
    paces
        Ways as shares of each leg made in a second, arrays (member, hour + 1, leg).
    time : array (member, hour)
        Time home from each hour's start, by the longest way. [s]
    longest, hour
        The way, and the hour of the trip, that take longest, the members together.
    """

    ways: ReturnPaths
    drive: Drive
    winds: HomeWinds
    straight: FloatArray
    paces: tuple[FloatArray, ...]
    time: FloatArray
    longest: Legs
    hour: int


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
    ways, drive, weights = find_return_paths(plan, water), derive_drive(plan.craft), winds.weights
    straight = ground_speed(winds, ways.courses, drive)
    shares = straight / ways.lengths
    bundles: list[tuple[FloatArray, Legs | None]] = [(shares.min(axis=-1, keepdims=True), None)]
    if ways.back is not None:
        legs = ground_speed(winds, ways.back.courses, drive) / ways.back.lengths
        bundles.append((legs, ways.back))
    times = [time_of(pace) for pace, _ in bundles]
    trip = hours_of(plan, hours)
    costs = [weights @ _capped(time[:, trip]) for time in times]
    longest = int(np.argmax([cost.max() for cost in costs]))
    hour = int(trip[np.argmax(costs[longest])])
    return ReturnTrip(
        ways=ways,
        drive=drive,
        winds=winds,
        straight=straight,
        paces=tuple(pace for pace, _ in bundles),
        time=np.maximum.reduce(times),
        longest=bundles[longest][1] or ways.straight(_slowest(shares[:, hour], weights)),
        hour=hour,
    )


def ground_speed(winds: HomeWinds, courses: FloatArray, drive: Drive) -> FloatArray:
    """Return the speed made good on some courses, the slower end of each hour.

    Parameters
    ----------
    winds
        On the instants that bound the hours. An observed direction counts where it is slower
        than the forecast one, and observed waves where they leave less than this wind's.
    courses : array (leg,)
        [deg true]
    drive
        The drive of the craft.

    Returns
    -------
    array (member, hour + 1, leg)
        [m s⁻¹]; after the last whole hour only one end counts.

    Notes
    -----
    A current counts at its worst in each hour, against the craft and across its course. Where it
    would carry the craft home it counts as none, since its time may be wrong.
    """
    if winds.current is None:
        speed = _speed_at(winds, courses, drive)
        ends = speed[:, 1:]
    else:
        met = worst_on_course(winds.current, courses)
        speed = _speed_at(winds, courses, drive, met)
        before = CurrentOnCourse(met.along[:-1], met.across[:-1])
        ends = _speed_at(winds.from_instant(1), courses, drive, before)
    return np.concatenate([np.minimum(speed[:, :-1], ends), speed[:, -1:]], axis=1)


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
    within : array (hour,)
        How far from the launch, or along a route, one can be. [m]

    Returns
    -------
    array (member, hour)
        [s]; 0 at the launch.
    """
    time = way.time.copy()
    for far in np.unique(within[within < way.ways.longest]):
        at = within == far
        time[:, at] = _time_from(way, float(far))[:, at]
    return time


def _time_from(way: ReturnTrip, far: float) -> FloatArray:
    """Return the time home in each hour from at most a distance [m] out."""
    if far <= 0:
        return np.zeros_like(way.time)
    far = max(far, LEAST)
    shares = way.straight / np.minimum(way.ways.lengths, far)
    time = time_of(shares.min(axis=-1, keepdims=True))
    if way.ways.back is None:
        return time
    back = way.ways.back.last(far)
    return np.maximum(
        time, time_of(ground_speed(way.winds, back.courses, way.drive) / back.lengths)
    )


def time_of(pace: FloatArray) -> FloatArray:
    """Return the time home (member, hour) [s] at shares of each leg made in a second."""
    return time_to_return(pace, np.ones(pace.shape[-1]))[:, :-1]


def _capped(time: FloatArray) -> FloatArray:
    return np.where(time < LONGEST, time, LONGEST)


def _slowest(shares: FloatArray, weights: FloatArray) -> int:
    """Return the way that takes longest, the members together."""
    known = shares > 1 / LONGEST
    return int(np.argmax(weights @ np.where(known, 1 / np.where(known, shares, 1.0), LONGEST)))


# -- what is weighed -------------------------------------------------------------------------


def quantities(
    plan: Plan,
    way: ReturnTrip,
    within: FloatArray,
    wind: FloatArray,
    light: Mapping[str, FloatArray],
) -> dict[str, FloatArray]:
    """Return the quantities of getting home that the rules weigh.

    Parameters
    ----------
    plan
        How long the trip is.
    way
        The way home.
    within : array (hour,)
        How far from the launch one can be in each hour. [m]
    wind : array (member, hour)
        The worse end of each hour. [m s⁻¹]
    light
        Time to sunset and to civil dusk. [s]
    """
    farthest = np.minimum(within, way.ways.longest)[None, :]
    time_home = time_within(way, within)
    lasts = (plan.end - plan.start).total_seconds()
    return {
        FARTHEST: farthest,
        "time_home": time_home,
        "way_home_share_of_trip": time_home / lasts,
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

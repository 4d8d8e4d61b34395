"""A craft, and the wind, on water that moves: plain addition of vectors."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from safety_check.arrays import FloatArray


class CurrentOnCourse(NamedTuple):
    """A current as a craft on a course meets it.

    Parameters
    ----------
    along : array
        Positive where it carries the craft on, negative against it. [m s⁻¹]
    across : array
        Positive to the right of the course. [m s⁻¹]
    """

    along: FloatArray
    across: FloatArray


def current_on_course(east: FloatArray, north: FloatArray, course: FloatArray) -> CurrentOnCourse:
    """Split a current along and across a course.

    Parameters
    ----------
    east, north : arrays of any shape
        Where the water flows to. [m s⁻¹]
    course : array, broadcast against them
        [deg true]

    Returns
    -------
    CurrentOnCourse
        NaN where an input is.

    References
    ----------
    .. [Bowditch] Addition of vectors; how a navigator calls set and drift.

    Examples
    --------
    A current that runs east, on courses north-east and north.

    >>> met = current_on_course(np.array(0.5), np.array(0.0), np.array([45.0, 0.0]))
    >>> met.along.round(2), met.across.round(2)
    (array([0.35, 0.  ]), array([0.35, 0.5 ]))
    """
    turn = np.radians(course)
    along = east * np.sin(turn) + north * np.cos(turn)
    across = east * np.cos(turn) - north * np.sin(turn)
    return CurrentOnCourse(along, across)


def ferry_angle(through_water: FloatArray, current: CurrentOnCourse) -> FloatArray:
    """Angle between the bow and the course that holds a craft on its course.

    Parameters
    ----------
    through_water : array
        Speed of the craft through the water. [m s⁻¹]
    current : CurrentOnCourse, arrays broadcast against it
        What it meets.

    Returns
    -------
    array
        To the left of the course where positive [deg]; infinite where the craft can't hold the
        course, NaN where an input is.

    References
    ----------
    .. [Bowditch] As in `current_on_course`: sin a = U across / V.

    Examples
    --------
    >>> none = np.zeros(2)
    >>> ferry_angle(np.array([1.0, 1.0]), CurrentOnCourse(none, np.array([0.5, 1.0])))
    array([30., inf])
    """
    speed, across = np.broadcast_arrays(through_water, current.across)
    known = np.isfinite(speed) & np.isfinite(across)
    held = known & (speed > np.abs(across))
    angle = np.degrees(np.arcsin(np.where(held, across / np.where(held, speed, 1.0), 0.0)))
    return np.where(held, angle, np.where(known, np.inf, np.nan))


def wind_over_water(
    wind_speed: FloatArray, wind_from_direction: FloatArray, east: FloatArray, north: FloatArray
) -> FloatArray:
    """Speed of the wind relative to water that moves.

    Parameters
    ----------
    wind_speed : array
        Over the ground. [m s⁻¹]
    wind_from_direction, east, north : arrays, broadcast against it
        Where the wind comes from [deg true], where the water flows to [m s⁻¹].

    Returns
    -------
    array
        [m s⁻¹]; NaN where an input is.

    References
    ----------
    .. [Bowditch] As in `current_on_course`: the wind that a drifting observer feels.

    Examples
    --------
    A south wind of 6 m/s over water that runs south, then north, at 1.5 m/s.

    >>> wind_over_water(np.array(6.0), np.array(180.0), np.array(0.0), np.array([-1.5, 1.5]))
    array([7.5, 4.5])
    """
    towards = np.radians(wind_from_direction + 180.0)
    over: FloatArray = np.hypot(
        wind_speed * np.sin(towards) - east, wind_speed * np.cos(towards) - north
    )
    return over

"""Time to return from each hour, and the latest time to turn back."""

from __future__ import annotations

import numpy as np

from safety_check.arrays import BoolArray, FloatArray, IntArray

HOUR = 3600.0


def time_to_return(speed: FloatArray, lengths: FloatArray) -> FloatArray:
    """Time that the way home takes when it is begun at each hour.

    Parameters
    ----------
    speed : array (..., hour, leg)
        Made good on each leg, in the hour that begins there. [m s⁻¹]
    lengths : array (leg,)
        Of the legs in the order of the way home. [m]

    Returns
    -------
    array (..., hour)
        [s]; infinite where there is an hour without headway on the leg under way or one
        still ahead before home is reached; NaN where an unknown hour, or the end of the
        forecast, comes first, and for a length that is NaN or negative.

    Notes
    -----
    Legs still ahead count because with a longer way, or a slower craft, they come in another
    hour; so neither ever shortens the time.

    Examples
    --------
    A headwind that rises: home from 2 km in 40 minutes, in two hours, then no more.

    >>> speed = np.array([[1.0], [0.5], [0.1], [-0.2]])
    >>> time_to_return(speed, np.array([2000.0]))
    array([2000., 5600.,   inf,   inf])
    """
    lengths = np.asarray(lengths)
    if not (lengths >= 0).all():
        return np.full(speed.shape[:-1], np.nan)
    sailed = lengths > 0
    rows = speed.reshape(-1, *speed.shape[-2:])[..., sailed]
    rows = np.pad(rows, ((0, 0), (0, 1), (0, 0)), constant_values=np.nan)  # the forecast's end
    stuck = _still_ahead(rows <= 0)
    unknown = _still_ahead(np.isnan(rows))
    departure = np.zeros(rows.shape[:2]) + np.arange(rows.shape[1])
    at = departure
    for leg, length in enumerate(lengths[sailed]):
        at = _arrival(HOUR * rows[..., leg], stuck[..., leg], unknown[..., leg], length, at)
    return HOUR * (at - departure)[:, :-1].reshape(speed.shape[:-1])


def last_turn_back(home: FloatArray, until: FloatArray) -> FloatArray:
    """Latest hour at which turning back, then or at any hour before, is home in time.

    Parameters
    ----------
    home : array (..., hour)
        Time home from each hour, as `time_to_return` gives it. [s]
    until : array, broadcast against home without its hours
        When to be home, after the first hour. [s]

    Returns
    -------
    array (...)
        After the first hour [s]; minus infinity where even the first hour is too late,
        NaN where the first hour is unknown. A later unknown hour is not in time.

    Examples
    --------
    >>> home = np.array([[2000.0, 5600.0, np.inf], [8000.0, 8000.0, 100.0]])
    >>> last_turn_back(home, np.array(7200.0))
    array([  0., -inf])
    """
    arrival = home + np.arange(home.shape[-1]) * HOUR
    in_time = np.logical_and.accumulate(arrival <= np.asarray(until)[..., np.newaxis], axis=-1)
    count = in_time.sum(axis=-1)
    last = np.where(count > 0, (count - 1) * HOUR, -np.inf)
    return np.where(np.isnan(arrival[..., 0]), np.nan, last)


def _still_ahead(blocked: BoolArray) -> BoolArray:
    """Whether a leg or one after it is blocked."""
    return np.logical_or.accumulate(blocked[..., ::-1], axis=-1)[..., ::-1]


def _arrival(
    pace: FloatArray, stuck: BoolArray, unknown: BoolArray, length: float, begun: FloatArray
) -> FloatArray:
    """When a leg ends; arrays (row, hour), pace in metres an hour, instants in hours."""
    stopped = stuck | unknown
    run = np.cumsum(np.where(stopped, 0.0, pace), axis=1)
    gone = np.pad(run[:, :-1], ((0, 0), (1, 0)))
    pace = np.where(stopped, 1.0, pace)
    under_way = np.isfinite(begun)
    clock = np.where(under_way, begun, 0.0)
    hour = clock.astype(np.int64)
    goal = _at(gone, hour) + (clock - hour) * _at(pace, hour) + length
    within = np.maximum(_hour_that_reaches(gone, goal), hour)
    arrival = within + (goal - _at(gone, within)) / _at(pace, within)
    stop = np.take_along_axis(_next_stop(stopped), hour, axis=1)
    lost = _at(np.where(stuck, np.inf, np.nan), stop)
    return np.where(under_way, np.where(within < stop, arrival, lost), begun)


def _hour_that_reaches(gone: FloatArray, goal: FloatArray) -> IntArray:
    """Hour in which each row's distance reaches its goals; the last where none does."""
    rows = np.arange(len(gone))[:, np.newaxis]
    # One sorted search serves all rows, after each row is raised above the one before.
    lift = rows * (gone.max() + goal.max() + 1.0)
    found = np.searchsorted((gone + lift).ravel(), (goal + lift).ravel()).reshape(goal.shape)
    hour: IntArray = found - rows * gone.shape[1] - 1
    return hour


def _next_stop(stopped: BoolArray) -> IntArray:
    """First stopped hour from each hour on; the last hour always stops."""
    hours = stopped.shape[1]
    index = np.where(stopped, np.arange(hours, dtype=np.int64), hours - 1)
    following: IntArray = np.minimum.accumulate(index[:, ::-1], axis=1)[:, ::-1]
    return following


def _at(table: FloatArray, hour: IntArray) -> FloatArray:
    return np.take_along_axis(table, hour, axis=1)

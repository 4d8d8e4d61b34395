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
    whole = speed.reshape(-1, *speed.shape[-2:])[..., sailed]
    # Leg by leg, with an hour after the forecast's end.
    rows = np.full((whole.shape[2], whole.shape[0], whole.shape[1] + 1), np.nan)
    rows[..., :-1] = np.moveaxis(whole, 2, 0)
    stuck, unknown = _still_ahead(rows <= 0), _still_ahead(np.isnan(rows))
    departure: FloatArray = np.zeros(rows.shape[1:]) + np.arange(rows.shape[2])
    at = departure
    for leg, length in enumerate(lengths[sailed]):
        at = _arrival(HOUR * rows[leg], stuck[leg], unknown[leg], length, at)
    spent: FloatArray = HOUR * (at - departure)[:, :-1].reshape(speed.shape[:-1])
    return spent


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
    """Whether a leg or one after it is blocked, legs first."""
    return np.logical_or.accumulate(blocked[::-1], axis=0)[::-1]


def _arrival(
    pace: FloatArray, stuck: BoolArray, unknown: BoolArray, length: float, begun: FloatArray
) -> FloatArray:
    """When a leg ends; arrays (row, hour), pace in metres an hour, instants in hours."""
    stopped = stuck | unknown
    gone = np.zeros_like(pace)
    np.cumsum(np.where(stopped, 0.0, pace)[:, :-1], axis=1, out=gone[:, 1:])
    pace = np.where(stopped, 1.0, pace)
    under_way = np.isfinite(begun)
    clock = np.where(under_way, begun, 0.0)
    hour = clock.astype(np.int64)
    first = np.arange(len(gone))[:, np.newaxis] * gone.shape[1]
    here = first + hour
    goal = gone.take(here) + (clock - hour) * pace.take(here) + length
    within = _hour_that_reaches(gone, goal, here, first)
    arrival = within - first + (goal - gone.take(within)) / pace.take(within)
    stop = first + _next_stop(stopped).take(here)
    lost = np.where(stuck.take(stop), np.inf, np.nan)
    return np.where(under_way, np.where(within < stop, arrival, lost), begun)


def _hour_that_reaches(
    gone: FloatArray, goal: FloatArray, here: IntArray, first: IntArray
) -> IntArray:
    """Hour in which each row's distance reaches its goals; the last of the row where none does.

    Hours are places in `gone` as one line, in which `first` is each row's first hour and `here`
    the hour under way.
    """
    last = first + gone.shape[1] - 1
    later = gone.take(np.minimum(here + 1, last)) < goal
    within = here.copy()
    if later.any():
        row = np.nonzero(later)[0]
        # One sorted search serves all rows, after each row is raised above the one before.
        lift = gone.max() + goal.max() + 1.0
        raised = (gone + lift * np.arange(len(gone))[:, np.newaxis]).ravel()
        found = np.searchsorted(raised, goal[later] + lift * row) - 1
        within[later] = np.clip(found, here[later], last[row, 0])
    return within


def _next_stop(stopped: BoolArray) -> IntArray:
    """First stopped hour from each hour on; the last hour always stops."""
    hours = stopped.shape[1]
    index = np.where(stopped, np.arange(hours, dtype=np.int64), hours - 1)
    following: IntArray = np.minimum.accumulate(index[:, ::-1], axis=1)[:, ::-1]
    return following

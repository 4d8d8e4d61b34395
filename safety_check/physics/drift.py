"""Path of a drifting craft or swimmer through the hours, and the shore that it reaches."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from safety_check.arrays import BoolArray, FloatArray

HOUR = 3600.0

AT_THE_SHORE = 1.0
"""A start this close to the shore counts as on the shore. [m]"""


@dataclass(frozen=True)
class Landfall:
    """Where and when drifting ends at a shore.

    Parameters
    ----------
    time : array (member,)
        From the start [s]; infinite where no shore is reached within the span, NaN where
        an unknown hour comes first.
    point : array (member, 2)
        The place, in the rings' plane [m]; NaN where there is none.
    """

    time: FloatArray
    point: FloatArray


def drift_path(start: FloatArray, velocity: FloatArray, step: float = HOUR) -> FloatArray:
    """Positions at the start and after each step.

    Parameters
    ----------
    start : array (2,)
        East, north. [m]
    velocity : array (member, hour, 2)
        Through each step. [m s⁻¹]
    step
        [s]

    Returns
    -------
    array (member, hour + 1, 2)
        [m]; NaN from an unknown hour on.

    References
    ----------
    .. [AllenPlourde1999] The velocities as in `leeway.downwind_speed`.

    Examples
    --------
    >>> drift_path(np.zeros(2), np.array([[[0.1, 0.0], [0.0, 0.2]]]))[0, -1]
    array([360., 720.])
    """
    first = np.zeros_like(velocity[:, :1])
    path: FloatArray = start + np.cumsum(np.concatenate([first, velocity * step], axis=1), axis=1)
    return path


def landfall(path: FloatArray, rings: Sequence[FloatArray], step: float = HOUR) -> Landfall:
    """First shore that a path meets.

    Parameters
    ----------
    path : array (member, hour + 1, 2)
        In the rings' plane. [m]
    rings
        Closed rings of the shore and its islands, arrays (vertex, 2); what an odd number
        of them enclose is water. [m]
    step
        Between positions. [s]

    Returns
    -------
    Landfall
        At once for a start on land, or for one at the shore that drifts onto land.

    Examples
    --------
    >>> lake = np.array([[0, 0], [1000, 0], [1000, 1000], [0, 1000], [0, 0]], dtype=float)
    >>> eastward = np.array([[[500.0, 500.0], [860.0, 500.0], [1220.0, 500.0]]])
    >>> landfall(eastward, [lake]).time.round()
    array([5000.])
    """
    tail = np.concatenate([ring[:-1] for ring in rings])
    head = np.concatenate([ring[1:] for ring in rings])
    time = np.full(len(path), np.inf)
    time[_aground(path, tail, head)] = 0.0
    tail, head = _edges_near(path, tail, head)
    for hour in range(path.shape[1] - 1):
        afloat = np.isinf(time)
        here, there = path[afloat, hour], path[afloat, hour + 1]
        share = _first_crossing(here, there, tail, head, AT_THE_SHORE if hour == 0 else 0.0)
        time[afloat] = (hour + share) * step
    return Landfall(time, _position(path, time / step))


def _aground(path: FloatArray, tail: FloatArray, head: FloatArray) -> BoolArray:
    """Whether a path begins on land, or at a shore that it drifts onto."""
    start, way = path[:, 0], path[:, 1] - path[:, 0]
    length = np.hypot(way[:, 0], way[:, 1])[:, np.newaxis]
    probe = start + way * (AT_THE_SHORE / np.where(length > 0, length, np.inf))
    x, y = probe[:, 0, np.newaxis], probe[:, 1, np.newaxis]
    straddles = (tail[:, 1] > y) != (head[:, 1] > y)
    rise = np.where(tail[:, 1] == head[:, 1], np.inf, head[:, 1] - tail[:, 1])
    at = tail[:, 0] + (y - tail[:, 1]) / rise * (head[:, 0] - tail[:, 0])
    on_land = (straddles & (x < at)).sum(axis=1) % 2 == 0
    aground: BoolArray = on_land & np.isfinite(probe).all(axis=1)
    return aground


def _edges_near(
    path: FloatArray, tail: FloatArray, head: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return the edges that the box around all paths touches; a path meets no other."""
    known = path[np.isfinite(path).all(axis=2)]
    if not len(known):
        return tail, head
    lowest, highest = known.min(axis=0), known.max(axis=0)
    near = (np.maximum(tail, head) >= lowest) & (np.minimum(tail, head) <= highest)
    touched = near.all(axis=1)
    return tail[touched], head[touched]


def _first_crossing(
    here: FloatArray, there: FloatArray, tail: FloatArray, head: FloatArray, clear: float
) -> FloatArray:
    """Share of each way to its first edge; infinite for none, NaN for an unknown way."""
    way, edge = there - here, head - tail
    offset = tail - here[:, np.newaxis]
    turn = _cross(way[:, np.newaxis], edge)
    turn = np.where(turn == 0, np.nan, turn)
    share = _cross(offset, edge) / turn
    along_edge = _cross(offset, way[:, np.newaxis]) / turn
    begins = clear / np.maximum(np.hypot(way[:, 0], way[:, 1]), clear + 1e-9)
    met = (share >= begins[:, np.newaxis]) & (share <= 1) & (along_edge >= 0) & (along_edge <= 1)
    first = np.where(met, share, np.inf).min(axis=1, initial=np.inf)
    return np.where(np.isfinite(way).all(axis=1), first, np.nan)


def _cross(a: FloatArray, b: FloatArray) -> FloatArray:
    return a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]


def _position(path: FloatArray, steps: FloatArray) -> FloatArray:
    """Where each path is after so many steps; NaN where that is not finite."""
    landed = np.isfinite(steps)
    step = np.where(landed, steps, 0.0)
    whole = np.minimum(step.astype(int), path.shape[1] - 2)
    member = np.arange(len(path))
    here, there = path[member, whole], path[member, whole + 1]
    point = here + (step - whole)[:, np.newaxis] * (there - here)
    return np.where(landed[:, np.newaxis], point, np.nan)

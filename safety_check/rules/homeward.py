"""Whether the paddler is back before the next worse hour."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from safety_check.arrays import FloatArray, IntArray
from safety_check.conditions.conditions import Conditions
from safety_check.model.verdict import Severity
from safety_check.physics.odds import Tolerance
from safety_check.physics.passage import HOUR
from safety_check.rules.engine import Weighing, severity_of_all, weigh, worst_of_members
from safety_check.rules.hazards_home import WORSE_BEFORE_HOME
from safety_check.rules.limits import Limits


def with_return(
    weighing: Weighing,
    conditions: Conditions,
    limits: Limits,
    tolerance: Tolerance,
    ahead: IntArray,
) -> Weighing:
    """Return the hours weighed again with the way home from each of them.

    Parameters
    ----------
    weighing
        Every hazard of each hour by itself.
    conditions
        Its `time_home` says how long the way home takes.
    limits
        The limits that hold.
    tolerance
        The shares of the forecasts that suffice to decide an hour.
    ahead : array (..., member, hour)
        Severity of each whole hour without the way home: what is to be avoided.
    """
    time = np.broadcast_to(conditions.quantities["time_home"], weighing.members.shape)
    spare = {WORSE_BEFORE_HOME.weighs: spare_time_before_worse(ahead, weighing.members, time)}
    weighed = weigh(
        replace(conditions, quantities=spare), limits, np.zeros(()), tolerance, [WORSE_BEFORE_HOME]
    )
    members = np.maximum(weighing.members, weighed.members)
    strict = np.maximum(weighing.strict, weighed.strict)
    together = severity_of_all(members, strict, weighing.weights, tolerance)
    return replace(
        weighing,
        hazards=(*weighing.hazards, *weighed.hazards),
        members=members,
        strict=strict,
        hours=np.maximum.reduce([weighing.hours, weighed.hours, together]),
    )


def without_return(weighing: Weighing, tolerance: Tolerance) -> IntArray:
    """Return the severity of each hour by itself, the way home from it not counted."""
    hazards = [one for one in weighing.hazards if one.hazard is not WORSE_BEFORE_HOME]
    together = severity_of_all(*worst_of_members(hazards), weighing.weights, tolerance)
    hours: IntArray = np.maximum.reduce([together, *(one.hours for one in hazards)])
    return hours


def spare_time_before_worse(ahead: IntArray, now: IntArray, time: FloatArray) -> FloatArray:
    """Return how long before the next hour that is NO-GO or UNKNOWN home is reached.

    Parameters
    ----------
    ahead : array (..., member, hour)
        Severity of each whole hour by itself.
    now : array (..., member, hour)
        The same, for the part of each hour that is judged.
    time : array (..., member, hour)
        Time home from each hour's start, 0 for a trip that is over. [s]

    Returns
    -------
    array (..., member, hour)
        [s]; infinite where no such hour follows, where the hour itself is one, or where the
        trip is over; NaN where the way home is not known, or ends after the last known hour.

    Examples
    --------
    >>> hours = np.array([[Severity.GO, Severity.GO, Severity.NO_GO]])
    >>> spare_time_before_worse(hours, hours, np.full((1, 3), 5400.0))
    array([[ 1800., -1800.,    inf]])
    """
    bad = ahead >= Severity.UNKNOWN
    hour = np.arange(bad.shape[-1])
    coming = np.where(bad, hour.astype(float), np.inf)[..., ::-1]
    later = np.minimum.accumulate(coming, axis=-1)[..., ::-1]
    following = np.concatenate([later[..., 1:], np.full_like(later[..., :1], np.inf)], axis=-1)
    gap = HOUR * (following - hour)
    left = HOUR * (bad.shape[-1] - hour)
    beyond = np.where(np.isinf(time), -np.inf, np.nan)
    free = np.where(time <= left, np.inf, beyond)
    endless = np.isinf(time) & np.isinf(gap)
    spare = np.where(np.isinf(gap), free, np.where(endless, 0.0, gap) - np.where(endless, 0, time))
    return np.where((now >= Severity.UNKNOWN) | (time == 0), np.inf, spare)

"""Conditions × limits → findings → verdict; odds; windows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from safety_check.arrays import BoolArray, FloatArray, IntArray, TimeArray
from safety_check.conditions.conditions import Conditions
from safety_check.model.verdict import Severity
from safety_check.physics.odds import severity_at_tolerance
from safety_check.rules.hazard import Hazard
from safety_check.rules.hazards import HAZARDS
from safety_check.rules.limits import Limits, bounds_after_reduction


@dataclass(frozen=True)
class WeighedHazard:
    """One hazard, weighed for every member and hour.

    Parameters
    ----------
    hazard
        Which.
    value : array (member, hour)
        The quantity; NaN where it is not known.
    marginal, no_go : array (member, hour)
        The bounds that held; NaN where none could be chosen.
    members : array (member, hour)
        Severity of each member.
    counted : array (member,)
        False for members whose model never gives the quantity.
    hours : array (hour,)
        Severity of each hour at the user's tolerance.
    """

    hazard: Hazard
    value: FloatArray
    marginal: FloatArray
    no_go: FloatArray
    members: IntArray
    counted: BoolArray
    hours: IntArray


@dataclass(frozen=True)
class Weighing:
    """All hazards weighed, and the severity of each hour from them.

    Parameters
    ----------
    time : array (hour,)
        Start of each hour, UTC.
    weights : array (member,)
        Sum 1.
    hazards
        In the order of `HAZARDS`.
    members : array (member, hour)
        The worst finding of each member.
    hours : array (hour,)
        The verdict of each hour.
    reduction_parts
        Cause → by how many Beaufort numbers it lowers the wind limits; each broadcasts to
        (member, hour).
    """

    time: TimeArray
    weights: FloatArray
    hazards: tuple[WeighedHazard, ...]
    members: IntArray
    hours: IntArray
    reduction_parts: Mapping[str, FloatArray] = field(default_factory=dict)

    def odds(self, hour: int) -> dict[Severity, float]:
        """Return the share of the forecasts at each severity in one hour."""
        at = self.members[:, hour]
        return {level: float(self.weights[at == level].sum()) for level in Severity}


def severity(value: FloatArray, marginal: FloatArray, no_go: FloatArray, worse: str) -> IntArray:
    """Return the severity of each value; UNKNOWN wherever nothing can be proved.

    Parameters
    ----------
    value, marginal, no_go
        Broadcast against each other, in one unit; an infinite bound is one that does not exist.
    worse
        "higher" or "lower": the direction of danger.

    Notes
    -----
    No value reaches a bound that does not exist, not even an infinite value: a swim that never
    ends is not NO-GO by a limit that has no NO-GO.

    Examples
    --------
    >>> wind = np.array([3.0, 6.0, 9.0, np.nan])
    >>> [str(Severity(level)) for level in severity(wind, np.array(5.5), np.array(8.0), "higher")]
    ['GO', 'MARGINAL', 'NO-GO', 'UNKNOWN']
    """
    sign = 1.0 if worse == "higher" else -1.0
    value, marginal, no_go = np.broadcast_arrays(sign * value, sign * marginal, sign * no_go)
    unbounded = np.isposinf(marginal) & ~np.isnan(value)
    return np.select(
        [
            (value >= no_go) & np.isfinite(no_go),
            (value >= marginal) & np.isfinite(marginal),
            (value < marginal) | unbounded,
        ],
        [Severity.NO_GO, Severity.MARGINAL, Severity.GO],
        default=Severity.UNKNOWN,
    )


def weigh(
    conditions: Conditions,
    limits: Limits,
    reductions: FloatArray,
    tolerance: float,
    hazards: Sequence[Hazard] = HAZARDS,
) -> Weighing:
    """Weigh every hazard for every member and hour.

    Parameters
    ----------
    conditions
        What it will be like.
    limits
        The limits that hold for this craft and paddler.
    reductions
        By how many Beaufort numbers the wind limits fall; broadcasts to (member, hour).
    tolerance
        The share of the forecasts that suffices to decide an hour.
    hazards
        What to weigh.
    """
    weighed = tuple(
        _weigh_hazard(hazard, conditions, limits, reductions, tolerance)
        for hazard in hazards
        if (hazard.weighs in limits.limits or hazard.weighs in limits.undeclared)
        and not (hazard.only_where_made and _lacks_variable(hazard, conditions).all())
    )
    shape = (len(conditions.models), len(conditions.time))
    worst = np.full(shape, int(Severity.GO))
    for one in weighed:
        worst = np.maximum(worst, np.where(one.counted[:, None], one.members, Severity.GO))
    together = severity_at_tolerance(worst, conditions.weights, tolerance)
    hours = np.maximum.reduce([together, *(one.hours for one in weighed)])
    return Weighing(conditions.time, conditions.weights, weighed, worst, hours)


def _weigh_hazard(
    hazard: Hazard,
    conditions: Conditions,
    limits: Limits,
    reductions: FloatArray,
    tolerance: float,
) -> WeighedHazard:
    shape = (len(conditions.models), len(conditions.time))
    value = np.broadcast_to(conditions.quantities[hazard.weighs], shape)
    counted = ~_lacks_variable(hazard, conditions)
    if hazard.weighs in limits.undeclared:
        marginal = no_go = np.full(shape, np.nan)
        worse = "higher"
    else:
        marginal, no_go = (
            np.broadcast_to(bound, shape)
            for bound in bounds_after_reduction(
                limits, hazard.weighs, reductions if hazard.lowered_by_reductions else None
            )
        )
        worse = limits.limits[hazard.weighs].worse
    members = severity(value, marginal, no_go, worse)
    if not hazard.required:
        members = np.where(members == Severity.UNKNOWN, Severity.MARGINAL, members)
    hours = _hours(members, counted, conditions.weights, tolerance, hazard.required)
    return WeighedHazard(hazard, value, marginal, no_go, members, counted, hours)


def _lacks_variable(hazard: Hazard, conditions: Conditions) -> BoolArray:
    """Return True for each member whose model never provides what the hazard needs."""
    lacks: BoolArray = np.zeros(len(conditions.models), dtype=bool)
    for variable in hazard.lacking:
        lacks = lacks | conditions.lacking[variable]
    return lacks


def _hours(
    members: IntArray, counted: BoolArray, weights: FloatArray, tolerance: float, required: bool
) -> IntArray:
    """Return each hour's severity over the members whose model provides the quantity."""
    if not counted.any():
        nothing = Severity.UNKNOWN if required else Severity.MARGINAL
        return np.full(members.shape[1], int(nothing))
    share = weights[counted] / weights[counted].sum()
    return severity_at_tolerance(members[counted], share, tolerance)

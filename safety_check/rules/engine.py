"""Conditions × limits → findings → verdict; odds; windows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from safety_check.arrays import BoolArray, FloatArray, IntArray, TimeArray
from safety_check.conditions.conditions import AT_WARM_END, Conditions
from safety_check.model.verdict import Severity
from safety_check.physics.odds import Tolerance, severity_at_tolerance, weight_of, without_members
from safety_check.rules.hazard import Hazard
from safety_check.rules.hazards import HAZARDS
from safety_check.rules.hazards_moving import OF_MOVING_WATER
from safety_check.rules.limits import Limits, bounds_after_reduction

# Hazards computed from the widened winds: here a share of the members is a probability. For the
# other hazards each model only says yes or no, and one model of six is enough to decide.
OF_WIDENED_WINDS = frozenset(
    {
        "wind_speed",
        "wind_speed_of_gust",
        "sea_surface_wave_significant_height",
        "offshore_wind_speed",
        "share_of_hold_station_wind",
        "way_home_share_of_trip",
        "time_to_dark_once_home",
        "time_to_dusk_once_home",
        "swim_to_shore_share",
        "wind_rise",
        "wave_height_against_current",
        "height_of_waves_that_break_on_current",
    }
)

# What each severity counts as, by the user's own share, where the winds are widened.
STRICT_OF_WIDENED = np.array(
    [Severity.GO, Severity.GO, Severity.UNKNOWN, Severity.MARGINAL], dtype=np.int8
)


@dataclass(frozen=True)
class WeighedHazard:
    """One hazard, weighed for every member and hour, of one site or many.

    Parameters
    ----------
    hazard
        The hazard that was weighed.
    value : array (..., member, hour)
        The quantity; NaN where it is not known.
    marginal, no_go : array (..., member, hour)
        The bounds that held; NaN where none could be chosen.
    members : array (..., member, hour)
        Severity of each member.
    counted : array (member,)
        False for members whose model never gives the quantity.
    hours : array (..., hour)
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
    time : array (..., hour)
        Start of each hour, UTC.
    weights : array (member,)
        Sum 1.
    hazards
        In the order of `HAZARDS`.
    members : array (..., member, hour)
        The worst finding of each member.
    strict : array (..., member, hour)
        The worst `strict_finding` of each member.
    hours : array (..., hour)
        The verdict of each hour.
    reduction_parts
        Cause → by how many Beaufort numbers it lowers the wind limits; each broadcasts to
        (..., member, hour).
    """

    time: TimeArray
    weights: FloatArray
    hazards: tuple[WeighedHazard, ...]
    members: IntArray
    strict: IntArray
    hours: IntArray
    reduction_parts: Mapping[str, FloatArray] = field(default_factory=dict)

    @cached_property
    def odds(self) -> FloatArray:
        """The share of the forecasts at each severity, (..., hour, 4) [1]."""
        return odds_of_members(self.members, self.weights)


def odds_of_members(members: IntArray, weights: FloatArray) -> FloatArray:
    """Return the share of the forecasts at each severity, (..., hour, 4) [1].

    Parameters
    ----------
    members : array (..., member, hour)
        The worst finding of each member.
    weights : array (member,)
        Sum 1.
    """
    return np.stack([weight_of(members == level, weights) for level in Severity], axis=-1)


def strict_finding(hazard: Hazard, members: IntArray) -> IntArray:
    """Return the severities that the user's own share of the forecasts decides.

    For hazards computed from widened winds, that share decides two things: a value that is not
    known is UNKNOWN, and a NO-GO rules out a GO.
    """
    if hazard.weighs not in OF_WIDENED_WINDS:
        return members
    return STRICT_OF_WIDENED[members]


def share_that_decides(hazard: Hazard, severity: IntArray, tolerance: Tolerance) -> FloatArray:
    """Return the share of the forecasts that suffices for severities of a hazard (...) [1]."""
    of_winds = tolerance.of_winds if hazard.weighs in OF_WIDENED_WINDS else tolerance.share
    return np.where(severity == Severity.UNKNOWN, tolerance.share, of_winds)


def severity_of_all(
    members: IntArray, strict: IntArray, weights: FloatArray, tolerance: Tolerance
) -> IntArray:
    """Return the severity of each hour.

    Parameters
    ----------
    members, strict : array (..., member, hour)
        The worst finding of each member, and the worst `strict_finding`.
    weights : array (member,)
        Weight of each member. [1]
    tolerance
        The shares that suffice.
    """
    if strict is members:  # the smaller share decides
        return severity_at_tolerance(members, weights, min(tolerance.share, tolerance.of_winds))
    return np.maximum(
        severity_at_tolerance(members, weights, tolerance.of_winds),
        severity_at_tolerance(strict, weights, tolerance.share),
    )


def worst_of_members(hazards: Sequence[WeighedHazard]) -> tuple[IntArray, IntArray]:
    """Return each member's worst finding among some hazards, and its worst strict one.

    A hazard that a member's model never gives is no finding.
    """
    worst, strict = (np.zeros(hazards[0].members.shape, dtype=np.int8) for _ in range(2))
    for one in hazards:
        found = one.members
        if not one.counted.all():
            found = np.where(one.counted[:, None], found, np.int8(Severity.GO))
        np.maximum(worst, found, out=worst)
        np.maximum(strict, strict_finding(one.hazard, found), out=strict)
    return worst, strict


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
    if worse != "higher":
        value, marginal, no_go = -value, -marginal, -no_go
    shape = np.broadcast_shapes(value.shape, marginal.shape, no_go.shape)
    found = np.full(shape, Severity.UNKNOWN, dtype=np.int8)
    for proved, level in (
        ((value < marginal) | (np.isposinf(marginal) & ~np.isnan(value)), Severity.GO),
        ((value >= marginal) & np.isfinite(marginal), Severity.MARGINAL),
        ((value >= no_go) & np.isfinite(no_go), Severity.NO_GO),
    ):
        np.copyto(found, np.int8(level), where=proved)
    return found


def weigh(
    conditions: Conditions,
    limits: Limits,
    reductions: FloatArray,
    tolerance: Tolerance,
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
        By how many Beaufort numbers the wind limits fall; broadcasts to (..., member, hour).
    tolerance
        The shares of the forecasts that suffice to decide an hour.
    hazards
        What to weigh.
    """
    weighed = tuple(
        _weigh_hazard(hazard, conditions, limits, reductions, tolerance)
        for hazard in hazards
        if (hazard.weighs in limits.limits or hazard.weighs in limits.undeclared)
        and not (hazard.only_where_made and _lacks_variable(hazard, conditions).all())
        and not (hazard.name in OF_MOVING_WATER and hazard.weighs not in conditions.quantities)
    )
    worst, strict = worst_of_members(weighed)
    together = severity_of_all(worst, strict, conditions.weights, tolerance)
    hours = np.maximum.reduce([together, *(one.hours for one in weighed)])
    return Weighing(conditions.time, conditions.weights, weighed, worst, strict, hours)


def _weigh_hazard(
    hazard: Hazard,
    conditions: Conditions,
    limits: Limits,
    reductions: FloatArray,
    tolerance: Tolerance,
) -> WeighedHazard:
    value, shape = conditions.quantities[hazard.weighs], conditions.shape
    counted = ~_lacks_variable(hazard, conditions)
    if hazard.weighs in limits.undeclared:
        marginal = no_go = np.full((1,), np.nan)
        worse = "higher"
    else:
        marginal, no_go = bounds_after_reduction(
            limits, hazard.weighs, reductions if hazard.lowered_by_reductions else None
        )
        worse = limits.limits[hazard.weighs].worse
    members = severity(value, marginal, no_go, worse)
    warmest = conditions.quantities.get(f"{hazard.weighs}{AT_WARM_END}")
    if warmest is not None:
        members = at_most_caution(members, severity(warmest, marginal, no_go, worse))
    if not hazard.required:
        members = np.where(members == Severity.UNKNOWN, np.int8(Severity.MARGINAL), members)
    value, marginal, no_go, members = (
        np.broadcast_to(one, shape) for one in (value, marginal, no_go, members)
    )
    if counted.any():
        given = members if counted.all() else members[..., counted, :]
        at_share = strict_finding(hazard, given)
        hours = severity_of_all(given, at_share, conditions.weights[counted], tolerance)
    else:
        nothing = Severity.UNKNOWN if hazard.required else Severity.MARGINAL
        hours = np.full(without_members(members), nothing, dtype=members.dtype)
    return WeighedHazard(hazard, value, marginal, no_go, members, counted, hours)


def at_most_caution(members: IntArray, at_warm_end: IntArray) -> IntArray:
    """Return severities at the cold end of an estimate, NO-GO only where the warm end is too."""
    spared = (members == Severity.NO_GO) & (at_warm_end <= Severity.MARGINAL)
    return np.where(spared, np.int8(Severity.MARGINAL), members)


def _lacks_variable(hazard: Hazard, conditions: Conditions) -> BoolArray:
    """Return True for each member whose model never provides what the hazard needs."""
    lacks: BoolArray = np.zeros(len(conditions.models), dtype=bool)
    for variable in hazard.lacking:
        lacks = lacks | conditions.lacking[variable]
    return lacks

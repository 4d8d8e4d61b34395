"""What decides a verdict: the hour and the member behind a finding, and the hazard named first."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from safety_check.arrays import BoolArray, FloatArray, IntArray
from safety_check.model.verdict import Limit, Severity
from safety_check.model.verdict_arrays import Decided
from safety_check.physics.odds import Tolerance, weight_of
from safety_check.rules.engine import (
    WeighedHazard,
    Weighing,
    share_that_decides,
)
from safety_check.rules.hazard import Hazard
from safety_check.rules.ranking import MISSING_SOURCE, SEVERAL_TOGETHER, kind_of_finding
from safety_check.rules.trips import (
    hazard_over_trip,
    odds_over_trip,
    shares_over_trip,
    trip_severity,
)

ALL_TOGETHER = (SEVERAL_TOGETHER, MISSING_SOURCE)
NOTHING = -1  # no hazard decides, because it is GO


class HazardOverTrip(NamedTuple):
    """One hazard over a trip, at one site or many.

    Parameters
    ----------
    severity : array (...)
        Its severity.
    hours : array (..., trip hour)
        Whether an hour of the trip has that severity; where none has, whether enough members do.
    hour, member : array (...)
        The hour that decides, as its place in the trip, and the member.
    odds : array (...)
        Share of the forecasts that reach the severity at any hour. [1]
    """

    severity: IntArray
    hours: BoolArray
    hour: IntArray
    member: IntArray
    odds: FloatArray


def look_over_trip(
    weighed: WeighedHazard,
    weights: FloatArray,
    trip: IntArray,
    tolerance: Tolerance,
    limit: Limit | None,
) -> HazardOverTrip:
    """Return one hazard over a trip.

    Parameters
    ----------
    weighed
        The hazard, at one site or many.
    weights : array (member,)
        Sum 1.
    trip : array (trip hour,)
        Which hours the trip touches, at every site.
    tolerance
        The shares of the forecasts that suffice to decide.
    limit
        The limit that bounds it; None where it could not be chosen.
    """
    severity = hazard_over_trip(weighed, weights, trip, tolerance)
    hours = weighed.hours[..., trip] == severity[..., None]
    reached = (weighed.members[..., trip] >= severity[..., None, None]).any(axis=-2)
    hours = np.where(hours.any(axis=-1, keepdims=True), hours, reached)
    tolerated = share_that_decides(weighed.hazard, severity, tolerance)
    hour, member = find_deciding(weighed, weights, trip, hours, tolerated, limit)
    odds = odds_over_trip(weighed, weights, trip, severity)
    return HazardOverTrip(severity, hours, hour, member, odds)


def find_deciding(
    weighed: WeighedHazard,
    weights: FloatArray,
    trip: IntArray,
    hours: BoolArray,
    tolerated: FloatArray,
    limit: Limit | None,
) -> tuple[IntArray, IntArray]:
    """Return the hour, as its place in the trip, and the member that decide, arrays (...).

    Each member counts with its worst hour. Take the worst members until their weight is the
    tolerated share: the mildest of them decides.

    Parameters
    ----------
    weighed, weights, trip, limit
        As for `look_over_trip`.
    hours : array (..., trip hour)
        The hours that count.
    tolerated : array (...)
        The share of the forecasts that decides. [1]
    """
    sign = -1.0 if limit and limit.worse == "lower" else 1.0
    members = np.flatnonzero(weighed.counted) if weighed.counted.any() else np.arange(len(weights))
    value = sign * weighed.value[..., trip][..., members, :]
    value = np.where(np.isnan(value), np.inf, value)
    level = np.where(hours[..., None, :], weighed.members[..., trip][..., members, :], -1)
    at = np.lexsort((-value, -level), axis=-1)[..., :1]
    worst_value, worst_level = (np.take_along_axis(one, at, -1)[..., 0] for one in (value, level))
    order = np.lexsort((worst_value, worst_level), axis=-1)[..., ::-1]
    share = np.cumsum(weights[members][order], axis=-1) / weights[members].sum()
    milder = (share < np.asarray(tolerated)[..., None] - 1e-9).sum(axis=-1, keepdims=True)
    row = np.take_along_axis(order, milder, -1)
    hour: IntArray = np.take_along_axis(at[..., 0], row, -1)[..., 0]
    return hour, members[row[..., 0]]


def members_by_hour(
    weighed: WeighedHazard, weights: FloatArray, tolerated: FloatArray, limit: Limit | None
) -> IntArray:
    """Return the member that decides each hour by itself, array (hour,).

    Parameters
    ----------
    weighed, weights, limit
        As for `look_over_trip`, at one site.
    tolerated : array (hour,)
        The share of the forecasts that decides. [1]
    """
    by_hour = replace(  # as trips of an hour at sites of their own
        weighed, value=weighed.value.T[..., None], members=weighed.members.T[..., None]
    )
    all_count = np.ones((len(tolerated), 1), dtype=bool)
    return find_deciding(by_hour, weights, np.array([0]), all_count, tolerated, limit)[1]


# -- many sites ------------------------------------------------------------------------------------


def hazard_names(hazards: Iterable[Hazard]) -> tuple[str, ...]:
    """Return the names that can decide a verdict, in the order of their indices."""
    return (*(hazard.name for hazard in hazards), SEVERAL_TOGETHER, MISSING_SOURCE)


def decide_plan(
    weighing: Weighing,
    trip: IntArray,
    tolerance: Tolerance,
    held: IntArray,
    limits: Mapping[str, Limit],
    names: Sequence[str],
) -> Decided:
    """Return the verdict on a trip, and the hazard of its first finding, arrays (...).

    Parameters
    ----------
    weighing
        The hours of the trip weighed, at one site or many.
    trip, tolerance
        As for `look_over_trip`.
    held : array (...)
        The best severity possible, given the sources that did not answer.
    limits
        Quantity → limit.
    names
        From `hazard_names`.
    """
    weights, hazards = weighing.weights, weighing.hazards
    found = [
        look_over_trip(one, weights, trip, tolerance, limits.get(one.hazard.weighs))
        for one in hazards
    ]
    alone = [one.severity for one in found]
    weather = trip_severity(weighing, trip, tolerance, alone)
    several = np.where(weather > np.maximum.reduce(alone), weather, NOTHING)
    missing = np.where(held > Severity.GO, held, NOTHING)
    keys = [_sort_key(one, part, trip) for one, part in zip(hazards, found, strict=True)]
    keys += [_alone_key(SEVERAL_TOGETHER, several), _alone_key(MISSING_SOURCE, missing)]
    first = np.lexsort(np.stack(keys, axis=1)[::-1], axis=0)[0]
    listed = [names.index(name) for name in (*(one.hazard.name for one in hazards), *ALL_TOGETHER)]
    severity = np.maximum(weather, held)
    decides = np.where(severity > Severity.GO, np.array(listed)[first], NOTHING)
    return Decided(severity, decides, shares_over_trip(weighing, trip))


def _sort_key(weighed: WeighedHazard, found: HazardOverTrip, trip: IntArray) -> FloatArray:
    """Return what `rank_findings` sorts a finding by, first what counts most, (4, ...)."""
    at = (found.member[..., None, None], trip[found.hour][..., None, None])
    of_member = np.take_along_axis(weighed.value, at[0], axis=-2)
    missing = np.isnan(np.take_along_axis(of_member, at[1], axis=-1)[..., 0, 0])
    kind = kind_of_finding(weighed.hazard.name, missing)
    return np.stack([-found.severity, kind, -found.odds, -found.hours.sum(axis=-1)])


def _alone_key(name: str, severity: IntArray) -> FloatArray:
    """Return the same for a finding that has no other of its kind beside it."""
    kind = kind_of_finding(name, np.ones(severity.shape, dtype=bool))
    return np.stack([-severity, kind, np.full(severity.shape, -1.0), np.zeros(severity.shape)])


def decide_hours(weighing: Weighing, held: IntArray, names: Sequence[str]) -> Decided:
    """Return the verdict on each hour, and the hazard that decides it, arrays (..., hour).

    Of the hazards that make an hour what it is, the one that most of the forecasts reach decides;
    of equal ones the first in the list.

    Parameters
    ----------
    weighing, names
        As for `decide_plan`.
    held : array (..., 1)
        The best severity possible, given the sources that did not answer.
    """
    severity = np.maximum(weighing.hours, held)
    decides = np.full(severity.shape, names.index(SEVERAL_TOGETHER))
    decides[severity > weighing.hours] = names.index(MISSING_SOURCE)
    most = np.full(severity.shape, -1.0)
    for one in weighing.hazards:
        makes = one.hours == severity
        reach = _reach(one, weighing.weights, severity)
        first = makes & (reach > most) & (severity == weighing.hours)
        decides = np.where(first, names.index(one.hazard.name), decides)
        most = np.where(first, reach, most)
    return Decided(severity, np.where(severity > Severity.GO, decides, NOTHING), weighing.odds)


def _reach(weighed: WeighedHazard, weights: FloatArray, severity: IntArray) -> FloatArray:
    """Return the share of the counted forecasts at a severity or worse in each hour (..., hour)."""
    counted = weighed.counted
    if not counted.any():
        return np.ones(severity.shape)
    reaches = weighed.members[..., counted, :] >= severity[..., None, :]
    share: FloatArray = weight_of(reaches, weights[counted]) / weights[counted].sum()
    return share

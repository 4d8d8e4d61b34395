"""A trip as a whole: each forecast's worst hour over it, and every trip of whole hours."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from safety_check.arrays import FloatArray, IntArray
from safety_check.model.verdict import Severity
from safety_check.physics.odds import Tolerance, weight_of
from safety_check.rules.engine import (
    WeighedHazard,
    Weighing,
    odds_of_members,
    severity_of_all,
    strict_finding,
)

LONGEST = 24  # h; the longest trip that is searched for


# -- one trip ------------------------------------------------------------------------------------


def trip_odds(weighing: Weighing, trip: IntArray) -> Mapping[Severity, float]:
    """Return the share of the forecasts whose worst hour over a trip has each severity."""
    odds = shares_over_trip(weighing, trip)
    return {level: float(odds[level]) for level in Severity}


def shares_over_trip(weighing: Weighing, trip: IntArray) -> FloatArray:
    """Return the share of the forecasts whose worst hour over a trip has each severity, (..., 4).

    Parameters
    ----------
    weighing
        Hours weighed, of one site or many.
    trip : array (trip hour,)
        Which hours the trip touches, at every site.
    """
    worst = weighing.members[..., trip].max(axis=-1, keepdims=True)
    return odds_of_members(worst, weighing.weights)[..., 0, :]


def trip_severity(
    weighing: Weighing, trip: IntArray, tolerance: Tolerance, hazards: Sequence[IntArray]
) -> IntArray:
    """Return the severity of a trip: of its worst hour, or of enough forecasts at any hour.

    Dangers that the forecasts expect at different hours add up over the trip.

    Parameters
    ----------
    weighing
        Hours weighed, of one site or many.
    trip : array (trip hour,)
        Which hours the trip touches, at every site.
    tolerance
        The shares of the forecasts that suffice to decide.
    hazards : arrays (...)
        The severity of each hazard over the trip, from `hazard_over_trip`.
    """
    worst, strict = (
        members[..., trip].max(axis=-1, keepdims=True)
        for members in (weighing.members, weighing.strict)
    )
    together = severity_of_all(worst, strict, weighing.weights, tolerance)[..., 0]
    severity: IntArray = np.maximum.reduce(
        [weighing.hours[..., trip].max(axis=-1), together, *hazards]
    )
    return severity


def severity_of_trip(weighing: Weighing, trip: IntArray, tolerance: Tolerance) -> Severity:
    """Return the severity of a trip at one site."""
    hazards = [
        hazard_over_trip(hazard, weighing.weights, trip, tolerance) for hazard in weighing.hazards
    ]
    return Severity(int(trip_severity(weighing, trip, tolerance, hazards)))


def hazard_over_trip(
    hazard: WeighedHazard, weights: FloatArray, trip: IntArray, tolerance: Tolerance
) -> IntArray:
    """Return the severity of one hazard over a trip, among the members that are counted, (...)."""
    worst_hour: IntArray = hazard.hours[..., trip].max(axis=-1)
    if not hazard.counted.any():
        return worst_hour
    counted = hazard.counted
    members = hazard.members[..., trip][..., counted, :]
    if not members.any():
        return worst_hour
    worst = members.max(axis=-1, keepdims=True)
    findings = strict_finding(hazard.hazard, members)
    strict = worst if findings is members else findings.max(axis=-1, keepdims=True)
    over = severity_of_all(worst, strict, weights[counted], tolerance)[..., 0]
    return np.maximum(worst_hour, over)


def can_reach(hazard: WeighedHazard, trip: IntArray, severity: Severity) -> bool:
    """Return False where `hazard_over_trip` is surely less, after a quick look at one site."""
    worst = max(hazard.hours[trip].max(), hazard.members[:, trip].max(initial=0))
    return bool(worst >= severity)


def odds_over_trip(
    hazard: WeighedHazard, weights: FloatArray, trip: IntArray, severity: IntArray
) -> FloatArray:
    """Return the share of the counted forecasts that reach a severity at any hour of a trip, (...).

    Parameters
    ----------
    hazard, weights, trip
        As for `hazard_over_trip`.
    severity : array (...)
        That of each site.
    """
    counted = hazard.counted
    if not counted.any():
        return np.ones(np.shape(severity))
    worst = hazard.members[..., trip][..., counted, :].max(axis=-1, keepdims=True)
    reaches = worst >= np.asarray(severity)[..., None, None]
    share: FloatArray = weight_of(reaches, weights[counted])[..., 0] / weights[counted].sum()
    return share


# -- every trip of whole hours ---------------------------------------------------------------------


@dataclass(frozen=True)
class TripTable:
    """Every trip of whole hours: row `length - 1`, column its start.

    Parameters
    ----------
    severity : array (length, ..., hour)
        The verdict; NO-GO where a trip runs beyond the last hour.
    go : array (length, ..., hour)
        Share of the forecasts in which the trip stays GO. [1]
    """

    severity: IntArray
    go: FloatArray


def judge_trips(
    under_way: Weighing,
    returning: Weighing,
    best_possible: IntArray | Severity,
    tolerance: Tolerance,
) -> TripTable:
    """Return the verdict on every trip of 1 to 24 whole hours.

    Parameters
    ----------
    under_way
        The hours weighed as whole hours on the water.
    returning
        The hours weighed as the margin after a return at their first instant.
    best_possible : array (..., 1)
        The best severity an hour can have, given the sources that did not answer.
    tolerance
        The shares of the forecasts that suffice to decide.

    Notes
    -----
    A check of exactly that trip gives this verdict, or a better one: here every hour counts the
    farthest point, while a check counts only how far the trip can have come by then.
    """
    weights = under_way.weights
    shape = (LONGEST, *under_way.hours.shape)
    severity, go = np.full(shape, Severity.NO_GO, dtype=np.int8), np.zeros(shape)
    by_length = zip(
        worst_by_length(under_way.members, returning.members),
        worst_by_length(under_way.hours, returning.hours),
        _together_by_length(
            (under_way.members, under_way.strict),
            (returning.members, returning.strict),
            weights,
            tolerance,
        ),
        *(
            _hazard_by_length(away, back, weights, tolerance)
            for away, back in zip(under_way.hazards, returning.hazards, strict=True)
            if away.counted.any() and not away.counted.all()
        ),
        strict=True,
    )
    for at, (members, hours, *found) in enumerate(by_length):
        starts = slice(0, hours.shape[-1])
        severity[at, ..., starts] = np.maximum.reduce([np.maximum(hours, best_possible), *found])
        go[at, ..., starts] = weight_of(members == Severity.GO, weights)
    return TripTable(severity, go)


def _together_by_length(
    away: tuple[IntArray, IntArray],
    back: tuple[IntArray, IntArray],
    weights: FloatArray,
    tolerance: Tolerance,
) -> Iterator[IntArray]:
    """Yield the severity that enough members reach, of every trip of 1 hour, then of 2 and so on.

    The members' findings and their strict ones are given, under way and as hours of return.
    """
    for members, strict in zip(*map(worst_by_length, away, back), strict=True):
        yield severity_of_all(members, strict, weights, tolerance)


def _hazard_by_length(
    away: WeighedHazard, back: WeighedHazard, weights: FloatArray, tolerance: Tolerance
) -> Iterator[IntArray]:
    """Yield the severity of a hazard that some models never give, as `_together_by_length`."""
    under_way, returning = _counted_findings(away), _counted_findings(back)
    return _together_by_length(under_way, returning, weights[away.counted], tolerance)


def _counted_findings(hazard: WeighedHazard) -> tuple[IntArray, IntArray]:
    """Return the findings of the members that are counted, and their strict ones."""
    members = hazard.members[..., hazard.counted, :]
    return members, strict_finding(hazard.hazard, members)


def worst_by_length(under_way: IntArray, back: IntArray) -> Iterator[IntArray]:
    """Yield the worst hour of every trip of 1 hour, then of 2 and so on to 24, by its start.

    Parameters
    ----------
    under_way : array (..., hour)
        Severity of each hour on the water.
    back : array (..., hour)
        Severity of each hour as the hour of return.

    Yields
    ------
    array (..., start)
        The longer the trips, the fewer; none that runs beyond the last hour.

    Examples
    --------
    >>> [*worst_by_length(np.array([0, 1, 0, 3]), np.array([0, 0, 0, 3]))]
    [array([0, 1, 3]), array([1, 3]), array([3])]
    """
    worst = under_way
    for length in range(1, min(LONGEST, under_way.shape[-1] - 1) + 1):
        yield np.maximum(worst[..., :-1], back[..., length:])
        worst = np.maximum(worst[..., :-1], under_way[..., length:])


def best_trips(table: TripTable) -> tuple[Severity, list[tuple[int, int]]]:
    """Return the best severity of any trip, and such trips (start, length) that do not overlap.

    The longest comes first. The list is empty where every trip is worse than MARGINAL.
    """
    best = Severity(int(table.severity.min()))
    if best > Severity.MARGINAL:
        return best, []
    good = table.severity <= best
    lengths = np.where(good.any(axis=0), LONGEST - np.argmax(good[::-1], axis=0), 0)
    free = np.ones(len(lengths), dtype=bool)
    found: list[tuple[int, int]] = []
    for start in sorted(np.flatnonzero(lengths).tolist(), key=lambda hour: (-lengths[hour], hour)):
        hours = slice(start, start + int(lengths[start]))
        if free[hours].all():
            free[hours] = False
            found.append((start, int(lengths[start])))
    return best, found

"""Trips of whole hours, against a plain loop over members and hours."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product

import numpy as np
import pytest

from safety_check.model.verdict import Severity
from safety_check.physics.odds import Tolerance
from safety_check.rules.engine import WeighedHazard, Weighing
from safety_check.rules.hazards import HAZARDS
from safety_check.rules.trips import (
    LONGEST,
    TripTable,
    best_trips,
    can_reach,
    hazard_over_trip,
    judge_trips,
    odds_over_trip,
    severity_of_trip,
    shares_over_trip,
    trip_odds,
)

GO, MARGINAL, UNKNOWN, NO_GO = Severity
WIND = next(one for one in HAZARDS if one.weighs == "wind_speed")
THUNDER = next(one for one in HAZARDS if one.weighs == "thunderstorm")
TOLERANCE = Tolerance(share=0.1, of_winds=0.2)
WEIGHTS = np.array([0.5, 0.25, 0.15, 0.1])
ALL = np.array([True, True, True, True])
THREE = np.array([True, True, False, True])
HOURS = 30
STRICT = {GO: GO, MARGINAL: GO, UNKNOWN: UNKNOWN, NO_GO: MARGINAL}  # of widened winds


def reached(levels: Sequence[int], weights: Sequence[float], share: float) -> int:
    """Return the worst severity that at least a share of the weight reaches."""
    whole = sum(weights)
    for level in (NO_GO, UNKNOWN, MARGINAL):
        part = sum(w for one, w in zip(levels, weights, strict=True) if one >= level)
        if part / whole >= share - 1e-9:
            return level
    return GO


def decided(members: Sequence[int], strict: Sequence[int], weights: Sequence[float]) -> int:
    of_winds = reached(members, weights, TOLERANCE.of_winds)
    return max(of_winds, reached(strict, weights, TOLERANCE.share))


def strict_of(hazard: object, levels: Sequence[int]) -> list[int]:
    return [STRICT[Severity(one)] if hazard is WIND else one for one in levels]


def plain_hour(found: np.ndarray, counted: np.ndarray, hazard: object) -> list[int]:
    """Return the severity of a hazard in each hour."""
    weights = WEIGHTS[counted].tolist()
    hours = []
    for column in found[counted].T.tolist():
        hours.append(decided(column, strict_of(hazard, column), weights))
    return hours


def weighing_of(chance: np.random.Generator, calm: float) -> Weighing:
    """Return random findings of wind in all members and of thunder in three of four."""
    hazards = []
    for hazard, counted in ((WIND, ALL), (THUNDER, THREE)):
        bad = chance.random((4, HOURS)) > calm
        found = np.where(bad, chance.integers(0, 4, (4, HOURS)), 0).astype(np.int8)
        nothing = np.zeros(found.shape)
        hours = np.array(plain_hour(found, counted, hazard))
        hazards.append(WeighedHazard(hazard, nothing, nothing, nothing, found, counted, hours))
    wind, thunder = (np.where(one.counted[:, None], one.members, 0) for one in hazards)
    members = np.maximum(wind, thunder)
    strict = np.maximum(np.vectorize(lambda one: STRICT[Severity(one)])(wind), thunder)
    columns = zip(members.T.tolist(), strict.T.tolist(), strict=True)
    together = np.array([decided(*one, WEIGHTS.tolist()) for one in columns])
    hours = np.maximum.reduce([together, *(one.hours for one in hazards)])
    time = np.arange(HOURS).astype("datetime64[h]")
    return Weighing(time, WEIGHTS, tuple(hazards), members, strict.astype(np.int8), hours)


def weighings() -> list[tuple[Weighing, Weighing]]:
    chance = np.random.default_rng(20261127)
    return [
        (weighing_of(chance, calm), weighing_of(chance, calm))
        for calm in (0.3, 0.8, 0.9, 0.95, 0.97, 0.99)
        for _ in range(3)
    ]


def plain_trip(away: Weighing, back: Weighing, start: int, length: int) -> tuple[int, float]:
    """Return the severity of a trip and the share of the forecasts in which it stays GO."""
    out, home = slice(start, start + length), start + length

    def worst(under_way: np.ndarray, returning: np.ndarray) -> list[int]:
        return [max(*a[out], b[home]) for a, b in zip(under_way, returning, strict=True)]

    members = worst(away.members.tolist(), back.members.tolist())
    strict = worst(away.strict.tolist(), back.strict.tolist())
    found = [
        max(*away.hours[out].tolist(), int(back.hours[home])),
        decided(members, strict, WEIGHTS.tolist()),
    ]
    for one, other in zip(away.hazards, back.hazards, strict=True):
        levels = worst(one.members[one.counted].tolist(), other.members[one.counted].tolist())
        weights = WEIGHTS[one.counted].tolist()
        if one.hazard is THUNDER:  # its findings are strict ones
            found.append(decided(levels, levels, weights))
    go = sum(w for one, w in zip(members, WEIGHTS, strict=True) if one == GO)
    return max(found), go


@pytest.mark.parametrize("number", range(len(weighings())))
@pytest.mark.parametrize("best", [GO, MARGINAL])
def test_every_trip_is_what_a_plain_loop_makes_of_it(number: int, best: Severity) -> None:
    away, back = weighings()[number]
    table = judge_trips(away, back, best, TOLERANCE)
    assert table.severity.shape == table.go.shape == (LONGEST, HOURS)
    for length, start in product(range(1, LONGEST + 1), range(HOURS)):
        at = length - 1, start
        if start + length >= HOURS:  # there is no hour of return
            assert (table.severity[at], table.go[at]) == (NO_GO, 0)
        else:
            severity, go = plain_trip(away, back, start, length)
            assert table.severity[at] == max(severity, best)
            assert table.go[at] == pytest.approx(go, abs=1e-12)  # sums of floats


def test_the_random_trips_are_of_every_kind() -> None:
    seen = {
        int(one)
        for away, back in weighings()
        for one in judge_trips(away, back, GO, TOLERANCE).severity[:, :5].ravel()
    }
    assert seen == set(Severity)


@pytest.mark.parametrize("number", range(len(weighings())))
@pytest.mark.parametrize("hours", [[3], [3, 4, 5], [0, 10, 29]])
def test_one_trip_is_its_worst_hour_or_what_enough_forecasts_meet_at_any_hour(
    number: int, hours: list[int]
) -> None:
    weighing, _ = weighings()[number]
    trip = np.array(hours)
    members = weighing.members[:, trip].max(axis=1)
    shares = [sum(WEIGHTS[members == level]) for level in Severity]
    assert shares_over_trip(weighing, trip) == pytest.approx(np.array(shares))
    assert trip_odds(weighing, trip) == pytest.approx(dict(zip(Severity, shares, strict=True)))
    of_hazards = []
    for one in weighing.hazards:
        found = one.members[one.counted][:, trip].max(axis=1).tolist()
        strict = [
            max(strict_of(one.hazard, row)) for row in one.members[one.counted][:, trip].tolist()
        ]
        weights = WEIGHTS[one.counted].tolist()
        expected = max(decided(found, strict, weights), int(one.hours[trip].max()))
        assert hazard_over_trip(one, WEIGHTS, trip, TOLERANCE) == expected
        of_hazards.append(expected)
        for level in (MARGINAL, UNKNOWN, NO_GO):
            reaches = [w for at, w in zip(found, weights, strict=True) if at >= level]
            odds = odds_over_trip(one, WEIGHTS, trip, np.array(level))
            assert odds == pytest.approx(sum(reaches) / sum(weights))
            assert can_reach(one, trip, level) or expected < level
    strict = weighing.strict[:, trip].max(axis=1).tolist()
    together = decided(members.tolist(), strict, WEIGHTS.tolist())
    whole = max(together, int(weighing.hours[trip].max()), *of_hazards)
    assert severity_of_trip(weighing, trip, TOLERANCE) == whole


def test_a_hazard_that_no_model_gives_keeps_its_hours_and_is_in_all_forecasts() -> None:
    nobody = np.zeros(4, dtype=bool)
    found = np.full((4, 3), UNKNOWN, dtype=np.int8)
    hours = np.array([UNKNOWN, UNKNOWN, UNKNOWN])
    nothing = np.zeros(found.shape)
    one = WeighedHazard(WIND, nothing, nothing, nothing, found, nobody, hours)
    trip = np.array([0, 2])
    assert hazard_over_trip(one, WEIGHTS, trip, TOLERANCE) == UNKNOWN
    assert odds_over_trip(one, WEIGHTS, trip, np.array(UNKNOWN)) == 1.0


def table_of(severity: list[list[Severity]]) -> TripTable:
    """Return a table whose first rows are given; longer trips are NO-GO."""
    whole = np.full((LONGEST, len(severity[0])), NO_GO, dtype=np.int8)
    whole[: len(severity)] = severity
    return TripTable(whole, np.zeros(whole.shape))


def test_the_best_trips_are_the_longest_that_do_not_overlap_the_first_of_equals_first() -> None:
    table = table_of(
        [
            [GO, GO, GO, MARGINAL, GO, GO],
            [GO, GO, MARGINAL, MARGINAL, GO, NO_GO],
            [MARGINAL, MARGINAL, MARGINAL, NO_GO, NO_GO, NO_GO],
        ]
    )
    assert best_trips(table) == (GO, [(0, 2), (4, 2), (2, 1)])


def test_where_nothing_is_a_go_the_best_are_marginal_and_worse_ones_are_no_trips() -> None:
    marginal = table_of([[MARGINAL, NO_GO, MARGINAL], [UNKNOWN, NO_GO, NO_GO]])
    assert best_trips(marginal) == (MARGINAL, [(0, 1), (2, 1)])
    assert best_trips(table_of([[UNKNOWN, NO_GO]])) == (UNKNOWN, [])
    assert best_trips(table_of([[NO_GO, NO_GO]])) == (NO_GO, [])

"""Trips of whole hours, against a plain loop over members and hours."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import product

import numpy as np
import pytest

from safety_check.model.verdict import Severity
from safety_check.rules.engine import WeighedHazard, Weighing
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
    trip_severity,
    worst_by_length,
)
from tests.rules.random_weighings import (
    ALL,
    GO,
    HOURS,
    MARGINAL,
    MEMBERS,
    NO_GO,
    THUNDER,
    TOLERANCE,
    UNKNOWN,
    WEIGHTS,
    WIND,
    decided,
    strict_of,
    weighings,
)


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


@pytest.mark.one_in(2)
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
            worst = max(one.hours[trip].max(), one.members[:, trip].max())
            assert can_reach(one, trip, level) == (worst >= level)
            assert can_reach(one, trip, level) or expected < level
    strict = weighing.strict[:, trip].max(axis=1).tolist()
    together = decided(members.tolist(), strict, WEIGHTS.tolist())
    whole = max(together, int(weighing.hours[trip].max()), *of_hazards)
    assert severity_of_trip(weighing, trip, TOLERANCE) == whole


def test_other_dangers_in_other_forecasts_at_other_hours_add_up_over_a_trip() -> None:
    wind, thunder = np.zeros((2, MEMBERS, 2), dtype=np.int8)
    wind[2, 1] = wind[3, 1] = MARGINAL  # in 0.16 of the forecasts; 0.2 decide
    thunder[5, 0] = MARGINAL  # in 0.05; 0.1 decide
    nothing, calm = np.zeros(wind.shape), np.zeros(2, dtype=np.int8)
    hazards = tuple(
        WeighedHazard(hazard, nothing, nothing, nothing, found, ALL, calm)
        for hazard, found in ((WIND, wind), (THUNDER, thunder))
    )
    members = np.maximum(wind, thunder)
    time = np.arange(2).astype("datetime64[h]")
    weighing = Weighing(time, WEIGHTS, hazards, members, thunder, calm)
    for hour in (0, 1):
        assert severity_of_trip(weighing, np.array([hour]), TOLERANCE) == GO
    assert severity_of_trip(weighing, np.array([0, 1]), TOLERANCE) == MARGINAL


def test_a_hazard_that_no_model_gives_keeps_its_hours_and_is_in_all_forecasts() -> None:
    nobody = np.zeros(MEMBERS, dtype=bool)
    found = np.full((MEMBERS, 3), NO_GO, dtype=np.int8)
    hours = np.array([UNKNOWN, GO, MARGINAL])
    nothing = np.zeros(found.shape)
    one = WeighedHazard(WIND, nothing, nothing, nothing, found, nobody, hours)
    trip = np.array([0, 2])
    assert hazard_over_trip(one, WEIGHTS, trip, TOLERANCE) == UNKNOWN
    assert odds_over_trip(one, WEIGHTS, trip, np.array(UNKNOWN)) == 1.0
    calm = replace(one, members=np.zeros_like(found))
    assert can_reach(calm, trip, UNKNOWN)
    assert not can_reach(calm, trip, NO_GO)


def together(weighings: Sequence[Weighing]) -> Weighing:
    """Return the weighings of several sites as one."""

    def stacked(parts: Sequence[np.ndarray]) -> np.ndarray:
        return np.stack(parts)

    hazards = [
        replace(
            ones[0],
            members=stacked([one.members for one in ones]),
            hours=stacked([one.hours for one in ones]),
        )
        for ones in zip(*(one.hazards for one in weighings), strict=True)
    ]
    return replace(
        weighings[0],
        hazards=tuple(hazards),
        members=stacked([one.members for one in weighings]),
        strict=stacked([one.strict for one in weighings]),
        hours=stacked([one.hours for one in weighings]),
    )


def test_many_sites_at_once_have_the_trips_of_each() -> None:
    sites = [away for away, _ in weighings()]
    trip = np.array([3, 4, 5, 11])
    whole = together(sites)
    of_sites = [hazard_over_trip(one, WEIGHTS, trip, TOLERANCE) for one in whole.hazards]
    severity = trip_severity(whole, trip, TOLERANCE, of_sites)
    assert severity.tolist() == [severity_of_trip(one, trip, TOLERANCE) for one in sites]
    shares = np.stack([shares_over_trip(one, trip) for one in sites])
    assert (shares_over_trip(whole, trip) == shares).all()
    for at, hazard in enumerate(whole.hazards):
        odds = odds_over_trip(hazard, WEIGHTS, trip, severity)
        alone = [
            float(odds_over_trip(one.hazards[at], WEIGHTS, trip, np.array(level)))
            for one, level in zip(sites, severity, strict=True)
        ]
        assert odds.tolist() == alone


def test_trips_are_searched_up_to_a_day_and_to_the_last_hour() -> None:
    assert LONGEST == 24
    found = [*worst_by_length(np.array([0, 1, 0, 3]), np.array([0, 0, 2, 1]))]
    assert [one.tolist() for one in found] == [[0, 2, 1], [2, 1], [1]]


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

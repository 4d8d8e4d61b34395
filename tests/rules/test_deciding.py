"""The hour, the forecast and the hazard that decide, against a plain loop."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest

from safety_check.model.verdict import Limit, Severity
from safety_check.rules.deciding import (
    NOTHING,
    decide_hours,
    decide_plan,
    find_deciding,
    hazard_names,
    look_over_trip,
    members_by_hour,
)
from safety_check.rules.deciding_trips import decide_trips
from safety_check.rules.engine import WeighedHazard, Weighing, share_that_decides
from safety_check.rules.ranking import MISSING_SOURCE, SEVERAL_TOGETHER
from safety_check.rules.trips import judge_trips
from safety_check.settings.limits import load_default_limits
from tests.rules.random_weighings import (
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
    strict_of,
    weighings,
)

AWAY = [away for away, _ in weighings()]
TRIP = np.array([2, 3, 7, 11])
NAMES = hazard_names((WIND, THUNDER))
LOWER = next(one for one in load_default_limits().values() if one.worse == "lower")
HIGHER = next(one for one in load_default_limits().values() if one.worse == "higher")


def plain_deciding(
    weighed: WeighedHazard, hours: np.ndarray, share: float, limit: Limit | None
) -> tuple[int, float]:
    """Return severity and value of the mildest of the worst members that make up a share."""
    sign = -1 if limit and limit.worse == "lower" else 1
    worst = []
    for member in np.flatnonzero(weighed.counted):
        of_member = [
            (int(weighed.members[member, hour]), sign * float(weighed.value[member, hour]))
            for hour, counts in zip(TRIP, hours, strict=True)
            if counts
        ]
        worst.append((max(of_member), float(WEIGHTS[member])))
    whole, spent = sum(weight for _, weight in worst), 0.0
    for (level, value), weight in sorted(worst, reverse=True):
        spent += weight
        if spent / whole >= share - 1e-9:
            return level, sign * value
    raise AssertionError("the weights do not add up")


@pytest.mark.parametrize("number", range(len(AWAY)))
@pytest.mark.parametrize("limit", [None, HIGHER, LOWER])
@pytest.mark.parametrize("share", [0.05, 0.1, 0.2, 0.5, 1.0])
def test_the_mildest_of_the_worst_members_at_their_worst_hour_decides(
    number: int, limit: Limit | None, share: float
) -> None:
    for weighed in AWAY[number].hazards:
        for hours in (np.array([True] * 4), np.array([False, True, True, False])):
            hour, member = find_deciding(weighed, WEIGHTS, TRIP, hours, np.array(share), limit)
            assert hours[hour]
            assert weighed.counted[member]
            found = (
                int(weighed.members[member, TRIP[hour]]),
                float(weighed.value[member, TRIP[hour]]),
            )
            assert found == plain_deciding(weighed, hours, share, limit)


@pytest.mark.parametrize("number", range(len(AWAY)))
def test_the_member_of_each_hour_is_that_of_a_trip_of_this_hour_alone(number: int) -> None:
    shares = np.random.default_rng(number).choice([0.05, 0.1, 0.5], 30)
    for weighed in AWAY[number].hazards:
        found = members_by_hour(weighed, WEIGHTS, shares, HIGHER)
        for hour, share in enumerate(shares):
            this, alone = np.array([hour]), np.array([True])
            decides = find_deciding(weighed, WEIGHTS, this, alone, share, HIGHER)
            assert found[hour] == decides[1]


def test_of_equal_hours_the_first_decides_and_unknown_counts_as_worst() -> None:
    weighed = AWAY[0].hazards[0]
    flat = np.zeros((MEMBERS, 30), dtype=np.int8)
    same = replace(weighed, members=flat, value=np.ones(flat.shape))
    every = np.array([True] * 4)
    hour, _ = find_deciding(same, WEIGHTS, TRIP, every, np.array(1.0), None)
    assert hour == 0
    lost = same.value.copy()
    lost[1, 7] = np.nan
    at = find_deciding(replace(same, value=lost), WEIGHTS, TRIP, every, np.array(0.1), None)
    assert [int(one) for one in at] == [2, 1]
    low = find_deciding(replace(same, value=lost), WEIGHTS, TRIP, every, np.array(0.1), LOWER)
    assert [int(one) for one in low] == [2, 1]


def test_where_no_member_is_counted_all_of_them_are_looked_at() -> None:
    weighed = AWAY[0].hazards[0]
    value = np.zeros((MEMBERS, 30))
    value[4, 3] = 9.0
    nobody = np.zeros(MEMBERS, dtype=bool)
    calm = np.zeros(value.shape, dtype=np.int8)
    one = replace(weighed, value=value, members=calm, counted=nobody)
    every = np.array([True] * 4)
    hour, member = find_deciding(one, WEIGHTS, TRIP, every, np.array(0.01), None)
    assert (int(hour), int(member)) == (1, 4)


@pytest.mark.parametrize("number", range(len(AWAY)))
def test_a_hazard_over_a_trip_has_the_hours_at_its_severity_or_those_that_members_reach(
    number: int,
) -> None:
    for weighed in AWAY[number].hazards:
        found = look_over_trip(weighed, WEIGHTS, TRIP, TOLERANCE, None)
        of_hours = [weighed.hours[hour] == found.severity for hour in TRIP]
        reached = [(weighed.members[:, hour] >= found.severity).any() for hour in TRIP]
        assert found.hours.tolist() == (of_hours if any(of_hours) else reached)
        share = float(share_that_decides(weighed.hazard, found.severity, TOLERANCE))
        level = int(weighed.members[found.member, TRIP[found.hour]])
        value = float(weighed.value[found.member, TRIP[found.hour]])
        assert (level, value) == plain_deciding(weighed, found.hours, share, None)


def plain_hour(weighing: Weighing, hour: int, held: Severity) -> tuple[int, str | None]:
    """Return the severity of an hour and the name of what decides it."""
    of_weather = int(weighing.hours[hour])
    severity = max(of_weather, held)
    if severity == GO:
        return severity, None
    if held > of_weather:
        return severity, MISSING_SOURCE
    best, name = -1.0, SEVERAL_TOGETHER
    for one in weighing.hazards:
        if one.hours[hour] == severity:
            weights = WEIGHTS[one.counted]
            reach = weights[one.members[one.counted, hour] >= severity].sum() / weights.sum()
            if reach > best + 1e-12:
                best, name = reach, one.hazard.name
    return severity, name


@pytest.mark.parametrize("held", [GO, MARGINAL, UNKNOWN])
@pytest.mark.parametrize("number", range(len(AWAY)))
def test_of_an_hours_hazards_the_one_in_most_forecasts_decides(number: int, held: Severity) -> None:
    found = decide_hours(AWAY[number], np.array([held]), NAMES)
    for hour in range(30):
        severity, name = plain_hour(AWAY[number], hour, held)
        assert found.severity[hour] == severity
        decides = int(found.decides[hour])
        assert (NAMES[decides] if decides != NOTHING else None) == name
    assert found.odds == pytest.approx(AWAY[number].odds)


def test_every_kind_of_decision_is_among_the_random_hours() -> None:
    seen = {
        plain_hour(weighing, hour, held)[1]
        for weighing in AWAY
        for hour in range(30)
        for held in (GO, MARGINAL)
    }
    assert seen == {None, WIND.name, THUNDER.name, SEVERAL_TOGETHER, MISSING_SOURCE}


@pytest.mark.parametrize(
    ("wind", "thunder", "held", "decides"),
    [
        ((GO, 0), (GO, 0), GO, None),
        ((GO, 0), (GO, 0), MARGINAL, MISSING_SOURCE),
        ((MARGINAL, 7), (GO, 0), GO, WIND.name),
        ((MARGINAL, 7), (GO, 0), MARGINAL, WIND.name),  # a value comes before a missing source
        ((MARGINAL, 7), (NO_GO, 7), GO, THUNDER.name),
        ((NO_GO, 7), (NO_GO, 6), GO, WIND.name),  # in more of the forecasts
        ((NO_GO, 6), (NO_GO, 7), GO, THUNDER.name),
        ((UNKNOWN, 7), (MARGINAL, 7), GO, WIND.name),
    ],
)
def test_the_first_finding_of_a_trip_decides_it(
    wind: tuple[Severity, int], thunder: tuple[Severity, int], held: Severity, decides: str | None
) -> None:
    hazards = []
    every = np.ones(MEMBERS, dtype=bool)
    for hazard, (level, members) in ((WIND, wind), (THUNDER, thunder)):
        found = np.zeros((MEMBERS, 1), dtype=np.int8)
        found[:members] = level
        value = np.where(found == UNKNOWN, np.nan, 1.0)
        hours = np.array([level], dtype=np.int8)
        hazards.append(WeighedHazard(hazard, value, value, value, found, every, hours))
    worst = np.maximum(hazards[0].members, hazards[1].members)
    hours = np.maximum(hazards[0].hours, hazards[1].hours)
    time = np.arange(1).astype("datetime64[h]")
    weighing = Weighing(time, WEIGHTS, tuple(hazards), worst, worst, hours)
    trip = np.array([0])
    found_first = decide_plan(weighing, trip, TOLERANCE, np.array(held), {}, NAMES)
    assert found_first.severity == max(wind[0], thunder[0], held)
    name = None if found_first.decides == NOTHING else NAMES[int(found_first.decides)]
    assert name == decides


# -- every trip of a table -----------------------------------------------------------------------


def plain_trip_decides(
    away: Weighing, back: Weighing, at: tuple[int, int], severity: int, held: Severity
) -> str | None:
    """Return the name of what decides a trip of a length from a start."""
    length, start = at
    if severity == GO or start + length >= HOURS:
        return None
    best, name = 0.0, MISSING_SOURCE if severity <= held else SEVERAL_TOGETHER
    for one, other in zip(away.hazards, back.hazards, strict=True):
        weights, reach, strict_reach = WEIGHTS[one.counted], 0.0, 0.0
        for member, weight in zip(np.flatnonzero(one.counted), weights, strict=True):
            found = [*one.members[member, start : start + length].tolist()]
            found.append(int(other.members[member, start + length]))
            reach += weight * (max(found) >= severity)
            strict_reach += weight * (max(strict_of(one.hazard, found)) >= severity)
        reach, strict_reach = reach / weights.sum(), strict_reach / weights.sum()
        enough = (TOLERANCE.of_winds - 1e-9, TOLERANCE.share - 1e-9)
        alone = reach >= enough[0] or strict_reach >= enough[1]
        if alone and reach > best + 1e-12:
            best, name = reach, one.hazard.name
    return name


@pytest.mark.one_in(2)
@pytest.mark.parametrize("held", [GO, MARGINAL, UNKNOWN])
@pytest.mark.parametrize("number", range(len(AWAY)))
def test_of_a_trips_hazards_the_one_in_most_forecasts_decides(number: int, held: Severity) -> None:
    away, back = weighings()[number]
    table = judge_trips(away, back, held, TOLERANCE)
    found = decide_trips(away, back, table, np.array([held]), TOLERANCE, NAMES)
    for length, start in product((1, 2, 5, 24), range(HOURS)):
        severity = int(table.severity[length - 1, start])
        decides = int(found[length - 1, start])
        name = NAMES[decides] if decides != NOTHING else None
        assert name == plain_trip_decides(away, back, (length, start), severity, held)


def test_a_hazard_that_no_model_gives_and_only_the_way_home_meets_decides() -> None:
    def weighed(*levels: Severity) -> Weighing:
        hours = np.array(levels, dtype=np.int8)
        members = np.zeros((MEMBERS, len(levels)), dtype=np.int8)
        value, counted = np.full(members.shape, np.nan), np.zeros(MEMBERS, dtype=bool)
        wind = WeighedHazard(WIND, value, value, value, members, counted, hours)
        time = np.arange(len(levels)).astype("datetime64[h]")
        return Weighing(time, WEIGHTS, (wind,), members, members, hours)

    away, back = weighed(GO, GO, GO), weighed(GO, UNKNOWN, GO)
    names = [WIND.name, *NAMES[-2:]]
    table = judge_trips(away, back, GO, TOLERANCE)
    found = decide_trips(away, back, table, np.array([GO]), TOLERANCE, names)
    # A trip of an hour from the first start is on the way home in the bad hour.
    assert table.severity[0].tolist()[0] == UNKNOWN
    assert names[int(found[0, 0])] == WIND.name

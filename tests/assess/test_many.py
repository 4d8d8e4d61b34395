"""Many cases judged at once get the verdicts that checks of them give."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from functools import cache

import numpy as np
import pytest

from safety_check.arrays import hour_axis
from safety_check.assess.blocks import prepare_site, shape_of, stackable
from safety_check.assess.many import judge_many, outlook_many
from safety_check.assess.verdict import judge
from safety_check.assess.weighing import weigh_hours, weigh_returns
from safety_check.conditions.case import Case
from safety_check.model.place import WaterKind
from safety_check.model.plan import Plan
from safety_check.model.verdict import Severity
from safety_check.rules.engine import severity_of_all, strict_finding
from safety_check.rules.trips import can_reach, hazard_over_trip
from safety_check.use_cases.rulebook import load_rulebook
from tests import scenes
from tests.assess.random_cases import random_case
from tests.properties import scaled

RULES = load_rulebook()
HOURS = hour_axis(scenes.START, scenes.START + timedelta(hours=9))


@cache
def different() -> tuple[Case, ...]:
    """Return cases of many kinds, of every verdict."""
    return tuple(random_case(seed) for seed in range(scaled(24, fewest=14)))


def day_of(plan: Plan) -> Plan:
    """Return a plan for the twelve hours from its start on."""
    start = plan.start.replace(minute=0)
    return replace(plan, start=start, end=start + timedelta(hours=12))


def test_each_verdict_is_that_of_a_check_to_the_last_bit() -> None:
    found = judge_many(different(), RULES)
    for site, case in enumerate(different()):
        verdict = judge(case, RULES)
        first = verdict.findings[0].hazard if verdict.severity > Severity.GO else None
        index = found.plans.decides[site]
        assert found.plans.severity[site] == verdict.severity
        assert (found.hazards[index] if index >= 0 else None) == first
        assert found.plans.odds[site].tolist() == list(verdict.trip_odds.values())
    assert set(found.plans.severity.tolist()) == {int(level) for level in Severity}
    assert len(set(found.plans.decides.tolist())) > 4  # reasons of many kinds


@pytest.mark.thorough
def test_each_hour_is_that_of_a_check_to_the_last_bit() -> None:
    found = judge_many(different(), RULES)
    for site, case in enumerate(different()):
        around = judge(case, RULES).around
        count = len(around)
        assert (found.hours.severity[site, count:] == -1).all()
        assert np.isnat(found.time[site, count:]).all()
        assert found.hours.severity[site, :count].tolist() == [hour.severity for hour in around]
        for hour, index, odds in zip(
            around, found.hours.decides[site], found.hours.odds[site], strict=False
        ):
            assert odds.tolist() == list(hour.odds.values())
            decides = found.hazards[index] if index >= 0 else "several_together"
            assert decides in (hour.because or ("several_together",))


def test_a_trip_of_an_outlook_is_never_better_than_its_check() -> None:
    cases = [random_case(7, site) for site in range(4)]
    start = cases[0].plan.start.replace(minute=0)
    end = start + timedelta(hours=7)
    days = [replace(case, plan=replace(case.plan, start=start, end=end)) for case in cases]
    found = outlook_many(days, RULES)
    assert found.trips.shape == (4, 24, 8)
    for site, day in enumerate(days):
        trip = replace(day.plan, start=start + timedelta(hours=2), end=start + timedelta(hours=5))
        check = judge(replace(day, plan=trip), RULES)
        assert found.trips[site, 3 - 1, 2] >= check.severity
        assert (found.trips[site, 3 - 1, -3:] == Severity.NO_GO).all()  # beyond the last hour


@pytest.mark.one_in(2)
@pytest.mark.parametrize("seed", range(12))
def test_the_hazard_of_a_trip_is_the_one_that_a_loop_over_its_hazards_finds(seed: int) -> None:
    case = random_case(seed)
    day = replace(case, plan=day_of(case.plan))
    found = outlook_many([day], RULES)
    whole = weigh_hours(day, hour_axis(day.plan.start, day.plan.end), RULES)
    back, names = weigh_returns(day, whole, RULES), found.hazards
    for length, start in [(1, 0), (1, 7), (3, 2), (4, 8), (12, 0)]:
        severity = found.trips[0, length - 1, start]
        reaches = {}
        for one, other in zip(whole.weighing.hazards, back.hazards, strict=True):
            trip = np.concatenate(
                [one.members[:, start : start + length], other.members[:, [start + length]]], axis=1
            )
            hours = [*one.hours[start : start + length], other.hours[start + length]]
            trip = trip[one.counted] if one.counted.any() else np.array([hours])
            weights = whole.weighing.weights[one.counted] if one.counted.any() else np.ones(1)
            worst, strict = (
                severities.max(axis=1, keepdims=True)
                for severities in (trip, strict_finding(one.hazard, trip))
            )
            if severity_of_all(worst, strict, weights, whole.tolerance)[0] >= severity:
                reach = weights[worst[:, 0] >= severity].sum() / weights.sum()
                reaches[names.index(one.hazard.name)] = round(float(reach), 9)
        index = found.decides[0, length - 1, start]
        if severity == Severity.GO:
            assert index == -1
        elif reaches:
            most = max(reaches.values())
            assert index == next(name for name, reach in reaches.items() if reach == most)
        else:
            assert names[index] in ("several_together", "missing_source")


def test_a_trip_beyond_the_last_hour_has_no_hazard() -> None:
    case = random_case(4)
    found = outlook_many([replace(case, plan=day_of(case.plan))], RULES)
    assert (found.decides[0, 3, -4:] == -1).all()
    assert (found.decides[0, 20] == -1).all()


@pytest.mark.thorough
@pytest.mark.parametrize("seed", [4, 11, 22])
def test_a_block_of_sites_gives_the_bits_of_each_site_alone(seed: int) -> None:
    cases = [random_case(seed, site) for site in range(7)]
    hours = [replace(case, plan=day_of(case.plan)) for case in cases]
    together, days = judge_many(cases, RULES), outlook_many(hours, RULES)
    for site, (case, day) in enumerate(zip(cases, hours, strict=True)):
        one, outlook = judge_many([case], RULES), outlook_many([day], RULES)
        for many, single in (
            (together.plans, one.plans),
            (together.hours, one.hours),
            (days.hours, outlook.hours),
        ):
            np.testing.assert_array_equal(many.severity[site], single.severity[0])
            np.testing.assert_array_equal(many.decides[site], single.decides[0])
            np.testing.assert_array_equal(many.odds[site], single.odds[0])
        np.testing.assert_array_equal(days.trips[site], outlook.trips[0])
        np.testing.assert_array_equal(days.go[site], outlook.go[0])
        np.testing.assert_array_equal(days.decides[site], outlook.decides[0])


def test_the_random_sites_are_weighed_together_and_not_all_alike() -> None:
    for seed in (4, 11, 22):
        sites = [random_case(seed, site) for site in range(7)]
        shapes = {shape_of(prepare_site(case, HOURS, RULES)) for case in sites}
        assert len(shapes) == 1
        assert len(set(judge_many(sites, RULES).plans.severity.tolist())) > 2


@pytest.mark.thorough
def test_sites_that_cannot_be_stacked_get_their_own_verdict() -> None:
    seen = replace(
        random_case(5),
        briefing=replace(
            random_case(5).briefing,
            observations=(scenes.observation("sea_surface_wave_significant_height", 0.5),),
        ),
    )
    tidal = random_case(5)
    water = replace(tidal.plan.water, kind=WaterKind.TIDAL)
    tidal = replace(tidal, plan=replace(tidal.plan, water=water))
    cases = [random_case(5), seen, tidal]
    found = judge_many(cases, RULES)
    assert [stackable(prepare_site(case, HOURS, RULES)) for case in cases] == [True, False, False]
    assert found.plans.severity.tolist() == [judge(case, RULES).severity for case in cases]


def test_the_size_of_a_block_changes_nothing() -> None:
    cases = [random_case(22, site) for site in range(5)]
    whole, small = judge_many(cases, RULES), judge_many(cases, RULES, block=2)
    np.testing.assert_array_equal(whole.plans.odds, small.plans.odds)
    np.testing.assert_array_equal(whole.hours.decides, small.hours.decides)


def test_no_case_is_refused() -> None:
    with pytest.raises(ValueError, match="no case"):
        judge_many([], RULES)


def test_a_hazard_that_cannot_reach_a_severity_over_a_trip_does_not() -> None:
    looked = {True: 0, False: 0}
    for case in different()[:12]:
        whole = weigh_hours(case, HOURS, RULES)
        for hazard in whole.weighing.hazards:
            for first in range(0, len(HOURS) - 3, 3):
                trip = np.arange(first, first + 3)
                found = hazard_over_trip(hazard, whole.weighing.weights, trip, whole.tolerance)
                for severity in (Severity.MARGINAL, Severity.UNKNOWN, Severity.NO_GO):
                    reach = can_reach(hazard, trip, severity)
                    looked[reach] += 1
                    assert reach or found < severity
    assert min(looked.values()) > 50

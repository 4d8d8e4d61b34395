"""What a user learnt of a place adds wind in its hours and from its sector, and never helps."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.arrays import hour_axis
from safety_check.assess.weighing import weigh_hours
from safety_check.conditions.case import Case
from safety_check.conditions.ensemble import FROM, ObservedExcess
from safety_check.conditions.hour_parts import LEAD_IN
from safety_check.conditions.local_rules import add_local_wind, rules_that_add
from safety_check.model.place import LocalRule
from safety_check.model.verdict import Severity
from safety_check.rules.findings import severity_of_plan
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.trust import load_trust
from tests import scenes
from tests.properties import cases, never_better, takes

NOON = LocalRule("funnels", 3.0, (12 * 60, 18 * 60), (225.0, 315.0))
RULES = load_rulebook()
HOURS = st.one_of(st.none(), st.tuples(st.integers(0, 1440), st.integers(0, 1440)))
SECTOR = st.one_of(st.none(), st.tuples(st.floats(0, 360), st.floats(0, 360)))
RULE = st.builds(LocalRule, st.just("funnels"), st.floats(0.1, 8.0), HOURS, SECTOR)


def added(rule: LocalRule, direction: float = 270.0, zone: str = "") -> dict[int, float]:
    """Return what a rule adds by the water's local hour of 13 June."""
    time = np.arange("2026-06-13T05", "2026-06-14T05", dtype="datetime64[h]")
    told = scenes.briefing(scenes.forecast({"wind_from_direction": direction}))
    before = scenes.ensemble(told, time.astype("datetime64[s]"))
    water = replace(scenes.WATER, rules=(rule,), time_zone=zone or scenes.WATER.time_zone)
    after = add_local_wind(before, water)
    wind, gust = (
        (after.quantities[name] - before.quantities[name])[0]
        for name in ("wind_speed", "wind_speed_of_gust")
    )
    assert (wind == gust).all()
    return {hour: float(more) for hour, more in enumerate(wind)}


def test_it_adds_at_both_ends_of_its_hours_and_nowhere_else() -> None:
    assert [hour for hour, more in added(NOON).items() if more == 3.0] == [*range(12, 19)]
    half = replace(NOON, hours=(12 * 60 + 30, 17 * 60 + 30))
    assert [hour for hour, more in added(half).items() if more] == [*range(12, 19)]
    night = replace(NOON, hours=(22 * 60, 2 * 60))
    assert [hour for hour, more in added(night).items() if more] == [0, 1, 2, 22, 23]
    assert all(added(replace(NOON, hours=None)).values())


@pytest.mark.parametrize(
    ("direction", "more"), [(225.0, 3.0), (270.0, 3.0), (315.0, 3.0), (224.0, 0.0), (90.0, 0.0)]
)
def test_it_adds_to_wind_from_its_sector_alone(direction: float, more: float) -> None:
    assert added(NOON, direction)[13] == more


def test_a_sector_runs_clockwise_through_north() -> None:
    through_north = replace(NOON, sector=(315.0, 45.0))
    assert added(through_north, 0.0)[13] == 3.0
    assert added(through_north, 180.0)[13] == 0.0


def test_a_direction_that_is_not_known_may_be_in_the_sector() -> None:
    assert added(NOON, np.nan)[13] == 3.0


def severities(seed: int, *rules: LocalRule) -> np.ndarray:
    """Return the severity of a drawn trip, and those of each hour about it."""
    rng = np.random.default_rng(seed)
    made = scenes.forecast(*({} for _ in range(rng.integers(1, 4))))
    wind = np.abs(rng.normal(4.0, 2.0, made.quantities["wind_speed"].shape))
    made.quantities["wind_speed"][:], made.quantities["wind_speed_of_gust"][:] = wind, 1.4 * wind
    made.quantities["wind_from_direction"][:] = rng.uniform(0.0, 360.0, wind.shape)
    water = replace(scenes.WATER, rules=rules)
    trip = scenes.plan(hours=float(rng.choice([1.5, 3, 5])))
    told = scenes.briefing(made)
    seen = [scenes.observation("wind_speed", float(rng.uniform(0, 9)))] if seed % 2 else []
    told = replace(told, observations=tuple(seen))
    around = scenes.open_water(float(rng.choice([300.0, 3000.0])), from_shore=50.0)
    case = Case(replace(trip, water=water), told, around, scenes.settings(), load_trust())
    hours = hour_axis(trip.start - timedelta(hours=3), trip.end + timedelta(hours=3))
    each = weigh_hours(case, hours, RULES).weighing.hours
    return np.array([severity_of_plan(case, scenes.weighed(case)), *each])


@takes(worse=0.1)
@cases(60)
@given(st.integers(0, 2**32 - 1), RULE, st.floats(0.0, 6.0))
def test_no_rule_improves_any_hour_and_more_wind_never_less(
    seed: int, rule: LocalRule, more: float
) -> None:
    runs = [
        severities(seed), severities(seed, rule),
        severities(seed, replace(rule, wind_added=rule.wind_added + more)),
    ]  # fmt: skip
    for milder, stricter in pairwise(runs):
        never_better(milder[0], stricter[0])
        assert (stricter >= milder).all()


def test_the_reason_and_the_verdict_name_the_rule() -> None:
    breeze = scenes.forecast({"wind_speed": 5.0, "wind_speed_of_gust": 6.0})
    water = replace(scenes.WATER, rules=(NOON,))
    trip = replace(scenes.plan(hours=4), water=water)  # 10:00 to 14:00
    told = scenes.verdict(breeze, trip)
    assert told.severity == Severity.NO_GO
    decides = told.findings[0]
    assert 'The wind includes up to 7 mph by your rule "funnels".' in decides.reason
    assert 'by your rule "funnels"' in decides.short
    used = told.local_rules[0]
    assert [hour.hour - 5 for hour in used.hours] == [11, 12, 13, 14]  # 11 ends at noon
    calm = scenes.verdict(breeze, replace(scenes.plan(hours=0.25), water=water))
    assert "your rule" not in " ".join(finding.reason for finding in calm.findings)


# -- exactly when and where --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("first", "last", "hours"),
    [
        ((12, 0), (13, 0), [12, 13]),
        ((12, 1), (12, 59), [12, 13]),
        ((11, 59), (13, 1), [11, 12, 13, 14]),
        ((12, 0), (13, 1), [12, 13, 14]),
        ((11, 59), (13, 0), [11, 12, 13]),
        ((23, 30), (0, 30), [0, 1, 23]),
    ],
)
def test_a_rule_holds_at_both_ends_of_each_hour_that_it_touches(
    first: tuple[int, int], last: tuple[int, int], hours: list[int]
) -> None:
    rule = replace(NOON, hours=(60 * first[0] + first[1], 60 * last[0] + last[1]))
    assert [hour for hour, more in added(rule).items() if more] == hours


def test_where_the_clock_is_half_an_hour_off_the_hours_still_count_whole() -> None:
    # From 05:00 UTC on, which is 10:30 in India, it holds at 11:30, 12:30 and 13:30.
    rule = replace(NOON, hours=(12 * 60, 13 * 60))
    held = [hour for hour, more in added(rule, zone="Asia/Kolkata").items() if more]
    assert held == [1, 2, 3]


def test_a_direction_that_somebody_sees_may_bring_the_wind_into_the_sector() -> None:
    told = scenes.briefing(scenes.forecast({"wind_from_direction": 90.0}))
    time = told.forecasts[0].time[22:34]
    members = scenes.ensemble(told, time)
    always = replace(NOON, hours=None)
    water = replace(scenes.WATER, rules=(always,))
    for direction, holds in ((225.0, True), (315.0, True), (316.0, False), (224.0, False)):
        seen = ObservedExcess(time[3], direction, 2 * 3600.0)
        after = add_local_wind(replace(members, seen={FROM: (seen,)}), water)
        assert np.flatnonzero(after.local["funnels"][0]).tolist() == [2, 3, 4] * holds


def test_several_rules_add_up_in_wind_and_gusts_and_each_is_told_by_itself() -> None:
    told = scenes.briefing()
    members = scenes.ensemble(told, told.forecasts[0].time)
    gap, noon = LocalRule("gap", 1.5), replace(NOON, sector=None)
    after = add_local_wind(members, replace(scenes.WATER, rules=(gap, noon)))
    wind, gust = (after.quantities[name][0] for name in ("wind_speed", "wind_speed_of_gust"))
    assert sorted(set(wind.tolist())) == [3.0, 6.0]  # 1.5 forecast
    assert sorted(set(gust.tolist())) == [4.0, 7.0]  # 2.5 forecast
    assert set(after.local["gap"][0].tolist()) == {1.5}
    assert set(after.local["funnels"][0].tolist()) == {0.0, 3.0}


def test_a_water_without_rules_changes_nothing() -> None:
    members = scenes.ensemble(scenes.briefing(), scenes.forecast().time)
    assert add_local_wind(members, scenes.WATER) is members


def test_the_rules_of_an_hour_are_those_that_add_at_one_of_its_ends() -> None:
    told = scenes.briefing(scenes.forecast({}, {"wind_from_direction": 90.0}))
    members = scenes.ensemble(told, told.forecasts[0].time)
    more = np.zeros((2, len(members.time)))
    more[0, LEAD_IN + 2], more[1, LEAD_IN + 2] = 0.5, 5.0
    with_rules = replace(members, local={"gap": more, "never": np.zeros_like(more)})
    found = [rules_that_add(with_rules, 0, hour) for hour in range(4)]
    assert found == [{}, {"gap": 0.5}, {"gap": 0.5}, {}]
    assert rules_that_add(with_rules, 1, 1) == {"gap": 5.0}

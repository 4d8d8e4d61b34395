"""Many cases judged at once get the verdicts that checks of them give."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from safety_check.assess.many import judge_many, outlook_many
from safety_check.assess.verdict import judge
from safety_check.model.verdict import Severity
from safety_check.use_cases.rulebook import load_rulebook
from tests.assess.random_cases import random_case

RULES = load_rulebook()
DIFFERENT = [random_case(seed) for seed in range(24)]


def test_each_verdict_is_that_of_a_check_to_the_last_bit() -> None:
    found = judge_many(DIFFERENT, RULES)
    for site, case in enumerate(DIFFERENT):
        verdict = judge(case, RULES)
        first = verdict.findings[0].hazard if verdict.severity > Severity.GO else None
        index = found.plans.decides[site]
        assert found.plans.severity[site] == verdict.severity
        assert (found.hazards[index] if index >= 0 else None) == first
        assert found.plans.odds[site].tolist() == list(verdict.trip_odds.values())


def test_each_hour_is_that_of_a_check_to_the_last_bit() -> None:
    found = judge_many(DIFFERENT, RULES)
    for site, case in enumerate(DIFFERENT):
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


def test_verdicts_of_every_kind_are_among_the_cases() -> None:
    found = judge_many(DIFFERENT, RULES)
    assert set(found.plans.severity.tolist()) == {int(level) for level in Severity}
    assert len(set(found.plans.decides.tolist())) > 4


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


def test_no_case_is_refused() -> None:
    with pytest.raises(ValueError, match="no case"):
        judge_many([], RULES)

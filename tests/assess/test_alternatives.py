"""What would make a trip better is judged as a check of it would be."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from safety_check.assess.alternatives import MOST
from safety_check.assess.verdict import assess_case, judge
from safety_check.conditions.case import Case
from safety_check.model.verdict import Severity
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.trust import load_trust
from safety_check.use_cases.what_else import with_alternatives
from tests import scenes
from tests.properties import cases

ALONE = replace(scenes.READY, company="alone")
RULES = load_rulebook()


def case_of(seed: int) -> Case:
    """Return a plan in winds that change every hour."""
    rng = np.random.default_rng(seed)
    made = scenes.forecast(*({} for _ in range(rng.integers(1, 3))))
    shape = made.quantities["wind_speed"].shape
    wind = rng.uniform(0.0, rng.choice([4.0, 7.0, 10.0]), shape)
    made.quantities["wind_speed"][:] = np.cumsum(np.diff(wind, axis=1, prepend=wind[:, :1]) / 2, 1)
    made.quantities["wind_speed"][:] = np.abs(made.quantities["wind_speed"]) + 1.0
    made.quantities["wind_speed_of_gust"][:] = made.quantities["wind_speed"] * 1.4
    made.quantities["wind_from_direction"][:] = rng.uniform(0.0, 360.0)
    water = scenes.open_water(
        float(rng.choice([300.0, 2000.0])), from_shore=float(rng.choice([50.0, 400.0]))
    )
    plan = scenes.plan(
        craft=str(rng.choice(["sit-on-top-kayak", "canoe"])),
        paddler=ALONE if rng.random() < 0.5 else scenes.READY,
        hours=float(rng.choice([2, 3.5, 5, 7])),
        water_temperature=float(rng.choice([285.0, 296.15])),
    )
    return Case(plan, scenes.briefing(made), water, scenes.settings(), load_trust())


@cases(200)
@given(st.integers(0, 2**32 - 1))
def test_no_alternative_is_better_than_its_own_check(seed: int) -> None:
    case = case_of(seed)
    made = assess_case(case, RULES)
    found = with_alternatives(case, made, RULES).alternatives or ()
    assert len(found) <= MOST
    assert all(one.severity < made.verdict.severity for one in found)
    claimed = [one for one in found if one.kind in ("time", "company", "wearing", "craft")]
    if claimed:
        one = claimed[seed % len(claimed)]
        assert judge(replace(case, plan=one.plan), RULES).severity == one.severity, one.option


def test_a_trip_that_is_no_go_for_the_afternoon_s_wind_is_a_go_when_it_is_shorter() -> None:
    made = scenes.forecast()
    at = made.time >= np.datetime64("2026-06-13T18")
    made.quantities["wind_speed"][:, at] = 12.0
    made.quantities["wind_speed_of_gust"][:, at] = 16.0
    case = Case(scenes.plan(), scenes.briefing(made), scenes.POND, scenes.settings(), load_trust())
    verdict = with_alternatives(case, assess_case(case, RULES), RULES)
    assert verdict.severity == Severity.NO_GO
    assert verdict.alternatives
    best = verdict.alternatives[0]
    assert (best.kind, best.severity, best.reason) == ("time", Severity.GO, "")
    assert best.plan.end.hour < 18


def test_company_is_offered_where_only_the_limits_of_a_person_alone_are_passed() -> None:
    breeze = {"wind_speed": 5.0, "wind_speed_of_gust": 7.0}
    case = Case(
        scenes.plan(paddler=ALONE), scenes.briefing(scenes.forecast(breeze)), scenes.POND,
        scenes.settings(), load_trust(),
    )  # fmt: skip
    verdict = with_alternatives(case, assess_case(case, RULES), RULES)
    assert verdict.severity > Severity.GO
    assert [one.option for one in verdict.alternatives or ()] == ["--company group"]


def test_nothing_is_offered_for_a_go_or_where_a_source_failed() -> None:
    case = Case(scenes.plan(), scenes.briefing(), scenes.POND, scenes.settings(), load_trust())
    assert with_alternatives(case, assess_case(case, RULES), RULES).alternatives == ()

"""A saved page says what a re-check without services says, whatever is seen."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from functools import cache
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.assess.verdict import assess_case, judge_in_brief
from safety_check.conditions.case import Case
from safety_check.model.sight_table import SightTable
from safety_check.model.verdict import Severity, Verdict
from safety_check.units import compass
from safety_check.use_cases.launch_observation import LaunchObservation
from safety_check.use_cases.observed import add_observation, offline_briefing, remaining_plan
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.sight_table import judge_sightings
from safety_check.use_cases.trust import load_trust
from tests import scenes
from tests.assess.random_cases import random_case
from tests.everyday import EVERYDAY
from tests.properties import cases

CLASSES = 10 if EVERYDAY else 20  # of each plan; over the plans every class comes up
HOUR = timedelta(hours=1)


def calm_case(seed: int) -> Case:
    """Return a plan that is often better than NO-GO: light wind, warm water, people in company."""
    case, rng = random_case(seed), np.random.default_rng(seed)
    light = scenes.forecast(
        *[
            {"wind_speed": rng.uniform(0, 5), "wind_speed_of_gust": rng.uniform(2, 7)}
            | {"wind_from_direction": rng.uniform(0, 360)}
            for _ in range(int(rng.integers(1, 4)))
        ]
    )
    at = case.plan.start - timedelta(hours=float(rng.choice([0.5, 2, 10])))
    water = float(rng.choice([285.0, 290.0, 296.15])) if rng.random() < 0.7 else None
    plan = replace(case.plan, paddler=scenes.READY, water_temperature=water)
    return replace(case, plan=plan, briefing=scenes.briefing(light, at))


@cache
def judged(seed: int) -> tuple[Case, Verdict, SightTable]:
    case = calm_case(seed)
    verdict = assess_case(case, load_rulebook()).verdict
    return case, verdict, judge_sightings(case, verdict, most_judged=None)


def rechecked(case: Case, table: SightTable, hour: int, place: tuple[int, int, int]) -> Severity:
    """Return the verdict of a re-check without services, as `recheck --offline` forms it."""
    wind, direction = table.winds[place[0]], table.directions[place[1]]
    water = table.waters[place[2]]
    said = {
        "from_direction": None if direction is None else compass(direction),
        "water_temperature": None if water is None else f"{water} K",
    }
    if wind.state:
        seen = LaunchObservation.of_state(wind.state, **said)
    else:
        speeds = {"wind": wind.wind, "gust": wind.gust}
        numbers = {name: f"{one} m/s" for name, one in speeds.items() if one is not None}
        seen = LaunchObservation(**{**said, **numbers})  # type: ignore[arg-type]
    at = table.hours[hour].at
    briefing = offline_briefing(case.briefing, at, case.trust.greatest_age)
    plan, briefing = add_observation(remaining_plan(case.plan, at), briefing, seen)
    then = replace(case, plan=plan, briefing=briefing)
    return judge_in_brief(then, load_rulebook())[0]


@cases(30, fewest=1)
@given(st.integers(0, 2**32 - 1))
def test_every_answer_is_that_of_a_recheck_or_the_verdict_where_that_is_worse(seed: int) -> None:
    case, verdict, table = judged(seed)
    if not table.hours:
        assert verdict.severity == Severity.NO_GO
        return
    shape = len(table.winds), len(table.directions), len(table.waters)
    rng = np.random.default_rng(seed)
    for number in rng.choice(int(np.prod(shape)), CLASSES, replace=False).tolist():
        wind, direction, water = (int(one) for one in np.unravel_index(number, shape))
        place = wind, direction, water
        hour = int(rng.integers(len(table.hours)))
        told = table.answer(table.hours[hour], *place)
        expected = max(verdict.severity, rechecked(case, table, hour, place))
        assert told.severity == expected, (place, hour)


@pytest.mark.parametrize(
    ("known", "stale", "good"), [(1, 0, True), (2, 0, True), (1, 1, False), (0, 1, False)]
)
def test_a_page_counts_until_the_first_forecast_expires_and_never_if_one_has_no_age(
    known: int, stale: int, good: bool
) -> None:
    stray = replace(scenes.FROM_A_FILE, source="somewhere")  # of no service with a greatest age
    told_by = [*[scenes.forecast()] * known, *[scenes.forecast(provenance=stray)] * stale]
    told = replace(scenes.briefing(), forecasts=tuple(told_by))
    case = Case(scenes.plan(), told, scenes.POND, scenes.settings(), load_trust())
    no_go: Any = SimpleNamespace(severity=Severity.NO_GO)
    assert (judge_sightings(case, no_go).good_until is not None) is good

"""Many plans at once: a verdict for each in its place, or a refusal before any is judged."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest

from safety_check.errors import ConfigError, PlanError
from safety_check.model.place import FetchTable
from safety_check.model.verdict import Severity
from safety_check.settings.settings import Settings
from safety_check.use_cases.many_plans import judge_plans, outlook_plans
from tests import scenes

ROUND = replace(
    scenes.WATER, fetch_table=FetchTable(np.array([0.0, 90.0, 180.0, 270.0]), np.full(4, 300.0))
)
TRIP = replace(scenes.plan(hours=2), water=ROUND)
CALM = scenes.briefing()
GALE = scenes.briefing(scenes.forecast({"wind_speed": 20.0, "wind_speed_of_gust": 28.0}))
UNREAD = replace(CALM, warnings_read=())
HOUR = timedelta(hours=1)


@pytest.fixture
def own(tmp_path: Path) -> Settings:
    made = scenes.settings()
    return replace(made, folders=replace(made.folders, cache=tmp_path))


def test_each_plan_has_the_verdict_of_its_own_briefing(own: Settings) -> None:
    found = judge_plans([TRIP] * 4, [CALM, GALE, UNREAD, CALM], own)
    assert found.plans.severity.tolist() == [
        Severity.GO, Severity.NO_GO, Severity.MARGINAL, Severity.GO,
    ]  # fmt: skip


def test_an_outlook_has_every_hour_from_the_start_to_the_end(own: Settings) -> None:
    longer = replace(TRIP, end=TRIP.start + 3 * HOUR)
    found = outlook_plans([TRIP, longer], [CALM, GALE], own)
    start = np.datetime64(TRIP.start.replace(tzinfo=None), "s")
    assert (found.time[:, 0] == start).all()
    known = found.hours.severity
    assert known[0, :2].tolist() == [Severity.GO] * 2
    assert known[1, :3].tolist() == [Severity.NO_GO] * 3


@pytest.mark.parametrize("judge", [judge_plans, outlook_plans])
@pytest.mark.parametrize(("plans", "briefings"), [(0, 0), (1, 2), (2, 1), (0, 1), (1, 0)])
def test_every_plan_needs_one_briefing(
    own: Settings, judge: object, plans: int, briefings: int
) -> None:
    assert callable(judge)
    with pytest.raises(PlanError, match=f"{plans} plans and {briefings} briefings") as told:
        judge([TRIP] * plans, [CALM] * briefings, own)
    assert told.value.field == "briefings"


def test_a_plan_that_ends_as_it_starts_is_refused_in_an_outlook(own: Settings) -> None:
    at_once = replace(TRIP, end=TRIP.start)
    with pytest.raises(PlanError, match="is not after the start") as told:
        outlook_plans([TRIP, at_once], [CALM] * 2, own)
    assert told.value.field == "end"


def test_a_plan_that_a_check_refuses_is_refused_among_many(own: Settings) -> None:
    late = replace(CALM, at=TRIP.start + HOUR + timedelta(seconds=1))
    with pytest.raises(PlanError, match="is in the past"):
        judge_plans([TRIP, TRIP], [CALM, late], own)
    with pytest.raises(PlanError, match="is not after the start"):
        judge_plans([TRIP, replace(TRIP, end=TRIP.start)], [CALM] * 2, own)


def test_a_water_of_which_nothing_is_known_refuses_all(own: Settings) -> None:
    unknown = replace(TRIP, water=scenes.WATER)
    for judge in (judge_plans, outlook_plans):
        with pytest.raises(ConfigError, match="neither a shoreline nor a fetch table"):
            judge([TRIP, unknown], [CALM] * 2, own)

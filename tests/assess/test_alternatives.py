"""What would make a trip better is judged as a check of it would be."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from functools import cache
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.assess import alternatives
from safety_check.assess.alternatives import MOST, Change, find_alternatives
from safety_check.assess.verdict import Assessment, assess_case, judge
from safety_check.conditions.case import Case
from safety_check.errors import PlanError
from safety_check.model.plan import Plan
from safety_check.model.verdict import Alternative, Severity
from safety_check.rules.hazards import HAZARDS
from safety_check.rules.trips import TripTable
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.trust import load_trust
from safety_check.use_cases.what_else import with_alternatives
from tests import scenes
from tests.assess import by_hand
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


# -- which changes are tried, on verdicts written by hand ------------------------------------------

GO, MARGINAL, UNKNOWN, NO_GO = Severity
EVERY_KIND = ("from_shore", "reach", "launch", "company", "wearing", "craft", "water")
ELSEWHERE = frozenset({"from_shore", "reach", "launch", "water"})
HOUR = timedelta(hours=1)
TRIP = scenes.plan(hours=4)
CASE = Case(TRIP, scenes.briefing(), scenes.POND, scenes.settings(), load_trust())


@cache
def judged() -> Assessment:
    return assess_case(CASE, RULES)


def made(
    severity: Severity,
    *hazards: str,
    table: Sequence[Sequence[Severity]] = ((NO_GO,),),
    first: datetime = scenes.START,
) -> Assessment:
    """Return a verdict that some hazards decide, and trips by length and start from an hour on."""
    usual, trips = judged(), np.array(table)
    found = [by_hand.finding(hazard, severity) for hazard in hazards]
    milder = [by_hand.finding("lightest of all", GO)]
    hour = np.datetime64(first.replace(tzinfo=None), "s") + np.arange(trips.shape[1]) * 3600
    weighing = replace(usual.whole.weighing, time=hour)
    return Assessment(
        by_hand.verdict(findings=[*found, *milder], plan=TRIP, severity=severity),
        usual.forecast,
        replace(usual.whole, weighing=weighing),
        TripTable(trips, np.zeros(trips.shape)),
    )


def change(kind: str, cost: float) -> Change:
    """Return a change that can be told by its cost."""
    plan = replace(TRIP, reach=cost)
    return Change(kind, cost, kind, lambda: replace(CASE, plan=plan), kind in ELSEWHERE)


class Trying:
    """Judges every change by a rule, and notes which it judged, and how."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.again: list[Plan] = []
        self.anew: list[Plan] = []
        self.verdict: Callable[[Plan], Severity] = lambda plan: GO
        monkeypatch.setattr(alternatives, "judge_again", self._again)
        monkeypatch.setattr(alternatives, "judge_in_brief", self._anew)

    def _again(self, case: Case, *_: Any) -> tuple[Severity, str]:
        self.again.append(case.plan)
        return self.verdict(case.plan), "why"

    def _anew(self, case: Case, *_: Any) -> tuple[Severity, str]:
        self.anew.append(case.plan)
        return self.verdict(case.plan), "why"

    def __call__(
        self, found: Assessment, changes: Iterable[Change] = (), case: Case = CASE
    ) -> tuple[Alternative, ...]:
        self.again.clear()
        self.anew.clear()
        return find_alternatives(case, found, changes, RULES)

    def times(self, found: Assessment, case: Case = CASE) -> list[tuple[float, float]]:
        """Return the other times tried, in hours: from the plan's start on, and how long."""
        self(found, case=case)
        return [
            ((plan.start - case.plan.start) / HOUR, (plan.end - plan.start) / HOUR)
            for plan in self.again
        ]


@pytest.fixture
def trying(monkeypatch: pytest.MonkeyPatch) -> Trying:
    return Trying(monkeypatch)


# What each change can help against, written a second time.
FAR_OUT = {
    *("capsize_by_waves", "offshore_wind", "too_far_to_swim"),
    *("slow_way_home", "dark_is_near", "dusk_before_home"),
}
BLOWING = {"wind_too_strong", "gusts_too_strong"}
OF_A_PERSON = {"no_life_jacket", "overloaded", "company_not_declared"}
AGAINST = {
    **dict.fromkeys(("from_shore", "reach", "launch"), FAR_OUT),
    "company": {*BLOWING, "too_far_to_swim"},
    "wearing": {"cold_water", "cold_air_over_cold_water", "too_far_to_swim"},
    "craft": {*BLOWING, *FAR_OUT, "held_in_place"},
    "water": {hazard.name for hazard in HAZARDS} - OF_A_PERSON,
}


def kinds_tried(trying: Trying, *hazards: str) -> set[str]:
    return {
        kind
        for kind in EVERY_KIND
        for _ in [trying(made(NO_GO, *hazards), [change(kind, 1.0)])]
        if trying.again or trying.anew
    }


@pytest.mark.parametrize("hazard", sorted({one.name for one in HAZARDS} - {"worse_before_home"}))
def test_a_change_is_tried_only_against_hazards_that_it_can_help_against(
    trying: Trying, hazard: str
) -> None:
    helping = {kind for kind, against in AGAINST.items() if hazard in against}
    assert kinds_tried(trying, hazard) == helping
    assert kinds_tried(trying, hazard, "worse_before_home", "several_together") == helping


@pytest.mark.parametrize("kind", EVERY_KIND)
def test_a_change_must_help_against_every_hazard_that_decides(trying: Trying, kind: str) -> None:
    assert kind in kinds_tried(trying, *AGAINST[kind])
    assert kind not in kinds_tried(trying, *AGAINST[kind], "no_life_jacket")


def test_nothing_is_tried_for_a_go_or_where_a_source_did_not_answer(trying: Trying) -> None:
    go = [[GO]]
    for found in (
        made(GO, "too_far_to_swim"),
        made(MARGINAL, "too_far_to_swim", "missing_source", table=go),
        made(NO_GO, "missing_source", table=go),
    ):
        changes = [change(kind, 1.0) for kind in ("reach", "company", "water")]
        assert trying(found, changes) == ()
        assert trying.again == trying.anew == []


def test_the_smallest_changes_are_tried_five_here_two_elsewhere_and_two_waters(
    trying: Trying,
) -> None:
    near = [change("company", cost) for cost in (17.0, 12.0, 13.0, 14.0, 15.0, 16.0, 11.0)]
    elsewhere = [change("reach", 22.0), change("launch", 23.0), change("from_shore", 21.0)]
    waters = [change("water", cost) for cost in (33.0, 32.0, 31.0)]
    trying(made(NO_GO, "too_far_to_swim"), [*waters, *elsewhere, *near])
    assert [plan.reach for plan in trying.again] == [11.0, 12.0, 13.0, 14.0, 15.0]
    assert [plan.reach for plan in trying.anew] == [21.0, 22.0, 31.0, 32.0]


def test_a_change_is_listed_where_it_is_better_and_at_least_marginal(trying: Trying) -> None:
    def listed(plan: Severity, changed: Severity) -> bool:
        trying.verdict = lambda _: changed
        return bool(trying(made(plan, "too_far_to_swim"), [change("company", 1.0)]))

    better = [(NO_GO, GO), (NO_GO, MARGINAL), (UNKNOWN, GO), (UNKNOWN, MARGINAL), (MARGINAL, GO)]
    pairs = [(plan, changed) for plan in list(Severity)[1:] for changed in Severity]
    assert [pair for pair in pairs if listed(*pair)] == sorted(better)


def test_the_best_verdicts_come_first_then_the_smallest_changes_five_at_most(
    trying: Trying,
) -> None:
    verdicts = {1.0: MARGINAL, 2.0: GO, 3.0: GO, 4.0: GO, 5.0: MARGINAL, 6.0: MARGINAL, 7.0: GO}
    trying.verdict = lambda plan: verdicts[plan.reach]
    changes = [
        *(change("company", 1.0), change("company", 2.0), change("craft", 5.0)),
        *(change("company", 3.0), change("wearing", 4.0)),
        *(change("reach", 6.0), change("water", 7.0)),
    ]
    told = trying(made(NO_GO, "too_far_to_swim"), changes)
    # Company that costs 3 is no better than company that costs 2; the reach would be the sixth.
    assert [(one.severity, one.plan.reach) for one in told] == [
        *((GO, 2.0), (GO, 4.0), (GO, 7.0)),
        *((MARGINAL, 1.0), (MARGINAL, 5.0)),
    ]
    assert (told[0].kind, told[0].option, told[0].reason) == ("company", "company", "why")


def test_what_cannot_be_judged_is_left_out(trying: Trying) -> None:
    def refuse() -> Case:
        raise PlanError("no such craft")

    impossible = replace(change("craft", 1.0), case=refuse)
    told = trying(made(NO_GO, "too_far_to_swim"), [impossible, change("company", 2.0)])
    assert [one.kind for one in told] == ["company"]


# -- earlier, later, shorter -----------------------------------------------------------------------


def table(hours: int, *cells: tuple[int, int, Severity]) -> list[list[Severity]]:
    """Return trips of 1 to 6 hours, all NO-GO but some: length, hour of the start, verdict."""
    trips = [[NO_GO] * hours for _ in range(6)]
    for length, hour, severity in cells:
        trips[length - 1][hour] = severity
    return trips


def at_start(case: Case = CASE) -> Case:
    """Return a case that is checked at the start of its trip."""
    return replace(case, briefing=replace(case.briefing, at=case.plan.start))


def test_of_other_times_the_nearest_one_of_full_length_and_one_that_begins_now_are_tried(
    trying: Trying,
) -> None:
    trips = table(
        12,  # the plan begins at hour 3 and takes 4 h
        *((3, 4, GO), (4, 6, GO), (1, 3, GO)),  # cost 1 + 1, 3, and 3
        *((4, 8, GO), (2, 5, GO), (1, 4, GO)),  # further than another of its sort
        *((4, 1, GO), (4, 2, GO)),  # before the check
        *((5, 3, GO), (6, 4, GO)),  # longer than planned
        *((4, 4, MARGINAL), (2, 3, MARGINAL)),  # not the best
    )
    found = made(NO_GO, "wind_too_strong", table=trips, first=scenes.START - 3 * HOUR)
    assert trying.times(found, at_start()) == [(1, 3), (0, 1), (3, 4)]


def test_an_hour_less_counts_as_much_as_an_hour_later(trying: Trying) -> None:
    trips = table(6, (4, 1, GO), (2, 0, GO), (3, 1, GO))
    found = made(NO_GO, "wind_too_strong", table=trips)
    assert trying.times(found, at_start()) == [(1, 4), (0, 2)]


def test_where_no_time_is_a_go_a_marginal_one_is_tried(trying: Trying) -> None:
    trips = table(6, (4, 0, GO), (4, 3, MARGINAL), (2, 4, UNKNOWN))
    found = made(NO_GO, "wind_too_strong", table=trips, first=scenes.START - HOUR)
    assert trying.times(found, at_start()) == [(2, 4)]  # the GO has begun before the check
    only = made(MARGINAL, "wind_too_strong", table=table(6, (4, 2, MARGINAL)))
    assert trying.times(only, at_start()) == []
    unknown = made(NO_GO, "wind_too_strong", table=table(6, (4, 2, UNKNOWN)))
    assert trying.times(unknown, at_start()) == []


def test_a_trip_that_begins_within_an_hour_of_the_plan_begins_with_it(trying: Trying) -> None:
    trips = table(6, (4, 2, GO), (1, 0, GO), (1, 1, GO))
    plan = replace(TRIP, start=TRIP.start + HOUR / 2, end=TRIP.end + HOUR / 2)
    case = replace(CASE, plan=plan, briefing=replace(CASE.briefing, at=scenes.START))
    found = made(NO_GO, "wind_too_strong", table=trips)
    # Half an hour later, not half an hour earlier.
    assert trying.times(found, case) == [(1.5, 4), (0.5, 1)]


@pytest.mark.parametrize(("seconds", "hours"), [(0, 4), (3, 5), (3600, 5)])
def test_a_trip_of_a_few_seconds_more_may_take_an_hour_more(
    trying: Trying, seconds: int, hours: int
) -> None:
    plan = replace(TRIP, end=TRIP.end + timedelta(seconds=seconds))
    trips = table(6, (4, 1, GO), (5, 1, GO))
    found = made(NO_GO, "wind_too_strong", table=trips)
    assert (1, hours) in trying.times(found, at_start(replace(CASE, plan=plan)))


def test_a_time_is_told_by_the_clock_of_the_water(trying: Trying) -> None:
    found = made(NO_GO, "wind_too_strong", table=table(6, (3, 1, GO)))
    [told] = trying(found, case=at_start())
    # 16:00 UTC is 11:00 in Chicago in summer.
    assert (told.kind, told.option) == ("time", '--start "2026-06-13 11:00" --hours 3')

"""The bounds of the sea decide where they can, and the sea itself where they can't."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from safety_check.arrays import FloatArray
from safety_check.assess import quick_verdict
from safety_check.assess.quick_verdict import Between, QuickVerdict, SeaMemory, judge_quickly
from safety_check.assess.verdict import judge
from safety_check.conditions.case import Case
from safety_check.model.place import WaterKind
from safety_check.model.verdict import Severity
from safety_check.physics.sea_bounds import most_sea, no_sea
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.trust import load_trust
from tests import scenes
from tests.assess import by_hand
from tests.assess.random_cases import random_case

RULES = load_rulebook()
GO, MARGINAL, UNKNOWN, NO_GO = Severity
SEA, WIND = "sea_surface_wave_significant_height", "wind_speed"
CASE = Case(scenes.plan(), scenes.briefing(), scenes.POND, scenes.settings(), load_trust())


def sea(*_: object) -> FloatArray:
    raise AssertionError("these tests compute no sea")


@dataclass
class Judging:
    """Verdicts with the most sea, with none and with the sea itself, and which were asked for.

    Parameters
    ----------
    most, none, itself
        The verdicts.
    whole, trip
        Quantity → the severities of the members in the hours around the trip, and in the trip.
    tried
        What was judged, in order.
    """

    most: Severity
    none: Severity
    itself: Severity = MARGINAL
    whole: dict[str, list[int]] = field(default_factory=dict)
    trip: dict[str, list[int]] = field(default_factory=lambda: {SEA: [0, 1]})
    tried: list[str] = field(default_factory=list)

    def weigh_hours(self, case: Case, hours: object, rulebook: object, law: object) -> object:
        name = {most_sea: "most", no_sea: "none", sea: "itself"}[law]  # type: ignore[index]
        self.tried.append(name)
        return weighed(name, self.whole)

    def weigh_trip(self, case: Case, whole: Any, rulebook: object) -> object:
        return weighed(whole.name, self.trip)

    def severity_of_plan(self, case: Case, found: Any) -> Severity:
        return Severity(getattr(self, found.name))

    def list_findings(self, case: Case, found: Any, severity: Severity) -> list[object]:
        milder = by_hand.finding("milder", GO)
        beside = f"with {found.name}"
        return [milder, replace(by_hand.finding("worst", severity), reason=beside)]

    def severities_over_trip(self, found: Any) -> dict[str, Severity]:
        return {"worst": Severity(getattr(self, found.name)), "milder": GO}


def weighed(name: str, members: dict[str, list[int]]) -> object:
    hazards = [
        SimpleNamespace(members=np.array(levels), hazard=SimpleNamespace(weighs=quantity))
        for quantity, levels in members.items()
    ]
    return SimpleNamespace(name=name, weighing=SimpleNamespace(hazards=hazards))


Quickly = Callable[..., QuickVerdict]


@pytest.fixture
def quickly(monkeypatch: pytest.MonkeyPatch) -> Quickly:
    def judged(judging: Judging, case: Case = CASE, **known: Any) -> QuickVerdict:
        for name in ("weigh_hours", "weigh_trip", "severity_of_plan", "list_findings",
                     "severities_over_trip"):  # fmt: skip
            monkeypatch.setattr(quick_verdict, name, getattr(judging, name))
        return judge_quickly(case, RULES, Between(**known), sea)

    return judged


def test_where_both_bounds_agree_the_sea_is_not_computed(quickly: Quickly) -> None:
    judging = Judging(most=MARGINAL, none=MARGINAL)
    assert quickly(judging) == QuickVerdict(MARGINAL, "with none", {"worst": MARGINAL})
    assert judging.tried == ["most", "none"]


def test_where_the_bounds_differ_the_sea_decides(quickly: Quickly) -> None:
    judging = Judging(most=NO_GO, none=GO, itself=UNKNOWN)
    assert quickly(judging) == QuickVerdict(UNKNOWN, "with itself", {"worst": UNKNOWN})
    assert judging.tried == ["most", "none", "itself"]
    judging = Judging(most=NO_GO, none=GO, itself=UNKNOWN)
    assert quickly(judging, worse_expected=True).severity == UNKNOWN
    assert judging.tried == ["none", "most", "itself"]


def test_a_case_no_worse_than_the_least_with_most_sea_needs_no_more(quickly: Quickly) -> None:
    judging = Judging(most=MARGINAL, none=GO)
    assert quickly(judging, least=MARGINAL) == QuickVerdict(MARGINAL)
    assert judging.tried == ["most"]


def test_a_case_as_bad_as_it_can_be_without_sea_needs_no_more(quickly: Quickly) -> None:
    judging = Judging(most=NO_GO, none=UNKNOWN)
    found = quickly(judging, most=UNKNOWN, worse_expected=True)
    assert found == QuickVerdict(UNKNOWN, "with none", {"worst": UNKNOWN})
    assert judging.tried == ["none"]


@pytest.mark.parametrize(
    ("whole", "trip", "waves"),
    [
        ({}, {WIND: [3, 3], SEA: [0, 0]}, False),
        ({}, {WIND: [0, 0], SEA: [0, 1]}, True),
        ({SEA: [0, 1]}, {SEA: [0, 0]}, True),
        ({SEA: [0, 0]}, {SEA: [2, 0]}, True),
    ],
)
def test_only_waves_that_are_worse_than_go_make_the_other_bound_necessary(
    quickly: Quickly, whole: dict[str, list[int]], trip: dict[str, list[int]], waves: bool
) -> None:
    judging = Judging(most=MARGINAL, none=GO, whole=whole, trip=trip)
    assert quickly(judging).reason == ("with itself" if waves else "with most")
    assert ("none" in judging.tried) == waves


def test_a_verdict_no_worse_than_the_least_has_no_reason(quickly: Quickly) -> None:
    judging = Judging(most=NO_GO, none=GO, itself=MARGINAL)
    assert quickly(judging, least=MARGINAL) == QuickVerdict(MARGINAL)
    assert quickly(Judging(most=NO_GO, none=GO, itself=GO), least=MARGINAL).severity == MARGINAL


def test_with_observed_waves_or_on_moving_water_the_sea_is_computed_at_once(
    quickly: Quickly,
) -> None:
    both = (scenes.observation(WIND, 3.0), scenes.observation(SEA, 0.2))
    seen = replace(CASE, briefing=replace(CASE.briefing, observations=both))
    water = replace(scenes.WATER, kind=WaterKind.TIDAL)
    moving = replace(CASE, plan=replace(CASE.plan, water=water))
    for case in (seen, moving):
        judging = Judging(most=NO_GO, none=GO)
        assert quickly(judging, case).severity == MARGINAL
        assert judging.tried == ["itself"]
    wind_alone = replace(CASE, briefing=replace(CASE.briefing, observations=both[:1]))
    judging = Judging(most=NO_GO, none=GO)
    quickly(judging, wind_alone)
    assert judging.tried[0] == "most"


@pytest.mark.one_in(4)
@pytest.mark.parametrize("seed", range(8))
def test_a_quick_verdict_is_that_of_a_check_or_the_least(seed: int) -> None:
    case = random_case(seed)
    severity = judge(case, RULES).severity
    for least, expected in ((GO, False), (MARGINAL, True)):
        found = judge_quickly(case, RULES, Between(least, worse_expected=expected))
        assert found.severity == max(severity, least)


def test_a_sea_is_computed_once_until_it_is_forgotten() -> None:
    asked: list[float] = []

    def law(
        speed: FloatArray, direction: FloatArray, bearing: FloatArray, fetch: FloatArray,
        depth: float,
    ) -> FloatArray:  # fmt: skip
        asked.append(depth)
        return speed * depth

    memory = SeaMemory(law)
    one, two = np.array([1.0, 2.0]), np.array([3.0, 4.0])
    for _ in range(2):
        assert memory(one, one, one, one, 5.0).tolist() == [5.0, 10.0]
        assert memory(one, one, one, one, 6.0).tolist() == [6.0, 12.0]
        assert memory(two, one, one, one, 6.0).tolist() == [18.0, 24.0]
    assert asked == [5.0, 6.0, 6.0]
    memory.forget()
    assert memory(one, one, one, one, 5.0).tolist() == [5.0, 10.0]
    assert asked == [5.0, 6.0, 6.0, 5.0]

"""What a re-check without services would judge: what is seen, and what is judged only once."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import timedelta
from types import SimpleNamespace
from typing import Any

import pytest

from safety_check.assess.quick_verdict import Between, SeaMemory
from safety_check.conditions.case import Case
from safety_check.model.sight_table import WindClass
from safety_check.model.verdict import Severity
from safety_check.use_cases import sight_case
from safety_check.use_cases.sight_case import NOTHING, Sighting, SightJudge, case_when_seen
from safety_check.use_cases.trust import load_trust
from tests import scenes

HOUR = timedelta(hours=1)
START = scenes.plan().start
CASE = Case(scenes.plan(), scenes.briefing(), scenes.POND, scenes.settings(), load_trust())
LIMITS: Any = SimpleNamespace()  # the judge here does not look at them
GO, MARGINAL, NO_GO = Severity.GO, Severity.MARGINAL, Severity.NO_GO


def values(seen: Sighting, case: Case = CASE) -> list[tuple[str, float, str]]:
    """Return what is observed: the quantity, its value, and the sign where it is only the least."""
    told = case_when_seen(case, START, seen).briefing.observations
    return [(one.quantity, one.value, one.sign) for one in told]


# -- the case ------------------------------------------------------------------------------------


def test_where_nothing_is_seen_only_the_time_is_later() -> None:
    then = case_when_seen(CASE, START + 2 * HOUR, NOTHING)
    assert then.briefing.observations == ()
    assert then.briefing.at == START + 2 * HOUR
    assert then.plan == replace(CASE.plan, start=START + 2 * HOUR)
    assert all(one.provenance.recorded for one in then.briefing.forecasts)
    assert (then.water, then.settings, then.trust) == (CASE.water, CASE.settings, CASE.trust)


@pytest.mark.parametrize(
    ("seen", "expected"),
    [
        (Sighting(WindClass(wind=4.0)), [("wind_speed", 4.0, "")]),
        (Sighting(WindClass(wind=0.0)), [("wind_speed", 0.0, "")]),  # calm was seen too
        (Sighting(WindClass(gust=6.0)), [("wind_speed_of_gust", 6.0, "")]),
        (
            Sighting(WindClass(wind=5.5, gust=8.0, sign="whitecaps")),
            [("wind_speed", 5.5, "whitecaps"), ("wind_speed_of_gust", 8.0, "")],
        ),
        (
            Sighting(WindClass(wind=4.0), (0.0, 90.0)),
            [
                ("wind_speed", 4.0, ""),
                ("wind_from_direction", 0.0, ""),
                ("wind_from_direction", 90.0, ""),
            ],
        ),
    ],
)
def test_each_thing_that_is_seen_is_an_observation_of_that_time(
    seen: Sighting, expected: list[tuple[str, float, str]]
) -> None:
    assert values(seen) == expected
    told = case_when_seen(CASE, START, seen).briefing.observations
    assert {one.time for one in told} == {START}


@pytest.mark.parametrize(("measured", "counts"), [(290.0, 290.0), (300.0, 296.15)])
def test_of_two_temperatures_of_the_water_the_lower_counts(measured: float, counts: float) -> None:
    seen = Sighting(water=measured)
    assert case_when_seen(CASE, START, seen).plan.water_temperature == counts
    assert values(seen) == []
    unknown = replace(CASE, plan=scenes.plan(water_temperature=None))
    assert values(seen, unknown) == [("water_temperature", measured, "")]


# -- judging -------------------------------------------------------------------------------------


@dataclass
class Judge:
    """Stands for the judge of a case: it answers as it is told and counts what it is asked."""

    answer: Severity = MARGINAL
    asked: list[Between] = field(default_factory=list)

    def __call__(self, case: Case, rulebook: Any, known: Between, law: Any) -> Any:
        self.asked.append(known)
        return SimpleNamespace(severity=max(self.answer, known.least))


@pytest.fixture
def judge(monkeypatch: pytest.MonkeyPatch) -> Judge:
    made = Judge()
    monkeypatch.setattr(sight_case, "judge_quickly", made)
    return made


def sights(least: Severity = GO) -> SightJudge:
    return SightJudge(CASE, LIMITS, least)


WINDY = Sighting(WindClass(wind=6.0))


def test_what_was_judged_is_not_judged_again(judge: Judge) -> None:
    ask = sights()
    assert ask.judged == 0
    assert ask(START, WINDY) is ask(START, WINDY)
    assert ask(START) is ask(START, NOTHING)
    ask(START + HOUR, WINDY)
    assert ask.judged == len(judge.asked) == 3


def test_a_sighting_is_no_better_than_the_check(judge: Judge) -> None:
    assert sights(NO_GO)(START, WINDY).severity == NO_GO
    assert judge.asked == [Between(NO_GO)]


@pytest.mark.parametrize(
    ("least", "answer", "count"),
    [
        (GO, GO, 1),  # nothing more was known than of the check
        (MARGINAL, GO, 2),  # it may be better than what was known of it
        (MARGINAL, MARGINAL, 2),
        (MARGINAL, NO_GO, 1),  # it is worse, whatever was known
    ],
)
def test_an_answer_that_a_bound_may_have_raised_is_not_stored(
    judge: Judge, least: Severity, answer: Severity, count: int
) -> None:
    judge.answer = answer
    ask, bound = sights(), Between(least)
    ask(START, WINDY, bound)
    assert ask(START, WINDY).severity == answer
    assert ask.judged == count
    assert judge.asked[0] is bound


def test_the_sea_of_a_time_is_forgotten_only_at_another_time(
    judge: Judge, monkeypatch: pytest.MonkeyPatch
) -> None:
    forgotten: list[SeaMemory] = []
    monkeypatch.setattr(SeaMemory, "forget", lambda memory: forgotten.append(memory))
    ask = sights()
    for time, count in ((START, 1), (START, 1), (START + HOUR, 2), (START, 3)):
        ask(time, Sighting(WindClass(wind=float(len(judge.asked)))))
        assert len(forgotten) == count
    at_the_check = SightJudge(CASE, LIMITS, GO)
    at_the_check(CASE.briefing.at, WINDY)
    assert len(forgotten) == 3

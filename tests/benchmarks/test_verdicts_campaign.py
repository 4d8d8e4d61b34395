"""The campaign of verdicts judges what it changes, and finds a promise that is broken."""

from __future__ import annotations

import time
from collections import Counter
from dataclasses import replace

import pytest

from benchmarks.campaign import verdicts, worse
from benchmarks.campaign.worse import PROMISES, Chance, Promise
from safety_check.assess.many import judge_many
from safety_check.conditions.case import Case
from safety_check.model.verdict import Severity
from safety_check.use_cases.rulebook import load_rulebook
from tests import scenes


@pytest.fixture(autouse=True)
def few_sites(monkeypatch: pytest.MonkeyPatch) -> None:
    for module in (worse, verdicts):
        monkeypatch.setattr(module, "SITES", 6)


def _calm(case: Case, chance: Chance) -> Case:
    return replace(case, briefing=scenes.briefing())


def _only(monkeypatch: pytest.MonkeyPatch, *promises: Promise) -> None:
    for module in (worse, verdicts):
        monkeypatch.setattr(module, "PROMISES", promises)


def _quick(seed: int, block: int) -> verdicts.Found:
    return verdicts.Found(Counter({"one": 1}), failures=[f"{seed} {block}"])


def test_each_promise_holds() -> None:
    found = verdicts.judged_block(1, 0)
    assert found.failures == []
    assert set(found.tries) == {promise.name for promise in PROMISES}
    assert all(0 < tries <= 6 for tries in found.tries.values())


@pytest.mark.thorough
def test_each_promise_makes_a_difference() -> None:
    found = verdicts.Found()
    for block in range(20):
        found.add(verdicts.judged_block(1, block))
    assert found.failures == []
    never = {promise.name for promise in PROMISES if not found.worse[promise.name]}
    assert not never


def test_a_change_that_makes_a_verdict_better_is_named_with_its_trip(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    _only(monkeypatch, Promise("calm", _calm))
    found = verdicts.judged_block(1, 3)
    assert found.failures
    assert found.failures[0].startswith("calm: seed 1, block 3, trip ")
    assert found.failures[0].endswith(("GO after", "MARGINAL after"))


def test_what_a_change_rightly_lifts_is_no_failure_and_is_not_counted(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    calm = Promise("calm", _calm)
    _only(monkeypatch, calm)
    found = verdicts.judged_block(1, 3)
    cases = worse.drawn_block(1, 3)
    told = judge_many(cases, load_rulebook())
    hazard = told.hazards[max(told.plans.decides)]
    decided = sum(told.hazards[one] == hazard for one in told.plans.decides if one >= 0)
    _only(monkeypatch, replace(calm, lifts=hazard))
    lifted = verdicts.judged_block(1, 3)
    assert lifted.tries["calm"] == found.tries["calm"] - decided
    assert len(lifted.failures) < len(found.failures)


def test_a_launch_without_what_is_required_is_found_also_where_it_was_no_better_before(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    _only(monkeypatch, Promise("nothing lost", lambda case, chance: case, Severity.UNKNOWN))
    found = verdicts.judged_block(1, 0)
    assert any(" GO before, GO after" in failure for failure in found.failures)


def test_a_campaign_that_makes_nothing_worse_has_shown_nothing(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    _only(monkeypatch, Promise("the same", lambda case, chance: case))
    monkeypatch.setattr(verdicts, "_blocks", lambda *_: iter([verdicts.judged_block(1, 0)]))
    assert verdicts.run(60.0, 1, 6) == (6, ["the same: no case of 6 was worse than before"])
    assert "the same: 6 cases, 0 of them worse" in capsys.readouterr().out


@pytest.mark.parametrize(("seconds", "judged"), [(60.0, 9), (0.0, 4)])  # four are at work at once
def test_blocks_are_judged_until_they_are_done_or_the_time_is_over(
    monkeypatch: pytest.MonkeyPatch, seconds: float, judged: int
) -> None:
    monkeypatch.setattr(verdicts, "judged_block", _quick)
    told = [found.failures for found in verdicts._blocks(time.monotonic() + seconds, 7, 9)]
    assert told == [[f"7 {block}"] for block in range(judged)]

"""The campaign tries every kind of fault, each fault changes something, and a loss shows."""

from __future__ import annotations

from collections import Counter

import pytest

from benchmarks.false_go.campaign import Campaign, Case, list_cases, sample
from benchmarks.false_go.dangers import Danger, list_dangers
from benchmarks.false_go.fault import Fault
from safety_check.model.verdict import Severity
from tests.sources.fakes import ALARMS, SAYS, Services

DANGERS = list_dangers()
KINDS = {"status", "words in a wrong status", "transport", "truncation", "key gone"}


def test_every_service_that_can_report_danger_is_attacked() -> None:
    assert set(ALARMS) <= {danger.service for danger in DANGERS}


def test_a_run_has_two_thousand_cases_and_each_kind_of_fault_at_each_service() -> None:
    cases = sample(DANGERS, 4)
    assert len(cases) >= 2000
    tried = Counter((case.danger.service, case.fault.kind) for case in cases)
    assert all(tried[danger.service, kind] for danger in DANGERS for kind in KINDS)


@pytest.mark.parametrize("danger", DANGERS, ids=lambda danger: f"{danger.service} {danger.hazard}")
def test_every_fault_changes_the_answer(danger: Danger) -> None:
    unchanged = [
        case.fault.what
        for case in list_cases(danger)
        if all(case.replies[path] == danger.replies[path] for path in case.paths)
    ]
    assert unchanged == []


def test_a_danger_that_is_lost_in_silence_is_a_false_go() -> None:
    danger = next(danger for danger in DANGERS if danger.service == "nws_alerts")
    [path] = danger.attacked
    calm = SAYS["nws_alerts"](False)[path]
    with Services() as services:
        outcome = Campaign(services).run(
            Case(danger, (path,), Fault("none", "calm", lambda _: calm))
        )
    assert outcome.truth > Severity.GO
    assert outcome.false_go

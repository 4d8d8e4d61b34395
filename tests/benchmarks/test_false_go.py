"""The campaign tries every kind of fault, each fault changes something, and a loss shows."""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import replace

import pytest

from benchmarks.false_go.campaign import Campaign, Case, list_cases, sample
from benchmarks.false_go.dangers import Danger, list_dangers
from benchmarks.false_go.fault import Fault
from safety_check.model.verdict import Severity
from tests.sources.fake_server import json_reply
from tests.sources.fakes import ALARMS, SAYS, Services

DANGERS = list_dangers()
KINDS = {"status", "words in a wrong status", "transport", "truncation", "key gone"}


def test_every_service_that_can_report_danger_is_attacked() -> None:
    assert set(ALARMS) <= {danger.service for danger in DANGERS}


def test_a_run_has_two_thousand_cases_and_each_kind_of_fault_at_each_service() -> None:
    cases = [case for chosen in sample(DANGERS, 5).values() for case in chosen]
    assert len(cases) >= 2000
    tried = Counter((case.danger.service, case.fault.kind) for case in cases)
    assert all(tried[danger.service, kind] for danger in DANGERS for kind in KINDS)


@pytest.mark.one_in(10)
@pytest.mark.parametrize("danger", DANGERS, ids=lambda danger: f"{danger.service} {danger.hazard}")
def test_every_fault_changes_the_answer(danger: Danger) -> None:
    unchanged = [
        case.fault.what
        for case in list_cases(danger)
        if all(case.replies[path] == danger.replies[path] for path in case.paths)
    ]
    assert unchanged == []


@pytest.mark.promise("missing data never permits")
def test_a_danger_that_is_lost_in_silence_is_a_false_go() -> None:
    danger = next(danger for danger in DANGERS if danger.service == "nws_alerts")
    [path] = danger.attacked
    calm = SAYS["nws_alerts"](False)[path]
    with Services() as services:
        campaign = Campaign(services)
        truth = campaign.truth(danger)
        outcome = campaign.run(Case(danger, (path,), Fault("none", "calm", lambda _: calm)), truth)
    assert outcome.truth > Severity.GO
    assert outcome.false_go


@pytest.mark.thorough
def test_a_danger_proves_nothing_where_a_gap_in_its_answer_already_holds_the_verdict() -> None:
    """A grid cell without an outline names no place, so no fault of it could lose the danger."""
    [danger] = [one for one in DANGERS if (one.service, one.hazard) == ("nws_grid", "gale")]
    [(path, reply)] = danger.replies.items()
    told = {key: part for key, part in json.loads(reply.body).items() if key != "geometry"}
    with Services() as services:
        campaign = Campaign(services)
        assert campaign.truth(danger) == Severity.NO_GO
        with pytest.raises(RuntimeError, match="proves nothing"):
            campaign.truth(replace(danger, replies={path: json_reply(told)}))

"""Without anyone's word on official warnings there is no GO, wherever the launch is."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from safety_check.model.verdict import Severity
from safety_check.model.weather import OWN_WORD, Alert, Briefing, SourceFailure
from safety_check.use_cases.own_word import add_own_word
from safety_check.use_cases.plan_request import PlanRequest
from tests import scenes

OWN = replace(scenes.FROM_A_FILE, source=OWN_WORD, recorded=False)


def judged(*words: scenes.Provenance, **told: Any) -> scenes.Verdict:
    briefing = replace(scenes.briefing(), warnings_read=words, **told)
    return scenes.judge(scenes.plan(), briefing, scenes.POND, scenes.settings())


def read(hours_ago: float) -> scenes.Provenance:
    return replace(OWN, fetched=scenes.NOW - timedelta(hours=hours_ago))


def test_with_warnings_unread_it_is_marginal_and_the_first_reason_says_so() -> None:
    verdict = judged()
    assert verdict.severity == Severity.MARGINAL
    assert "Nobody has read the official warnings" in verdict.findings[0].reason
    assert "--warnings none --read-at" in verdict.findings[0].reason


@pytest.mark.parametrize(
    ("hours_ago", "severity"), [(0, "GO"), (11.9, "GO"), (12.1, "MARGINAL"), (-1, "MARGINAL")]
)
def test_the_users_own_reading_counts_for_twelve_hours(hours_ago: float, severity: str) -> None:
    assert str(judged(read(hours_ago)).severity) == severity


def test_a_stale_answer_of_the_service_does_not_count() -> None:
    stale = replace(scenes.FROM_THE_ALERT_SERVICE, fetched=scenes.NOW - timedelta(hours=7))
    assert judged(stale).severity == Severity.MARGINAL


def test_no_warning_is_reported_only_where_a_service_that_covers_the_place_answered() -> None:
    sentence = "No official warning is known"
    assert not any(sentence in finding.reason for finding in judged().findings)
    assert any(sentence in finding.reason for finding in judged(read(1)).findings)


def test_a_warning_is_still_a_no_go_where_the_user_read_of_none() -> None:
    gale = Alert("Gale Warning", "Severe", "", "", "Gale Warning", "", "", None, None, "",
                 scenes.FROM_THE_ALERT_SERVICE)  # fmt: skip
    assert judged(read(1), alerts=(gale,)).severity == Severity.NO_GO


def test_the_users_reading_replaces_an_alert_service_that_did_not_answer() -> None:
    silent = SourceFailure("National Weather Service, alerts", "No answer.", ("alerts",))
    assert judged(silences=(silent,)).severity == Severity.MARGINAL
    without = replace(scenes.briefing(), warnings_read=(), silences=(silent,))
    asked = PlanRequest(warnings="none", read_at="now")
    own = add_own_word(without, asked, scenes.WATER.time_zone)
    verdict = scenes.judge(scenes.plan(), own, scenes.POND, scenes.settings())
    assert verdict.severity == Severity.GO


def test_the_users_reading_replaces_no_other_service() -> None:
    silent = SourceFailure("Buoys", "No answer.", ("wind_speed",))
    assert judged(read(1), silences=(silent,)).severity == Severity.MARGINAL


def test_a_briefing_has_no_reading_of_warnings_unless_someone_gave_it() -> None:
    assert Briefing(scenes.NOW).warnings_read == ()

"""Official warnings are known only so far ahead: the service that warns least far decides."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import UTC, datetime, timedelta

from safety_check.assess.warnings_reach import warnings_to_come, warnings_until
from safety_check.conditions.case import Case
from safety_check.model.verdict import Severity, Unknown
from safety_check.model.weather import OWN_WORD, Briefing, Provenance
from safety_check.use_cases.trust import load_trust
from tests import scenes

TRUST = load_trust()
HOUR = timedelta(hours=1)
AHEAD = {"near": 12.0, "far": 48.0, OWN_WORD: 24.0}  # h


def ahead_of(source: str) -> float:
    return AHEAD[source] * 3600


def word(source: str, hours_ago: float = 0.0) -> Provenance:
    return replace(scenes.FROM_A_FILE, source=source, fetched=scenes.NOW - hours_ago * HOUR)


def case_of(
    *words: Provenance,
    end: datetime = scenes.NOW,
    ahead: Callable[[str], float] = ahead_of,
    least: float = 6.0,
) -> Case:
    """Return a case whose services warn so far ahead [s], and every one at least so many hours."""
    ages: Mapping[str, float] = dict.fromkeys(AHEAD, 20 * 3600.0)
    trust = replace(
        TRUST, greatest_age=ages, warnings_ahead=ahead, warnings_least_ahead=least * 3600
    )
    plan = replace(scenes.plan(), end=end)
    told = Briefing(scenes.NOW, warnings_read=words)
    return Case(plan, told, scenes.POND, scenes.settings(), trust)


def hours_known(*words: Provenance) -> float | None:
    until = warnings_until(case_of(*words))
    return None if until is None else (until - scenes.NOW) / HOUR


def test_a_service_warns_so_far_ahead_from_its_answer_on() -> None:
    assert hours_known(word("far", 3)) == 45
    assert hours_known() is None
    assert hours_known(word("far", 21)) is None  # its answer is too old to count


def test_of_two_answers_of_a_service_the_newer_counts() -> None:
    assert hours_known(word("far", 3), word("far", 1)) == 47
    assert hours_known(word("far", 1), word("far", 3)) == 47


def test_of_two_services_the_one_that_warns_least_far_decides() -> None:
    assert hours_known(word("far"), word("near", 2)) == 10


def test_the_user_who_read_the_warnings_read_those_of_every_service() -> None:
    assert hours_known(word("near"), word(OWN_WORD)) == 24
    assert hours_known(word("far"), word(OWN_WORD)) == 48
    assert hours_known(word(OWN_WORD, 4)) == 20


def test_the_warnings_for_a_later_end_are_still_to_come() -> None:
    end = scenes.NOW + 13 * HOUR
    told = warnings_to_come(case_of(word("far"), word("near"), end=end))
    # Known until 10:00 UTC the next day, a Saturday: 05:00 by the clock of the water.
    assert datetime(2026, 6, 13, 10, tzinfo=UTC) == scenes.NOW + 12 * HOUR
    assert told == (
        Unknown(
            "official warnings for the end of the trip",
            "issued only until Sat 05:00",
            "Check again then.",
            Severity.GO,
        ),
    )


def test_no_warning_is_to_come_for_a_trip_that_the_services_reach() -> None:
    for hours in (7, 11.9, 12):
        end = scenes.NOW + hours * HOUR
        assert warnings_to_come(case_of(word("near"), end=end)) == ()
    assert len(warnings_to_come(case_of(word("near"), end=scenes.NOW + 12.1 * HOUR))) == 1


def test_one_service_that_answered_late_does_not_answer_for_the_others() -> None:
    end = scenes.NOW + 5.5 * HOUR
    assert len(warnings_to_come(case_of(word("near", 8), word("far"), end=end))) == 1


def test_the_table_of_services_is_not_read_where_every_service_reaches_the_end() -> None:
    def refuse(source: str) -> float:
        raise AssertionError(source)

    at_last = scenes.NOW + 6 * HOUR
    assert warnings_to_come(case_of(word("near"), word("far"), end=at_last, ahead=refuse)) == ()
    assert warnings_to_come(case_of(end=at_last, ahead=refuse)) == ()

"""Until when official warnings can be known: services issue them only so far ahead."""

from __future__ import annotations

from datetime import datetime, timedelta

from safety_check.conditions.case import Case
from safety_check.model.local_clock import LocalClock
from safety_check.model.verdict import WARNINGS_TO_COME, Severity, Unknown
from safety_check.model.weather import OWN_WORD
from safety_check.rules.warnings import words_that_count


def warnings_until(case: Case) -> datetime | None:
    """Return until when official warnings can be known; None where no warning list counts.

    Of several services the one that warns least far ahead decides. The user reads them all.
    """
    reaches: dict[str, datetime] = {}
    for word in words_that_count(case.briefing, case.trust.greatest_age):
        until = word.fetched + timedelta(seconds=case.trust.warnings_ahead(word.source))
        reaches[word.source] = max(until, reaches.get(word.source, until))
    own = reaches.pop(OWN_WORD, None)
    services = min(reaches.values(), default=None)
    return max((until for until in (own, services) if until), default=None)


def warnings_to_come(case: Case) -> tuple[Unknown, ...]:
    """Return that warnings for the end of a trip are not issued yet; nothing where they are."""
    words = words_that_count(case.briefing, case.trust.greatest_age)
    least = timedelta(seconds=case.trust.warnings_least_ahead)
    if all(case.plan.end <= word.fetched + least for word in words):
        return ()  # without reading the table of the services
    until = warnings_until(case)
    if until is None or case.plan.end <= until:
        return ()
    by = LocalClock(LocalClock.of(case.plan).zone, None).time(until)
    return (Unknown(WARNINGS_TO_COME, f"issued only until {by}", "Check again then.", Severity.GO),)

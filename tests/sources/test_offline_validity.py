"""How long packed answers count: to the very moment at which the first of them expires."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from safety_check.model.weather import SourceFailure
from safety_check.sources.offline_validity import Item, OfflineValidity

AT = datetime(2026, 6, 12, 20, tzinfo=UTC)
HOUR, SECOND = timedelta(hours=1), timedelta(seconds=1)
WARNINGS = Item("warnings", AT, AT + 6 * HOUR, required=False)
FORECAST = Item("a forecast", AT, AT + 12 * HOUR, required=True)
SECOND_FORECAST = Item("another", AT, AT + 9 * HOUR, required=True)
ALL = OfflineValidity(AT, (WARNINGS, SECOND_FORECAST, FORECAST), ())
MISSED = OfflineValidity(AT, (FORECAST,), (SourceFailure("warnings", "no answer", ("alerts",)),))
NOTHING = OfflineValidity(AT, (), ())


@pytest.mark.parametrize(
    ("after", "good"),
    [(6 * HOUR - SECOND, True), (6 * HOUR, True), (6 * HOUR + SECOND, False)],
)
def test_a_go_is_possible_until_the_first_answer_expires(after: timedelta, good: bool) -> None:
    assert ALL.good_at(AT + after) is good


@pytest.mark.parametrize("validity", [MISSED, NOTHING])
def test_where_a_service_was_missed_no_go_is_possible_and_no_time_helps(
    validity: OfflineValidity,
) -> None:
    assert not validity.good_at(AT)
    assert validity.go_until is None
    assert validity.pack_again_after(AT + 12 * HOUR) is None


def test_the_verdict_is_known_while_every_forecast_counts() -> None:
    assert ALL.known_until == AT + 9 * HOUR
    assert MISSED.known_until == AT + 12 * HOUR
    assert NOTHING.known_until is None


def test_one_packs_again_when_the_first_answer_lasts_to_the_launch() -> None:
    assert ALL.pack_again_after(AT + 10 * HOUR) == AT + 4 * HOUR

"""Official warnings hour by hour: when they hold, which is worst, and when their absence counts."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from safety_check.model.verdict import Severity
from safety_check.model.weather import Alert
from safety_check.rules.alerts import AlertMeanings
from safety_check.rules.warnings import warnings_known, warnings_over, words_that_count
from safety_check.settings.alert_classes import load_alert_classes
from tests import scenes

NOON = datetime(2026, 6, 1, 12, tzinfo=UTC)
HOURS = np.array(["2026-06-01T11", "2026-06-01T12", "2026-06-01T13"], dtype="datetime64[s]")
MEANINGS = AlertMeanings(
    {"Gale": Severity.NO_GO, "Frost": Severity.GO, "Rain": Severity.MARGINAL}, load_alert_classes
)
MINUTE = timedelta(minutes=1)
SOURCE = "a service"
ALLOWED = {SOURCE: 3600.0}


def alert(event: str, onset: datetime | None, ends: datetime | None, headline: str = "") -> Alert:
    source = scenes.FROM_THE_ALERT_SERVICE
    return Alert(event, "", "", "", headline, "", "", onset, ends, "", source)


def levels(*alerts: Alert, known: bool = True) -> list[float]:
    (found,) = warnings_over(alerts, HOURS, MEANINGS, known).level
    return [float(one) for one in found]


@pytest.mark.parametrize(
    ("onset", "ends", "expected"),
    [
        (None, None, [3, 3, 3]),
        (NOON + 30 * MINUTE, None, [0, 3, 3]),  # it begins within the hour
        (NOON, None, [3, 3, 3]),  # both ends of an hour count
        (NOON + MINUTE, None, [0, 3, 3]),
        (NOON + 60 * MINUTE, None, [0, 3, 3]),
        (NOON + 61 * MINUTE, None, [0, 0, 3]),
        (None, NOON, [3, 3, 0]),
        (None, NOON - MINUTE, [3, 0, 0]),
        (NOON + 10 * MINUTE, NOON + 20 * MINUTE, [0, 3, 0]),
    ],
)
def test_a_warning_holds_in_every_hour_that_it_touches(
    onset: datetime | None, ends: datetime | None, expected: list[float]
) -> None:
    assert levels(alert("Gale", onset, ends)) == expected


def test_the_worst_of_several_counts_in_whatever_order_they_come() -> None:
    gale, rain = alert("Gale", NOON + 61 * MINUTE, None), alert("Rain", None, None)
    assert levels(gale, rain) == levels(rain, gale) == [1, 1, 3]


def test_without_an_answer_an_hour_without_a_warning_is_unknown_and_one_with_it_is_not() -> None:
    later = alert("Gale", NOON + 61 * MINUTE, None)
    first, second, third = levels(later, known=False)
    assert np.isnan([first, second]).all()
    assert third == 3
    assert levels(alert("Rain", None, None), known=False) == [1, 1, 1]
    assert np.isnan(levels(alert("Frost", None, None), known=False)).all()


def test_headlines_are_of_warnings_in_force_that_count_the_worst_first() -> None:
    told = warnings_over(
        (
            alert("Rain", None, None, "Much rain"),
            alert("Frost", None, None, "Frost tonight"),
            alert("Gale", NOON + 61 * MINUTE, None),
            alert("Gale", NOON + timedelta(days=1), None, "Gale tomorrow"),
        ),
        HOURS,
        MEANINGS,
        known=True,
    )
    assert told.headlines == ("Gale", "Much rain")


@pytest.mark.parametrize(
    ("age", "counts"), [(-1.0, False), (0.0, True), (3600.0, True), (3601.0, False)]
)
def test_an_answer_counts_until_it_is_too_old_and_never_from_the_future(
    age: float, counts: bool
) -> None:
    said = replace(scenes.FROM_A_FILE, source=SOURCE, fetched=scenes.NOW - timedelta(seconds=age))
    briefing = replace(scenes.briefing(), warnings_read=(said,))
    assert words_that_count(briefing, ALLOWED) == ((said,) if counts else ())
    assert warnings_known(briefing, ALLOWED) is counts
    assert not warnings_known(briefing, {})

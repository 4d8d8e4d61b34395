"""A water temperature that was measured earlier stands in, colder with age, and never permits."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import timedelta

from hypothesis import given
from hypothesis import strategies as st

from safety_check.conditions.forecast_trend import PastChecks
from safety_check.conditions.water_memory import cold_end, recall_water
from safety_check.model.verdict import Severity, Verdict
from safety_check.model.weather import Observation
from safety_check.use_cases.trust import load_trust
from safety_check.use_cases.water_memory import own_measurement
from tests import scenes
from tests.properties import cases

TRUST = load_trust().water_memory
DAY = 86_400.0
TEMPERATURE = st.floats(273.0, 305.0)
AGE = st.floats(0, 20 * DAY)


@given(TEMPERATURE, AGE)
def test_it_never_counts_as_warmer_than_it_was_measured(measured: float, age: float) -> None:
    counts_as = cold_end(measured, age, TRUST)
    assert math.isnan(counts_as) == (age > TRUST.greatest_age)
    assert math.isnan(counts_as) or counts_as <= measured


@given(TEMPERATURE, TEMPERATURE, AGE, AGE)
def test_an_older_or_colder_one_never_counts_as_warmer(
    measured: float, warmer: float, age: float, older: float
) -> None:
    one, other = sorted((measured, warmer))
    new, old = sorted((age, older))
    assert not cold_end(one, old, TRUST) > cold_end(other, new, TRUST)


def judged(*stored: Observation, entered: float | None = None) -> Verdict:
    trip = replace(scenes.plan(), water_temperature=entered)
    return scenes.judge(
        trip, scenes.briefing(), scenes.POND, scenes.settings(), PastChecks(water=stored)
    )


def measured(kelvin: float, days: float) -> Observation:
    return own_measurement(kelvin, scenes.NOW - timedelta(days=days))


@cases(25)
@given(st.floats(275, 303), st.floats(0, 20))
def test_a_stored_temperature_never_permits_more_than_the_measurement_itself(
    kelvin: float, days: float
) -> None:
    remembered = judged(measured(kelvin, days)).severity
    entered = judged(entered=kelvin).severity
    too_old = math.isnan(cold_end(kelvin, days * DAY, TRUST))
    # One that is too old says nothing: a NO-GO by it alone is then UNKNOWN, which permits nothing.
    assert remembered >= (Severity.UNKNOWN if too_old else entered)
    # Losing it leaves the temperature unknown, which permits nothing.
    assert judged().severity >= Severity.UNKNOWN


def test_warm_water_of_yesterday_is_a_go_and_of_two_weeks_ago_is_not() -> None:
    assert judged(measured(301.0, 1)).severity == Severity.GO
    assert judged(measured(301.0, 14.1)).severity == Severity.UNKNOWN
    told = judged(measured(301.0, 14.1)).water
    assert told is not None
    assert math.isnan(told.value)


def test_the_newest_counts_and_of_one_day_the_coldest() -> None:
    def recalled(*stored: Observation) -> float:
        found = recall_water(stored, scenes.NOW, TRUST)
        assert found.measured is not None
        return found.measured

    assert recalled(measured(290.0, 9), measured(281.0, 1)) == 281.0
    assert recalled(measured(281.0, 9), measured(290.0, 1)) == 290.0
    assert recalled(measured(289.0, 0.6), measured(294.0, 0.1)) == 289.0


def test_what_is_in_doubt_or_still_to_come_is_not_recalled() -> None:
    doubtful = replace(measured(290.0, 1), flagged=True)
    found = recall_water((doubtful, measured(290.0, -1)), scenes.NOW, TRUST)
    assert math.isnan(found.value)

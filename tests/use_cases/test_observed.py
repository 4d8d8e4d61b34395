"""An earlier plan and its data, seen again later: what counts, what stays, what is too old."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from safety_check.conditions.ensemble import GUST, WIND
from safety_check.errors import PlanError
from safety_check.model.weather import OWN_WORD, Alert, Briefing, Observation, SourceFailure
from safety_check.use_cases.launch_observation import WATER, LaunchObservation
from safety_check.use_cases.observed import (
    add_observation,
    add_values,
    fill_from_stored,
    offline_briefing,
    remaining_plan,
)
from tests import scenes

HOUR = timedelta(hours=1)
PLAN = scenes.plan()
SERVICE = scenes.FROM_THE_ALERT_SERVICE
AGE = {SERVICE.source: 3600.0}
ALERT = Alert("Gale Warning", "Severe", "", "", "h", "d", "", None, None, "", SERVICE)
SILENT = SourceFailure(SERVICE.source, "no answer", ("alerts",))


def seen(quantity: str, value: float, station: str = "buoy") -> Observation:
    return replace(scenes.observation(quantity, value), station=station)


# -- what is seen --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("entered", "measured", "counts"), [(290.0, 285.0, 285.0), (285.0, 290.0, 285.0)]
)
def test_of_two_temperatures_of_the_water_the_colder_counts(
    entered: float, measured: float, counts: float
) -> None:
    plan = replace(PLAN, water_temperature=entered)
    plan, told = add_values(plan, scenes.briefing(), {WATER: measured}, {})
    assert plan.water_temperature == counts
    assert told.observations == ()


def test_a_temperature_measured_where_none_was_entered_is_an_observation() -> None:
    plan, told = add_values(
        replace(PLAN, water_temperature=None), scenes.briefing(), {WATER: 285.0}, {}
    )
    assert plan.water_temperature is None
    assert [(one.quantity, one.value) for one in told.observations] == [(WATER, 285.0)]


def test_the_same_look_at_the_same_moment_counts_once_and_another_is_kept_beside_it() -> None:
    look = LaunchObservation(wind="4 m/s", whitecaps=True)
    plan, once = add_observation(PLAN, scenes.briefing(), look)
    _, twice = add_observation(plan, once, look)
    assert twice == once
    assert [(one.value, one.sign) for one in once.observations] == [(5.5, "whitecaps")]
    _, stronger = add_observation(plan, once, LaunchObservation(wind="7 m/s"))
    assert [(one.value, one.sign) for one in stronger.observations] == [
        (5.5, "whitecaps"), (7.0, "")
    ]  # fmt: skip
    assert {one.distance for one in stronger.observations} == {0.0}


# -- what remains of a plan ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("late", "begins"),
    [(-10.0, 0.0), (1.0, 0.0), (1.01, 1.01), (4.0, 4.0)],
)
def test_more_than_an_hour_after_its_start_only_the_rest_of_a_plan_is_left(
    late: float, begins: float
) -> None:
    found = remaining_plan(PLAN, PLAN.start + late * HOUR)
    assert (found.start, found.end) == (PLAN.start + begins * HOUR, PLAN.end)


def test_at_its_end_nothing_of_a_plan_is_left() -> None:
    assert remaining_plan(PLAN, PLAN.end - timedelta(seconds=1)).end == PLAN.end
    with pytest.raises(PlanError, match="ended 2026-06-13 15:00, so nothing"):  # local time
        remaining_plan(PLAN, PLAN.end)


# -- new answers and stored ones -----------------------------------------------------------------


def test_new_forecasts_replace_the_stored_ones_and_missing_ones_are_filled_in_as_stored() -> None:
    live = replace(scenes.FROM_A_FILE, recorded=False)
    stored = scenes.briefing(scenes.forecast(provenance=live))
    newer = scenes.briefing(scenes.forecast({"wind_speed": 4.0}))
    assert fill_from_stored(newer, stored).forecasts == newer.forecasts
    filled = fill_from_stored(replace(newer, forecasts=()), stored)
    (kept,) = filled.forecasts
    assert kept.quantities is stored.forecasts[0].quantities
    assert kept.provenance == replace(live, recorded=True)


@pytest.mark.parametrize(("silences", "stays"), [((), False), ((SILENT,), True)])
def test_a_stored_warning_stays_in_force_unless_warnings_were_read_again(
    silences: tuple[SourceFailure, ...], stays: bool
) -> None:
    stored = replace(scenes.briefing(), alerts=(ALERT,))
    fresh = replace(scenes.briefing(), silences=silences)
    assert [one.event for one in fill_from_stored(fresh, stored).alerts] == [ALERT.event] * stays


def test_another_service_that_was_silent_does_not_keep_a_warning() -> None:
    other = replace(SILENT, wanted=("wind_speed",))
    fresh = replace(scenes.briefing(), silences=(other,))
    assert fill_from_stored(fresh, replace(scenes.briefing(), alerts=(ALERT,))).alerts == ()


def test_of_two_observations_of_a_station_at_one_time_the_newer_answer_counts() -> None:
    stored = replace(scenes.briefing(), observations=(seen(WIND, 3.0), seen(GUST, 6.0)))
    fresh = replace(scenes.briefing(), observations=(seen(WIND, 5.0), seen(WIND, 4.0, "pier")))
    found = fill_from_stored(fresh, stored).observations
    assert {(one.quantity, one.station, one.value) for one in found} == {
        (WIND, "buoy", 5.0), (WIND, "pier", 4.0), (GUST, "buoy", 6.0)
    }  # fmt: skip
    assert len(found) == 3


# -- without any service -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("minutes", "too_old"), [(0.0, False), (60.0, False), (60.1, True), (-5.0, False)]
)
def test_offline_the_warnings_count_for_their_greatest_age(minutes: float, too_old: bool) -> None:
    at = SERVICE.fetched + timedelta(minutes=minutes)
    found = offline_briefing(scenes.briefing(), at, AGE)
    assert found.at == at
    assert [one.source for one in found.silences] == [SERVICE.source] * too_old
    assert all(one.applies and one.wanted == ("alerts",) for one in found.silences)
    assert all(word.recorded for word in found.warnings_read)


def test_offline_a_service_of_unknown_age_and_a_kept_warning_count_as_too_old_once() -> None:
    told = replace(scenes.briefing(), alerts=(ALERT, replace(ALERT, event="Wind Advisory")))
    found = offline_briefing(told, SERVICE.fetched + timedelta(seconds=1), {})
    assert [one.source for one in found.silences] == [SERVICE.source]
    assert len(found.alerts) == 2


def test_offline_ones_own_word_is_no_service_that_can_be_too_old() -> None:
    word = replace(SERVICE, source=OWN_WORD)
    told = replace(Briefing(at=scenes.NOW), warnings_read=(word,))
    assert offline_briefing(told, scenes.NOW + 24 * HOUR, {}).silences == ()

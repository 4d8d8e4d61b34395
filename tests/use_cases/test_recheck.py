"""What is seen at the launch only ever tightens; what was received earlier keeps its age."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.conditions.ensemble import SEA
from safety_check.errors import PlanError
from safety_check.model.place import OpenWater
from safety_check.model.plan import Plan
from safety_check.model.verdict import Severity
from safety_check.model.weather import Alert, Briefing, Forecast, Provenance, SourceFailure
from safety_check.physics.off_wind import smoothed_radials
from safety_check.use_cases.launch_observation import LaunchObservation, observed_values
from safety_check.use_cases.observed import (
    add_observation,
    fill_from_stored,
    offline_briefing,
    remaining_plan,
)
from tests import scenes
from tests.properties import cases

NOW = scenes.NOW
TRIP = scenes.plan(start=NOW + timedelta(minutes=5), hours=3)


def long_lake() -> OpenWater:
    """Return a lake with ten kilometres of open water from east and west, and little else."""
    bearings = np.arange(0.0, 360.0, 5.0)
    fetch = np.where(np.abs(np.cos(np.radians(bearings - 90))) > 0.9, 10_000.0, 300.0)[:, None]
    return replace(
        scenes.POND,
        bearings=bearings,
        fetch=fetch,
        radials=smoothed_radials(bearings, fetch),
    )


LAKE = long_lake()


def severity(
    given: Forecast, seen: LaunchObservation, water: OpenWater = LAKE, trip: Plan = TRIP
) -> Severity:
    plan, briefing = add_observation(trip, scenes.with_warnings_read(Briefing(NOW, (given,))), seen)
    return scenes.judge(plan, briefing, water, scenes.settings()).severity


def perhaps(values: st.SearchStrategy[str]) -> st.SearchStrategy[str | None]:
    return st.none() | values


amounts = st.floats(0, 20).map(lambda value: f"{value:.2f}")
SEEN = st.builds(
    LaunchObservation,
    wind=perhaps(amounts.map(lambda text: f"{text} m/s")),
    gust=perhaps(amounts.map(lambda text: f"{text} m/s")),
    from_direction=perhaps(st.integers(0, 360).map(str)),
    whitecaps=st.booleans(),
    waves=perhaps(st.floats(0, 2).map(lambda value: f"{value:.2f} m")),
    water_temperature=perhaps(st.floats(32, 90).map(lambda value: f"{value:.1f} F")),
)
unknown = st.just(float("nan"))
WEATHER = st.fixed_dictionaries(
    {
        "wind_speed": st.floats(0, 10) | unknown,
        "wind_speed_of_gust": st.floats(0, 14) | unknown,
        "wind_from_direction": st.floats(0, 359) | unknown,
    }
)


@pytest.mark.promise("what you see is never milder")
@cases(40)
@given(st.lists(WEATHER, min_size=1, max_size=3), SEEN)
def test_an_observation_never_makes_a_better_verdict(
    weather: list[dict[str, float]], seen: LaunchObservation
) -> None:
    given = scenes.forecast(*weather)
    assert severity(given, seen) >= severity(given, LaunchObservation())


@pytest.mark.promise("what you see is never milder")
@cases(20)
@given(WEATHER, st.floats(0, 20), st.floats(0, 20), st.sampled_from(["wind", "gust", "waves"]))
def test_more_observed_wind_never_improves_a_verdict(
    weather: dict[str, float], amount: float, more: float, name: str
) -> None:
    given = scenes.forecast(weather)
    unit = "m" if name == "waves" else "m/s"
    scale = 0.1 if name == "waves" else 1.0
    less, greater = (
        LaunchObservation(**{name: f"{scale * value:.3f} {unit}"})  # type: ignore[arg-type]
        for value in (amount, amount + more)
    )
    assert severity(given, greater) >= severity(given, less)


@cases(15)
@given(WEATHER, st.integers(0, 7), SEEN)
def test_nor_where_the_forecast_is_unknown_at_just_that_hour(
    weather: dict[str, float], lost: int, seen: LaunchObservation
) -> None:
    given = scenes.forecast(weather)
    at = int(np.flatnonzero(given.time == np.datetime64("2026-06-12T20", "s"))[0]) + lost
    for name in weather:
        given.quantities[name][:, at] = np.nan
    assert severity(given, seen) >= severity(given, LaunchObservation())


def test_wind_forecast_for_later_still_forbids_when_the_hour_of_the_observation_is_unknown() -> (
    None
):
    given = scenes.forecast({"wind_speed": 9.0, "wind_speed_of_gust": 12.0})
    given.quantities["wind_speed"][:, given.time == np.datetime64(NOW.replace(tzinfo=None))] = (
        np.nan
    )
    assert severity(given, LaunchObservation()) == Severity.NO_GO
    assert severity(given, LaunchObservation(wind="3 m/s")) == Severity.NO_GO


# Fairly frequent white horses are Beaufort 4, from 11 kt on (WMO code table 1100).
def test_whitecaps_mean_wind_even_where_none_is_forecast() -> None:
    tube = replace(TRIP, craft=scenes.settings().craft("float-tube"))
    assert severity(scenes.forecast(), LaunchObservation(), scenes.POND, tube) == Severity.GO
    assert (
        severity(scenes.forecast(), LaunchObservation(whitecaps=True), scenes.POND, tube)
        > Severity.GO
    )
    assert observed_values(LaunchObservation(whitecaps=True))["wind_speed"] == pytest.approx(
        10.7 * 1852 / 3600, abs=0.05
    )


def test_whitecaps_are_a_least_wind_and_not_a_reading() -> None:
    def sign(seen: LaunchObservation) -> str:
        _, told = add_observation(TRIP, Briefing(NOW), seen)
        return next(
            observation.sign
            for observation in told.observations
            if observation.quantity == "wind_speed"
        )

    assert sign(LaunchObservation(whitecaps=True)) == "whitecaps"
    assert sign(LaunchObservation(whitecaps=True, wind="3 mph")) == "whitecaps"
    assert sign(LaunchObservation(whitecaps=True, wind="20 mph")) == ""


def test_whitecaps_never_lower_a_wind_that_was_read() -> None:
    assert observed_values(LaunchObservation(wind="20 mph", whitecaps=True)) == observed_values(
        LaunchObservation(wind="20 mph")
    )


def test_observed_waves_count_where_no_wind_explains_them_and_fade() -> None:
    seen = LaunchObservation(waves="2 ft")
    assert severity(scenes.forecast(), seen) == Severity.NO_GO
    tomorrow = scenes.plan()
    assert severity(scenes.forecast(), seen, trip=tomorrow) == Severity.GO


def sea(given: Forecast, seen: LaunchObservation) -> float:
    """Return the wave that decides in the worst hour of the trip. [m]."""
    plan, briefing = add_observation(TRIP, scenes.with_warnings_read(Briefing(NOW, (given,))), seen)
    findings = scenes.judge(plan, briefing, LAKE, scenes.settings()).findings
    return next(finding.value for finding in findings if finding.quantity == SEA)


def test_an_observed_direction_along_the_lake_raises_its_sea() -> None:
    north, east = (
        scenes.forecast({"wind_speed": 5.0, "wind_from_direction": bearing})
        for bearing in (0.0, 90.0)
    )
    assert sea(north, LaunchObservation(from_direction="E")) > 1.5 * sea(north, LaunchObservation())
    assert sea(east, LaunchObservation(from_direction="N")) == sea(east, LaunchObservation())


def test_colder_water_than_entered_counts_and_warmer_does_not() -> None:
    assert (
        severity(scenes.forecast(), LaunchObservation(water_temperature="52 F")) == Severity.NO_GO
    )
    cold = replace(TRIP, water_temperature=285.0)
    assert (
        severity(scenes.forecast(), LaunchObservation(water_temperature="75 F"), trip=cold)
        == Severity.NO_GO
    )


def test_an_unknown_water_temperature_is_known_once_it_is_measured() -> None:
    unknown_water = replace(TRIP, water_temperature=None)
    assert severity(scenes.forecast(), LaunchObservation(), trip=unknown_water) == Severity.UNKNOWN
    measured = LaunchObservation(water_temperature="75 F")
    assert severity(scenes.forecast(), measured, trip=unknown_water) == Severity.GO


@pytest.mark.parametrize(
    "seen",
    [
        LaunchObservation(wind="twelve"),
        LaunchObservation(wind="12"),
        LaunchObservation(gust="300 mph"),
        LaunchObservation(from_direction="up"),
        LaunchObservation(from_direction="400"),
        LaunchObservation(waves="90 ft"),
        LaunchObservation(water_temperature="300 F"),
    ],
)
def test_what_can_not_be_meant_is_refused_with_its_option(seen: LaunchObservation) -> None:
    with pytest.raises(PlanError, match="--"):
        observed_values(seen)


# -- later ---------------------------------------------------------------------------------------


def test_of_a_plan_under_way_only_the_rest_is_weighed() -> None:
    trip = scenes.plan()
    assert remaining_plan(trip, NOW) == trip
    assert remaining_plan(trip, trip.start + timedelta(minutes=50)) == trip
    late = trip.start + timedelta(hours=2)
    assert remaining_plan(trip, late).start == late
    with pytest.raises(PlanError, match="ended 2026-06-13 15:00"):
        remaining_plan(trip, trip.end)


LIVE = Provenance("Open-Meteo", "", "https://example.org", NOW, NOW, recorded=False)
WARNED = Alert(
    *("Gale Warning", "Severe", "Expected", "Likely", "Gale Warning", "", ""),
    onset=NOW,
    ends=NOW + timedelta(days=1),
    area="",
    provenance=replace(LIVE, source="National Weather Service, alerts"),
)
QUIET = SourceFailure("official warnings", "no answer", ("alerts",))


def test_an_earlier_forecast_is_used_where_there_is_no_other_and_keeps_its_age() -> None:
    stored = Briefing(NOW, (scenes.forecast(provenance=LIVE),))
    for later, expected in ((8, Severity.GO), (30, Severity.UNKNOWN)):
        at = NOW + timedelta(hours=later)
        told = fill_from_stored(scenes.with_warnings_read(Briefing(at)), stored)
        assert told.forecasts[0].provenance.recorded
        trip = scenes.plan(start=at.replace(hour=15), hours=2)
        verdict = scenes.judge(trip, told, scenes.POND, scenes.settings())
        assert verdict.severity == expected


def test_a_new_forecast_takes_the_place_of_the_earlier_one() -> None:
    stored = Briefing(NOW, (scenes.forecast({"wind_speed": 9.0}),))
    fresh = Briefing(NOW, (scenes.forecast(),))
    assert fill_from_stored(fresh, stored).forecasts == fresh.forecasts


def test_a_warning_holds_on_until_the_services_are_asked_for_warnings_again() -> None:
    stored = Briefing(NOW, alerts=(WARNED,))
    silent = Briefing(NOW, silences=(QUIET,))
    assert [alert.event for alert in fill_from_stored(silent, stored).alerts] == ["Gale Warning"]
    assert fill_from_stored(Briefing(NOW), stored).alerts == ()


def test_offline_a_warning_service_counts_until_its_last_answer_is_too_old() -> None:
    stored = Briefing(NOW, others=(WARNED.provenance,))
    ages = {WARNED.provenance.source: 3600.0}
    assert offline_briefing(stored, NOW + timedelta(minutes=59), ages).silences == ()
    overdue = offline_briefing(stored, NOW + timedelta(minutes=61), ages).silences
    assert [(entry.source, entry.applies) for entry in overdue] == [
        (WARNED.provenance.source, True)
    ]


def test_an_observation_of_an_hour_ago_still_counts() -> None:
    _, earlier = add_observation(
        TRIP, Briefing(NOW, (scenes.forecast(),)), LaunchObservation(wind="12 m/s")
    )
    later = NOW + timedelta(hours=1)
    told = fill_from_stored(Briefing(later, (scenes.forecast(),)), earlier)
    assert scenes.judge(TRIP, told, LAKE, scenes.settings()).severity == Severity.NO_GO
    assert fill_from_stored(told, earlier).observations == told.observations


def test_the_sighting_is_dated_by_the_clock_of_the_check() -> None:
    _, briefing = add_observation(TRIP, Briefing(NOW), LaunchObservation(wind="3 m/s"))
    assert [observation.time for observation in briefing.observations] == [NOW]

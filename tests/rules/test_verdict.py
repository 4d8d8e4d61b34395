"""The rules of the verdict, as promises that hold for any weather."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.model.craft import Paddler
from safety_check.model.verdict import Severity
from safety_check.model.weather import Briefing, SourceFailure
from safety_check.rules.limits import choose_limits
from safety_check.settings.limits import load_default_limits
from safety_check.settings.user_file import LimitTable
from safety_check.sources.registry import default_ensemble, default_forecast
from tests import scenes

winds = st.floats(0, 15)
WEATHER = st.fixed_dictionaries(
    {
        "wind_speed": winds,
        "wind_speed_of_gust": winds,
        "wind_from_direction": st.floats(0, 359),
        "air_temperature": st.floats(260, 315),
        "relative_humidity": st.floats(0.1, 1),
        "precipitation_amount": st.floats(0, 10),
        "visibility_in_air": st.floats(100, 30_000),
        "weather_code": st.sampled_from([0.0, 3.0, 45.0, 61.0, 95.0]),
        "atmosphere_convective_available_potential_energy": st.floats(0, 3000),
    }
)
WORSE = {
    "wind_speed": +1,
    "wind_speed_of_gust": +1,
    "precipitation_amount": +1,
    "visibility_in_air": -1,
    "atmosphere_convective_available_potential_energy": +1,
}


def severity(*members: dict[str, float], **more: object) -> Severity:
    return scenes.verdict(scenes.forecast(*members), **more).severity  # type: ignore[arg-type]


def test_a_calm_warm_day_on_a_pond_in_company_is_a_go() -> None:
    assert scenes.verdict().severity == Severity.GO


# -- unknown is never safe ---------------------------------------------------------------------


@pytest.mark.promise("missing data never permits", "required and wanted data")
@given(WEATHER, st.sampled_from(scenes.REQUIRED))
def test_losing_required_data_never_permits_a_launch(
    weather: dict[str, float], quantity: str
) -> None:
    lost = scenes.without(scenes.forecast(weather), quantity)
    assert scenes.verdict(lost).severity >= Severity.UNKNOWN


@pytest.mark.promise("required and wanted data")
@given(WEATHER, st.sampled_from(scenes.WANTED))
def test_losing_a_wanted_datum_holds_the_verdict_at_marginal(
    weather: dict[str, float], quantity: str
) -> None:
    lost = scenes.without(scenes.forecast(weather), quantity)
    assert scenes.verdict(lost).severity >= Severity.MARGINAL


@given(st.lists(WEATHER, min_size=1, max_size=6), st.data())
def test_losing_one_model_never_makes_a_no_go_a_go(
    weather: list[dict[str, float]], data: st.DataObject
) -> None:
    whole = scenes.forecast(*weather)
    member = data.draw(st.integers(0, len(weather) - 1))
    lost = whole
    for quantity in whole.quantities:
        lost = scenes.without(lost, quantity, slice(member, member + 1))
    assert scenes.verdict(lost).severity >= Severity.UNKNOWN


def test_no_forecast_at_all_is_unknown() -> None:
    trip = scenes.plan()
    empty = Briefing(at=scenes.NOW)
    verdict = scenes.judge(trip, empty, scenes.POND, scenes.settings())
    assert verdict.severity == Severity.UNKNOWN


def test_an_hour_beyond_the_forecast_is_unknown() -> None:
    late = scenes.plan(start=datetime(2026, 6, 14, 15, tzinfo=UTC), hours=10)
    assert scenes.verdict(trip=late).severity == Severity.UNKNOWN


def test_a_single_missing_hour_is_unknown() -> None:
    given = scenes.forecast()
    hour = int(np.flatnonzero(given.time == np.datetime64("2026-06-13T17", "s"))[0])
    given.quantities["wind_speed"][:, hour] = np.nan
    verdict = scenes.verdict(given)
    assert verdict.severity == Severity.UNKNOWN
    assert [str(one_hour.severity) for one_hour in verdict.hours] == [
        "GO", "UNKNOWN", "UNKNOWN", "GO", "GO", "GO",
    ]  # fmt: skip


@pytest.mark.promise("missing data never permits")
@pytest.mark.parametrize("age", [timedelta(days=3), timedelta(days=30)])
def test_a_stale_forecast_is_unknown(age: timedelta) -> None:
    old = replace(scenes.FROM_A_FILE, issued=scenes.NOW - age)
    assert scenes.verdict(scenes.forecast(provenance=old)).severity == Severity.UNKNOWN


def test_a_forecast_of_an_unknown_service_has_no_known_age_limit_and_is_unknown() -> None:
    stray = replace(scenes.FROM_A_FILE, source="somewhere")
    assert scenes.verdict(scenes.forecast(provenance=stray)).severity == Severity.UNKNOWN


@pytest.mark.parametrize("code", [17.0, 29.0, 97.0, -1.0, 4.5])
def test_an_unknown_weather_code_is_not_fair_weather(code: float) -> None:
    assert severity({"weather_code": code}) == Severity.UNKNOWN


@pytest.mark.promise("what is not declared is unknown")
@pytest.mark.parametrize("field", ["life_jacket", "wearing", "company", "light"])
def test_what_the_paddler_has_not_declared_is_unknown_with_its_command(field: str) -> None:
    verdict = scenes.verdict(trip=scenes.plan(paddler=replace(scenes.READY, **{field: None})))
    assert verdict.severity == Severity.UNKNOWN
    assert any(
        f"--{field.replace('_', '-')}" in unknown_item.remedy for unknown_item in verdict.unknown
    )


def test_an_unknown_water_temperature_is_unknown_with_a_way_to_enter_it() -> None:
    verdict = scenes.verdict(trip=scenes.plan(water_temperature=None))
    assert verdict.severity == Severity.UNKNOWN
    assert any("--water-temp" in unknown_item.remedy for unknown_item in verdict.unknown)


@given(WEATHER)
def test_a_source_that_covers_the_place_and_does_not_answer_holds_the_verdict_at_marginal(
    weather: dict[str, float],
) -> None:
    silent = SourceFailure("official warnings", "no answer within 10 s", ("alerts",))
    assert severity(weather, silences=[silent]) >= Severity.MARGINAL
    elsewhere = replace(silent, applies=False)
    assert severity(weather, silences=[elsewhere]) == severity(weather)


# -- monotone ----------------------------------------------------------------------------------


@given(
    WEATHER, st.sampled_from(sorted(WORSE)), st.floats(0.1, 20), st.sampled_from(["pond", "lake"])
)
def test_worse_weather_never_makes_a_better_verdict(
    weather: dict[str, float], quantity: str, by: float, where: str
) -> None:
    water = scenes.POND if where == "pond" else scenes.LARGE_LAKE
    change = by * (100 if quantity in ("visibility_in_air",) else 1) * WORSE[quantity]
    worse = weather | {quantity: max(weather[quantity] + change, 0.0)}
    assert severity(worse, water=water) >= severity(weather, water=water)


@given(
    WEATHER, st.floats(272, 310), st.floats(0, 20), st.sampled_from(["none", "wetsuit", "drysuit"])
)
def test_colder_water_never_makes_a_better_verdict(
    weather: dict[str, float], warm: float, by: float, wearing: str
) -> None:
    paddler = replace(scenes.READY, wearing=wearing)
    trips = [
        scenes.plan(paddler=paddler, water_temperature=value)
        for value in (warm, max(warm - by, 271.2))
    ]
    assert severity(weather, trip=trips[1]) >= severity(weather, trip=trips[0])


@given(WEATHER, st.integers(0, 60), st.integers(0, 60))
def test_an_older_forecast_never_makes_a_better_verdict(
    weather: dict[str, float], age: int, older: int
) -> None:
    def aged(hours: int) -> Severity:
        origin = replace(scenes.FROM_A_FILE, issued=scenes.NOW - timedelta(hours=hours))
        return scenes.verdict(scenes.forecast(weather, provenance=origin)).severity

    assert aged(age + older) >= aged(age)


@given(
    WEATHER, st.floats(100, 20_000), st.floats(0, 20_000), st.floats(10, 3000), st.floats(0, 3000)
)
def test_more_fetch_or_more_distance_from_shore_never_makes_a_better_verdict(
    weather: dict[str, float], fetch: float, longer: float, shore: float, farther: float
) -> None:
    near = scenes.open_water(fetch, from_shore=shore)
    far = scenes.open_water(fetch + longer, from_shore=shore + farther)
    assert severity(weather, water=far) >= severity(weather, water=near)


@given(WEATHER, st.integers(0, 23), st.floats(0.5, 8), st.floats(0, 8))
def test_a_longer_trip_never_makes_a_better_verdict(
    weather: dict[str, float], hour: int, hours: float, longer: float
) -> None:
    start = datetime(2026, 6, 13, hour, tzinfo=UTC)
    given = scenes.forecast(weather)
    short, long = (
        scenes.verdict(given, scenes.plan(start=start, hours=value)).severity
        for value in (hours, hours + longer)
    )
    assert long >= short


@given(WEATHER)
def test_less_readiness_never_makes_a_better_verdict(weather: dict[str, float]) -> None:
    ready = severity(weather)
    for less in (
        replace(scenes.READY, life_jacket="carried"),
        replace(scenes.READY, company="alone"),
        replace(scenes.READY, light=False),
    ):
        assert severity(weather, trip=scenes.plan(paddler=less)) >= ready
    assert severity(weather, trip=scenes.plan(paddler=Paddler())) >= Severity.UNKNOWN


# -- observations only tighten -----------------------------------------------------------------


@pytest.mark.promise("what you see is never milder")
@given(WEATHER, st.sampled_from(["wind_speed", "wind_speed_of_gust"]), st.floats(0, 25))
def test_an_observation_never_makes_a_better_verdict(
    weather: dict[str, float], quantity: str, seen: float
) -> None:
    trip = scenes.plan(start=scenes.NOW + timedelta(minutes=5), hours=2)
    before = severity(weather, trip=trip)
    after = severity(weather, trip=trip, observations=[scenes.observation(quantity, seen)])
    assert after >= before


def test_what_blows_now_raises_the_coming_hours_and_fades() -> None:
    trip = scenes.plan(start=scenes.NOW + timedelta(minutes=5), hours=2)
    windy = scenes.verdict(trip=trip, observations=[scenes.observation("wind_speed", 9.0)])
    assert windy.severity == Severity.NO_GO
    breeze = scenes.verdict(trip=trip, observations=[scenes.observation("wind_speed", 4.0)])
    assert breeze.hours[0].shown["wind_speed"] > 3.5
    tomorrow = scenes.verdict(observations=[scenes.observation("wind_speed", 4.0)])
    assert tomorrow.severity == Severity.GO
    assert tomorrow.hours[0].shown["wind_speed"] == 1.5


def test_a_station_far_away_says_nothing_about_here() -> None:
    trip = scenes.plan(start=scenes.NOW + timedelta(minutes=5), hours=2)
    far = scenes.observation("wind_speed", 20.0, distance=60_000.0)
    assert scenes.verdict(trip=trip, observations=[far]).severity == Severity.GO


# -- odds --------------------------------------------------------------------------------------


@pytest.mark.promise("the share that decides")
def test_one_forecast_in_ten_decides_by_default() -> None:
    calm: dict[str, float] = {}
    storm = {"wind_speed": 12.0, "wind_speed_of_gust": 18.0}
    assert severity(*[calm] * 9, storm) == Severity.NO_GO
    assert severity(*[calm] * 10, storm) == Severity.GO


def test_each_model_counts_once_however_many_members_it_has() -> None:
    calm: dict[str, float] = {}
    storm = {"wind_speed": 12.0, "wind_speed_of_gust": 18.0}
    given = scenes.forecast(*[calm] * 50, storm, models=["many"] * 50 + ["one"])
    verdict = scenes.verdict(given)
    assert verdict.severity == Severity.NO_GO
    assert verdict.hours[0].odds[Severity.NO_GO] == pytest.approx(0.5)


def test_hazards_that_no_model_shares_still_count_together() -> None:
    calm: list[dict[str, float]] = [{}] * 18
    verdict = scenes.verdict(
        scenes.forecast(
            *calm, {"wind_speed": 9.0, "wind_speed_of_gust": 9.0}, {"weather_code": 95.0}
        )
    )
    assert verdict.severity == Severity.NO_GO
    assert verdict.findings[0].hazard == "several_together"


@given(st.lists(WEATHER, min_size=1, max_size=5))
def test_odds_sum_to_one_and_findings_explain_the_verdict(weather: list[dict[str, float]]) -> None:
    verdict = scenes.verdict(scenes.forecast(*weather))
    for hour in verdict.hours:
        assert sum(hour.odds.values()) == pytest.approx(1)
    assert max(finding.severity for finding in verdict.findings) == verdict.severity
    assert list(verdict.findings) == sorted(verdict.findings, key=lambda finding: -finding.severity)


# -- limits ------------------------------------------------------------------------------------


@given(WEATHER, st.floats(0.5, 12))
def test_a_tighter_personal_limit_never_makes_a_better_verdict(
    weather: dict[str, float], bound: float
) -> None:
    craft, paddler = scenes.plan().craft, scenes.plan().paddler
    default = choose_limits(craft, paddler, load_default_limits(), ()).limits["wind_speed"].no_go
    assert craft.kind == "sit-on-top-kayak"
    assert default is not None
    table = LimitTable(
        craft=craft.kind, quantity="wind_speed", no_go=f"{min(bound, default - 0.1)} m/s"
    )
    assert severity(weather, own=scenes.settings(table)) >= severity(weather)


def test_a_loosened_limit_is_said_in_the_report() -> None:
    table = LimitTable(
        craft="sit-on-top-kayak",
        quantity="wind_speed",
        marginal="8 m/s",
        no_go="9 m/s",
        loosen=True,
    )
    verdict = scenes.verdict(scenes.forecast({"wind_speed": 8.5}), own=scenes.settings(table))
    finding = next(
        one_finding for one_finding in verdict.findings if one_finding.quantity == "wind_speed"
    )
    assert finding.severity == Severity.MARGINAL
    assert "looser than the default" in finding.reason


def test_no_life_jacket_is_a_no_go_in_any_weather() -> None:
    for word in ("carried", "none"):
        trip = scenes.plan(paddler=replace(scenes.READY, life_jacket=word))
        assert scenes.verdict(trip=trip).severity == Severity.NO_GO


# Common practice, no source: a forecast whose upper end is 14 mph keeps a lone kayak angler
# off a large open lake, and less wind calls for caution there. On a small sheltered
# water its waves are no reason to refuse.
@pytest.mark.parametrize("mph", [10, 12, 14])
@pytest.mark.parametrize("company", ["alone", "group"])
def test_an_upper_end_of_14_mph_is_never_go_on_a_large_open_lake(mph: float, company: str) -> None:
    wind = {"wind_speed": mph * 0.44704, "wind_speed_of_gust": 1.4 * mph * 0.44704}
    trip = scenes.plan(paddler=replace(scenes.READY, company=company))
    assert severity(wind, trip=trip, water=scenes.LARGE_LAKE) > Severity.GO
    waves = next(
        finding
        for finding in scenes.verdict(scenes.forecast(wind), trip).findings
        if finding.quantity == "sea_surface_wave_significant_height"
    )
    assert waves.severity == Severity.GO


# Water temperature alone decides: the 120 °F sum says "no suit" at these (counter-examples
# of the cold-water reference), and they must still be refused.
@pytest.mark.promise("dress for the water")
@pytest.mark.parametrize(("air", "water"), [(75, 53), (80, 45)])
def test_warm_air_never_excuses_cold_water(air: float, water: float) -> None:
    kelvin = [(value - 32) / 1.8 + 273.15 for value in (air, water)]
    trip = scenes.plan(water_temperature=kelvin[1])
    assert severity({"air_temperature": kelvin[0]}, trip=trip) == Severity.NO_GO


def test_the_sum_of_air_and_water_only_tightens() -> None:
    trip = scenes.plan(water_temperature=290.15)  # 62.6 °F: caution by the water alone
    assert severity({"air_temperature": 303.15}, trip=trip) == Severity.MARGINAL
    warm = scenes.plan(water_temperature=295.15)  # 71.6 °F: no caution by the water alone
    assert severity({"air_temperature": 285.15}, trip=warm) == Severity.GO
    assert severity({"air_temperature": 281.15}, trip=warm) == Severity.MARGINAL


def test_a_light_is_needed_in_the_dark_and_does_not_make_it_day() -> None:
    night = datetime(2026, 6, 13, 6, tzinfo=UTC)  # 01:00 at the water
    for light, meant, expected in (
        (False, False, Severity.NO_GO),
        (False, True, Severity.NO_GO),
        (True, False, Severity.NO_GO),
        (True, True, Severity.MARGINAL),
    ):
        trip = scenes.plan(
            start=night, hours=1, night=meant, paddler=replace(scenes.READY, light=light)
        )
        assert scenes.verdict(trip=trip).severity == expected


def test_the_best_window_is_the_longest_trip_that_is_go_to_its_margin() -> None:
    given = scenes.forecast()
    given.quantities["wind_speed"][:, given.time >= np.datetime64("2026-06-13T18", "s")] = 9.0
    verdict = scenes.verdict(given)
    assert verdict.severity == Severity.NO_GO
    # The wind of 18:00 rises from 17:00 on, so a return at 17:00 is no longer within limits.
    assert verdict.windows[0].end == datetime(2026, 6, 13, 16, tzinfo=UTC)
    assert all(window.severity == Severity.GO for window in verdict.windows)


def test_a_lowered_limit_shows_how_it_came_about_and_what_can_be_changed() -> None:
    trip = scenes.plan(paddler=replace(scenes.READY, company="alone"))
    verdict = scenes.verdict(scenes.forecast({"wind_speed": 5.0}), trip)
    finding = next(
        one_finding for one_finding in verdict.findings if one_finding.quantity == "wind_speed"
    )
    assert "12.3 mph for this craft → alone → 9.7 mph; you can change: company" in finding.reason
    together = scenes.verdict(scenes.forecast({"wind_speed": 5.0}))
    finding = next(
        one_finding for one_finding in together.findings if one_finding.quantity == "wind_speed"
    )
    assert "→" not in finding.reason


# -- a forecast for another elevation --------------------------------------------------------------

LOWER = 6.5e-3 * 2000  # K; the standard atmosphere's lapse over 2 km of wrong elevation
MODELS = (*default_forecast(), *default_ensemble(), "nws")  # what a check in the US asks


@pytest.mark.parametrize(("true", "error"), [(272.15, LOWER), (310.15, -LOWER)])
@pytest.mark.parametrize("wrong", [MODELS[:-1], MODELS[-1:]])
def test_a_service_at_another_elevation_does_not_hide_cold_or_heat(
    true: float, error: float, wrong: tuple[str, ...]
) -> None:
    """The other service alone has enough weight for its temperature to decide."""

    def verdict(of: Sequence[str]) -> Severity:
        said = ({"air_temperature": true + error * (model in of)} for model in MODELS)
        return scenes.verdict(scenes.forecast(*said, models=MODELS)).severity

    assert verdict(MODELS) == Severity.GO
    assert verdict(()) > Severity.GO
    assert verdict(wrong) > Severity.GO

"""The rules of the verdict, as promises that hold for any weather."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from functools import cached_property
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.conditions.case import Case
from safety_check.model.craft import Paddler
from safety_check.model.place import OpenWater
from safety_check.model.plan import Plan
from safety_check.model.verdict import Severity
from safety_check.model.weather import Briefing, Forecast, SourceFailure
from safety_check.rules.findings import severity_of_plan
from safety_check.rules.limits import choose_limits
from safety_check.settings.limits import load_default_limits
from safety_check.settings.settings import Settings
from safety_check.settings.user_file import LimitTable
from safety_check.sources.registry import default_ensemble, default_forecast
from safety_check.use_cases.trust import load_trust
from tests import scenes
from tests.properties import never_better, note, takes
from tests.weathers import CAPE, WORSE, drawn_weather

RUNS = ("many", "many", "many", "one")  # of an ensemble, and a single run beside it
WIDENED = scenes.settings(dressing=True)


def severity(*members: dict[str, float], **more: object) -> Severity:
    return scenes.severity_of(scenes.forecast(*members), **more)  # type: ignore[arg-type]


@dataclass(frozen=True)
class Changing:
    """A weather drawn by a seed, in several runs that change by the hour."""

    seed: int

    @cached_property
    def weather(self) -> dict[str, float]:
        return drawn_weather(self.seed)

    def forecast(self, **other: float) -> Forecast:
        return scenes.by_the_hour(self.weather | other, RUNS, self.seed)

    def severity(
        self, trip: Plan | None = None, water: OpenWater = scenes.POND, **other: float
    ) -> Severity:
        return of_trip(scenes.briefing(self.forecast(**other)), trip, water)


CHANGING = st.builds(Changing, st.integers(0, 2**32 - 1))
BREEZES = st.floats(3, 9)  # about the limits of a kayak


def of_trip(
    briefing: Briefing,
    trip: Plan | None = None,
    water: OpenWater = scenes.POND,
    own: Settings = WIDENED,
) -> Severity:
    """Return the severity of a trip in winds that are widened."""
    case = Case(trip or scenes.plan(), briefing, water, own, load_trust())
    weighed = scenes.weighed(case)
    note("widened", len(weighed.members.models) > len(RUNS))
    return severity_of_plan(case, weighed)


def test_a_calm_warm_day_on_a_pond_in_company_is_a_go() -> None:
    assert scenes.severity_of() == Severity.GO


# -- unknown is never safe ---------------------------------------------------------------------


@pytest.mark.promise("missing data never permits", "required and wanted data")
@takes(widened=1, permitted_before=0.2)
@given(CHANGING, st.sampled_from(scenes.REQUIRED))
def test_losing_required_data_never_permits_a_launch(weather: Changing, quantity: str) -> None:
    whole = weather.forecast()
    note("permitted_before", of_trip(scenes.briefing(whole)) < Severity.UNKNOWN)
    lost = scenes.without(whole, quantity)
    assert of_trip(scenes.briefing(lost)) >= Severity.UNKNOWN


@pytest.mark.promise("required and wanted data")
@takes(widened=1, GO_before=0.1)
@given(CHANGING, st.sampled_from(scenes.WANTED))
def test_losing_a_wanted_datum_holds_the_verdict_at_marginal(
    weather: Changing, quantity: str
) -> None:
    whole = weather.forecast()
    note("GO_before", of_trip(scenes.briefing(whole)) == Severity.GO)
    lost = scenes.without(whole, quantity)
    assert of_trip(scenes.briefing(lost)) >= Severity.MARGINAL


@takes(widened=1, permitted_before=0.2)
@given(CHANGING, st.integers(0, len(RUNS) - 1))
def test_losing_one_run_never_permits_a_launch(weather: Changing, run: int) -> None:
    lost = whole = weather.forecast()
    note("permitted_before", of_trip(scenes.briefing(whole)) < Severity.UNKNOWN)
    for quantity in whole.quantities:
        lost = scenes.without(lost, quantity, slice(run, run + 1))
    assert of_trip(scenes.briefing(lost)) >= Severity.UNKNOWN


def test_no_forecast_at_all_is_unknown() -> None:
    trip = scenes.plan()
    empty = Briefing(at=scenes.NOW)
    verdict = scenes.judge(trip, empty, scenes.POND, scenes.settings())
    assert verdict.severity == Severity.UNKNOWN


def test_an_hour_beyond_the_forecast_is_unknown() -> None:
    late = scenes.plan(start=datetime(2026, 6, 14, 15, tzinfo=UTC), hours=10)
    assert scenes.severity_of(trip=late) == Severity.UNKNOWN


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
    assert scenes.severity_of(scenes.forecast(provenance=old)) == Severity.UNKNOWN


def test_a_forecast_of_an_unknown_service_has_no_known_age_limit_and_is_unknown() -> None:
    stray = replace(scenes.FROM_A_FILE, source="somewhere")
    assert scenes.severity_of(scenes.forecast(provenance=stray)) == Severity.UNKNOWN


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


@takes(widened=1, GO_before=0.1)
@given(CHANGING)
def test_a_source_that_covers_the_place_and_does_not_answer_holds_the_verdict_at_marginal(
    weather: Changing,
) -> None:
    silent = SourceFailure("official warnings", "no answer within 10 s", ("alerts",))
    told = scenes.briefing(weather.forecast())
    usual = of_trip(told)
    note("GO_before", usual == Severity.GO)
    assert of_trip(replace(told, silences=(silent,))) >= Severity.MARGINAL
    elsewhere = replace(silent, applies=False)
    assert of_trip(replace(told, silences=(elsewhere,))) == usual


# -- monotone ----------------------------------------------------------------------------------


@takes(widened=1, worse=0.1)
@given(
    CHANGING,
    st.sampled_from(sorted(WORSE)),
    st.floats(0.1, 20),
    st.sampled_from([scenes.POND, scenes.LARGE_LAKE]),
)
def test_worse_weather_never_makes_a_better_verdict(
    weather: Changing, quantity: str, by: float, water: OpenWater
) -> None:
    change = by * {"visibility_in_air": 1000, CAPE: 100}.get(quantity, 1) * WORSE[quantity]
    worse: dict[str, Any] = {quantity: max(weather.weather[quantity] + change, 0.0)}
    never_better(weather.severity(water=water), weather.severity(water=water, **worse))


NOT_TOO_COLD = {"none": 290.0, "wetsuit": 286.0, "drysuit": 282.0}  # K; colder is a NO-GO


@takes(widened=1, worse=0.1)
@given(
    CHANGING,
    st.sampled_from(sorted(NOT_TOO_COLD)),
    st.integers(-2, 8),
    st.sampled_from([0.0, 0.5, 3.0, 10.0]),
)
def test_colder_water_never_makes_a_better_verdict(
    weather: Changing, wearing: str, above: int, by: float
) -> None:
    paddler, warm = replace(scenes.READY, wearing=wearing), NOT_TOO_COLD[wearing] + above
    usual, colder = (
        scenes.plan(paddler=paddler, water_temperature=value)
        for value in (warm, max(warm - by, 271.2))
    )
    never_better(weather.severity(usual), weather.severity(colder))


@takes(widened=1, worse=0.1)
@given(CHANGING, st.integers(0, 60), st.integers(0, 60))
def test_an_older_forecast_never_makes_a_better_verdict(
    weather: Changing, age: int, older: int
) -> None:
    def aged(hours: int) -> Severity:
        origin = replace(scenes.FROM_A_FILE, issued=scenes.NOW - timedelta(hours=hours))
        return of_trip(scenes.briefing(replace(weather.forecast(), provenance=origin)))

    never_better(aged(age), aged(age + older))


@takes(widened=1, worse=0.1)
@given(
    CHANGING,
    st.floats(3, 6),  # waves make a difference, and the wind alone does not decide yet
    st.floats(100, 1_000),
    st.sampled_from([0.0, 500.0, 3_000.0, 20_000.0]),
    st.floats(10, 200),
    st.sampled_from([0.0, 100.0, 500.0, 3_000.0]),
)
def test_more_fetch_or_more_distance_from_shore_never_makes_a_better_verdict(
    weather: Changing, wind: float, fetch: float, longer: float, shore: float, farther: float
) -> None:
    near = scenes.open_water(fetch, from_shore=shore)
    far = scenes.open_water(fetch + longer, from_shore=shore + farther)
    before, after = (weather.severity(water=water, wind_speed=wind) for water in (near, far))
    never_better(before, after)


@takes(widened=1, worse=0.1)
@given(
    CHANGING,
    st.sampled_from([1.0, 2.5, 4.0, 5.0]),
    st.integers(11, 22),
    st.floats(0.5, 1.5),
    st.sampled_from([2.0, 5.0, 10.0]),
)
def test_a_longer_trip_never_makes_a_better_verdict(
    weather: Changing, wind: float, hour: int, hours: float, longer: float
) -> None:
    start = datetime(2026, 6, 13, hour, tzinfo=UTC)
    short, long = (scenes.plan(start=start, hours=value) for value in (hours, hours + longer))
    before, after = (weather.severity(trip, wind_speed=wind) for trip in (short, long))
    never_better(before, after)


@takes(widened=1, worse=0.1)
@given(CHANGING, st.sampled_from(["life_jacket", "company", "light"]))
def test_less_readiness_never_makes_a_better_verdict(weather: Changing, field: str) -> None:
    less: Any = {"life_jacket": "carried", "company": "alone", "light": False}[field]
    before_dusk = datetime(2026, 6, 13, 22, tzinfo=UTC)  # 17:00 at the water; sunset is at 21:20
    ready = scenes.plan(start=before_dusk, hours=4)
    lacks = replace(ready, paddler=replace(scenes.READY, **{field: less}))
    never_better(weather.severity(ready), weather.severity(lacks))
    unsaid = replace(ready, paddler=Paddler())
    assert weather.severity(unsaid) >= Severity.UNKNOWN


# -- observations only tighten -----------------------------------------------------------------


@pytest.mark.promise("what you see is never milder")
@takes(widened=1, worse=0.1)
@given(CHANGING, st.sampled_from(["wind_speed", "wind_speed_of_gust"]), st.floats(0, 25))
def test_an_observation_never_makes_a_better_verdict(
    weather: Changing, quantity: str, seen: float
) -> None:
    trip = scenes.plan(start=scenes.NOW + timedelta(minutes=5), hours=2)
    told = scenes.briefing(weather.forecast())
    with_sight = replace(told, observations=(scenes.observation(quantity, seen),))
    never_better(of_trip(told, trip), of_trip(with_sight, trip))


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
    assert scenes.severity_of(trip=trip, observations=[far]) == Severity.GO


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


@takes(widened=1, between_0_and_1=0.2, changed_by_the_hour=0.2)
@given(CHANGING, BREEZES)
def test_odds_sum_to_one_and_findings_explain_the_verdict(weather: Changing, wind: float) -> None:
    verdict = scenes.verdict(weather.forecast(wind_speed=wind), own=WIDENED)
    note("widened", "shifted and widened" in verdict.widening[0])
    note("between_0_and_1", any(0 < max(hour.odds.values()) < 1 for hour in verdict.hours))
    note("changed_by_the_hour", len({hour.severity for hour in verdict.hours}) > 1)
    for hour in verdict.hours:
        assert sum(hour.odds.values()) == pytest.approx(1)
    assert max(finding.severity for finding in verdict.findings) == verdict.severity
    assert list(verdict.findings) == sorted(verdict.findings, key=lambda finding: -finding.severity)


# -- limits ------------------------------------------------------------------------------------


@takes(widened=1, worse=0.1)
@given(CHANGING, st.floats(0.5, 6))
def test_a_tighter_personal_limit_never_makes_a_better_verdict(
    weather: Changing, bound: float
) -> None:
    craft, paddler = scenes.plan().craft, scenes.plan().paddler
    default = choose_limits(craft, paddler, load_default_limits(), ()).limits["wind_speed"].no_go
    assert craft.kind == "sit-on-top-kayak"
    assert default is not None
    table = LimitTable(
        craft=craft.kind, quantity="wind_speed", no_go=f"{min(bound, default - 0.1)} m/s"
    )
    told = scenes.briefing(weather.forecast())
    tighter = scenes.settings(table, dressing=True)
    never_better(of_trip(told), of_trip(told, own=tighter))


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
        assert scenes.severity_of(trip=trip) == Severity.NO_GO


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
        assert scenes.severity_of(trip=trip) == expected


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
        return scenes.severity_of(scenes.forecast(*said, models=MODELS))

    assert verdict(MODELS) == Severity.GO
    assert verdict(()) > Severity.GO
    assert verdict(wrong) > Severity.GO

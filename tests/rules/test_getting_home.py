"""Getting home, and what if not, as the verdict weighs and tells it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from safety_check.model.advice import Advice
from safety_check.model.place import OpenWater
from safety_check.model.verdict import Finding, Severity, Verdict
from safety_check.model.weather import Forecast
from safety_check.rules.advice import wear_for
from safety_check.settings.crafts import load_craft_classes
from safety_check.settings.limits import load_default_limits
from safety_check.settings.settings import Settings
from safety_check.settings.user_file import LimitTable
from tests import invented_lake as lake
from tests import scenes

WATER = lake.open_water(most=20)
ALL_OVER = [
    (400.0, 900.0), (900.0, -900.0), (2500.0, 1000.0), (3000.0, 0.0), (2600.0, -1200.0),
    (500.0, -300.0), (1000.0, 1500.0), (300.0, 1800.0),
]  # fmt: skip
WARM = 297.15  # K


def weather(*, at: dict[int, dict[str, float]] | None = None, **always: float) -> Forecast:
    """A forecast that differs from the calm in some hours (UTC, 13 June; past 23 the 14th)."""
    given = scenes.forecast(always)
    for hour, said in (at or {}).items():
        index = int(np.flatnonzero(given.time == np.datetime64("2026-06-13T00") + hour)[0])
        for name, value in said.items():
            given.quantities[name][:, index] = value
    return given


def as_forecast(*limits: LimitTable) -> Settings:
    """Settings that take the forecast wind at its word, so that a bound can be met exactly."""
    own = scenes.settings(*limits)
    odds = own.user.odds.model_copy(update={"dressing": False})
    return replace(own, user=own.user.model_copy(update={"odds": odds}))


def found(verdict: Verdict, hazard: str) -> Finding:
    return next(each for each in verdict.findings if each.hazard == hazard)


def told(verdict: Verdict) -> Advice:
    assert verdict.advice is not None
    return verdict.advice


def offshore(fetch: float = 3000.0, upwind: float = 30.0) -> OpenWater:
    """Open water to the east of the launch, hardly any to the west."""
    water = scenes.open_water(fetch)
    towards = np.where((water.bearings > 180) & (water.bearings < 360), upwind, fetch)
    return replace(water, fetch=towards[:, None])


# -- order -----------------------------------------------------------------------------------


@settings(max_examples=40)
@given(
    st.fixed_dictionaries(
        {"wind_speed": st.floats(0, 9), "wind_from_direction": st.floats(0, 359)}
    ),
    st.lists(st.sampled_from(ALL_OVER), min_size=1, max_size=4),
    st.floats(280, 300),
    st.data(),
)
def test_a_longer_route_never_makes_a_better_verdict(
    sky: dict[str, float], route: list[tuple[float, float]], water: float, data: st.DataObject
) -> None:
    kept = data.draw(st.integers(1, len(route)))
    short, long = (
        scenes.verdict(
            weather(**sky), lake.plan(*each, hours=3, water_temperature=water), WATER
        ).severity
        for each in (route[:kept], route)
    )
    assert long >= short


@settings(max_examples=40)
@given(st.floats(0, 9), st.floats(0.01, 6))
def test_more_headwind_never_gets_you_home_sooner(wind: float, more: float) -> None:
    trip = lake.plan((100.0, 1500.0))
    before, after = (
        told(
            scenes.verdict(weather(wind_speed=each, wind_from_direction=180.0), trip, WATER)
        ).getting_home
        for each in (wind, wind + more)
    )
    assert after.time >= before.time * (1 - 1e-5)  # speeds are bisected to a millionth
    if before.turn_back is None:
        assert after.turn_back is None
    elif after.turn_back is not None:
        assert (after.turn_back - before.turn_back).total_seconds() < 1.0


@settings(max_examples=40)
@given(st.floats(273, 303), st.floats(0, 20))
def test_colder_water_never_lengthens_a_safe_time(warm: float, colder: float) -> None:
    before, after = (
        told(scenes.verdict(trip=scenes.plan(water_temperature=each))).in_the_water
        for each in (warm, max(warm - colder, 271.2))
    )
    assert after.least <= before.least
    assert after.most <= before.most
    assert after.swim <= before.swim
    assert after.shock >= before.shock
    order = ("none", "wetsuit", "drysuit", "more")
    assert order.index(after.wear) >= order.index(before.wear)


@settings(max_examples=40)
@given(
    st.sampled_from(["air_pressure_at_mean_sea_level", "probability_of_thunder"]),
    st.lists(st.floats(0, 1), min_size=12, max_size=12),
    st.floats(0, 9),
    st.integers(0, 60),
)
def test_losing_pressure_or_the_chance_of_thunder_never_improves_a_verdict_to_go(
    name: str, shares: list[float], wind: float, hour: int
) -> None:
    scale, base = (2000.0, 100_000.0) if name.startswith("air") else (1.0, 0.0)
    values = {12 + at: {name: base + scale * share} for at, share in enumerate(shares)}
    given = weather(wind_speed=wind, probability_of_thunder=0.0, at=values)
    given = replace(given, provenance=scenes.FROM_THE_WEATHER_SERVICE)
    lost = given.quantities[name].copy()
    lost[:, hour:] = np.nan
    without = replace(given, quantities={**given.quantities, name: lost})
    before, after = scenes.verdict(given).severity, scenes.verdict(without).severity
    assert after >= min(before, Severity.MARGINAL)
    trip_ends = 24 + 20
    if hour <= trip_ends:
        assert after >= Severity.MARGINAL


@pytest.mark.parametrize(
    ("celsius", "wear"),
    [(21.1, "none"), (20.9, "wetsuit"), (12.9, "drysuit"), (4.9, "more"), (np.nan, "unknown")],
)
def test_what_to_wear_follows_the_limits_on_the_water(celsius: float, wear: str) -> None:
    assert wear_for(celsius + 273.15, load_default_limits()) == wear


# -- weather that turns ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("at", "hazard", "severity"),
    [
        ({17: {"wind_from_direction": 330.0}}, "wind_shift", Severity.GO),
        ({17: {"wind_from_direction": 330.0, "wind_speed": 5.2}}, "wind_shift", Severity.MARGINAL),
        ({17: {"wind_speed": 7.1}}, "wind_jumps", Severity.MARGINAL),
        ({17: {"wind_speed": 6.9}}, "wind_jumps", Severity.GO),
        ({17: {"probability_of_thunder": 0.14}}, "thunder_possible", Severity.GO),
        ({17: {"probability_of_thunder": 0.2}}, "thunder_possible", Severity.MARGINAL),
        ({17: {"probability_of_thunder": 0.6}}, "thunder_possible", Severity.NO_GO),
    ],
)
def test_weather_that_turns_within_the_trip_is_weighed(
    at: dict[int, dict[str, float]], hazard: str, severity: Severity
) -> None:
    sky = weather(at=at, probability_of_thunder=0.0)
    sky = replace(sky, provenance=scenes.FROM_THE_WEATHER_SERVICE)
    verdict = scenes.verdict(sky, own=as_forecast())
    assert found(verdict, hazard).severity == severity


def test_fast_falling_pressure_is_doubtful_and_slow_is_not() -> None:
    for a_hour, severity in ((100.0, Severity.GO), (130.0, Severity.MARGINAL)):
        fall = {
            hour: {"air_pressure_at_mean_sea_level": 101_500.0 - a_hour * hour}
            for hour in range(24)
        }
        sky = weather(at=fall)
        assert found(scenes.verdict(sky), "pressure_falls").severity == severity


@pytest.mark.parametrize("craft", sorted(load_craft_classes()))
def test_a_jump_forbids_nothing_that_the_wind_itself_does_not(craft: str) -> None:
    limits = load_default_limits()
    jump, wind = (limits[name, craft] for name in ("wind_rise", "wind_speed"))
    assert jump.no_go is None
    assert jump.marginal is not None
    assert wind.marginal is not None
    assert jump.marginal >= wind.marginal


# -- fishing -----------------------------------------------------------------------------------


def passes(craft: str, wind: float) -> dict[str, str]:
    verdict = scenes.verdict(weather(wind_speed=wind), scenes.plan(craft=craft), own=as_forecast())
    fishing = told(verdict).fishing
    return {each.heading: each.works[0] for each in fishing.passes}


def test_in_calm_every_pass_is_easy_and_in_a_blow_none_is_up_the_wind() -> None:
    assert set(passes("sit-on-top-kayak", 0.0).values()) == {"easy"}
    blow = passes("sit-on-top-kayak", 11.0)
    assert blow["up"] == "no"
    assert blow["down"] == "too fast"


def test_fins_do_not_troll() -> None:
    assert set(passes("float-tube", 0.0).values()) == {"no"}


@settings(max_examples=40)
@given(st.floats(0, 12), st.floats(0, 5))
def test_more_wind_never_makes_the_pass_up_the_wind_easier(wind: float, more: float) -> None:
    order = ("easy", "hard", "no")
    before, after = (passes("pedal-kayak", each)["up"] for each in (wind, wind + more))
    assert order.index(after) >= order.index(before)


# -- drift -------------------------------------------------------------------------------------


def test_the_drift_is_told_from_the_farthest_place_in_the_windiest_hour() -> None:
    sky = weather(wind_speed=3.0, at={17: {"wind_speed": 4.0}}, wind_from_direction=270.0)
    craft, swimmer = told(scenes.verdict(sky, lake.plan((900.0, 900.0)), WATER)).drifts
    assert craft.begins == datetime(2026, 6, 13, 16, tzinfo=UTC)
    assert craft.place == pytest.approx((900.0, 900.0), abs=1.0)
    assert craft.share == 1.0
    assert craft.shore[0] == pytest.approx(4000.0, abs=1.0)
    assert swimmer.share == 0.0


def test_without_a_shoreline_the_drift_has_no_shore() -> None:
    craft, _ = told(scenes.verdict()).drifts
    assert np.isnan(craft.share)
    assert craft.speed > 0


def test_without_a_wind_nothing_is_said_of_the_drift() -> None:
    lost = scenes.without(scenes.forecast(), "wind_speed")
    craft, _ = told(scenes.verdict(lost, lake.plan(), WATER)).drifts
    assert np.isnan(craft.speed)
    assert np.isnan(craft.share)

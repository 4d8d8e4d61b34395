"""Getting home, and what if not, as the verdict weighs and tells it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.model.advice import Advice
from safety_check.model.place import OpenWater
from safety_check.model.verdict import Finding, Severity, Verdict
from safety_check.model.weather import Forecast
from safety_check.physics.paddling import speed_made_good
from safety_check.rules.advice import wear_for
from safety_check.settings.crafts import load_craft_classes
from safety_check.settings.limits import load_default_limits
from safety_check.settings.propulsion import derive_drive
from safety_check.settings.settings import Settings
from safety_check.settings.user_file import LimitTable
from tests import invented_lake as lake
from tests import scenes
from tests.properties import cases

WATER = lake.open_water(most=20)
ALL_OVER = [
    (400.0, 900.0), (900.0, -900.0), (2500.0, 1000.0), (3000.0, 0.0), (2600.0, -1200.0),
    (500.0, -300.0), (1000.0, 1500.0), (300.0, 1800.0),
]  # fmt: skip
MPH = 0.44704
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
    return next(finding for finding in verdict.findings if finding.hazard == hazard)


def told(verdict: Verdict) -> Advice:
    assert verdict.advice is not None
    return verdict.advice


def offshore(fetch: float = 9000.0, upwind: float = 30.0, shore: float = 250.0) -> OpenWater:
    """Open water to the east of the launch, hardly any to the west."""
    water = scenes.open_water(fetch, from_shore=shore)
    towards = np.where((water.bearings > 180) & (water.bearings < 360), upwind, fetch)
    return replace(water, fetch=towards[:, None])


# -- order -----------------------------------------------------------------------------------


@cases(40)
@given(
    st.fixed_dictionaries(
        {"wind_speed": st.floats(0, 9), "wind_from_direction": st.floats(0, 359)}
    ),
    st.lists(st.sampled_from(ALL_OVER), min_size=1, max_size=4),
    st.floats(280, 300),
    st.data(),
)
def test_a_longer_route_never_makes_a_better_verdict(
    sky: dict[str, Any], route: list[tuple[float, float]], water: float, data: st.DataObject
) -> None:
    kept = data.draw(st.integers(1, len(route)))
    short, long = (
        scenes.severity_of(
            weather(**sky), lake.plan(*value, hours=3, water_temperature=water), WATER
        )
        for value in (route[:kept], route)
    )
    assert long >= short


@cases(40)
@given(st.floats(0, 9), st.floats(0.01, 6))
def test_more_headwind_never_gets_you_home_sooner(wind: float, more: float) -> None:
    trip = lake.plan((100.0, 1500.0))
    before, after = (
        told(
            scenes.verdict(weather(wind_speed=value, wind_from_direction=180.0), trip, WATER)
        ).getting_home
        for value in (wind, wind + more)
    )
    assert after.time >= before.time * (1 - 1e-5)  # speeds are bisected to a millionth
    if before.turn_back is None:
        assert after.turn_back is None
    elif after.turn_back is not None:
        assert (after.turn_back - before.turn_back).total_seconds() < 1.0


@cases(40)
@given(st.floats(273, 303), st.floats(0, 20))
def test_colder_water_never_lengthens_a_safe_time(warm: float, colder: float) -> None:
    before, after = (
        told(scenes.verdict(trip=scenes.plan(water_temperature=value))).in_the_water
        for value in (warm, max(warm - colder, 271.2))
    )
    assert after.least <= before.least
    assert after.most <= before.most
    assert after.swim <= before.swim
    assert after.shock >= before.shock
    order = ("none", "wetsuit", "drysuit", "more")
    assert order.index(after.wear) >= order.index(before.wear)


@cases(40)
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
    before, after = scenes.severity_of(given), scenes.severity_of(without)
    assert after >= min(before, Severity.MARGINAL)
    trip_ends = 24 + 20
    if hour <= trip_ends:
        assert after >= Severity.MARGINAL


# -- the wind that stops the craft -----------------------------------------------------------


def loosened(craft: str) -> Settings:
    tables = [
        LimitTable(craft=craft, quantity=name, marginal="28 m/s", no_go="30 m/s", loosen=True)
        for name in ("wind_speed", "wind_speed_of_gust", "offshore_wind_speed")
    ]
    return as_forecast(*tables)


# Hold-station winds of the paddling reference are 10.8 m/s for the fishing sit-on-top and 8.8 m/s
# for a board. The current that the wind drives stops them at 10.4 and 8.5 m/s; four fifths of
# that is where "may not get back" begins.
@pytest.mark.parametrize(
    ("craft", "wind", "severity"),
    [
        ("sit-on-top-kayak", 8.2, Severity.GO),
        ("sit-on-top-kayak", 8.4, Severity.MARGINAL),
        ("sit-on-top-kayak", 10.3, Severity.MARGINAL),
        ("sit-on-top-kayak", 10.5, Severity.NO_GO),
        ("stand-up-paddleboard", 7.2, Severity.MARGINAL),
        ("stand-up-paddleboard", 8.9, Severity.NO_GO),
    ],
)
def test_a_wind_that_stops_the_craft_forbids_whatever_wind_limits_say(
    craft: str, wind: float, severity: Severity
) -> None:
    verdict = scenes.verdict(
        weather(wind_speed=wind), scenes.plan(craft=craft), own=loosened(craft)
    )
    assert found(verdict, "held_in_place").severity == severity


def test_a_way_home_longer_than_the_trip_is_doubtful() -> None:
    short = lake.plan((1000.0, 1900.0), hours=0.4)
    verdict = scenes.verdict(trip=short, water=WATER)
    assert verdict.severity == Severity.MARGINAL
    assert found(verdict, "slow_way_home").severity == Severity.MARGINAL
    assert "%" in found(verdict, "slow_way_home").reason
    assert told(verdict).getting_home.turn_back is None


# -- turning back, and the next worse hour -----------------------------------------------------


def test_an_hour_from_which_home_is_not_reached_before_the_wind_is_doubtful() -> None:
    blow = {hour: {"wind_speed": 9.0, "wind_speed_of_gust": 12.0} for hour in range(19, 24)}
    far = scenes.plan(hours=2)  # 15:00 to 17:00 UTC, forbidden from 18:00 on
    near = scenes.verdict(weather(at=blow), far)
    assert near.severity == Severity.GO
    away = scenes.verdict(weather(at=blow), replace(far, reach=9000.0), scenes.open_water(9000.0))
    ahead = found(away, "worse_before_home")
    assert ahead.severity == Severity.MARGINAL
    assert "after conditions become" in ahead.reason


def test_be_off_the_water_before_the_wind_and_turn_back_in_time_for_it() -> None:
    noon = {hour: {"wind_speed": 9.0, "wind_speed_of_gust": 12.0} for hour in range(19, 24)}
    verdict = scenes.verdict(weather(at=noon))
    advice = told(verdict)
    assert advice.off_the_water_by == datetime(2026, 6, 13, 18, tzinfo=UTC)
    assert advice.worse == "NO-GO"
    assert {"wind_too_strong", "gusts_too_strong"} <= set(advice.because)
    home = advice.getting_home
    assert home.home_by_for == "worse"
    assert home.turn_back is not None
    assert 0 < (advice.off_the_water_by - home.turn_back).total_seconds() < 600


def test_on_a_calm_day_the_plan_itself_says_when_to_turn_back() -> None:
    home = told(scenes.verdict(water=scenes.LARGE_LAKE)).getting_home
    assert home.home_by_for == "end"
    assert home.turn_back is not None
    late = (home.home_by - home.turn_back).total_seconds()
    assert late == pytest.approx(home.time, rel=0.05)
    assert home.calm < home.time
    assert home.hard < home.time


def test_the_route_and_its_legs_are_told() -> None:
    home = told(
        scenes.verdict(trip=lake.plan((900.0, 800.0), (2600.0, 800.0)), water=WATER)
    ).getting_home
    assert home.route
    assert home.place == pytest.approx((2600.0, 800.0), abs=1.0)
    assert [round(leg.length) for leg in home.legs] == pytest.approx([1700, 1204], abs=6)
    assert all(leg.speed > 0.9 for leg in home.legs)


# -- daylight --------------------------------------------------------------------------------

# Sunset on this day and place is 02:25:46 UTC, civil dusk 03:02:57: our own solar elevation,
# which `tests/physics/test_daylight.py` holds to published almanacs.


def until(hour: int, minute: int, light: bool) -> Any:
    start = datetime(2026, 6, 13, 22, tzinfo=UTC)
    end = datetime(2026, 6, 14, hour, minute, tzinfo=UTC)
    trip = scenes.plan(start=start, paddler=replace(scenes.READY, light=light))
    return replace(trip, end=end, reach=1609.344)


@pytest.mark.parametrize(
    ("trip", "hazard", "severity"),
    [
        (until(1, 0, light=False), "dark_is_near", Severity.GO),
        (until(1, 40, light=False), "dark_is_near", Severity.MARGINAL),
        (until(2, 20, light=True), "dusk_before_home", Severity.GO),
        (until(2, 50, light=True), "dusk_before_home", Severity.MARGINAL),
    ],
)
def test_the_way_home_counts_against_the_light(trip: Any, hazard: str, severity: Severity) -> None:
    verdict = scenes.verdict(trip=trip, water=scenes.LARGE_LAKE)
    assert found(verdict, hazard).severity == severity


def test_short_before_sunset_is_when_to_be_home_without_a_light() -> None:
    home = told(scenes.verdict(trip=until(2, 20, light=False))).getting_home
    assert home.home_by_for in ("dark", "worse")
    assert home.home_by <= datetime(2026, 6, 14, 1, 56, tzinfo=UTC)


# -- offshore wind, and the swim -----------------------------------------------------------------


@pytest.mark.promise("offshore, far and cold count once")
@pytest.mark.parametrize(
    ("craft", "wind", "severity"),
    [
        ("float-tube", 0.2, Severity.GO),
        ("float-tube", 1.0, Severity.MARGINAL),
        ("float-tube", 2.0, Severity.NO_GO),
        ("stand-up-paddleboard", 2.0, Severity.MARGINAL),
        ("sit-on-top-kayak", 3.0, Severity.GO),
        ("sit-on-top-kayak", 3.5, Severity.MARGINAL),
        ("sit-on-top-kayak", 5.6, Severity.NO_GO),
    ],
)
def test_an_offshore_wind_is_a_hazard_of_its_own(
    craft: str, wind: float, severity: Severity
) -> None:
    sky = weather(wind_speed=wind, wind_from_direction=270.0)
    verdict = scenes.verdict(sky, scenes.plan(craft=craft), offshore(), as_forecast())
    assert found(verdict, "offshore_wind").severity == severity


def test_an_offshore_wind_on_a_pond_is_no_danger() -> None:
    sky = weather(wind_speed=2.0, wind_from_direction=270.0)
    verdict = scenes.verdict(sky, scenes.plan(craft="float-tube"), offshore(900.0), as_forecast())
    assert verdict.severity == Severity.GO


def test_a_near_shore_is_no_swim_in_any_offshore_wind() -> None:
    skiff = scenes.plan(
        craft="small-motor-skiff",
        water_temperature=285.15,
        paddler=replace(scenes.READY, wearing="drysuit"),
    )
    water = offshore(12_000.0, upwind=0.0, shore=5.0)
    for wind in (3.3, 3.5):
        sky = weather(wind_speed=wind, wind_from_direction=270.0)
        verdict = scenes.verdict(sky, skiff, water, as_forecast())
        assert verdict.severity == Severity.GO


def test_the_same_wind_onto_the_launch_is_none() -> None:
    sky = weather(wind_speed=2.0, wind_from_direction=90.0)
    verdict = scenes.verdict(sky, scenes.plan(craft="float-tube"), offshore())
    assert found(verdict, "offshore_wind").severity == Severity.GO


@pytest.mark.parametrize(
    ("celsius", "shore", "wearing", "company", "severity"),
    [
        (24.0, 1609.0, "none", "alone", Severity.GO),
        (18.0, 500.0, "none", "alone", Severity.GO),
        (18.0, 1500.0, "none", "alone", Severity.MARGINAL),
        (18.0, 1500.0, "none", "group", Severity.GO),
        (18.0, 4500.0, "none", "alone", Severity.NO_GO),
        (24.0, 4828.0, "none", "alone", Severity.MARGINAL),
        (14.0, 1609.0, "wetsuit", "alone", Severity.MARGINAL),
        (8.0, 800.0, "drysuit", "alone", Severity.GO),
        (8.0, 1609.0, "drysuit", "alone", Severity.MARGINAL),
        (5.3, 4828.0, "drysuit", "alone", Severity.NO_GO),
    ],
)
def test_the_shore_must_be_within_a_swim_of_this_water(
    celsius: float, shore: float, wearing: str, company: str, severity: Severity
) -> None:
    trip = scenes.plan(
        water_temperature=celsius + 273.15,
        paddler=replace(
            scenes.READY, wearing=wearing, company=company, self_rescue=True, means_to_call=True
        ),
    )
    verdict = scenes.verdict(trip=trip, water=scenes.open_water(9000.0, from_shore=shore))
    assert found(verdict, "too_far_to_swim").severity == severity


def test_a_calm_warm_day_a_mile_out_stays_a_go() -> None:
    out = scenes.open_water(3000.0, from_shore=1609.344)
    assert scenes.severity_of(trip=scenes.plan(water_temperature=WARM), water=out) == 0


def test_an_unknown_water_temperature_leaves_the_swim_unknown() -> None:
    verdict = scenes.verdict(trip=scenes.plan(water_temperature=None))
    assert found(verdict, "too_far_to_swim").severity == Severity.UNKNOWN
    assert told(verdict).in_the_water.wear == "unknown"


# The thresholds of the cold-water reference: 21, 13 and 5 °C are where each turns doubtful.
@pytest.mark.promise("dress for the water")
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
    return {one_pass.heading: one_pass.works[0] for one_pass in fishing.passes}


def test_in_calm_every_pass_is_easy_and_in_a_blow_none_is_up_the_wind() -> None:
    assert set(passes("sit-on-top-kayak", 0.0).values()) == {"easy"}
    blow = passes("sit-on-top-kayak", 11.0)
    assert blow["up"] == "no"
    assert blow["down"] == "too fast"


def test_fins_do_not_troll_at_the_faster_speed() -> None:
    assert set(passes("float-tube", 0.0).values()) == {"no"}


def test_trolling_is_judged_at_the_users_own_speeds() -> None:
    told_by_default = told(scenes.verdict(weather(wind_speed=4.0), own=as_forecast())).fishing
    assert told_by_default.slow == pytest.approx(1.0 * MPH)
    assert told_by_default.fast == pytest.approx(2.0 * MPH)
    trip = scenes.plan()
    slower = replace(trip, craft=replace(trip.craft, troll=(0.5 * MPH, 1.0 * MPH)))
    own = told(scenes.verdict(weather(wind_speed=4.0), slower, own=as_forecast())).fishing
    assert (own.slow, own.fast) == (0.5 * MPH, 1.0 * MPH)
    for mine, default in zip(own.passes, told_by_default.passes, strict=True):
        assert (mine.effort < default.effort).all()


@pytest.mark.promise("trolling is information")
def test_the_speed_of_trolling_changes_no_hour_and_no_reason() -> None:
    trip = scenes.plan()
    faster = replace(trip, craft=replace(trip.craft, troll=(3.0 * MPH, 6.0 * MPH)))
    for wind in (4.0, 9.0):
        usual = scenes.verdict(weather(wind_speed=wind), trip, own=as_forecast())
        other = scenes.verdict(weather(wind_speed=wind), faster, own=as_forecast())
        assert [one.severity for one in other.hours] == [one.severity for one in usual.hours]
        assert [one.reason for one in other.findings] == [one.reason for one in usual.findings]
        assert told(other).fishing != told(usual).fishing


@cases(40)
@given(st.floats(0, 12), st.floats(0, 5))
def test_more_wind_never_makes_the_pass_up_the_wind_easier(wind: float, more: float) -> None:
    order = ("easy", "hard", "no")
    before, after = (passes("pedal-kayak", value)["up"] for value in (wind, wind + more))
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


def test_nobody_is_told_of_a_swim_longer_than_half_of_what_was_measured() -> None:
    warm = told(scenes.verdict(trip=scenes.plan(water_temperature=WARM))).in_the_water
    cold = told(scenes.verdict(trip=scenes.plan(water_temperature=278.15))).in_the_water
    assert warm.swim == 400.0
    assert cold.swim == pytest.approx(180.0)


@pytest.mark.one_in(3)
@pytest.mark.parametrize("kind", sorted(load_craft_classes()))
def test_the_wind_of_no_headway_is_where_the_speed_made_good_is_zero(kind: str) -> None:
    trip = replace(lake.plan((100.0, 1500.0), hours=3), craft=scenes.settings().craft(kind))
    home = told(scenes.verdict(weather(wind_speed=2.0), trip, WATER)).getting_home
    drive, wind, ahead = derive_drive(trip.craft), np.array([home.stands_still]), np.zeros(1)
    assert speed_made_good(wind, ahead, ahead, drive) == pytest.approx(0.0, abs=1e-3)
    assert speed_made_good(0.95 * wind, ahead, ahead, drive) > 0.01

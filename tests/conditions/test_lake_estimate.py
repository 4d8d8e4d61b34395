"""The range of a water's temperature: never a guess, and colder wherever less is known."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.conditions.lake_estimate import LakeSite, estimate_water, fill_gaps
from safety_check.conditions.lake_model import load_lake_model
from safety_check.model.water_estimate import EXCLUSIONS, DailyAir, EstimateBasis
from tests.properties import cases

MODEL = load_lake_model()
DAY = date(2026, 7, 10)
DAYS = 800
FIRST = DAY - timedelta(days=DAYS - 5)
POND = LakeSite(45.0, EstimateBasis(depth="pond", excluded=()), 200.0, 2e6, 3e3)


def air_of(warmer: float = 0.0) -> DailyAir:
    """Return invented air: a year's wave, warmest in late July."""
    day = np.datetime64(FIRST) + np.arange(DAYS)
    number = (day - day.astype("datetime64[Y]")).astype(int)
    mean = 273.15 + 9.0 + warmer - 13.0 * np.cos(2 * np.pi * (number - 25) / 365)
    return DailyAir(day, mean, np.zeros(DAYS))


AIR = air_of()


def estimate(site=POND, air=AIR, days=(DAY, DAY), logged=()):
    return estimate_water(air, site, days, logged, MODEL)


def with_basis(**changed):
    return replace(POND, basis=replace(POND.basis, **changed))


def test_a_pond_in_july_has_a_range_that_holds_the_air():
    found = estimate()
    assert found.why_not == ""
    assert 273.15 + 10 < found.cold < found.warm < 273.15 + 32


@pytest.mark.promise("an estimate is a range")
@pytest.mark.parametrize(
    ("site", "why"),
    [
        *((with_basis(excluded=(name,)), why) for name, why in EXCLUSIONS.items()),
        (with_basis(excluded=None), "is not declared"),
        (replace(POND, elevation=3000.0), "3000 m"),
        (replace(POND, elevation=None), "elevation is not declared"),
        (with_basis(depth="deep"), "deep"),
        (with_basis(depth=""), "depth is not declared"),
        (with_basis(depth="", mean_depth=40.0), "mean depth"),
        (with_basis(depth="", mean_depth=math.nan), "mean depth"),
        (replace(POND, latitude=-40.0), "north"),
        (replace(POND, latitude=20.0), "north"),
        (replace(POND, latitude=math.nan), "north"),
        (replace(POND, area=900e6), "so large a lake"),
        (replace(POND, area=math.nan), "size is not known"),
    ],
)
def test_outside_its_range_nothing_is_estimated(site, why):
    found = estimate(site)
    assert math.isnan(found.cold)
    assert math.isnan(found.warm)
    assert why in found.why_not


def test_without_a_year_of_air_nothing_is_estimated():
    start = DAYS - 5 - 365
    for cut in (slice(start + 1, None), slice(0, DAYS - 5)):
        short = DailyAir(AIR.day[cut], AIR.temperature[cut], AIR.ahead[cut])
        assert "not known in full" in estimate(air=short).why_not
    gap = AIR.temperature.copy()
    gap[500:520] = np.nan
    assert "not known in full" in estimate(air=replace(AIR, temperature=gap)).why_not


def test_a_short_gap_counts_as_the_colder_of_its_sides():
    gap = AIR.temperature.copy()
    gap[700:705] = np.nan
    found, whole = estimate(air=replace(AIR, temperature=gap)), estimate()
    assert found.cold <= whole.cold
    assert found.cold == pytest.approx(whole.cold, abs=0.5)


def test_air_that_is_a_forecast_widens_the_range():
    ahead = np.zeros(DAYS)
    ahead[-8:] = np.arange(1, 9)
    found, whole = estimate(air=replace(AIR, ahead=ahead)), estimate()
    assert found.cold < whole.cold
    assert found.warm > whole.warm


def test_a_depth_that_is_not_known_is_the_coldest_of_all():
    unknown = estimate(with_basis(depth="not deep"))
    for depth in MODEL.range.not_deep:
        known = estimate(with_basis(depth="", mean_depth=depth))
        assert unknown.cold <= known.cold + 1e-9
        assert unknown.warm >= known.warm - 1e-9


def test_a_long_lake_may_have_cold_water_brought_up():
    assert estimate(replace(POND, length=30e3)).cold == pytest.approx(
        estimate().cold - MODEL.allowance.upwelling
    )


def test_each_day_of_a_past_year_is_estimated_from_the_air_before_it():
    # what a climatology needs: the ranges of a whole year that is over, and no later air in them
    first = FIRST + timedelta(days=366)
    year = estimate(days=(first, first + timedelta(days=364)))
    assert [one.day for one in year.days] == [first + timedelta(days=n) for n in range(365)]
    for number in (0, 100, 364):
        known = 366 + number + 1
        until = DailyAir(AIR.day[:known], AIR.temperature[:known], AIR.ahead[:known])
        day = first + timedelta(days=number)
        alone = estimate(air=until, days=(day, day))
        assert alone.days == (year.days[number],)
    assert year.cold == min(one.cold for one in year.days)
    assert max(year.days, key=lambda one: one.cold).day.month in (7, 8)


def test_days_beyond_the_known_air_are_left_out():
    last = DAY + timedelta(days=4)
    found = estimate(days=(DAY, last + timedelta(days=9)))
    assert [one.day for one in found.days] == [DAY + timedelta(days=n) for n in range(5)]
    assert math.isnan(found.on([last + timedelta(days=1)])[0])


def test_a_length_that_is_not_known_counts_as_long():
    assert estimate(replace(POND, length=math.nan)) == estimate(replace(POND, length=30e3))


def test_of_several_days_the_coldest_and_the_warmest_count():
    days = [DAY + timedelta(days=number) for number in range(4)]
    single = [estimate(days=(day, day)) for day in days]
    several = estimate(days=(days[0], days[-1]))
    assert [several.on([day]) for day in days] == [
        pytest.approx((one.cold, one.warm)) for one in single
    ]
    assert several.cold == pytest.approx(min(one.cold for one in single))
    assert several.warm == pytest.approx(max(one.warm for one in single))


@cases(20)
@given(
    colder=st.floats(0.0, 8.0),
    depth=st.sampled_from(["pond", "reservoir", "not deep"]),
    seed=st.integers(0, 999),
)
def test_a_colder_year_never_has_a_warmer_range(colder, depth, seed):
    site, noise = with_basis(depth=depth), np.random.default_rng(seed).normal(0, 3, DAYS)
    air = replace(AIR, temperature=AIR.temperature + noise)
    cold_air = replace(air, temperature=air.temperature - colder * (np.arange(DAYS) % 3 > 0))
    found, other = estimate(site, air), estimate(site, cold_air)
    # a thousandth of a degree: the melting of ice is followed in whole days
    assert other.cold <= found.cold + 1e-3
    assert other.warm <= found.warm + 1e-3


@cases(25)
@given(values=st.lists(st.floats(274.0, 305.0), min_size=1, max_size=12), lower=st.floats(0, 6))
def test_logged_temperatures_shift_the_cold_end_and_colder_ones_never_raise_it(values, lower):
    logged = [(DAY - timedelta(days=5 * number), value) for number, value in enumerate(values)]
    found = estimate(logged=logged)
    colder = estimate(logged=[(day, value - lower) for day, value in logged])
    assert found.logged == len(values)
    assert colder.cold <= found.cold + 1e-9


def test_the_cold_end_is_never_warmer_than_the_lower_quartile_of_what_was_logged():
    middle = (estimate().cold + estimate().warm) / 2
    for values in ([middle + 9] * 30, [middle] * 30, [middle - 6] * 2, [middle - 3, middle + 5]):
        logged = [(DAY, value) for value in values]
        assert estimate(logged=logged).cold <= np.quantile(values, 0.25)


def test_warm_readings_narrow_the_range_and_one_cold_reading_lowers_it_at_once():
    plain = estimate()
    middle = (plain.cold + plain.warm) / 2
    one, many = (estimate(logged=[(DAY, middle)] * count) for count in (1, 20))
    assert plain.cold < one.cold < many.cold < middle
    assert estimate(logged=[(DAY, plain.cold - 1)]).cold < plain.cold


def test_a_gap_of_as_many_days_as_may_be_is_filled_by_its_colder_side_and_a_longer_one_is_not():
    air = np.array([np.nan, 5.0, np.nan, np.nan, 3.0, np.nan, np.nan, np.nan, 8.0, np.nan])
    filled, known = fill_gaps(air, 2)
    nan = np.nan
    np.testing.assert_array_equal(filled, [nan, 5, 3, 3, 3, nan, nan, nan, 8, nan])
    assert known.tolist() == np.isfinite(filled).tolist()

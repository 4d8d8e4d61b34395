"""Surface water temperature from air: what it must never do, and what lakes are known to do."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.conditions.lake_model import load_lake_model
from safety_check.physics.lake_temperature import (
    DEEPEST_RUN,
    daily_insolation,
    surface_temperature,
)
from tests.properties import cases

BY = load_lake_model().coefficients
DAYS = np.arange(1, 731)
SUN = daily_insolation(54.0, (DAYS - 1) % 365 + 1)
SEASON = 8.0 - 11.0 * np.cos(2 * np.pi * (DAYS - 20) / 365)


def run(air: np.ndarray, depth: float) -> np.ndarray:
    """Return the surface of one lake."""
    return surface_temperature(air[:, None], SUN[:, None], np.array([depth]), BY)[:, 0]


def test_insolation_is_that_of_the_published_example():
    # FAO paper 56, example 8: 20 degrees south, 3 September, 32.2 MJ a square metre and day;
    # printed to three digits
    found = daily_insolation(-20.0, np.array([246]))[0] * 86400 / 1e6
    assert found == pytest.approx(32.2, abs=0.05)


def test_a_lake_is_near_four_degrees_when_its_ice_has_gone():
    # fresh water is densest at 4 degrees, so a lake that was frozen passes it well mixed: in the
    # two weeks after the ice it is within as much of it as the ice was
    for depth in (6.0, 12.0, 25.0):
        water = run(SEASON - 4.0, depth)[365:]
        assert (water == 0).any()
        out = np.flatnonzero(water[:200] == 0)[-1] + 1
        assert np.abs(water[out : out + 14] - 4).max() <= 4


def test_a_deep_lake_at_the_start_of_june_is_far_colder_than_the_air():
    # the surface of the deepest great lake is near 4 degrees then (buoys 45004, 2015 and 2018),
    # while ponds have passed the air
    june = slice(365 + 151, 365 + 158)
    deep, pond = run(SEASON, 147.0)[june].mean(), run(SEASON, 1.3)[june].mean()
    assert deep < SEASON[june].mean() - 5
    assert pond > SEASON[june].mean()


def test_a_deeper_lake_is_warmest_later():
    warmest = [int(np.argmax(run(SEASON, depth)[365:])) for depth in (1.3, 6.0, 25.0)]
    assert warmest[0] < warmest[1] < warmest[2]


@cases(25)
@given(
    depth=st.floats(0.5, DEEPEST_RUN),
    seed=st.integers(0, 10_000),
    first=st.integers(0, 600),
    length=st.integers(1, 200),
    colder=st.floats(0.1, 12.0),
)
def test_colder_air_never_gives_warmer_water(depth, seed, first, length, colder):
    noise = np.random.default_rng(seed).normal(0, 3, len(DAYS))
    air = SEASON + np.convolve(noise, np.ones(5) / 5, mode="same")
    cold = air.copy()
    cold[first : first + length] -= colder
    # a thousandth of a degree: the melting of ice is followed in whole days
    assert (run(cold, depth) <= run(air, depth) + 1e-3).all()


def test_what_is_not_known_stays_unknown():
    air = SEASON.copy()
    air[400] = np.nan
    water = run(air, 5.0)
    assert np.isfinite(water[:400]).all()
    assert np.isnan(water[400:]).all()
    assert np.isnan(run(SEASON, 0.0)).all()
    assert np.isnan(run(SEASON, np.nan)).all()

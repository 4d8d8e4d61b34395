"""Logged temperatures: the older, the less they permit, and never more than they say."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.conditions.lake_band import Band
from safety_check.conditions.lake_learning import learn_band
from safety_check.settings.lake_file import load_lake_file
from tests.properties import cases

LEARNING = load_lake_file().learning
DAYS = 400
BAND = Band(np.full(DAYS, 14.0), np.full(DAYS, 18.0), np.full(DAYS, 22.0))
TODAY = DAYS - 1

readings = st.lists(st.tuples(st.integers(0, 360), st.floats(5.0, 30.0)), min_size=1, max_size=12)


def learnt(said):
    """Return the ends of the last day after readings, each with its age in days."""
    band = learn_band(BAND, [(TODAY - age, value) for age, value in said], LEARNING)
    return band.cold[TODAY], band.warm[TODAY]


@cases(60)
@given(said=readings, older=st.integers(0, 39))
def test_an_older_reading_never_narrows_the_range_more(said, older):
    cold, warm = learnt(said)
    old_cold, old_warm = learnt([(age + older, value) for age, value in said])
    assert old_cold <= cold + 1e-9
    assert old_warm >= warm - 1e-9


@cases(60)
@given(said=readings, colder=st.floats(0.0, 8.0))
def test_a_colder_reading_never_gives_a_warmer_range(said, colder):
    cold, warm = learnt(said)
    lower_cold, lower_warm = learnt([(age, value - colder) for age, value in said])
    assert lower_cold <= cold + 1e-9
    assert lower_warm <= warm + 1e-9


@cases(60)
@given(said=readings)
def test_the_cold_end_stays_below_the_lower_quartile_and_below_the_warm_end(said):
    cold, warm = learnt(said)
    assert cold <= np.quantile([value for _, value in said], 0.25)
    assert cold <= warm


def test_a_reading_narrows_the_range_and_does_so_less_with_age():
    ages = (0, 1, 7, 14, 30, 200)
    ends = [learnt([(age, 20.0)] * 5)[0] for age in ages]
    assert BAND.cold[TODAY] < ends[-1]
    assert ends == sorted(ends, reverse=True)
    assert ends[0] - ends[-1] > 0.5


def test_an_old_reading_that_agrees_does_not_lower_the_range():
    # in the middle of the band, however old: nothing speaks for colder water than estimated
    assert learnt([(360, 18.0)]) == (BAND.cold[TODAY], BAND.warm[TODAY])


def test_the_allowance_for_age_is_that_of_the_worst_lake():
    # measured on seven lakes, each by numbers of the others: age in days, the fall in K that one
    # day in twenty passed on the worst of them; benchmarks/water_temperature.py prints it
    for age, fall in ((1, 1.4), (7, 2.9), (14, 3.1), (30, 3.4), (60, 3.8)):
        allowed = LEARNING.left + LEARNING.grows * -np.expm1(-age / LEARNING.grows_over)
        assert allowed >= fall - 0.05  # printed to a tenth
        assert allowed == pytest.approx(fall, abs=0.8)


def test_without_a_reading_the_range_is_as_it_was():
    assert learn_band(BAND, [], LEARNING) is BAND

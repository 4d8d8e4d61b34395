"""Cold water against the published tables, and that colder is never longer."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from safety_check.physics.immersion import (
    cold_shock,
    exhaustion_time,
    expected_survival_time,
    fahrenheit_sum,
    stage,
    survival_time,
    survival_time_hayward1975,
    swim_distance,
)
from safety_check.units import ZERO_CELSIUS


def from_celsius(celsius):
    return np.asarray(celsius, dtype=float) + ZERO_CELSIUS


def from_fahrenheit(fahrenheit):
    return (np.asarray(fahrenheit, dtype=float) - 32) / 1.8 + ZERO_CELSIUS


# Hayward 1975 in minutes; not published: computed beforehand from the published formula.
@pytest.mark.parametrize(
    ("celsius", "minutes"), [(0, 106.7), (5, 132.1), (10, 176.8), (15, 276.8), (20, 700.7)]
)
def test_hayward_matches_an_independent_computation(celsius, minutes):
    time = survival_time_hayward1975(from_celsius(celsius))

    assert time / 60 == pytest.approx(minutes, abs=0.05)  # printed to a tenth


def test_hayward_agrees_with_the_usual_statement():
    # Safety texts (second-hand): lightly clothed, life jacket, 10 °C: 2.5 to 3 hours.
    assert 2.5 <= survival_time_hayward1975(from_celsius(10)) / 3600 <= 3.0


@pytest.mark.parametrize("celsius", [-1.0, -0.1, 20.1, 23.0879, 25.0])
def test_hayward_is_refused_outside_its_trials(celsius):
    assert np.isnan(survival_time_hayward1975(from_celsius(celsius)))
    assert np.isnan(survival_time(from_celsius(celsius)))


# Tipton (public answer 2018, after Golden & Tipton): half survive 1, 2, 6 h at 5, 10, 15 °C;
# at 15 °C Hayward's 276.8 min is the smaller.
@pytest.mark.parametrize(("celsius", "minutes"), [(5, 60), (10, 120), (15, 276.8)])
def test_the_smaller_of_two_published_times_holds(celsius, minutes):
    assert survival_time(from_celsius(celsius)) / 60 == pytest.approx(minutes, abs=0.05)


def test_half_survival_is_half_of_hayward_at_5_and_two_thirds_at_10():
    still = survival_time_hayward1975(from_celsius([5, 10]))

    # The reading of both sources side by side, in round fractions.
    assert survival_time(from_celsius([5, 10])) / still == pytest.approx([1 / 2, 2 / 3], abs=0.05)


# US Search and Rescue Task Force table (three copies agree): a water inside each row [°F],
# exhaustion or unconsciousness and expected survival, in minutes.
TABLE = [
    (32.0, (0, 15), (15, 45)),
    (36.0, (15, 30), (30, 90)),
    (45.0, (30, 60), (60, 180)),
    (55.0, (60, 120), (60, 360)),
    (65.0, (120, 420), (120, 2400)),
    (75.0, (180, 720), (180, np.inf)),
    (85.0, (np.inf, np.inf), (np.inf, np.inf)),
]


@pytest.mark.parametrize(("water", "exhaustion", "survival"), TABLE)
def test_the_search_and_rescue_table_is_met(water, exhaustion, survival):
    temperature = from_fahrenheit(water)

    assert [time.item() / 60 for time in exhaustion_time(temperature)] == list(exhaustion)
    assert [time.item() / 60 for time in expected_survival_time(temperature)] == list(survival)


# The printed edges; an edge belongs to the colder row.
@pytest.mark.parametrize(
    ("edge", "row"), list(zip((32.5, 40, 50, 60, 70, 80), TABLE[:-1], strict=True))
)
def test_an_edge_of_the_table_belongs_to_the_colder_row(edge, row):
    _, exhaustion, _ = row
    below, above = from_fahrenheit([edge - 1e-6, edge + 1e-6])

    assert exhaustion_time(below)[0] == exhaustion[0] * 60
    assert exhaustion_time(above)[0] > exhaustion[0] * 60


# Brooks 2003 (TP 13822): shock kills within 3 to 5 min, swimming failure within 30, then cooling.
@pytest.mark.parametrize(
    ("minutes", "name"),
    [
        (0, "cold shock"),
        (5, "cold shock"),
        (6, "swimming failure"),
        (30, "swimming failure"),
        (31, "hypothermia"),
        (600, "hypothermia"),
        (np.nan, "hypothermia"),
    ],
)
def test_the_stages_follow_each_other_as_published(minutes, name):
    assert stage(minutes * 60.0).name == name


def test_shock_begins_at_25_and_is_full_from_15_down():
    # Onset below about 25 °C (from memory); peak 10 to 15 °C (Tipton, second-hand).
    found = cold_shock(from_celsius([30, 25, 20, 15, 10, 0]))

    assert found == pytest.approx([0, 0, 0.5, 1, 1, 1], abs=1e-9)  # kelvin and back


# Lounsbury 2005, novices at 10 °C: 806.5 ± 189.1 m; Ducharme & Lounsbury 2007: 800 to 1500 m.
def test_the_planned_swim_lies_under_what_novices_swam():
    planned = swim_distance(from_celsius(10), np.array(False))

    assert planned <= 806.5 / 2
    assert planned < 806.5 - 2 * 189.1
    assert planned < 800


def test_a_colder_swim_is_ten_minutes_long():
    # One-ten-one (Giesbrecht): ten minutes of useful movement; 806.5 m in 47 min are 0.29 m/s.
    assert swim_distance(from_celsius(9.9), np.array(False)) == pytest.approx(
        600 * 806.5 / (47 * 60), rel=0.06
    )


def test_nobody_plans_to_swim_against_wind_and_chop():
    assert swim_distance(from_celsius([5, 15, 25]), np.array(True)).tolist() == [0, 0, 0]


# National Center for Cold Water Safety: 75 + 53 = 128 and 80 + 45 = 125 °F read as "no suit".
@pytest.mark.parametrize(("air", "water", "total"), [(75, 53, 128), (80, 45, 125)])
def test_the_rule_of_120_calls_water_safe_in_which_strength_lasts_minutes(air, water, total):
    temperature = from_fahrenheit(water)

    assert fahrenheit_sum(from_fahrenheit(air), temperature) == pytest.approx(total)
    # So the sum must never relax what the water says by itself: shock is full, and the water
    # lies under 15.6 °C (60 °F), where paddling bodies ask for immersion clothing.
    assert cold_shock(temperature) == 1.0
    assert temperature < from_fahrenheit(60)


times = [
    survival_time_hayward1975,
    survival_time,
    lambda water: exhaustion_time(water)[0],
    lambda water: exhaustion_time(water)[1],
    lambda water: expected_survival_time(water)[0],
    lambda water: expected_survival_time(water)[1],
    lambda water: swim_distance(water, np.array(False)),
    lambda water: -cold_shock(water),
]


@settings(max_examples=60, deadline=None)
@given(water=st.floats(0, 20), colder=st.floats(0, 20))
def test_colder_water_never_lengthens_a_time_or_a_swim(water, colder):
    pair = from_celsius([max(water - colder, 0.0), water])
    for time in times:
        cold, warm = time(pair)
        assert cold <= warm + 1e-6  # rounding of some hours in seconds


@pytest.mark.parametrize("kelvin", [np.nan, from_fahrenheit(451), from_celsius(-20), 0.0, -5.0])
def test_unknown_or_absurd_water_stays_unknown(kelvin):
    water = np.array([float(kelvin)])
    for time in times:
        assert np.isnan(time(water)).all()
    assert np.isnan(swim_distance(water, np.array([True]))).all()
    assert np.isnan(fahrenheit_sum(np.array([290.0]), water)).all()


def test_unknown_air_leaves_the_sum_unknown():
    assert np.isnan(fahrenheit_sum(np.array(np.nan), from_celsius(10)))

"""Cold water against the published tables, and that colder is never longer."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.physics.immersion import (
    cold_shock,
    exhaustion_time,
)
from safety_check.units import ZERO_CELSIUS
from tests.properties import cases


def from_celsius(celsius):
    return np.asarray(celsius, dtype=float) + ZERO_CELSIUS


def from_fahrenheit(fahrenheit):
    return (np.asarray(fahrenheit, dtype=float) - 32) / 1.8 + ZERO_CELSIUS


# US Search and Rescue Task Force table (three copies agree): a water inside each row [°F],
# and least and most time to exhaustion or unconsciousness, in minutes.
TABLE = [
    (32.0, (0, 15)),
    (36.0, (15, 30)),
    (45.0, (30, 60)),
    (55.0, (60, 120)),
    (65.0, (120, 420)),
    (75.0, (180, 720)),
    (85.0, (np.inf, np.inf)),
]


@pytest.mark.promise("time in cold water")
@pytest.mark.parametrize(("water", "exhaustion"), TABLE)
def test_the_search_and_rescue_table_is_met(water, exhaustion):
    temperature = from_fahrenheit(water)

    assert [time.item() / 60 for time in exhaustion_time(temperature)] == list(exhaustion)


# The printed edges; an edge belongs to the colder row.
@pytest.mark.parametrize(
    ("edge", "row"), list(zip((32.5, 40, 50, 60, 70, 80), TABLE[:-1], strict=True))
)
def test_an_edge_of_the_table_belongs_to_the_colder_row(edge, row):
    _, exhaustion = row
    below, above = from_fahrenheit([edge - 1e-6, edge + 1e-6])

    assert exhaustion_time(below)[0] == exhaustion[0] * 60
    assert exhaustion_time(above)[0] > exhaustion[0] * 60


def test_shock_begins_at_25_and_is_full_from_15_down():
    # Onset below about 25 °C (from memory); peak 10 to 15 °C (Tipton, second-hand).
    found = cold_shock(from_celsius([30, 25, 20, 15, 10, 0]))

    assert found == pytest.approx([0, 0, 0.5, 1, 1, 1], abs=1e-9)  # kelvin and back


times = [
    lambda water: exhaustion_time(water)[0],
    lambda water: exhaustion_time(water)[1],
    lambda water: -cold_shock(water),
]


@cases(60)
@given(water=st.floats(0, 20), colder=st.floats(0, 20))
def test_colder_water_never_lengthens_a_time(water, colder):
    pair = from_celsius([max(water - colder, 0.0), water])
    for time in times:
        cold, warm = time(pair)
        assert cold <= warm + 1e-6  # rounding of some hours in seconds


@pytest.mark.parametrize("kelvin", [np.nan, from_fahrenheit(451), from_celsius(-20), 0.0, -5.0])
def test_unknown_or_absurd_water_stays_unknown(kelvin):
    water = np.array([float(kelvin)])
    for time in times:
        assert np.isnan(time(water)).all()


def test_water_outdoors_is_271_to_313_kelvin():
    # Our own range (judgement): brine at -2 °C, the warmest lagoons at 40 °C.
    water = np.array([270.99, 271.0, 313.0, 313.01])

    for time in times:
        assert np.isnan(time(water)).tolist() == [True, False, False, True]

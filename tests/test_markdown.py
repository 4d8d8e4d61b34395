"""A printed page never rounds a bound to allow more."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from docs.markdown import INCH, INCH_OF_MERCURY, bound
from safety_check.units import FOOT, MILE, MILE_PER_HOUR, ZERO_CELSIUS

SI = {
    "mph": lambda said: said * MILE_PER_HOUR,
    "ft": lambda said: said * FOOT,
    "mi": lambda said: said * MILE,
    "°C": lambda said: said + ZERO_CELSIUS,
    "°F": lambda said: (said - 32) / 1.8 + ZERO_CELSIUS,
    "min": lambda said: said * 60,
    "in": lambda said: said * INCH * 1000,
    "hPa": lambda said: said * 100,
    "inHg": lambda said: said * INCH_OF_MERCURY,
}


@pytest.mark.parametrize("worse", ["higher", "lower"])
@pytest.mark.parametrize("unit", ["m s-1", "m", "K", "s", "kg m-2", "Pa"])
@given(value=st.floats(0.05, 5000).map(lambda number: round(number, 3)))
def test_a_bound_in_another_unit_is_on_the_safe_side(unit: str, worse: str, value: float) -> None:
    inside = re.search(r"\((.*)\)", bound(value, unit, worse))
    assert inside
    for said in inside[1].split(", "):
        number, name = said.split(" ")
        back = SI[name](float(number))
        slack = 1e-6 * max(1.0, value) * (INCH_OF_MERCURY if unit == "Pa" else 100)
        assert back <= value + slack if worse == "higher" else back >= value - slack


def test_a_bound_that_is_whole_in_another_unit_stays_whole() -> None:
    assert bound(0.44704, "m s-1") == "0.44704 m/s (1.0 mph)"
    assert bound(0.3048, "m") == "0.3048 m (1.00 ft)"
    assert bound(288.75, "K", "higher") == "288.75 K (15.6 °C, 60 °F)"

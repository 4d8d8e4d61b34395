"""Units as people write them, against their exact definitions."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check import units
from safety_check.errors import PlanError

# Exact by definition: NIST SP 811 (2008), appendix B.8 (mile 1609.344 m, foot 0.3048 m,
# nautical mile 1852 m, knot 1852/3600 m/s); °C = (°F − 32)/1.8.
DEFINED = [
    ("10 mph", "speed", 4.4704),
    ("14 mph", "speed", 6.25856),
    ("10 kt", "speed", 5.144444444444444),
    ("18 km/h", "speed", 5.0),
    ("5 m/s", "speed", 5.0),
    ("1 mi", "length", 1609.344),
    ("3/4 mi", "length", 1207.008),
    ("1 1/2 mi", "length", 2414.016),
    ("2 nmi", "length", 3704.0),
    ("8 m", "length", 8.0),
    ("10 ft", "length", 3.048),
    ("18 in", "length", 0.4572),
    ("212 F", "temperature", 373.15),
    ("-40 F", "temperature", 233.15),
    ("−40 C", "temperature", 233.15),
    ("30 min", "duration", 1800.0),
    ("1.5 h", "duration", 5400.0),
]  # fmt: skip


@pytest.mark.parametrize(("text", "kind", "si"), DEFINED)
def test_units_match_their_definitions(text: str, kind: str, si: float) -> None:
    assert units.parse(text, kind, "x") == pytest.approx(si, rel=1e-15)  # rounding of a double


@pytest.mark.parametrize(
    "text", ["12mph", "12 MPH", "12 mi/h", " 12  mph ", "12.0 mph", "12 miles/h"]
)
def test_people_may_write_a_unit_in_their_own_way(text: str) -> None:
    assert units.parse(text, "speed", "wind") == pytest.approx(12 * 0.44704, rel=1e-15)


@pytest.mark.parametrize("text", ["12", "3/4", " 7.5 "])
def test_a_bare_number_is_refused_and_the_units_are_named(text: str) -> None:
    with pytest.raises(PlanError, match=r"wind: .*no unit.*m/s, km/h, mph, kt"):
        units.parse(text, "speed", "wind")


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("", "speed"),
        ("mph", "speed"),
        ("twelve mph", "speed"),
        ("12 ft", "speed"),
        ("12 mph 3", "speed"),
        ("9-13 mph", "speed"),
        ("nan mph", "speed"),
        ("inf m", "length"),
        ("1/0 mi", "length"),
        ("-3 m", "length"),
        ("-1 K", "temperature"),
        ("-500 F", "temperature"),
        ("1 2.5 mi", "length"),
    ],
)
def test_what_means_nothing_is_refused(text: str, kind: str) -> None:
    with pytest.raises(PlanError, match="field"):
        units.parse(text, kind, "field")


@given(st.floats(0, 200), st.sampled_from(sorted(units.SPEED)))
def test_a_shown_speed_reads_back_within_its_rounding(value: float, unit: str) -> None:
    again = units.parse(units.show(value, "speed", unit), "speed", "x")
    assert abs(again - value) <= 0.5 * units.SPEED[unit] + 1e-9  # shown to whole units at worst


def test_an_unknown_value_is_never_shown_as_a_number() -> None:
    assert units.show(math.nan, "length", "ft") == "unknown"

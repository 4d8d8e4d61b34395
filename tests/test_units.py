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
    ("7 s", "duration", 7.0),
    ("2 km", "length", 2000.0),
    ("2 yd", "length", 1.8288),
    ("1 cfs", "flow", 0.028316846592),
    ("3 m3/s", "flow", 3.0),
    ("300 K", "temperature", 300.0),
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


@pytest.mark.parametrize(
    ("value", "kind", "unit", "shown"),
    [
        (9.94, "length", "m", "9.9 m"),
        (10.0, "length", "m", "10 m"),
        (1.0, "length", "m", "1.0 m"),
        (1.44, "length", "m", "1.4 m"),
        (0.996, "length", "m", "1.0 m"),
        (0.99, "length", "m", "0.99 m"),
        (0.25, "length", "m", "0.25 m"),
        (0.2, "length", "m", "0.2 m"),
        (500.0, "length", "km", "0.5 km"),
        (0.3048, "length", "ft", "1.0 ft"),
        (0.03048, "length", "ft", "0.1 ft"),
        (0.0254, "length", "in", "1 in"),
        (0.9144 * 12.4, "length", "yd", "12 yd"),
        (10.6, "speed", "m/s", "11 m/s"),
        (9.96, "speed", "m/s", "10.0 m/s"),
        (0.26, "speed", "m/s", "0.3 m/s"),
        (5.1, "speed", "kt", "10 kt"),
        (5.0, "speed", "km/h", "18 km/h"),
        (90.0, "duration", "min", "2 min"),
        (89.6, "duration", "s", "90 s"),
        (5400.0, "duration", "h", "1.5 h"),
        (273.15, "temperature", "C", "0 °C"),
        (273.15, "temperature", "K", "273 K"),
        (285.0, "temperature", "F", "53 °F"),
        (12.74, "flow", "m3/s", "13 m3/s"),
    ],
)
def test_a_value_is_shown_as_finely_as_is_useful(
    value: float, kind: str, unit: str, shown: str
) -> None:
    assert units.show(value, kind, unit) == shown


@pytest.mark.parametrize(
    ("value", "kind", "unit", "worse", "shown"),
    [
        (0.4999, "length", "m", "higher", "0.45 m"),
        (0.4501, "length", "m", "lower", "0.5 m"),
        (0.3, "length", "ft", "lower", "1 ft"),  # 0.984 ft
        (0.6, "length", "in", "higher", "23 in"),  # 23.6 in
        (0.6, "length", "in", "lower", "24 in"),
        (100.0, "length", "yd", "lower", "110 yd"),  # 109.4 yd
        (119.0, "duration", "min", "higher", "1 min"),
        (59.9, "duration", "s", "lower", "60 s"),
        (5000.0, "duration", "h", "lower", "1.4 h"),  # 1.389 h
        (1700.0, "length", "mi", "higher", "1.05 mi"),  # 1.056 mi
        (8.05, "speed", "mph", "lower", "18.1 mph"),  # 18.007 mph
        (288.3, "temperature", "C", "higher", "15 °C"),  # 15.15 °C
        (288.3, "temperature", "F", "lower", "59.5 °F"),  # 59.27 °F
        (288.3, "temperature", "K", "lower", "288.5 K"),
    ],
)
def test_a_limit_is_rounded_to_the_strict_side(
    value: float, kind: str, unit: str, worse: str, shown: str
) -> None:
    assert units.show_limit(value, kind, unit, worse) == shown


@given(st.integers(1, 400), st.sampled_from(["m", "ft", "mi", "km", "nmi"]))
def test_a_limit_that_was_typed_comes_back_as_typed(steps: int, unit: str) -> None:
    typed = f"{steps * 0.05:.10g} {unit}"
    stored = units.parse(typed, "length", "x")
    for worse in ("higher", "lower"):
        assert units.show_limit(stored, "length", unit, worse) == typed


def test_a_quantity_may_have_sixty_characters_and_no_more() -> None:
    longest = "1" + " " * 57 + "km"
    assert len(longest) == 60
    assert units.parse(longest, "length", "x") == 1000.0
    with pytest.raises(PlanError, match="61 characters"):
        units.parse(" " + longest, "length", "x")


def test_a_wind_in_beaufort_is_a_whole_force_up_to_twelve():
    # WMO-No. 306, code table 1100: force 12 begins at 32.7 m/s
    assert units.parse("12 Bft", "wind limit", "x") == 32.7
    for text in ("13 Bft", "4.5 Bft", "-1 Bft"):
        with pytest.raises(PlanError, match="Bft are whole numbers from 0 to 12"):
            units.parse(text, "wind", "x")


@pytest.mark.parametrize(
    ("kind", "unit", "noun"),
    [("speed", "mph", "speed"), ("wind", "mph", "speed"), ("length", "m", "length")],
)
def test_a_negative_quantity_is_refused_by_its_kind(kind, unit, noun):
    with pytest.raises(PlanError) as refused:
        units.parse(f"-3 {unit}", kind, "x")
    said = f"'-3 {unit}' is negative, and a {noun} cannot be. Remove the sign."
    assert said in str(refused.value)


@pytest.mark.parametrize(
    ("wind", "distance", "pace"),
    [("Bft", "mi", "mph"), ("Bft", "km", "km/h"), ("Bft", "nmi", "kt"), ("m/s", "mi", "m/s")],
)
def test_a_pace_is_in_the_unit_of_the_wind_and_never_in_beaufort(wind, distance, pace):
    assert units.Preferences(wind=wind, distance=distance).pace == pace


def test_the_extremes_of_a_quantity_are_taken_and_beyond_them_refused() -> None:
    assert units.parse("0 m", "length", "x") == 0.0
    assert units.parse("0 K", "temperature", "x") == 0.0
    assert units.parse("-459.67 F", "temperature", "x") == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    ("bearing", "point"),
    [
        *((22.4, "N"), (22.6, "NE"), (67.4, "NE"), (67.6, "E"), (112.6, "SE"), (180.0, "S")),
        *((225.0, "SW"), (270.0, "W"), (337.4, "NW"), (337.6, "N"), (360.0, "N"), (-45.0, "NW")),
    ],
)
def test_the_compass_point_is_the_nearest_of_eight(bearing: float, point: str) -> None:
    assert units.compass(bearing) == point


@pytest.mark.parametrize(
    ("distance", "small"), [("mi", "yd"), ("nmi", "yd"), ("km", "m"), ("m", "m"), ("ft", "ft")]
)
def test_short_distances_have_a_unit_of_their_own(distance: str, small: str) -> None:
    assert units.Preferences(distance=distance).small_distance == small


def test_a_quantity_in_another_unit_is_the_definition_the_other_way() -> None:
    for text, kind, si in DEFINED:
        number, unit = text.replace("−", "-").rsplit(" ", 1)
        if "/" not in number:
            assert units.in_unit(si, kind, unit) == pytest.approx(float(number), rel=1e-12)


SPELLINGS = {
    "mph": ("mi/h", "mp/h", "miles/h"),
    "km/h": ("kmh", "kph", "kmph"),
    "kt": ("kn", "kts", "knot", "knots", "Knots"),
    "m/s": ("ms", "mps", "m s-1"),
    "Bft": ("bft", "bf", "beaufort", "BFT"),
    "m": ("metre", "metres", "meter", "meters"),
    "ft": ("foot", "feet", "'"),
    "in": ("inch", "inches", '"'),
    "yd": ("yard", "yards"),
    "mi": ("mile", "miles"),
    "nmi": ("nm",),
    "s": ("sec", "second", "seconds"),
    "min": ("minute", "minutes"),
    "h": ("hr", "hrs", "hour", "hours"),
    "F": ("°f", "degf", "deg f", "f", "fahrenheit", "°F"),
    "C": ("°c", "degc", "deg c", "c", "celsius"),
    "K": ("k", "kelvin"),
}


@pytest.mark.parametrize(
    ("written", "unit"), [(word, unit) for unit, words in SPELLINGS.items() for word in words]
)
def test_each_unit_may_be_written_as_people_do(written: str, unit: str) -> None:
    kind = next(kind for kind in units.KINDS if kind != "speed" and unit in units.KINDS[kind])
    assert units.parse(f"5 {written}", kind, "x") == units.parse(f"5 {unit}", kind, "x")


@pytest.mark.parametrize("kind", units.KINDS)
def test_a_refusal_names_every_unit_and_an_example_that_is_right(kind: str) -> None:
    with pytest.raises(PlanError) as refused:
        units.parse("much", kind, "x")
    said = str(refused.value)
    example = said.split('for example "')[1].split('"')[0]
    assert math.isfinite(units.parse(example, kind, "x"))
    for unit in units.KINDS[kind]:
        assert unit in said.split("the units are ")[1]


def test_each_kind_has_its_units() -> None:
    speeds = ("m/s", "km/h", "mph", "kt")
    assert {
        "speed": speeds,
        "wind": (*speeds, "Bft"),
        "wind limit": (*speeds, "Bft"),
        "length": ("m", "km", "ft", "in", "yd", "mi", "nmi"),
        "duration": ("s", "min", "h"),
        "flow": ("m3/s", "cfs"),
        "temperature": ("F", "C", "K"),
    } == units.KINDS


@pytest.mark.parametrize(
    ("unit", "si", "shown"),
    [
        *(("mph", 0.44704, "4 mph"), ("km/h", 1 / 3.6, "4 km/h"), ("kt", 1852 / 3600, "4 kt")),
        *(
            ("min", 60.0, "4 min"),
            ("s", 1.0, "4 s"),
            ("in", 0.0254, "4 in"),
            ("yd", 0.9144, "4 yd"),
        ),
        *(("m", 1.0, "3.6 m"), ("km", 1000.0, "3.6 km"), ("mi", 1609.344, "3.6 mi")),
        *(("nmi", 1852.0, "3.6 nmi"), ("ft", 0.3048, "3.6 ft"), ("cfs", 0.3048**3, "3.6 cfs")),
    ],
)
def test_each_unit_is_shown_to_its_own_digits(unit: str, si: float, shown: str) -> None:
    kind = next(kind for kind, names in units.KINDS.items() if unit in names)
    assert units.show(3.62 * si, kind, unit) == shown
    assert units.show(23.62 * si, kind, unit) == f"{'23.6' if unit == 'ft' else '24'} {unit}"


@pytest.mark.parametrize(("unit", "si"), [("km", 1000.0), ("mi", 1609.344), ("nmi", 1852.0)])
def test_a_distance_below_one_is_shown_to_a_hundredth(unit: str, si: float) -> None:
    assert units.show(0.26 * si, "length", unit) == f"0.26 {unit}"
    assert units.show(0.3 * si, "length", unit) == f"0.3 {unit}"

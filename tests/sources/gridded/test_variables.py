"""A file's unit becomes SI by its definition: fixed points of scales, and exact lengths."""

from __future__ import annotations

import pytest

from safety_check.sources.gridded.variables import UNITS

# The knot is 1852 m an hour, the mile 1609.344 m; water boils at 100 °C, 212 °F, 373.15 K.
BY_DEFINITION = [
    ("speed", "m s-1", 3.0, 3.0),
    ("speed", "m s**-1", 3.0, 3.0),
    ("speed", "km/h", 36.0, 10.0),
    ("speed", "kt", 1.0, 1852 / 3600),
    ("speed", "mph", 1.0, 1609.344 / 3600),
    ("angle", "degree", 270.0, 270.0),
    ("temperature", "K", 0.0, 0.0),
    ("temperature", "degC", 100.0, 373.15),
    ("temperature", "degF", 212.0, 373.15),
    ("temperature", "degF", 32.0, 273.15),
    ("share", "1", 0.4, 0.4),
    ("share", "%", 0.0, 0.0),
    ("share", "%", 40.0, 0.4),
    ("amount", "kg m-2", 2.5, 2.5),
    ("amount", "mm", 0.0, 0.0),
    ("length", "m", 0.0, 0.0),
    ("length", "m", 7.0, 7.0),
    ("length", "km", 16.0, 16_000.0),
    ("pressure", "Pa", 0.0, 0.0),
    ("pressure", "Pa", 101_325.0, 101_325.0),
    ("pressure", "hPa", 1013.25, 101_325.0),
    ("energy", "J kg-1", 900.0, 900.0),
    ("code", "1", 95.0, 95.0),
]


@pytest.mark.parametrize(("kind", "unit", "said", "si"), BY_DEFINITION)
def test_a_unit_is_read_by_its_definition(kind: str, unit: str, said: float, si: float) -> None:
    factor, offset = UNITS[kind][unit]
    assert said * factor + offset == pytest.approx(si, abs=1e-9)


def test_units_of_one_kind_agree_on_zero_but_for_temperatures() -> None:
    for kind, units in UNITS.items():
        if kind != "temperature":
            assert {offset for _, offset in units.values()} == {0.0}

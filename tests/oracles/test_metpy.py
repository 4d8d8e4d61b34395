"""Heat index and wind chill on a grid, against the meteorology library MetPy."""

from __future__ import annotations

import importlib
import warnings
from typing import Any

import numpy as np
import pytest

from safety_check.physics.exposure import heat_index, wind_chill
from safety_check.units import MILE_PER_HOUR, ZERO_CELSIUS

AIR, WIND = np.meshgrid(np.arange(-40.0, 51.0, 5.0), np.arange(4.0, 61.0, 4.0))  # °F, mph
WARM, HUMIDITY = np.meshgrid(np.arange(80.0, 113.0, 2.0), np.arange(0.05, 1.0, 0.05))  # °F, 1


def fahrenheit(kelvin: np.ndarray) -> np.ndarray:
    return (kelvin - ZERO_CELSIUS) * 1.8 + 32


def kelvin(fahrenheit: np.ndarray) -> np.ndarray:
    return (fahrenheit - 32) / 1.8 + ZERO_CELSIUS


@pytest.fixture(scope="module")
def metpy() -> Any:
    """Import it only where it is used: that takes seconds, and every worker reads this file."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # those of the libraries that it brings
        pytest.importorskip("metpy.calc", reason="oracle: metpy is not installed here")
        return importlib.import_module("metpy")


def test_wind_chill_on_a_grid(metpy: Any) -> None:
    calc, units = metpy.calc, metpy.units.units
    expected = calc.windchill(AIR * units.degF, WIND * units.mph, mask_undefined=False)
    found = fahrenheit(wind_chill(kelvin(AIR), WIND * MILE_PER_HOUR))
    # The library rounds the coefficients for °F and mph, this program's are for °C and km/h.
    np.testing.assert_allclose(found, expected.to("degF").magnitude, atol=0.2)


def test_heat_index_on_a_grid(metpy: Any) -> None:
    calc, units = metpy.calc, metpy.units.units
    damp = HUMIDITY * units.dimensionless
    expected = calc.heat_index(WARM * units.degF, damp, mask_undefined=False)
    found = fahrenheit(heat_index(kelvin(WARM), HUMIDITY))
    # Below 80 °F the National Weather Service keeps its simple formula; the library changes over
    # elsewhere.
    regression = found >= 80
    assert regression.mean() > 0.9
    np.testing.assert_allclose(
        found[regression],
        expected.to("degF").magnitude[regression],
        atol=1e-3,  # the same coefficients
    )

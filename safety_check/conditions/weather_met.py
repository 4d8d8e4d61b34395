"""Weather codes and the heat that one feels."""

from __future__ import annotations

import numpy as np

from safety_check.arrays import FloatArray, one_of
from safety_check.physics.exposure import heat_index

THUNDER = (95, 96, 99)  # WMO code table 4677, those that the forecast service uses
FOG = (45, 48)
WEATHER_CODES = (
    *(0, 1, 2, 3, 45, 48, 51, 53, 55, 56, 57, 61, 63, 65, 66, 67),
    *(71, 73, 75, 77, 80, 81, 82, 85, 86, 95, 96, 99),
)
COOL = 299.0  # K; saturated air at 79 °F has a heat index of 81 °F, well below any caution


def weather_met(code: FloatArray, wanted: tuple[int, ...]) -> FloatArray:
    """Return 1 for the wanted weather, 0 for any other; NaN for a code that is not known."""
    known = np.where(one_of(code, WEATHER_CODES), 0.0, np.nan)
    return np.where(one_of(code, wanted), 1.0, known)


def heat_felt(air: FloatArray, humidity: FloatArray) -> FloatArray:
    """Return the heat index; in cool air, where no humidity matters, that of saturated air."""
    damp = np.where(np.isnan(humidity) & (air < COOL), 1.0, humidity)
    return heat_index(air, damp)

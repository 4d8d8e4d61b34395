"""Wind chill and heat index."""

from __future__ import annotations

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.units import KILOMETRE_PER_HOUR, ZERO_CELSIUS

CHILL_BELOW = 10.0
"""Warmest air for which wind chill is defined. [°C]"""

CHILL_FROM = 4.8
"""Least wind for which wind chill is defined. [km/h]"""

COLDEST_AIR, HOTTEST_AIR = 173.0, 333.0
"""Range of air temperature on Earth; values outside it are unknown. [K]"""


def wind_chill(air_temperature: FloatArray, wind_speed: FloatArray) -> FloatArray:
    """Air temperature that, with hardly any wind, would cool bare dry skin as fast.

    Parameters
    ----------
    air_temperature : array (member, hour)
        [K]
    wind_speed : array, broadcast against air_temperature
        Ten metres up. [m s⁻¹]

    Returns
    -------
    array
        [K]; the air temperature itself above 10 °C and below 4.8 km/h, where by its
        definition there is no chill; NaN where an input is NaN, the wind negative or
        the air outside its range on Earth.

    Notes
    -----
    Wet clothes and wet skin cool far faster. The charts end at 80 km/h and -50 °C.

    References
    ----------
    .. [JAGTI2001] Joint Action Group on Temperature Indices, 2001, as printed by
       Environment Canada: °C and km/h.

    Examples
    --------
    >>> wind_chill(np.array([263.15, 285.0]), np.array([20 / 3.6])).round(2)
    array([255.29, 285.  ])
    """
    celsius = _felt(air_temperature) - ZERO_CELSIUS
    wind = np.where(wind_speed >= 0, wind_speed, np.nan) / KILOMETRE_PER_HOUR
    power = wind**0.16
    chill = 13.12 + 0.6215 * celsius - 11.37 * power + 0.3965 * celsius * power
    none = (celsius > CHILL_BELOW) | (wind < CHILL_FROM)
    # Adding zero times the wind keeps an unknown wind unknown in warm air too.
    return np.where(none, celsius + 0 * wind, chill) + ZERO_CELSIUS


def heat_index(air_temperature: FloatArray, relative_humidity: FloatArray) -> FloatArray:
    """Temperature that the air feels like in the shade, with humidity.

    Parameters
    ----------
    air_temperature : array (member, hour)
        [K]
    relative_humidity : array, broadcast against air_temperature
        A share, 0 to 1. [1]

    Returns
    -------
    array
        [K]; NaN where an input is NaN, the humidity is not between 0 and 1 or the air is outside
        its range on Earth.

    Notes
    -----
    Where the index is below 80 °F a straight line is used. In cold air it means little, but it is
    far below any heat limit. In full sun it feels up to 8 K hotter.

    References
    ----------
    .. [Rothfusz1990] Rothfusz, The heat index equation, NWS Southern Region SR 90-23, 1990,
       with the adjustments of the Weather Prediction Center's page.

    Examples
    --------
    >>> heat_index(np.array([305.372]), np.array([0.70])).round(1)
    array([314.2])
    """
    t, r = _fahrenheit_and_percent(air_temperature, relative_humidity)
    simple = 0.5 * (t + 61 + 1.2 * (t - 68) + 0.094 * r)
    dry = (r < 13) & (t >= 80) & (t <= 112)
    humid = (r > 85) & (t >= 80) & (t <= 87)
    less = (13 - r) / 4 * np.sqrt(np.maximum(17 - np.abs(t - 95), 0) / 17)
    more = (r - 85) / 10 * (87 - t) / 5
    full = _regression(t, r) - np.where(dry, less, 0) + np.where(humid, more, 0)
    return _kelvin(np.where(simple < 80, simple, full))


def _regression(t: FloatArray, r: FloatArray) -> FloatArray:
    return (
        -42.379
        + 2.04901523 * t
        + 10.14333127 * r
        - 0.22475541 * t * r
        - 0.00683783 * t**2
        - 0.05481717 * r**2
        + 0.00122874 * t**2 * r
        + 0.00085282 * t * r**2
        - 0.00000199 * t**2 * r**2
    )


def _fahrenheit_and_percent(
    air_temperature: FloatArray, relative_humidity: FloatArray
) -> tuple[FloatArray, FloatArray]:
    share = (relative_humidity >= 0) & (relative_humidity <= 1)
    fahrenheit = (_felt(air_temperature) - ZERO_CELSIUS) * 1.8 + 32
    return fahrenheit, 100 * np.where(share, relative_humidity, np.nan)


def _kelvin(fahrenheit: FloatArray) -> FloatArray:
    return (fahrenheit - 32) / 1.8 + ZERO_CELSIUS


def _felt(air_temperature: FloatArray) -> FloatArray:
    """The air temperature; NaN outside its range on Earth."""
    real = (air_temperature >= COLDEST_AIR) & (air_temperature <= HOTTEST_AIR)
    return np.where(real, air_temperature, np.nan)

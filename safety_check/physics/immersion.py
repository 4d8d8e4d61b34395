"""Effects of cold water on a swimmer: cold shock, time to exhaustion, distance swum.

Every figure assumes that the person floats. Times inform the reader; only the temperature of
the water is weighed.
"""

from __future__ import annotations

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.units import ZERO_CELSIUS

MINUTE = 60.0

COLDEST_WATER, WARMEST_WATER = 271.0, 313.0
"""Range of water temperature outdoors; values outside it are unknown. [K]"""

SHOCK_BEGINS, SHOCK_FULL = 25.0, 15.0
"""Water in which breathing begins to be affected, and in which cold shock is greatest. [°C]"""

SAR_EDGES = np.array([32.5, 40.0, 50.0, 60.0, 70.0, 80.0])
"""Warm ends of the rows of the search and rescue table, each in the colder row. [°F]"""

SAR_EXHAUSTION = MINUTE * np.array(
    [[0, 15], [15, 30], [30, 60], [60, 120], [120, 420], [180, 720], [np.inf, np.inf]]
)


def cold_shock(water_temperature: FloatArray) -> FloatArray:
    """How much of the full cold shock sudden immersion brings.

    Parameters
    ----------
    water_temperature : array of any shape
        [K]

    Returns
    -------
    array
        0 from 25 °C, 1 at 15 °C and below [1]; NaN where the temperature is
        unknown or outside the range of water outdoors.

    Notes
    -----
    It peaks between 10 and 15 °C; that it is no milder in colder water, and linear in between,
    is judgement. Five short immersions halve it in a person.

    References
    ----------
    .. [Tipton1989] Tipton, The initial responses to cold-water immersion in man, Clin. Sci.
       77, 1989: onset below about 25 °C (from memory, not read); peak at 10 to 15 °C (his
       statements, second-hand).

    Examples
    --------
    >>> cold_shock(np.array([300.0, 293.15, 278.0]))
    array([0. , 0.5, 1. ])
    """
    share = (SHOCK_BEGINS - _celsius(water_temperature)) / (SHOCK_BEGINS - SHOCK_FULL)
    return np.clip(share, 0.0, 1.0)


def exhaustion_time(water_temperature: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Least and most time to exhaustion or unconsciousness.

    Parameters
    ----------
    water_temperature : array of any shape
        [K]

    Returns
    -------
    least, most : array
        [s]; infinite in water over 80 °F, NaN as in `cold_shock`.

    Notes
    -----
    Hypothermia in calm water only: no shock, no swimming failure, no waves in the face.

    References
    ----------
    .. [SARTable] US Search and Rescue Task Force, expected survival time in cold water
       (second-hand; three copies agree).

    Examples
    --------
    >>> [time.item() for time in exhaustion_time(np.array(283.15))]
    [1800.0, 3600.0]
    """
    return _tabled(water_temperature, SAR_EXHAUSTION)


def _tabled(water_temperature: FloatArray, column: FloatArray) -> tuple[FloatArray, FloatArray]:
    fahrenheit = _celsius(water_temperature) * 1.8 + 32
    row = np.searchsorted(SAR_EDGES, np.where(np.isnan(fahrenheit), 0.0, fahrenheit))
    least, most = column[row, 0], column[row, 1]
    known = ~np.isnan(fahrenheit)
    return np.where(known, least, np.nan), np.where(known, most, np.nan)


def _celsius(water_temperature: FloatArray) -> FloatArray:
    """Degrees Celsius; NaN outside the range of water outdoors."""
    liquid = (water_temperature >= COLDEST_WATER) & (water_temperature <= WARMEST_WATER)
    return np.where(liquid, water_temperature, np.nan) - ZERO_CELSIUS

"""Time that a swim to the shore takes in wind, and how long strength lasts in cold water."""

from __future__ import annotations

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.physics.immersion import COLDEST_WATER, MINUTE, WARMEST_WATER
from safety_check.units import ZERO_CELSIUS

SWIMMING_CELSIUS = np.array([0.0, 5.0, 10.0, 15.6, 21.1, 26.7])
SWIMMING_TIME = MINUTE * np.array([5.0, 10.0, 22.0, 60.0, 120.0, 180.0])


MEASURED_SWIM = 400.0
"""Half of what novices swam at 10 °C (806.5 m), rounded down (judgement). [m]"""


def swimming_time(water_temperature: FloatArray) -> FloatArray:
    """Time for which a person in a life jacket has the strength to swim.

    Parameters
    ----------
    water_temperature : array of any shape
        [K]

    Returns
    -------
    array
        [s]; NaN where the water temperature is unknown or outside its range outdoors.

    Notes
    -----
    At 5 °C the ten minutes of useful movement of [Brooks2003], at 0 °C half of it; at 10 °C a
    little under half of the 47 minutes that novices swam; from 60 °F on the least time to
    exhaustion at the warm end of each row of [SARTable]. Between them straight lines in the
    logarithm, beyond them the nearest (all judgement: the trials were in still water).

    References
    ----------
    .. [Brooks2003] Brooks, Survival in Cold Waters, Transport Canada TP 13822, 2003, executive
       summary.
    .. [Ducharme2007] Ducharme and Lounsbury, Self-rescue swimming in cold water, 2007: 47 min
       (abstract).
    .. [Lounsbury2005] Lounsbury, thesis, 2005: novices at 10 °C (abstract).
    .. [SARTable] As in `immersion.exhaustion_time`.

    Examples
    --------
    >>> (swimming_time(np.array([278.15, 283.15, 295.15])) / 60).round()
    array([ 10.,  22., 128.])
    """
    liquid = (water_temperature >= COLDEST_WATER) & (water_temperature <= WARMEST_WATER)
    celsius = np.where(liquid, water_temperature, np.nan) - ZERO_CELSIUS
    return np.exp(np.interp(celsius, SWIMMING_CELSIUS, np.log(SWIMMING_TIME)))


def time_to_shore(
    distance: FloatArray,
    wind_speed: FloatArray,
    downwind: FloatArray,
    speed: float,
    lost_to_wind: float,
    drift: float,
) -> FloatArray:
    """Time in the water until a swimmer reaches the near shore or drifts to the one downwind.

    Parameters
    ----------
    distance : array, broadcast against wind_speed
        To the nearest shore. [m]
    wind_speed : array of any shape
        Ten metres up. [m s⁻¹]
    downwind : array, broadcast against wind_speed
        Open water downwind of the launch; 0 where the wind blows onto it. [m]
    speed
        Of a swimmer in still water. [m s⁻¹]
    lost_to_wind, drift
        Shares of the wind's speed: lost against it, and drifted with it. [1]

    Returns
    -------
    array
        [s]; infinite where no shore is reached, NaN where an input is.

    Notes
    -----
    The swim against the wind takes d / (s - c u) and longer with more wind; the drift to the
    far shore takes D / (k u) and less. A swimmer has the shorter of the two, which is longest
    where they meet, at d / s + (c / k) D / s. That longest time counts for every stronger
    wind too, so that more wind never makes a shorter time. Derived here; no source.

    Examples
    --------
    A quarter mile off on a large lake and on a pond, in calm and in 8 m/s.

    >>> wind, lake, pond = np.array([0.0, 8.0]), np.array(9000.0), np.array(300.0)
    >>> (time_to_shore(np.array(400.0), wind, lake, 0.3, 0.025, 0.025) / 60).round()
    array([22., 67.])
    >>> (time_to_shore(np.array(400.0), wind, pond, 0.3, 0.025, 0.025) / 60).round()
    array([22., 39.])
    """
    headway = speed - lost_to_wind * wind_speed
    stuck = np.where(distance > 0, np.inf, distance)
    swum = np.where(headway > 0, distance / np.where(headway > 0, headway, 1.0), stuck)
    swum = np.where(np.isnan(wind_speed), np.nan, swum)
    longest = (distance + lost_to_wind / drift * downwind) / speed
    return np.minimum(swum, longest)

"""Waves by the Shore Protection Manual of 1984, for comparison with the law in use.

The equations are those of the Automated Coastal Engineering System, which succeeded the manual.
Its adjusted wind already contains the increase of drag with wind. NaN where an input is NaN or
negative.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from benchmarks.other_growth_laws import Pair, dimensionless
from safety_check.arrays import FloatArray
from safety_check.physics.off_wind import smoothed_radials
from safety_check.physics.waves import FAINTEST_WIND, GRAVITY
from safety_check.physics.wind_stress import friction_velocity


def adjusted_wind(wind_speed: FloatArray) -> FloatArray:
    """Wind that the 1984 laws take, from the ten-metre wind.

    Parameters
    ----------
    wind_speed : array of any shape
        [m s⁻¹]

    Returns
    -------
    array, shape of wind_speed
        [m s⁻¹]; less than the wind below 4.43 m s⁻¹.

    Notes
    -----
    U (0.75 + 0.067 U)^½ gives all three adjusted winds printed in the guide's examples; the
    handbook's 0.71 U^1.23 misses them by 2.5 %.

    References
    ----------
    .. [ACES1992] USACE, Automated Coastal Engineering System, User's Guide, 1992, examples.

    Examples
    --------
    >>> adjusted_wind(np.array([20.0])).round(2)
    array([28.91])
    """
    adjusted: FloatArray = friction_velocity(wind_speed) * np.sqrt(1e3)
    return adjusted


def open_water_waves(
    adjusted: ArrayLike,
    fetch: ArrayLike,
    duration: ArrayLike = np.inf,
    depth: ArrayLike = np.inf,
) -> Pair:
    """Height and period on open water, limited by fetch, duration or depth.

    Parameters
    ----------
    adjusted, fetch, duration, depth : arrays
        Adjusted wind; mean of nine radials 3° apart. [m s⁻¹, m, s, m]

    Returns
    -------
    pair of arrays
        Hm0 [m]; Tp [s].

    Notes
    -----
    Short of full growth. The shallow form knows no duration; the reference calls it interim
    and unverified.

    References
    ----------
    .. [ACES1992] Technical Reference, eqs. 27, 29, 30, 33, 35, 43, 44.

    Examples
    --------
    >>> [float(one.round(2)) for one in open_water_waves(15.0, 200e3)]
    [3.43, 8.99]
    """
    wind, x, d = dimensionless(adjusted, fetch, depth)
    time = _dimensionless_time(wind, duration)
    limited = time < 68.8 * x ** (2 / 3)
    p, q = np.tanh(0.530 * d**0.75), np.tanh(0.833 * d**0.375)
    height = 0.283 * p * np.tanh(0.0016 / 0.283 * x**0.5 / p)
    period = 7.54 * q * np.tanh(0.2857 / 7.54 * x ** (1 / 3) / q)
    deep = np.isinf(d)
    height = np.where(deep, 0.0016 * x**0.5, height)
    period = np.where(deep, 0.2857 * x ** (1 / 3), period)
    height = np.where(deep & limited, 8.51e-5 * time ** (5 / 7), height)
    period = np.where(deep & limited, 0.0702 * time**0.411, period)
    return wind**2 / GRAVITY * height, wind / GRAVITY * period


def restricted_waves(component: ArrayLike, fetch: ArrayLike, duration: ArrayLike = np.inf) -> Pair:
    """Height and period on narrow water, limited by fetch or duration.

    Parameters
    ----------
    component, fetch, duration : arrays
        Adjusted wind times cos φ and the fetch φ off the wind, both from
        `restricted_fetch`. [m s⁻¹, m, s]

    Returns
    -------
    pair of arrays
        Hm0 [m]; Tp [s].

    Notes
    -----
    Deep water, short of full growth.

    References
    ----------
    .. [ACES1992] Technical Reference, eqs. 28, 31, 32, 34, 36.

    Examples
    --------
    >>> [float(one.round(2)) for one in restricted_waves(20.0, 40e3)]
    [1.92, 5.2]
    """
    wind, x, _ = dimensionless(component, fetch)
    time = _dimensionless_time(wind, duration)
    limited = time < 51.09 * x**0.72
    height = np.where(limited, 1.03e-4 * time**0.69, 0.0015 * x**0.5)
    period = np.where(limited, 0.082 * time**0.39, 0.3704 * x**0.28)
    return wind**2 / GRAVITY * height, wind / GRAVITY * period


def restricted_fetch(
    bearing: FloatArray, fetch: FloatArray, wind_from_direction: int
) -> tuple[float, int]:
    """Fetch and direction of the waves on narrow water.

    Parameters
    ----------
    bearing, fetch : arrays (bearing,)
        Radials as in `smoothed_radials`. [deg true, m]
    wind_from_direction
        Whole degrees. [deg true]

    Returns
    -------
    float, int
        Mean fetch [m]; where the waves come from [deg true]. Directions without radials
        are left out.

    Notes
    -----
    The direction of the largest F^0.28 (cos φ)^0.44, the period of the restricted law.

    References
    ----------
    .. [ACES1992] Technical Reference, restricted fetch; User's Guide, example 3.

    Examples
    --------
    >>> restricted_fetch(np.arange(0.0, 360.0, 90.0), np.array([100.0, 5000, 100, 5000]), 60)[1]
    83
    """
    radials = smoothed_radials(bearing, fetch)
    cosine = np.maximum(np.cos(np.radians(np.arange(360) - wind_from_direction)), 0.0)
    period = np.where(np.isnan(radials), 0.0, radials) ** 0.28 * cosine**0.44
    direction = int(np.argmax(period))
    return float(radials[direction]), direction


def _dimensionless_time(wind: FloatArray, duration: ArrayLike) -> FloatArray:
    lasting = np.asarray(duration, dtype=float)
    moving = np.maximum(wind, FAINTEST_WIND)
    time: FloatArray = GRAVITY * np.where(lasting >= 0, lasting, np.nan) / moving
    return time

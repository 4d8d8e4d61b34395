"""Waves that a steady wind raises over open water of a given length and depth."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from safety_check.arrays import FloatArray

GRAVITY = 9.81
"""[m s⁻²]"""

STRONGEST_WIND = 60.0
"""No law was fitted to stronger wind. [m s⁻¹]"""

FAINTEST_WIND = 0.01
"""Below this, the dimensionless fetch is computed with this wind, to stay finite. [m s⁻¹]"""


class GrowthLaw(NamedTuple):
    """Coefficients of [Breugem2007]; fully grown, the quantity is full / g · U^wind_power."""

    full: float
    wind_power: int
    fetch_factor: float
    fetch_power: float
    depth_factor: float
    depth_power: float
    power: float


HEIGHT = GrowthLaw(0.24, 2, 4.41e-4, 0.79, 0.343, 1.14, 0.572)
PERIOD = GrowthLaw(7.69, 1, 2.77e-7, 1.45, 0.10, 2.01, 0.187)


@dataclass(frozen=True)
class Sea:
    """The sea that the wind has raised, as arrays of one shape.

    Parameters
    ----------
    height
        Significant wave height; NaN where unknown, 0 where there is no wave. [m]
    period
        Peak period; NaN and 0 likewise. [s]
    from_direction
        Where the waves come from; NaN where unknown and where there is no wave. [deg true]
    """

    height: FloatArray
    period: FloatArray
    from_direction: FloatArray


def significant_height(
    wind_speed: ArrayLike, fetch: ArrayLike, depth: ArrayLike = np.inf
) -> FloatArray:
    """Significant wave height where open water upwind and depth are what limit growth.

    Parameters
    ----------
    wind_speed : array
        Wind 10 m above the water. [m s⁻¹]
    fetch : array, broadcast against wind_speed
        Straight open water upwind. [m]
    depth : array, broadcast against both
        Mean along the fetch; infinite, the higher wave, where it isn't known. [m]

    Returns
    -------
    array, the broadcast shape
        Hm0 [m]; NaN where an input is NaN or negative, wind above 60 m s⁻¹, depth 0.

    Notes
    -----
    All fetches and depths. We judge its accuracy as ± 25 %. k1 is 4.41e-4, as
    remembered of the paper: two public codes print 4.14e-4, which misses the law that the
    paper joins, [Kahma1992], by 3.6 %, on the low side.

    References
    ----------
    .. [Breugem2007] Breugem and Holthuijsen, Generalized shallow water wave growth from Lake
       George, J. Waterway, Port, Coastal, Ocean Eng. 133(3), 2007 (from memory, not read).

    Examples
    --------
    >>> significant_height([0.0, 10.0, np.nan], 5000.0).round(2)
    array([0.  , 0.48,  nan])
    """
    return _grown(HEIGHT, wind_speed, fetch, depth)


def peak_period(wind_speed: ArrayLike, fetch: ArrayLike, depth: ArrayLike = np.inf) -> FloatArray:
    """Peak period where open water upwind and depth are what limit growth.

    Parameters
    ----------
    wind_speed, fetch, depth : arrays
        As in `significant_height`. [m s⁻¹, m, m]

    Returns
    -------
    array, the broadcast shape
        Tp [s]; 0 in calm, NaN as in `significant_height`.

    References
    ----------
    .. [Breugem2007] As in `significant_height` (from memory, not read).

    Examples
    --------
    >>> peak_period([0.0, 10.0, np.nan], 5000.0).round(1)
    array([0. , 2.5, nan])
    """
    return _grown(PERIOD, wind_speed, fetch, depth)


def equivalent_fetch(
    height: ArrayLike, wind_speed: ArrayLike, depth: ArrayLike = np.inf
) -> FloatArray:
    """Open water over which this wind would have raised a sea of this height.

    Parameters
    ----------
    height : array
        Significant wave height. [m]
    wind_speed, depth : arrays, broadcast against height
        As in `significant_height`. [m s⁻¹, m]

    Returns
    -------
    array, the broadcast shape
        [m]; infinite where this wind raises no sea as high, NaN as in `significant_height`.

    Notes
    -----
    The exact inverse of `significant_height`.

    References
    ----------
    .. [Breugem2007] As in `significant_height` (from memory, not read).

    Examples
    --------
    >>> equivalent_fetch([0.0, 0.4839, 9.0], 10.0).round(-1)
    array([   0., 5000.,   inf])
    """
    wind, known_height, deep = within_the_laws(wind_speed, height, depth)
    moving = np.maximum(wind, FAINTEST_WIND)
    limit = np.exp(_log_of_depth_limit(HEIGHT, np.log(moving), depth_term(HEIGHT, deep)))
    share = known_height * GRAVITY / (HEIGHT.full * moving**2)
    reached = np.minimum(share ** (1 / HEIGHT.power) / limit, 1.0)
    with np.errstate(divide="ignore"):
        grown = limit * np.arctanh(reached) / HEIGHT.fetch_factor
    fetch: FloatArray = grown ** (1 / HEIGHT.fetch_power) * moving**2 / GRAVITY
    return fetch


def _grown(law: GrowthLaw, wind_speed: ArrayLike, fetch: ArrayLike, depth: ArrayLike) -> FloatArray:
    wind, _, deep = within_the_laws(wind_speed, 0.0, depth)
    with np.errstate(divide="ignore", invalid="ignore"):
        log_fetch = np.log(np.asarray(fetch, dtype=float))  # a negative fetch gives NaN
    return grown_by_logarithms(law, wind, log_fetch, depth_term(law, deep))


def grown_by_logarithms(
    law: GrowthLaw, wind: FloatArray, log_fetch: FloatArray, by_depth: FloatArray
) -> FloatArray:
    """Return height or period from the logarithm of the fetch: faster than powers.

    Parameters
    ----------
    law
        `HEIGHT` or `PERIOD`.
    wind : array
        From `within_the_laws`. [m s⁻¹]
    log_fetch : array, broadcast against wind
        Of the fetch in metres; minus infinity where there is none.
    by_depth : array, broadcast against wind
        From `depth_term`.

    Returns
    -------
    array, the broadcast shape
        As `significant_height` and `peak_period`, to the last bit. [m or s]
    """
    log_wind = np.log(np.maximum(wind, FAINTEST_WIND))
    limited = _log_of_depth_limit(law, log_wind, by_depth)
    start = law.fetch_power * (np.log(GRAVITY) - 2 * log_wind) + (
        np.log(law.fetch_factor) - limited
    )
    grown = np.asarray(law.fetch_power * log_fetch + start)
    with np.errstate(divide="ignore", over="ignore"):
        np.tanh(np.exp(grown, out=grown), out=grown)
        np.log(grown, out=grown)
    grown += limited
    grown *= law.power
    np.exp(grown, out=grown)
    grown *= law.full / GRAVITY * wind**law.wind_power
    return grown


def depth_term(law: GrowthLaw, depth: FloatArray) -> FloatArray:
    """Return the part of the depth limit that does not depend on the wind; infinite if deep."""
    if np.isposinf(depth).all():
        return np.full((), np.inf)
    term: FloatArray = law.depth_factor * (GRAVITY * depth) ** law.depth_power
    return term


def _log_of_depth_limit(law: GrowthLaw, log_wind: FloatArray, by_depth: FloatArray) -> FloatArray:
    """Return the logarithm of the share of a sea on deep water that the depth allows."""
    if np.isposinf(by_depth).all():
        return np.zeros(())
    limit = np.tanh(by_depth * np.exp(-2 * law.depth_power * log_wind))
    logarithm: FloatArray = np.log(np.maximum(limit, 1e-12))
    return logarithm


def within_the_laws(
    wind_speed: ArrayLike, extent: ArrayLike, depth: ArrayLike
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Replace inputs outside the range of the laws by NaN, each in its own shape."""
    wind, positive, deep = (np.asarray(one, dtype=float) for one in (wind_speed, extent, depth))
    return (
        np.where((wind >= 0) & (wind <= STRONGEST_WIND), wind, np.nan),
        np.where(positive >= 0, positive, np.nan),
        np.where(deep > 0, deep, np.nan),
    )

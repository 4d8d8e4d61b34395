"""Other published growth laws, for comparison with the law in use.

Each returns significant height [m] and period [s] as a pair of arrays of the broadcast
shape, NaN where an input is NaN or negative, wind above 60 m s⁻¹ or depth not above 0; in a
calm both are 0. Wind is 10 m above the water. Every law was fitted with a fetch of its own
kind: give it that fetch and no other.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from safety_check.arrays import FloatArray
from safety_check.physics.waves import FAINTEST_WIND, GRAVITY, within_the_laws

Pair = tuple[FloatArray, FloatArray]

SAVILLE_OFFSETS = np.arange(-42.0, 43.0, 6.0)
"""Saville's fifteen radials, off the wind. [deg]"""


def smb(wind_speed: ArrayLike, fetch: ArrayLike, depth: ArrayLike = np.inf) -> Pair:
    """Height and significant period after Sverdrup, Munk and Bretschneider.

    Parameters
    ----------
    wind_speed, fetch, depth : arrays
        The fetch is that of `effective_fetch_saville`. [m s⁻¹, m, m]

    Returns
    -------
    pair of arrays
        Hs [m]; significant period [s], about 0.95 of the peak period.

    References
    ----------
    .. [SPM1977] USACE, Shore Protection Manual, 3rd ed., 1977, ch. 3 (from memory, not read).

    Examples
    --------
    >>> [float(one.round(2)) for one in smb(20.0, 10_000.0)]
    [1.45, 4.54]
    """
    wind, x, d = dimensionless(wind_speed, fetch, depth)
    a, b = np.tanh(0.530 * d**0.75), np.tanh(0.833 * d**0.375)
    height = 0.283 * a * np.tanh(0.0125 * x**0.42 / a)
    period = 2 * np.pi * 1.20 * b * np.tanh(0.077 * x**0.25 / b)
    return wind**2 / GRAVITY * height, wind / GRAVITY * period


def effective_fetch_saville(
    radials: FloatArray, offsets: FloatArray = SAVILLE_OFFSETS
) -> FloatArray:
    """Effective fetch of a narrow water: radials projected on the wind, weighted by cosine.

    Parameters
    ----------
    radials : array (radial,) or (radial, point)
        Open water along each radial. [m]
    offsets : array (radial,)
        Of the radials from the wind. [deg]

    Returns
    -------
    array () or (point,)
        Σ R cos²α / Σ cos α [m]; NaN where a radial is NaN or negative.

    Notes
    -----
    Belongs to the Sverdrup-Munk-Bretschneider growth law, which was fitted with it, and to no
    other. It looks no farther than its radials do, 42° off the wind.

    References
    ----------
    .. [Saville1962] Saville, McClendon & Cochran, Freeboard allowances for waves in inland
       reservoirs, J. Waterways Harbors Div. ASCE 88(WW2), 1962; second-hand, from a text
       after it.

    Examples
    --------
    >>> effective_fetch_saville(np.full(15, 1000.0)).round(1)
    np.float64(909.1)
    """
    cosine = np.cos(np.radians(offsets))
    known = np.where(np.asarray(radials) >= 0, radials, np.nan)
    effective: FloatArray = (cosine**2 / cosine.sum()) @ known
    return effective


def wilson1965(wind_speed: ArrayLike, fetch: ArrayLike) -> Pair:
    """Height and significant period after Wilson, deep water.

    Parameters
    ----------
    wind_speed, fetch : arrays
        Straight fetch. [m s⁻¹, m]

    Returns
    -------
    pair of arrays
        Hs [m]; significant period [s].

    References
    ----------
    .. [Wilson1965] Numerical prediction of ocean waves in the North Atlantic for December
       1959, Deutsche Hydrographische Zeitschrift 18, 1965 (from memory, not read).

    Examples
    --------
    >>> [float(one.round(2)) for one in wilson1965(10.0, 5_000.0)]
    [0.48, 2.31]
    """
    wind, x, _ = dimensionless(wind_speed, fetch)
    height = 0.30 * (1 - (1 + 0.004 * x**0.5) ** -2)
    period = 2 * np.pi * 1.37 * (1 - (1 + 0.008 * x ** (1 / 3)) ** -5)
    return wind**2 / GRAVITY * height, wind / GRAVITY * period


def jonswap1973(wind_speed: ArrayLike, fetch: ArrayLike) -> Pair:
    """Height and peak period of the Joint North Sea Wave Project, deep water.

    Parameters
    ----------
    wind_speed, fetch : arrays
        Straight fetch, short of full growth. [m s⁻¹, m]

    Returns
    -------
    pair of arrays
        Hm0 [m]; Tp [s].

    References
    ----------
    .. [Hasselmann1973] Measurements of wind-wave growth and swell decay during JONSWAP,
       Ergänzungsheft Deutsche Hydrographische Zeitschrift A8(12) (from memory, not read).

    Examples
    --------
    >>> [float(one.round(2)) for one in jonswap1973(10.0, 5_000.0)]
    [0.36, 2.25]
    """
    wind, x, _ = dimensionless(wind_speed, fetch)
    return wind**2 / GRAVITY * 4 * np.sqrt(1.6e-7 * x), wind / GRAVITY * x**0.33 / 3.5


def kahma_calkoen1992(wind_speed: ArrayLike, fetch: ArrayLike) -> Pair:
    """Height and peak period of the composite of stable and unstable air, deep water.

    Parameters
    ----------
    wind_speed, fetch : arrays
        Straight fetch, short of full growth. [m s⁻¹, m]

    Returns
    -------
    pair of arrays
        Hm0 [m]; Tp [s].

    References
    ----------
    .. [Kahma1992] Kahma and Calkoen, Reconciling discrepancies in the observed growth of
       wind-generated waves, J. Phys. Oceanogr. 22, 1992 (from memory, not read).

    Examples
    --------
    >>> [float(one.round(2)) for one in kahma_calkoen1992(10.0, 5_000.0)]
    [0.48, 2.49]
    """
    wind, x, _ = dimensionless(wind_speed, fetch)
    height = 4 * np.sqrt(5.2e-7 * x**0.9)
    return wind**2 / GRAVITY * height, wind / GRAVITY * 2 * np.pi / 13.7 * x**0.27


def donelan(wind_speed: ArrayLike, fetch: ArrayLike) -> Pair:
    """Height and peak period after Donelan, wind along the fetch, deep water.

    Parameters
    ----------
    wind_speed, fetch : arrays
        Straight fetch. [m s⁻¹, m]

    Returns
    -------
    pair of arrays
        Hs [m]; Tp [s].

    References
    ----------
    .. [Donelan1980] Similarity theory applied to the forecasting of wave heights, periods
       and directions, Proc. Canadian Coastal Conf., 1980 (as quoted by a guideline on dam
       freeboard, not read).

    Examples
    --------
    >>> [float(one.round(2)) for one in donelan(20.0, 10_000.0)]
    [1.21, 3.92]
    """
    wind, x, _ = dimensionless(wind_speed, fetch)
    return wind**2 / GRAVITY * 0.00366 * x**0.38, wind / GRAVITY * 0.542 * x**0.23


def young_verhagen1996(wind_speed: ArrayLike, fetch: ArrayLike, depth: ArrayLike = np.inf) -> Pair:
    """Height and peak period of Lake George, of finite depth.

    Parameters
    ----------
    wind_speed, fetch, depth : arrays
        Straight fetch, 1.3 to 16 km. [m s⁻¹, m, m]

    Returns
    -------
    pair of arrays
        Hm0 [m]; Tp [s].

    References
    ----------
    .. [Young1996] Young and Verhagen, The growth of fetch limited waves in water of finite
       depth, part 1, Coastal Eng. 29, 1996 (from memory, not read).

    Examples
    --------
    >>> [float(one.round(2)) for one in young_verhagen1996(20.0, 10_000.0, 20.0)]
    [0.98, 4.12]
    """
    wind, x, d = dimensionless(wind_speed, fetch, depth)
    a1, a2 = np.tanh(0.493 * d**0.75), np.tanh(0.331 * d**1.01)
    energy = 3.64e-3 * (a1 * np.tanh(3.13e-3 * x**0.57 / a1)) ** 1.74
    length = (a2 * np.tanh(5.215e-4 * x**0.73 / a2)) ** 0.37
    return 4 * wind**2 / GRAVITY * np.sqrt(energy), wind / GRAVITY * length / 0.133


def cem2002(wind_speed: ArrayLike, fetch: ArrayLike) -> Pair:
    """Height and peak period of the Coastal Engineering Manual, deep water.

    Parameters
    ----------
    wind_speed, fetch : arrays
        Straight fetch: the manual advises against an effective one. [m s⁻¹, m]

    Returns
    -------
    pair of arrays
        Hm0 [m]; Tp [s]; neither above full growth.

    References
    ----------
    .. [CEM-II-2] USACE, Coastal Engineering Manual, EM 1110-2-1100, part II, ch. 2, 2003:
       eqs. II-2-36 (growth and drag, from memory, not read) and II-2-37 (full growth).

    Examples
    --------
    >>> [float(one.round(2)) for one in cem2002(10.0, 5_000.0)]
    [0.36, 2.03]
    """
    wind, _, _ = within_the_laws(wind_speed, fetch, np.inf)
    friction = np.sqrt(1e-3 * (1.1 + 0.035 * wind)) * wind
    stress, x, _ = dimensionless(friction, fetch)
    height = np.minimum(4.13e-2 * x**0.5, 211.5)
    period = np.minimum(0.751 * x ** (1 / 3), 239.8)
    return stress**2 / GRAVITY * height, stress / GRAVITY * period


def dimensionless(
    wind_speed: ArrayLike, fetch: ArrayLike, depth: ArrayLike = np.inf
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Wind [m s⁻¹], then fetch and depth over U² / g."""
    wind, open_water, deep = within_the_laws(wind_speed, fetch, depth)
    moving = np.maximum(wind, FAINTEST_WIND)
    return wind, GRAVITY * open_water / moving**2, GRAVITY * deep / moving**2

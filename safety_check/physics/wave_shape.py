"""What a wave of known height and period is like: its length, steepness and breaking."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from safety_check.arrays import FloatArray
from safety_check.physics.waves import GRAVITY

FIRST_WHITECAPS = 3.0
"""Wind from which single whitecaps are seen on salt water. [m s⁻¹]"""

WHITECAP_LAW_ENDS = 20.0
"""The whitecap fraction is held beyond this wind. [m s⁻¹]"""

HIGHEST_TENTH = 1.27
"""Mean of the highest tenth of waves over the significant height, Rayleigh. [1]"""

BREAKING_SHARE = 0.55
"""Significant height over depth at which a sea over a flat bed breaks; 0.5 to 0.6. [1]"""

BED_NOT_FELT = 20.0
"""Depth times wave number from which tanh is 1 in double precision. [1]"""

NEWTON_STEPS = 4
"""Enough for 1e-12 of the length at every depth; each step squares the error. [1]"""


def wavelength(period: ArrayLike, depth: ArrayLike = np.inf) -> FloatArray:
    """Length of a small wave, crest to crest.

    Parameters
    ----------
    period : array
        [s]
    depth : array, broadcast against period
        [m]

    Returns
    -------
    array, the broadcast shape
        [m]; 0 for period 0, NaN where an input is NaN, the period negative, the depth not
        above 0.

    Notes
    -----
    ω² = g k tanh kd, solved by Newton's method to 1e-12 of the length, from a first guess
    that is within 5 %. No current, and low waves: steep ones are up to a tenth longer.

    References
    ----------
    .. [CEM-II-1] USACE, Coastal Engineering Manual, EM 1110-2-1100, part II, ch. 1, 2002:
       linear dispersion, example II-1-1.
    .. [Eckart1952] Eckart, The propagation of waves from deep to shallow water, 1952: the
       first guess kd = x / √tanh x with x = ω² d / g (from memory, not read).

    Examples
    --------
    >>> wavelength([0.0, 2.0, 10.0], [3.0, np.inf, 3.0]).round(2)
    array([ 0.  ,  6.25, 53.16])
    """
    duration, deep = np.asarray(period, dtype=float), np.asarray(depth, dtype=float)
    known = (duration >= 0) & (deep > 0)
    in_deep_water = GRAVITY * np.where(known, duration, np.nan) ** 2 / (2 * np.pi)
    moving = known & (duration > 0)
    x = 2 * np.pi * np.where(moving, deep, 1.0) / np.where(moving, in_deep_water, 1.0)
    x = np.clip(x, 1e-12, BED_NOT_FELT)
    kd = x / np.sqrt(np.tanh(x))
    for _ in range(NEWTON_STEPS):
        tanh = np.tanh(kd)
        kd = kd - (kd * tanh - x) / (tanh + kd * (1 - tanh**2))
    length: FloatArray = in_deep_water * x / kd
    return length


def steepness(height: ArrayLike, length: ArrayLike) -> FloatArray:
    """Height over length of a wave.

    Parameters
    ----------
    height, length : arrays, broadcast against each other
        [m, m]

    Returns
    -------
    array, the broadcast shape
        [1]; 0 where there is no wave, NaN where an input is NaN or negative or a wave has
        no length.

    Notes
    -----
    Fetch-limited lake waves have 0.045 to 0.06: steep, against ocean swell.

    References
    ----------
    .. [CEM-II-1] USACE, Coastal Engineering Manual, EM 1110-2-1100, part II, ch. 1, 2002.

    Examples
    --------
    >>> steepness([0.0, 0.3], [0.0, 6.0])
    array([0.  , 0.05])
    """
    high, long = np.asarray(height, dtype=float), np.asarray(length, dtype=float)
    wave = (high > 0) & (long > 0)
    ratio = high / np.where(wave, long, 1.0)
    return np.where(wave | ((high == 0) & (long >= 0)), ratio, np.nan)


def depth_limited_height(depth: ArrayLike) -> FloatArray:
    """Significant height beyond which a sea breaks on the bed.

    Parameters
    ----------
    depth : array of any shape
        [m]

    Returns
    -------
    array, shape of depth
        [m]; NaN where the depth is NaN or not above 0.

    Notes
    -----
    0.55 of the depth: our choice among the 0.5 to 0.6 in use over a flat bed. Single
    waves reach 0.78 of it, more where the bed is steep.

    References
    ----------
    .. [McCowan1894] The single wave, 0.78 (from memory, not read).

    Examples
    --------
    >>> depth_limited_height([2.0, -1.0])
    array([1.1, nan])
    """
    deep = np.asarray(depth, dtype=float)
    return BREAKING_SHARE * np.where(deep > 0, deep, np.nan)


def highest_tenth(significant_height: ArrayLike) -> FloatArray:
    """Mean height of the highest tenth of the waves.

    Parameters
    ----------
    significant_height : array of any shape
        [m]

    Returns
    -------
    array, shape of significant_height
        [m]; NaN where the height is NaN or negative.

    Notes
    -----
    Rayleigh's distribution, deep water: on a shoal the highest have broken.

    References
    ----------
    .. [LonguetHiggins1952] On the statistical distribution of the heights of sea waves,
       J. Marine Res. 11, 1952 (from memory, not read).

    Examples
    --------
    >>> highest_tenth([0.5]).round(3)
    array([0.635])
    """
    high = np.asarray(significant_height, dtype=float)
    return HIGHEST_TENTH * np.where(high >= 0, high, np.nan)


def whitecap_fraction(wind_speed: ArrayLike) -> FloatArray:
    """Share of the sea that is covered by whitecaps.

    Parameters
    ----------
    wind_speed : array of any shape
        Wind 10 m above the water. [m s⁻¹]

    Returns
    -------
    array, shape of wind_speed
        [1]; NaN where the wind is NaN or negative.

    Notes
    -----
    Salt water and wide fetch, and fitted from about 3.7 m s⁻¹; held from 20 m s⁻¹ on.
    Fresh water shows fewer and shorter-lived ones: a lake without whitecaps proves nothing.

    References
    ----------
    .. [Monahan1980] Monahan and O'Muircheartaigh, Optimal power-law description of oceanic
       whitecap coverage, J. Phys. Oceanogr. 10, 1980 (as cited in public code, not read).

    Examples
    --------
    >>> whitecap_fraction([0.0, 10.0]).round(4)
    array([0.    , 0.0099])
    """
    wind = np.asarray(wind_speed, dtype=float)
    fraction: FloatArray = (
        3.84e-6 * np.minimum(np.where(wind >= 0, wind, np.nan), WHITECAP_LAW_ENDS) ** 3.41
    )
    return fraction

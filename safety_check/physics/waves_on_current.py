"""Waves that run into a current: shorter, higher and steeper, until they break."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.physics.waves import GRAVITY

WEAKEST_KNOWN = -0.15
"""Opposing current over the speed of the wave in still deep water, to which linear theory was
checked against measurements. Beyond it waves break or are stopped. [1]"""

BREAKING = 0.142
"""Greatest height of a wave over its length times tanh kd. [1]"""

ON_THE_WAY = np.arange(0.025, -WEAKEST_KNOWN, 0.025)
"""Weaker opposing currents that a wave met before, over its speed in still deep water. [1]"""

ITERATIONS = 14
"""Of Newton's method, which nears the root from one side: within 1e-11 of it up to where the
current stops the waves."""


class WavesOnCurrent(NamedTuple):
    """Waves on a current.

    Parameters
    ----------
    height : array
        Significant, the greatest before they break. [m]
    height_ratio, steepness_ratio : array
        Height, and height over length, over those of the same waves on still water. [1]
    breaking : array
        1 where they break or are stopped, else 0. [1]
    """

    height: FloatArray
    height_ratio: FloatArray
    steepness_ratio: FloatArray
    breaking: FloatArray


def waves_on_current(
    height: FloatArray, period: FloatArray, along: FloatArray, depth: float = np.inf
) -> WavesOnCurrent:
    """Waves from still water after they ran into a current.

    Parameters
    ----------
    height : array
        Significant, on still water. [m]
    period : array, broadcast against it
        Peak period on still water. [s]
    along : array, broadcast against them
        Of the current along the direction in which the waves run: negative against them.
        A following current is taken as none: it makes waves lower, but it may turn. [m s⁻¹]
    depth
        Infinite where it is not known. [m]

    Returns
    -------
    WavesOnCurrent
        NaN where an input is; waves of no height, or of no period, stay as they are.

    Notes
    -----
    Beyond U/c0 = -0.15 the ratios are those of -0.15, and the waves count as breaking. So do
    those that would be steeper than the breaking limit; they keep the height at which they
    broke. Broad and spread seas at sea do not follow this law in every case, and no current says
    how far it reaches: the ratio is a warning, not a forecast of the height.

    References
    ----------
    .. [Phillips1977] Phillips, The Dynamics of the Upper Ocean, 2nd ed., 1977, ch. 2 and 3:
       omega = sigma + k U (from memory, not read).
    .. [Bretherton1968] Bretherton and Garrett, 1968: E (cg + U) / sigma is constant (from
       memory, not read).
    .. [CCE1982] 18th Int. Conf. on Coastal Engineering, paper 28, 1982 (abstract read): linear
       theory holds for the length down to U/c = -0.15.
    .. [Miche1944] Miche, 1944: H / L at breaking (from memory, not read).

    Examples
    --------
    Waves of 0.3 m and 3 s against 0, 1 and 2 kt.

    >>> against = -0.514 * np.array([0.0, 1.0, 2.0])
    >>> met = waves_on_current(np.array(0.3), np.array(3.0), against)
    >>> met.height_ratio.round(2), met.breaking
    (array([1.  , 1.32, 1.54]), array([0., 0., 1.]))
    """
    height, period, along = np.broadcast_arrays(height, period, along)
    deep_speed = np.maximum(GRAVITY * period / (2 * np.pi), 1e-6)
    share = np.minimum(along, 0.0) / deep_speed
    still = _still_number(_omega(period), depth)
    known_along = np.maximum(share, WEAKEST_KNOWN) * deep_speed
    ratio, length = ratios_on_current(period, known_along, depth, still)
    limit = _breaking_height(still, length, depth)
    broken = (share < WEAKEST_KNOWN) | np.isinf(ratio) | (height * ratio > limit)
    highest = np.maximum(_unbroken(height * ratio, limit), height)
    for weaker in ON_THE_WAY:
        before, shorter = ratios_on_current(period, -weaker * deep_speed, depth, still)
        there = _unbroken(height * before, _breaking_height(still, shorter, depth))
        highest = np.where(broken & (share < -weaker), np.maximum(highest, there), highest)
    steeper = np.where(np.isinf(ratio), np.inf, ratio / length)
    none = (height == 0) | (period == 0)
    known = np.isfinite(height + period + along)
    unchanged = WavesOnCurrent(
        height, np.ones_like(height), np.ones_like(height), np.zeros_like(height)
    )
    changed = WavesOnCurrent(highest, ratio, steeper, broken.astype(float))
    return WavesOnCurrent(
        *(
            np.where(known, np.where(none, before, after), np.nan)
            for before, after in zip(unchanged, changed, strict=True)
        )
    )


def ratios_on_current(
    period: FloatArray,
    along: FloatArray,
    depth: float = np.inf,
    still: FloatArray | None = None,
) -> tuple[FloatArray, FloatArray]:
    """Height and length of waves on a current over those on still water of the same depth.

    Parameters
    ----------
    period : array
        On still water. [s]
    along : array, broadcast against it
        Of the current along the waves' direction; negative against them. [m s⁻¹]
    depth
        [m]
    still : array
        Wave number on still water of this depth, where it is known already. [m⁻¹]

    Returns
    -------
    height_ratio, length_ratio : arrays
        [1]; infinite and NaN where the current stops the waves.

    Notes
    -----
    sigma(k) + k U is a concave function of the wave number k. Newton's method from the still
    water's k therefore nears the wave's own root from the left, and where the slope cg + U is no
    longer positive there is no root: the current stops the wave. On deep water that is at
    U = -c0 / 4.

    References
    ----------
    .. [Phillips1977] As in `waves_on_current`.
    .. [Bretherton1968] As in `waves_on_current`.

    Examples
    --------
    >>> deep = GRAVITY * 5.0 / (2 * np.pi)
    >>> height, length = ratios_on_current(np.array(5.0), deep * np.array([-0.1, -0.3]))
    >>> height.round(4), length.round(4)
    (array([1.2805,    inf]), array([0.7873,    nan]))
    """
    omega = _omega(period) + 0 * along
    still = _still_number(omega, depth) if still is None else still
    number = _wave_number(omega, still, along, depth)
    sigma, group = _sigma_and_group(number, depth)
    _, group_still = _sigma_and_group(still, depth)
    moving = group + along > 0
    action = group_still * sigma / (omega * np.where(moving, group + along, 1.0))
    stopped = np.isnan(number) & np.isfinite(omega + along)
    height = np.where(stopped, np.inf, np.sqrt(np.where(moving, action, np.nan)))
    return height, still / number


def _omega(period: FloatArray) -> FloatArray:
    omega: FloatArray = 2 * np.pi / np.maximum(period, 1e-6)
    return omega


def _still_number(omega: FloatArray, depth: float) -> FloatArray:
    """Wave number on still water."""
    return _wave_number(omega, omega**2 / GRAVITY, np.zeros_like(omega), depth)


def _wave_number(
    omega: FloatArray, first: FloatArray, along: FloatArray, depth: float
) -> FloatArray:
    """Root of sigma(k) + k U = omega nearest to zero; NaN where there is none."""
    number = first
    for _ in range(ITERATIONS):
        sigma, group = _sigma_and_group(number, depth)
        slope = group + along
        step = (sigma + number * along - omega) / np.where(slope > 0, slope, np.nan)
        number = number - step
    return number


def _sigma_and_group(number: FloatArray, depth: float) -> tuple[FloatArray, FloatArray]:
    """Intrinsic frequency and group speed of waves of a wave number."""
    if np.isinf(depth):
        sigma = np.sqrt(GRAVITY * number)
        return sigma, sigma / (2 * number)
    deep = number * depth
    shoal = np.tanh(deep)
    sigma = np.sqrt(GRAVITY * number * shoal)
    ratio = 2 * deep / np.sinh(np.minimum(2 * deep, 500.0))
    return sigma, sigma / (2 * number) * (1 + ratio)


def _unbroken(height: FloatArray, limit: FloatArray) -> FloatArray:
    """Height up to the breaking limit; 0 where the current stops the wave."""
    return np.where(np.isinf(height), 0.0, np.minimum(height, limit))


def _breaking_height(still: FloatArray, length_ratio: FloatArray, depth: float) -> FloatArray:
    """Greatest height before a wave breaks, of the length that the current leaves."""
    length = length_ratio * 2 * np.pi / still
    limit: FloatArray = BREAKING * length * np.tanh(np.minimum(2 * np.pi / length * depth, 500.0))
    return limit

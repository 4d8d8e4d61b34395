"""A sea without wind: its period, and how much of it is left after breaking and travelling."""

from __future__ import annotations

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.physics.waves import GRAVITY, HEIGHT, PERIOD

HOUR = 3600.0
"""[s]"""

DISSIPATION = 2.36e-5
"""Share of a fully grown sea's energy lost to whitecaps per radian of mean frequency. [1]"""

MEAN_PERIOD = 0.857
"""Energy-mean period over peak period of the Pierson-Moskowitz spectrum. [1]"""

GROWN_STEEPNESS = 2 * np.pi * HEIGHT.full / PERIOD.full**2
"""Height over deep-water length of a fully grown sea, the limit of [Breugem2007]. [1]"""


def left_after_an_hour(energy: FloatArray, fetch: FloatArray) -> FloatArray:
    """Energy left of a sea without wind after an hour.

    Parameters
    ----------
    energy : array
        Square of the significant height. [m²]
    fetch : array, broadcast against energy
        Open water between the place and the shore that the sea comes from. [m]

    Returns
    -------
    array, the broadcast shape
        [m²]; NaN where an input is.

    Notes
    -----
    The sea has the steepness of a fully grown one, so its period follows from its height.
    It breaks: dE/dt = −C ω E, at that steepness. It also travels away: with energy in proportion
    to distance from shore, the loss at the group velocity c is dE/dt = −c E / R; since c
    falls with the height this integrates to E (1 + c t / 4R)^-4. Cautious: side winds and
    head winds, which reduce it faster, are ignored.

    References
    ----------
    .. [Komen1984] Komen, Hasselmann and Hasselmann, On the existence of a fully developed
       wind-sea spectrum, J. Phys. Oceanogr. 14, 1984: whitecapping, with the coefficients
       of the WAM cycle 3 physics: C = 2.36e-5 where E k² = 3.02e-3, and ours has 2.97e-3
       (read in public code, not in the paper).

    Examples
    --------
    >>> np.sqrt(left_after_an_hour(np.array([1.0]), np.array([20e3, 200e3]))).round(2)
    array([0.68, 0.91])
    """
    period = old_sea_period(energy)
    run = GRAVITY * period / (4 * np.pi) * HOUR
    mean_frequency = 2 * np.pi / (MEAN_PERIOD * np.maximum(period, 0.1))
    unbroken = np.exp(-DISSIPATION * mean_frequency * HOUR)
    staying = (1 + run / (4 * np.maximum(fetch, 1.0))) ** -4
    left: FloatArray = energy * unbroken * staying
    return left


def old_sea_period(energy: FloatArray) -> FloatArray:
    """Peak period of a sea of fully grown steepness."""
    period: FloatArray = np.sqrt(2 * np.pi * np.sqrt(energy) / (GRAVITY * GROWN_STEEPNESS))
    return period

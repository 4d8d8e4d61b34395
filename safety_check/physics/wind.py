"""Wind at other heights than ten metres, and the Beaufort scale."""

from __future__ import annotations

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.beaufort import LOWEST

OPEN_WATER = 0.0002
"""Roughness length of open water with some kilometres of fetch. [m]"""

REFERENCE_HEIGHT = 10.0
"""Height above ground of forecast winds. [m]"""

BEAUFORT_EDGES = np.array(LOWEST[1:])
"""Lowest wind of Beaufort 1 to 12, WMO code table 1100. [m s⁻¹]"""

BEAUFORT_SCALE_LAW = 0.836
"""v = 0.836 B^1.5. [m s⁻¹]"""


def wind_at_height(
    wind_speed: FloatArray, height: float, roughness: float = OPEN_WATER
) -> FloatArray:
    """Mean wind at another height than ten metres, in neutral air.

    Parameters
    ----------
    wind_speed : array of any shape
        Wind 10 m above the surface. [m s⁻¹]
    height
        Height above the surface. [m]
    roughness
        Roughness length: 0.0002 open water, 0.03 open land, 0.25 rough land. [m]

    Returns
    -------
    array, shape of wind_speed
        [m s⁻¹]; NaN where the wind is NaN or negative, and for a height within the
        roughness or above 100 m, where the law ends.

    Notes
    -----
    With warm air over cold water the wind at the surface is weaker than this; with cold air over
    warm water there are more gusts.

    References
    ----------
    .. [Wieringa1992] Davenport-Wieringa roughness classes, as tabled by Stull,
       Practical Meteorology, ch. 18.

    Examples
    --------
    >>> wind_at_height(np.array([10.0]), 1.0).round(2)
    array([7.87])
    """
    applies = 0 < roughness < height <= 100
    share = np.log(height / roughness) / np.log(REFERENCE_HEIGHT / roughness) if applies else np.nan
    return _known(wind_speed) * share


def beaufort(wind_speed: FloatArray) -> FloatArray:
    """Beaufort number of a mean wind ten metres up.

    Parameters
    ----------
    wind_speed : array of any shape
        [m s⁻¹]

    Returns
    -------
    array, shape of wind_speed
        Whole numbers 0 to 12 [1]; NaN where the wind is NaN or negative.

    Notes
    -----
    A force begins at its lowest printed wind. The table rounds each unit separately, so
    16 kt, printed under 4, are 8.2 m/s and count as 5 here.

    References
    ----------
    .. [WMO306] WMO-No. 306, Manual on Codes, code table 1100 (forces 0 to 8 as several
       printed tables agree, 9 to 12 from memory).

    Examples
    --------
    >>> beaufort(np.array([0.0, 5.4, 5.5, 40.0]))
    array([ 0.,  3.,  4., 12.])
    """
    known = _known(wind_speed)
    force = np.searchsorted(BEAUFORT_EDGES, known, side="right").astype(float)
    return np.where(np.isnan(known), np.nan, force)


def beaufort_lower_edge(force: FloatArray) -> FloatArray:
    """Lowest wind of a Beaufort number.

    Parameters
    ----------
    force : array of any shape
        Whole numbers 0 to 12. [1]

    Returns
    -------
    array, shape of force
        [m s⁻¹]; NaN for anything else.

    References
    ----------
    .. [WMO306] WMO-No. 306, Manual on Codes, code table 1100.

    Examples
    --------
    >>> beaufort_lower_edge(np.array([0.0, 4.0, 4.5]))
    array([0. , 5.5, nan])
    """
    edges = np.concatenate([[0.0], BEAUFORT_EDGES])
    tabled = (force >= 0) & (force <= 12) & (force == np.floor(force))
    return np.where(tabled, edges[np.where(tabled, force, 0).astype(int)], np.nan)


def lowered_by_beaufort(wind_speed: FloatArray, steps: FloatArray) -> FloatArray:
    """Lower a wind, such as a limit, by steps of the Beaufort scale.

    Parameters
    ----------
    wind_speed : array of any shape
        [m s⁻¹]
    steps : array, broadcast against wind_speed
        Beaufort numbers to go down, whole or not, never below calm. [1]

    Returns
    -------
    array
        [m s⁻¹]; NaN where either is NaN or negative.

    References
    ----------
    .. [WMO306] WMO-No. 306, Manual on Codes, code table 1100: the scale's own law
       v = 0.836 B^1.5 (from memory, not read).

    Examples
    --------
    >>> lowered_by_beaufort(np.array([6.688, 0.5]), np.array(1.0)).round(2)
    array([4.34, 0.  ])
    """
    force = (_known(wind_speed) / BEAUFORT_SCALE_LAW) ** (2 / 3)
    return BEAUFORT_SCALE_LAW * np.maximum(force - _known(steps), 0.0) ** 1.5


def _known(amount: FloatArray) -> FloatArray:
    """The amount; NaN where it is negative."""
    return np.where(amount >= 0, amount, np.nan)

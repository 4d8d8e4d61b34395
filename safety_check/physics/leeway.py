"""Leeway: drift speed of a stopped craft, or of a person in the water, in wind."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from safety_check.arrays import FloatArray

UPRIGHT_SLOPE = 0.0375
"""Drift of a stopped craft with someone upright in it, over the wind: the middle of 3 to 4.5 %
(judgement, from the root of the ratio of drag areas). [1]"""


@dataclass(frozen=True)
class Leeway:
    """One row of the leeway table; each line is slope [1], offset and scatter [m s⁻¹].

    Parameters
    ----------
    downwind, right, left
        Downwind, and crosswind to the right or the left; left is negative.
    """

    downwind: tuple[float, float, float]
    right: tuple[float, float, float]
    left: tuple[float, float, float]

    @classmethod
    def printed(
        cls, downwind: Sequence[float], right: Sequence[float], left: Sequence[float]
    ) -> Leeway:
        """Return a row from its values as printed: slope in percent, the rest in cm/s.

        Examples
        --------
        >>> Leeway.printed([2.0, 10.0, 4.0], [0.4, 0.0, 4.0], [-0.4, 0.0, 4.0]).downwind
        (0.02, 0.1, 0.04)
        """

        def line(values: Sequence[float]) -> tuple[float, float, float]:
            slope, offset, scatter = (value / 100 for value in values)
            return slope, offset, scatter

        return cls(line(downwind), line(right), line(left))


def downwind_speed(wind_speed: FloatArray, leeway: Leeway) -> FloatArray:
    """Drift downwind by the published regression line.

    Parameters
    ----------
    wind_speed : array of any shape
        Ten metres up. [m s⁻¹]
    leeway
        The object's row.

    Returns
    -------
    array
        [m s⁻¹], never upwind; NaN where the wind is NaN or negative.

    References
    ----------
    .. [AllenPlourde1999] Allen and Plourde, Review of Leeway, 1999; Allen 2005; Breivik
       and Allen 2008, J. Mar. Syst. 69: the list of 2011 (data file read).

    Examples
    --------
    >>> sea_kayak = Leeway.printed([1.16, 11.12, 4.12], [0.41, 0, 4.39], [-0.41, 0, 4.39])
    >>> downwind_speed(np.array([5.0, 10.0]), sea_kayak).round(4)
    array([0.1692, 0.2272])
    """
    slope, offset, _ = leeway.downwind
    return np.maximum(slope * _known(wind_speed) + offset, 0.0)


def stopped_speed(wind_speed: FloatArray, leeway: Leeway) -> FloatArray:
    """Drift of a stopped craft with someone upright in it: the larger of two figures.

    Parameters
    ----------
    wind_speed : array of any shape
        Ten metres up. [m s⁻¹]
    leeway
        The craft's row.

    Returns
    -------
    array
        [m s⁻¹]; NaN where the wind is NaN or negative.

    Notes
    -----
    The table's kayak was tested with a person lying on its deck; an angler who sits up,
    with a side to the wind, catches more wind.

    References
    ----------
    .. [AllenPlourde1999] As in `downwind_speed`; 3.75 % of the wind is judgement.

    Examples
    --------
    >>> sea_kayak = Leeway.printed([1.16, 11.12, 4.12], [0.41, 0, 4.39], [-0.41, 0, 4.39])
    >>> stopped_speed(np.array([2.0, 10.0]), sea_kayak).round(4)
    array([0.1344, 0.375 ])
    """
    return np.maximum(downwind_speed(wind_speed, leeway), UPRIGHT_SLOPE * _known(wind_speed))


def aside_speed(wind_speed: FloatArray, leeway: Leeway, side: int) -> FloatArray:
    """Drift across the wind, positive to the right of the direction in which it blows.

    Parameters
    ----------
    wind_speed : array of any shape
        Ten metres up. [m s⁻¹]
    leeway
        The object's row.
    side
        1 for an object that drifts to the right, -1 to the left, 0 for straight downwind.

    Returns
    -------
    array
        [m s⁻¹]; NaN where the wind is NaN or negative.

    References
    ----------
    .. [AllenPlourde1999] As in `downwind_speed`.

    Examples
    --------
    >>> sea_kayak = Leeway.printed([1.16, 11.12, 4.12], [0.41, 0, 4.39], [-0.41, 0, 4.39])
    >>> [aside_speed(np.array(10.0), sea_kayak, side).round(3).item() for side in (-1, 0, 1)]
    [-0.041, 0.0, 0.041]
    """
    slope, offset, _ = {-1: leeway.left, 0: (0.0, 0.0, 0.0), 1: leeway.right}[side]
    return slope * _known(wind_speed) + offset


def drift_velocity(
    downwind: FloatArray, aside: FloatArray, wind_from_direction: FloatArray
) -> FloatArray:
    """Drift as east and north from its parts along and across the wind.

    Parameters
    ----------
    downwind, aside : array (member, hour)
        From `downwind_speed` or `stopped_speed`, and from `aside_speed`. [m s⁻¹]
    wind_from_direction : array, broadcast against them
        [deg true]

    Returns
    -------
    array (member, hour, 2)
        East, north [m s⁻¹]; NaN where an input is NaN.

    References
    ----------
    .. [AllenPlourde1999] The parts as in `downwind_speed`.

    Examples
    --------
    >>> drift_velocity(np.array(0.3), np.array(0.1), np.array(0.0)).round(3)
    array([-0.1, -0.3])
    """
    towards = np.radians(wind_from_direction + 180.0)
    east = downwind * np.sin(towards) + aside * np.cos(towards)
    north = downwind * np.cos(towards) - aside * np.sin(towards)
    return np.stack([east, north], axis=-1)


def _known(wind_speed: FloatArray) -> FloatArray:
    return np.where(wind_speed >= 0, wind_speed, np.nan)

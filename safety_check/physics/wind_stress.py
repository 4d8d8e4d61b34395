"""Stress of the wind on the water, which drives waves and drift."""

from __future__ import annotations

import numpy as np

from safety_check.arrays import FloatArray

STRESS_RATIO = 0.0391
"""u* / U at which the two forms of [Kahma1992] agree, by wind and by stress. [1]"""

DRAG_LEVELS_OFF = 21.0
"""Garratt's drag was measured up to here; above, it stays constant. [m s⁻¹]"""


def friction_velocity(wind_speed: FloatArray) -> FloatArray:
    """Root of the wind's stress on the water over the density of air.

    Parameters
    ----------
    wind_speed : array of any shape
        Wind 10 m above the water. [m s⁻¹]

    Returns
    -------
    array, shape of wind_speed
        u* [m s⁻¹]; NaN where the wind is NaN or negative.

    Notes
    -----
    Neutral air, 4 to 21 m s⁻¹. Above that range the drag coefficient stays constant, since it
    levels off there; below it, where there are hardly any waves, the line is extended.

    References
    ----------
    .. [Garratt1977] Garratt, Review of drag coefficients over oceans and continents, Monthly
       Weather Rev. 105, 1977 (from memory, not read; gives the adjusted winds printed in
       the examples of [ACES1992]).

    Examples
    --------
    >>> friction_velocity(np.array([0.0, 10.0])).round(3)
    array([0.   , 0.377])
    """
    wind = np.where(wind_speed >= 0, wind_speed, np.nan)
    drag = 1e-3 * (0.75 + 0.067 * np.minimum(wind, DRAG_LEVELS_OFF))
    velocity: FloatArray = np.sqrt(drag) * wind
    return velocity


def stress_wind(wind_speed: FloatArray) -> FloatArray:
    """Wind that counts for the growth of waves, by its stress.

    Parameters
    ----------
    wind_speed : array of any shape
        Wind 10 m above the water. [m s⁻¹]

    Returns
    -------
    array, shape of wind_speed
        [m s⁻¹]; equals the wind near 11.6 m s⁻¹, below it is less, above it more. NaN as in
        `friction_velocity`.

    Notes
    -----
    Waves take up stress, not speed. The growth that [Breugem2007] joins is published by
    wind, ε = 5.2e-7 X^0.9, and by stress, ε* = 6.5e-4 X*^0.9. The two agree in energy, and
    in peak frequency (2.18 X^-0.27, 0.49 X*^-0.27) too, where u* = 0.039 U; this wind
    converts one law to the scale of the other.

    References
    ----------
    .. [Kahma1992] Kahma and Calkoen, Reconciling discrepancies in the observed growth of
       wind-generated waves, J. Phys. Oceanogr. 22, 1992; the form by stress as given by
       Komen et al., Dynamics and Modelling of Ocean Waves, 1994 (from memory, not read).

    Examples
    --------
    >>> stress_wind(np.array([5.0, 11.6, 15.0])).round(1)
    array([ 4.2, 11.6, 16.1])
    """
    return friction_velocity(wind_speed) / STRESS_RATIO

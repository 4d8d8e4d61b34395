"""Share of CAPE that thunderstorms can use, from each model's rain and thunder."""

from __future__ import annotations

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.settings.limits import GradeEntry

CAPE = "atmosphere_convective_available_potential_energy"


def usable_energy(
    energy: FloatArray, rain: FloatArray, thunder: FloatArray, by_rain: GradeEntry
) -> FloatArray:
    """Return the convective energy that counts: all of it where a model starts a storm or rain.

    Parameters
    ----------
    energy : array (member, hour)
        CAPE, the worse end of each hour. [J kg⁻¹]
    rain : array (member, hour)
        In the hour. [kg m⁻²]
    thunder : array (member, hour)
        1 where the model has a thunderstorm, 0 where not, NaN where it does not say.
    by_rain
        How much of the energy counts with how much rain.

    Returns
    -------
    array (member, hour)
        [J kg⁻¹]; NaN where the energy is not known. What is not known of rain or thunder
        counts as a storm.
    """
    share = by_rain.share(rain)
    quiet = ~np.isnan(rain) & (thunder == 0.0)
    return energy * np.where(quiet, share, 1.0)

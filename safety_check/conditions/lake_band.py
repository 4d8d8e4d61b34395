"""The band of a lake's surface temperature: a cold end and a warm end for each day."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from safety_check.arrays import FloatArray, IntArray
from safety_check.conditions.lake_model import LakeModel
from safety_check.physics.lake_temperature import DEEPEST_RUN, surface_temperature


@dataclass(frozen=True)
class Band:
    """Daily mean temperature of a lake's surface, as estimated from the air.

    Parameters
    ----------
    cold, warm : array (day,)
        On at most one day in twenty the water is below `cold`, and on at most one in twenty
        above `warm`. [degC]
    middle : array (day,)
        The middle of the runs. [degC]
    """

    cold: FloatArray
    middle: FloatArray
    warm: FloatArray


def find_band(
    air: FloatArray, sun: FloatArray, month: IntArray, depths: FloatArray, model: LakeModel
) -> Band:
    """Return the band of a lake, or of all lakes of some mean depths.

    Parameters
    ----------
    air, sun, month : array (day,)
        Successive days: air temperature, insolation, month. [degC, W m⁻², 1]
    depths : array (depth,)
        The mean depths that the lake may have. [m]
    model
        From config.

    Notes
    -----
    For each depth the model runs with several multiples of it; the coldest and the warmest
    run, with the margin of the season and of the class of the depth, are its ends. Over
    the depths the coldest and the warmest end count.
    """
    factors = model.depth_factors
    tried = np.minimum(np.outer(depths, factors), DEEPEST_RUN)
    runs = surface_temperature(
        air[:, None], sun[:, None], tried.ravel(), model.coefficients
    ).reshape(len(air), *tried.shape)
    cold, warm = model.margins.at(month, depths)
    coldest, warmest = runs.min(axis=2), runs.max(axis=2)
    return Band(
        cold=np.maximum(0.0, coldest + cold).min(axis=1),
        middle=(coldest.min(axis=1) + warmest.max(axis=1)) / 2,
        warm=(warmest + warm).max(axis=1),
    )

"""The model of a lake's surface temperature, from the shipped config."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from safety_check.arrays import FloatArray, IntArray
from safety_check.physics.lake_temperature import LakeCoefficients
from safety_check.settings.lake_file import Allowance, Learning, Range, load_lake_file
from safety_check.settings.sourced import Sourced


@dataclass(frozen=True)
class SeasonMargins:
    """How far beyond the runs the water may be.

    Parameters
    ----------
    season : array (12,)
        Which column holds in each month, January first.
    cold, warm : array (season,)
        Of any lake. [K]
    up_to : array (class,)
        Greatest mean depth of each class, ascending. [m]
    cold_of_class, warm_of_class : array (class, season)
        What a class adds. [K]
    """

    season: IntArray
    cold: FloatArray
    warm: FloatArray
    up_to: FloatArray
    cold_of_class: FloatArray
    warm_of_class: FloatArray

    def at(self, month: IntArray, depth: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return the margins of days and mean depths, cold and warm, each (day, depth). [K]."""
        season = self.season[month - 1]
        of = np.minimum(np.searchsorted(self.up_to, depth), len(self.up_to) - 1)
        cold = (self.cold + self.cold_of_class)[of][:, season].T
        warm = (self.warm + self.warm_of_class)[of][:, season].T
        return cold, warm


@dataclass(frozen=True)
class LakeModel:
    """Everything that the estimate rests on.

    Parameters
    ----------
    coefficients, depth_factors, margins
        The runs, and how far beyond them the water may be.
    range, allowance, learning
        As in the config.
    """

    coefficients: LakeCoefficients
    depth_factors: FloatArray
    margins: SeasonMargins
    range: Range
    allowance: Allowance
    learning: Learning


@cache
def load_lake_model() -> LakeModel:
    """Return the model with the shipped coefficients and margins."""
    own = load_lake_file()
    origin = set(Sourced.model_fields)
    season = np.zeros(12, dtype=np.int64)
    for number, months in enumerate(own.margins.months):
        season[np.array(months) - 1] = number
    return LakeModel(
        coefficients=LakeCoefficients(**own.coefficients.model_dump(exclude=origin)),
        depth_factors=np.array(own.band.depth_factors),
        margins=SeasonMargins(
            season,
            np.array(own.margins.cold),
            np.array(own.margins.warm),
            np.array([one.up_to for one in own.depth_class]),
            np.array([one.cold for one in own.depth_class]),
            np.array([one.warm for one in own.depth_class]),
        ),
        range=own.range,
        allowance=own.allowance,
        learning=own.learning,
    )

"""The model of a lake's surface temperature, from the shipped config."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from pydantic import Field

from safety_check.arrays import FloatArray, IntArray
from safety_check.physics.lake_temperature import LakeCoefficients
from safety_check.settings import toml_file
from safety_check.settings.folders import shipped_file
from safety_check.settings.sourced import Sourced
from safety_check.settings.toml_file import Strict


class CoefficientTable(Sourced):
    """[coefficients] of lake_temperature.toml."""

    offset: float
    of_air: float = Field(gt=0)
    of_sun: float = Field(ge=0)
    loss: float = Field(ge=0)
    stratified: float
    stratified_by_depth: float = Field(ge=0)
    mixed_by_depth: float = Field(gt=0)
    ice: float = Field(gt=0)


class Band(Sourced):
    """[band] of lake_temperature.toml."""

    depth_factors: list[float] = Field(min_length=1)


class Margins(Sourced):
    """[margins] of lake_temperature.toml."""

    months: list[list[int]]
    cold: list[float]
    warm: list[float]


class DepthClass(Sourced):
    """One [[class]] of lake_temperature.toml."""

    name: str
    up_to: float = Field(gt=0)
    cold: list[float]
    warm: list[float]


class Range(Sourced):
    """[range] of lake_temperature.toml."""

    latitude: list[float] = Field(min_length=2, max_length=2)
    elevation: list[float] = Field(min_length=2, max_length=2)
    deepest: float = Field(gt=0)
    great_lake: float = Field(gt=0)
    pond: list[float]
    reservoir: list[float]
    not_deep: list[float]


class Allowance(Sourced):
    """[allowance] of lake_temperature.toml."""

    reanalysis: float = Field(ge=0)
    per_day_ahead: float = Field(ge=0)
    upwelling: float = Field(ge=0)
    upwelling_length: float = Field(gt=0)
    longest_gap: int = Field(ge=0)
    spin_up: int = Field(gt=0)


class Learning(Sourced):
    """[learning] of lake_temperature.toml."""

    least: int = Field(ge=1)
    trust_after: float = Field(gt=0)
    quantile: float = Field(gt=0, lt=0.5)
    left: float = Field(ge=0)


class LakeFile(Strict):
    """lake_temperature.toml."""

    coefficients: CoefficientTable
    band: Band
    margins: Margins
    depth_class: list[DepthClass] = Field(alias="class")
    range: Range
    allowance: Allowance
    learning: Learning


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
    own = toml_file.read(shipped_file("lake_temperature.toml"), LakeFile)
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

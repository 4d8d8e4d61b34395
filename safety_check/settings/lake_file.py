"""The shipped numbers behind a water temperature that is estimated from the air."""

from __future__ import annotations

from functools import cache

from pydantic import Field

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
    stratified: list[int] = Field(min_length=2, max_length=2)
    longest_gap: int = Field(ge=0)
    spin_up: int = Field(gt=0)


class Learning(Sourced):
    """[learning] of lake_temperature.toml."""

    least: int = Field(ge=1)
    trust_after: float = Field(gt=0)
    quantile: float = Field(gt=0, lt=0.5)
    left: float = Field(ge=0)
    grows: float = Field(ge=0)
    grows_over: float = Field(gt=0)


class AirTable(Sourced):
    """[air] of lake_temperature.toml."""

    back: int = Field(gt=0)
    late: int = Field(ge=0)
    chunk: int = Field(gt=0)
    ahead: int = Field(gt=0)
    overlap: int = Field(gt=0)
    hours_for_a_mean: int = Field(gt=0, le=24)
    farthest: float = Field(gt=0)


class LakeFile(Strict):
    """lake_temperature.toml."""

    coefficients: CoefficientTable
    band: Band
    margins: Margins
    depth_class: list[DepthClass] = Field(alias="class")
    range: Range
    allowance: Allowance
    learning: Learning
    air: AirTable


@cache
def load_lake_file() -> LakeFile:
    """Return the shipped lake_temperature.toml."""
    return toml_file.read(shipped_file("lake_temperature.toml"), LakeFile)

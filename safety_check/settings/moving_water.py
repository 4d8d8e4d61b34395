"""How readings and predictions of moving water are used, from the shipped config."""

from __future__ import annotations

from functools import cache

from pydantic import Field

from safety_check.settings import toml_file
from safety_check.settings.folders import shipped_file
from safety_check.settings.sourced import Sourced
from safety_check.settings.toml_file import Strict


class CurrentRule(Sourced):
    """[current] of moving_water.toml: what an entered current means. [s, 1, m s⁻¹]."""

    quarter: float = Field(gt=0)
    counts_as_against: float = Field(gt=1)
    weak: float = Field(ge=0)


class TideRule(Sourced):
    """[tide] of moving_water.toml: how long a high or low water makes the tide known. [s]."""

    holds: float = Field(gt=0)


class RiverRule(Sourced):
    """[river] of moving_water.toml: how long a reading counts, and what is no rise. [s, m]."""

    greatest_age: float = Field(gt=0)
    holds: float = Field(gt=0)
    steady: float = Field(ge=0)


class DamRule(Sourced):
    """[dam] of moving_water.toml: how long before a release its danger begins. [s]."""

    before: float = Field(ge=0)


class MovingWaterFile(Strict):
    """moving_water.toml."""

    current: CurrentRule
    tide: TideRule
    river: RiverRule
    dam: DamRule


@cache
def load_moving_water() -> MovingWaterFile:
    """Return how readings and predictions of moving water are used."""
    return toml_file.read(shipped_file("moving_water.toml"), MovingWaterFile)

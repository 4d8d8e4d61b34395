"""Usual errors of wind forecasts, from the shipped config."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import date
from functools import cache
from typing import Literal

import numpy as np
from pydantic import Field

from safety_check.physics.ensemble_calibration import ErrorModel, Shrinkage
from safety_check.settings import toml_file
from safety_check.settings.folders import shipped_file
from safety_check.settings.sourced import Basis
from safety_check.settings.toml_file import Strict

WINDS = ("wind_speed", "wind_speed_of_gust")


class Sourced(Strict):
    """The origin of a table of odds.toml."""

    basis: Basis | Literal["fitted"]
    source: str
    since: date
    checked: date


class ToleranceTable(Sourced):
    """[tolerance] of odds.toml."""

    winds_factor: float = Field(ge=1)


class AtLead(Sourced):
    """One [[widening]] of odds.toml: the coefficients of a quantity's runs at one lead time."""

    quantity: Literal["wind_speed", "wind_speed_of_gust"]
    runs: Literal["one", "several"]
    lead_hours: float = Field(ge=0)
    shift: float = Field(ge=0)
    slope: float = Field(ge=0)
    floor: float = Field(gt=0)
    relative: float = Field(ge=0)


class Local(Sourced):
    """[local] of odds.toml: how far a few pairs are trusted."""

    least_pairs: int
    bias_pairs: float
    spread_pairs: float
    tilt_squares: float
    reach_hours: float
    fade_days: float


class OddsFile(Strict):
    """odds.toml."""

    tolerance: ToleranceTable
    widening: list[AtLead]
    local: Local


@dataclass(frozen=True)
class ErrorModels:
    """How far the runs of a quantity's forecasts err anywhere.

    Parameters
    ----------
    one
        For a model with a single run.
    several
        For each run of a model with several runs.
    """

    one: ErrorModel
    several: ErrorModel


@cache
def shipped_odds() -> OddsFile:
    """Return the shipped config of the odds."""
    return toml_file.read(shipped_file("odds.toml"), OddsFile)


@cache
def load_error_models() -> Mapping[str, ErrorModels]:
    """Return wind and gusts → how far their forecasts err anywhere."""
    return {
        name: ErrorModels(_error_model(name, "one"), _error_model(name, "several"))
        for name in WINDS
    }


def _error_model(name: str, runs: str) -> ErrorModel:
    rows = sorted(
        (row for row in shipped_odds().widening if (row.quantity, row.runs) == (name, runs)),
        key=lambda row: row.lead_hours,
    )
    return ErrorModel(
        **{
            field.name: np.array([float(getattr(row, field.name)) for row in rows])
            for field in fields(ErrorModel)
        }
    )


def load_shrinkage() -> Shrinkage:
    """Return how far a few pairs are trusted."""
    local = shipped_odds().local
    return Shrinkage(**{field.name: getattr(local, field.name) for field in fields(Shrinkage)})

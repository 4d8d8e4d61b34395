"""Usual errors of wind forecasts, from the shipped config."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
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


class Members(Sourced):
    """[members] of odds.toml."""

    most_weight: float = Field(gt=0, le=1)


class AtLead(Sourced):
    """One [[dressing]] of odds.toml: a quantity's coefficients at one lead time."""

    quantity: Literal["wind_speed", "wind_speed_of_gust"]
    lead_hours: float = Field(ge=0)
    shift: float
    slope: float = Field(ge=0)
    floor: float = Field(gt=0)
    relative: float = Field(ge=0)
    spread: float = Field(ge=0)


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

    members: Members
    dressing: list[AtLead]
    local: Local


@cache
def shipped_odds() -> OddsFile:
    """Return the shipped config of the odds."""
    return toml_file.read(shipped_file("odds.toml"), OddsFile)


@cache
def load_error_models() -> Mapping[str, ErrorModel]:
    """Return wind and gusts → how far such forecasts err anywhere."""
    return {name: _error_model(name) for name in WINDS}


def _error_model(name: str) -> ErrorModel:
    rows = sorted(
        (entry for entry in shipped_odds().dressing if entry.quantity == name),
        key=lambda entry: entry.lead_hours,
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

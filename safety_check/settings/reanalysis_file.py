"""The shipped numbers of the command `climate`: what is asked for, and what it cannot show."""

from __future__ import annotations

from functools import cache
from typing import Literal

from pydantic import Field

from safety_check.settings import toml_file
from safety_check.settings.folders import shipped_file
from safety_check.settings.sourced import Sourced
from safety_check.settings.toml_file import Strict


class Asked(Sourced):
    """[asked] of reanalysis.toml."""

    model: str
    quantities: list[str] = Field(min_length=1)
    farthest: float = Field(gt=0)
    years: int = Field(ge=1)
    most_years: int = Field(ge=1)


class Summary(Sourced):
    """[summary] of reanalysis.toml."""

    resamples: int = Field(ge=100)
    seed: int
    interval: list[float] = Field(min_length=2, max_length=2)
    windows: list[int] = Field(min_length=1)
    weeks: int = Field(ge=1)


class NotKnown(Strict):
    """One [[not_known]] of reanalysis.toml.

    `when` names a case in which alone it holds: where the water's temperature is not known, or
    on water that moves.
    """

    what: str
    hazards: list[str]
    why: str
    when: Literal["always", "water", "moving"] = "always"


class ReanalysisFile(Strict):
    """reanalysis.toml."""

    asked: Asked
    summary: Summary
    not_known: list[NotKnown]


@cache
def load_reanalysis_file() -> ReanalysisFile:
    """Return the shipped config of past weather."""
    return toml_file.read(shipped_file("reanalysis.toml"), ReanalysisFile)

"""The shipped numbers of the command `survey`."""

from __future__ import annotations

from functools import cache

from pydantic import Field

from safety_check.settings import toml_file
from safety_check.settings.folders import shipped_file
from safety_check.settings.sourced import Sourced
from safety_check.settings.toml_file import Strict


class ForecastTable(Sourced):
    """[forecast] of survey.toml."""

    greatest_age: float = Field(gt=0)
    spacings: float = Field(gt=0)


class BlockTable(Sourced):
    """[block] of survey.toml."""

    launches: int = Field(ge=1)
    together: int = Field(ge=1)


class SurveyFile(Strict):
    """survey.toml."""

    forecast: ForecastTable
    block: BlockTable


@cache
def load_survey_file() -> SurveyFile:
    """Return the shipped config of a survey."""
    return toml_file.read(shipped_file("survey.toml"), SurveyFile)

"""Load the rulebook from the shipped config."""

from __future__ import annotations

from functools import cache

from pydantic import Field

from safety_check.conditions.coefficients import load_coefficients
from safety_check.conditions.course import CourseRule
from safety_check.conditions.drift import load_leeways
from safety_check.conditions.error_models import load_error_models, shipped_odds
from safety_check.rules.hazards import HAZARDS
from safety_check.rules.rulebook import Rulebook
from safety_check.rules.warnings import alert_meanings
from safety_check.settings import toml_file
from safety_check.settings.folders import shipped_file
from safety_check.settings.limits import (
    load_default_limits,
    load_greatest_reduction,
    load_reductions,
)
from safety_check.settings.sourced import Sourced
from safety_check.settings.toml_file import Strict


def load_rulebook() -> Rulebook:
    """Return every limit, table and coefficient that the rules use, as shipped."""
    return Rulebook(
        limits=load_default_limits(),
        reductions=load_reductions(),
        greatest_reduction=load_greatest_reduction(),
        hazards=tuple(HAZARDS),
        alerts=alert_meanings(),
        error_models=load_error_models(),
        winds_factor=shipped_odds().tolerance.winds_factor,
        leeways=load_leeways(),
        coefficients=load_coefficients(),
        course=CourseRule(shipped_trip().return_.margin, shipped_trip().course.fastest),
    )


class ReturnTable(Sourced):
    """[return] of trip.toml."""

    margin: float = Field(ge=0, le=3600)


class CourseTable(Sourced):
    """[course] of trip.toml."""

    fastest: float = Field(ge=1, le=5)


class TripFile(Strict):
    """trip.toml."""

    return_: ReturnTable = Field(alias="return")
    course: CourseTable


@cache
def shipped_trip() -> TripFile:
    """Return the shipped config of how a trip is judged."""
    return toml_file.read(shipped_file("trip.toml"), TripFile)

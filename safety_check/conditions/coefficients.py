"""Coefficients of the conditions: read once from the shipped config and passed in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from safety_check.settings.limits import GradeEntry, SwimTable, load_grades, load_swim


@dataclass(frozen=True)
class Coefficients:
    """How dangers are graded, and how a person in the water moves.

    Parameters
    ----------
    grades
        (danger, quantity) → how much of the danger counts.
    swim
        Speed, drift and what company adds.
    """

    grades: Mapping[tuple[str, str], GradeEntry]
    swim: SwimTable


def load_coefficients() -> Coefficients:
    """Return the coefficients of the shipped config."""
    return Coefficients(load_grades(), load_swim())

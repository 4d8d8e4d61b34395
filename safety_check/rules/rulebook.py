"""Every limit, table and coefficient that the rules use, as shipped."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from safety_check.conditions.coefficients import Coefficients
from safety_check.conditions.course import CourseRule
from safety_check.conditions.error_models import ErrorModels
from safety_check.model.verdict import Limit
from safety_check.physics.leeway import Leeway
from safety_check.physics.odds import Tolerance
from safety_check.rules.alerts import AlertMeanings
from safety_check.rules.hazard import Hazard
from safety_check.settings.limits import ReductionEntry
from safety_check.settings.user_file import OddsTable


@dataclass(frozen=True)
class Rulebook:
    """What the rules read from the shipped config, loaded once and passed in.

    Parameters
    ----------
    limits
        (quantity, applies_to) → the default limit.
    reductions
        What lowers the wind limits.
    greatest_reduction
        The most that all reductions together lower a limit. [Beaufort numbers]
    hazards
        What is weighed.
    alerts
        What official alerts mean for a small craft.
    error_models
        Wind and gusts → how far their forecasts err, by lead time.
    winds_factor
        Where winds are widened, so many times the user's tolerance decides. [1]
    leeways
        Kind of object → its leeway.
    coefficients
        How dangers are graded, and how a person in the water moves.
    course
        How a trip is followed, and for how long after its end it is judged.
    """

    limits: Mapping[tuple[str, str], Limit]
    reductions: tuple[ReductionEntry, ...]
    greatest_reduction: float
    hazards: tuple[Hazard, ...]
    alerts: AlertMeanings
    error_models: Mapping[str, ErrorModels]
    winds_factor: float
    leeways: Mapping[str, Leeway]
    coefficients: Coefficients
    course: CourseRule

    def tolerance(self, odds: OddsTable, *, widened: bool) -> Tolerance:
        """Return the shares of the forecasts that suffice to decide, by the user's settings.

        The share for winds is larger only where they are widened, and never above a half.
        """
        factor = self.winds_factor if widened else 1.0
        return Tolerance(odds.tolerance, min(factor * odds.tolerance, 0.5))

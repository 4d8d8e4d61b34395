"""Hours weighed for one case."""

from __future__ import annotations

from dataclasses import dataclass

from safety_check.arrays import IntArray
from safety_check.conditions.calibration import Calibration
from safety_check.conditions.conditions import Conditions
from safety_check.conditions.ensemble import Ensemble
from safety_check.conditions.forecast_trend import ForecastSummary
from safety_check.physics.odds import Tolerance
from safety_check.rules.engine import Weighing
from safety_check.rules.reasons import ReasonContext


@dataclass(frozen=True)
class WeighedHours:
    """Hours weighed for a plan's craft, paddler and water, from which a verdict is made.

    Parameters
    ----------
    trip : array (hour,)
        Indices of the hours of the trip, its margin after the end included.
    without_return : array (member, hour)
        Severity of each whole hour, the way home from it not counted.
    members, conditions, weighing
        The forecasts, the conditions they give on this water, and how these were weighed.
    context
        For whom the reasons are written.
    water_temperature
        NaN where it is not known. [K]
    forecast
        What the forecasts say of the wind, before any correction.
    tolerance
        The shares of the forecasts that decided.
    calibration
        How the forecasts were shifted and widened; None where they were not.
    """

    trip: IntArray
    without_return: IntArray
    members: Ensemble
    conditions: Conditions
    weighing: Weighing
    context: ReasonContext
    water_temperature: float
    forecast: ForecastSummary
    tolerance: Tolerance
    calibration: Calibration | None

"""The temperature of the water that a case is judged by: measured, remembered or estimated."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, date, timedelta

import numpy as np

from safety_check.arrays import FloatArray, TimeArray, distinct
from safety_check.conditions.case import Case
from safety_check.conditions.ensemble import usable_observations
from safety_check.conditions.water_memory import recall_water
from safety_check.model.plan import Plan
from safety_check.model.verdict import WaterReading
from safety_check.model.water_estimate import WaterEstimate
from safety_check.model.weather import Provenance

AS_ENTERED = "as you entered it"
ESTIMATED = "estimated from air temperature"


def read_water(case: Case) -> WaterReading:
    """Return the temperature of the water during a plan.

    It is the one entered, else the coldest of the near and recent measurements, else one of the
    days before, which counts as colder than it was measured, but as no colder than an estimate.
    """
    measured = measured_water(case)
    estimate, days = case.past.estimate, days_of(case.plan)
    if math.isnan(measured.value):
        return _estimated(estimate, days)
    if measured.measured is None or estimate is None:
        return measured
    cold, _ = estimate.on(days)
    raised = no_colder_than(np.array([cold]), measured.value, measured.measured)
    return replace(measured, value=float(raised[0]))


def water_of_hours(case: Case, hours: TimeArray) -> tuple[FloatArray, FloatArray | None]:
    """Return the temperature of the water in each hour, or the two ends of its estimate. [K].

    Parameters
    ----------
    case
        The inputs of the check.
    hours : array (hour,)
        Start of each hour, UTC.

    Returns
    -------
    tuple
        The coldest that counts (hour,), and the warm end (hour,); the latter is None where the
        water is not estimated. NaN in hours of days for which nothing is known.
    """
    measured, estimate = measured_water(case), case.past.estimate
    known = not math.isnan(measured.value)
    if estimate is None or (known and measured.measured is None):
        return np.full(len(hours), measured.value), None
    day = hours.astype("datetime64[D]")
    ranges = {one: estimate.on([one.item()]) for one in distinct(day)}
    cold, warm = np.array([ranges[one] for one in day]).T
    if measured.measured is None:
        return cold, warm if np.isfinite(warm).any() else None
    return no_colder_than(cold, measured.value, measured.measured), None


def no_colder_than(cold: FloatArray, counts_as: float, measured: float) -> FloatArray:
    """Return what an earlier measurement counts as, where the cold end of an estimate is known.

    Parameters
    ----------
    cold : array
        The cold end; NaN where there is none. [K]
    counts_as, measured
        The coldest that the water may be by the age of the measurement alone, and the measurement,
        above which it never counts. [K]
    """
    raised: FloatArray = np.clip(cold, counts_as, max(counts_as, measured))
    return np.where(np.isfinite(cold), raised, counts_as)


def measured_water(case: Case) -> WaterReading:
    """Return the temperature that was entered or measured; NaN where there is none."""
    plan, trust = case.plan, case.trust
    if plan.water_temperature is not None:
        return WaterReading(plan.water_temperature, AS_ENTERED)
    observed = usable_observations(
        case.briefing, "water_temperature", trust.water_distance, trust.water_age
    )
    coldest = min(observed, key=lambda reading: reading.value, default=None)
    if coldest is not None:
        return WaterReading(coldest.value, coldest.provenance.source, coldest.time)
    return recall_water(case.past.water, case.briefing.at, trust.water_memory)


def origins_of_estimate(case: Case) -> tuple[Provenance, ...]:
    """Return where the air temperatures of an estimate come from; nothing where none counts."""
    measured, estimate = measured_water(case), case.past.estimate
    fresh = not math.isnan(measured.value) and measured.measured is None
    return () if estimate is None or fresh else estimate.provenance


def days_of(plan: Plan) -> list[date]:
    """Return the days, UTC, that a plan touches, those of its return included."""
    first = plan.start.astimezone(UTC).date()
    last = (plan.end + timedelta(hours=1)).astimezone(UTC).date()
    return [first + timedelta(days=number) for number in range((last - first).days + 1)]


def _estimated(estimate: WaterEstimate | None, days: Iterable[date]) -> WaterReading:
    """Return the estimate of the water, where nobody measured it and the user allows it."""
    if estimate is None:
        return WaterReading(math.nan)
    cold, warm = estimate.on(days)
    if cold <= warm:
        return WaterReading(cold, ESTIMATED, warmest=warm)
    lacking = "the air temperature of those days is not known" if estimate.days else ""
    return WaterReading(math.nan, why_not=estimate.why_not or lacking)

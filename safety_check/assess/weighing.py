"""Hours of a case weighed: whole hours, the hours of a trip, and hours of return."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from safety_check.arrays import FloatArray, TimeArray, hour_axis
from safety_check.assess.missed_forecast import find_missed_forecasts, hours_held
from safety_check.assess.water_reading import read_water, water_of_hours
from safety_check.conditions.calibration import (
    Calibration,
    calibrate,
    choose_calibration,
    tells_odds,
)
from safety_check.conditions.case import Case
from safety_check.conditions.conditions import (
    Conditions,
    build_conditions,
)
from safety_check.conditions.course import farthest_in_trip, farthest_on_return
from safety_check.conditions.ensemble import (
    Ensemble,
    SeaLaw,
    as_forecast,
    from_instant,
)
from safety_check.conditions.forecast_trend import (
    ForecastSummary,
    PastChecks,
    forecast_growth,
    summarize_forecast,
)
from safety_check.conditions.hour_parts import (
    LEAD_IN,
    hour_ends,
    hours_of,
    return_hours,
    trip_parts,
)
from safety_check.conditions.light import light, light_of_trip
from safety_check.conditions.local_rules import add_local_wind
from safety_check.model.local_clock import LocalClock
from safety_check.model.moving_water import MovingWater
from safety_check.model.plan import Plan
from safety_check.physics.odds import Tolerance
from safety_check.rules.engine import Weighing, weigh
from safety_check.rules.hazard import Hazard
from safety_check.rules.hazards_home import WORSE_BEFORE_HOME
from safety_check.rules.homeward import with_return
from safety_check.rules.limits import Limits, choose_limits, total_reduction
from safety_check.rules.reasons import ReasonContext
from safety_check.rules.rulebook import Rulebook
from safety_check.rules.warnings import warnings_known, warnings_over
from safety_check.rules.weighed_hours import WeighedHours


def weigh_hours(
    case: Case, hours: TimeArray, rulebook: Rulebook, law: SeaLaw | None = None
) -> WeighedHours:
    """Return the weighed hours from which a verdict or an outlook is made.

    Parameters
    ----------
    case
        The inputs of the check. The hours are whole, whatever its plan's start and end.
    hours : array (hour,)
        Start of each hour; may reach beyond the trip.
    rulebook
        The limits and tables that hold.
    law
        A bound of the sea, for a bound of the verdict; None for the sea itself.
    """
    given = forecast_hours(case, hours, rulebook)
    given = replace(given, members=replace(given.members, law=law))
    coldest, warmest = water_of_hours(case, hours)
    conditions = build_conditions(
        case.plan, hours, given.members, case.water, coldest, rulebook.coefficients
    )
    if warmest is not None:
        conditions = conditions.with_water(coldest, warmest)
    return weigh_conditions(case, given, conditions, rulebook)


@dataclass(frozen=True)
class ForecastHours:
    """The forecasts for some hours, for any plan.

    Parameters
    ----------
    members, calibration
        The forecasts, and how they were shifted and widened; None where they were not.
    forecast
        A summary of their winds before any correction, and the observations they missed.
    """

    members: Ensemble
    calibration: Calibration | None
    forecast: ForecastSummary


def forecast_hours(case: Case, hours: TimeArray, rulebook: Rulebook) -> ForecastHours:
    """Return the forecasts for some hours, corrected for their known errors."""
    briefing, past = case.briefing, case.past
    raw = as_forecast(briefing, hour_ends(hours), case.trust)
    odds = case.settings.user.odds
    calibration = None
    if tells_odds(raw.models, odds, past.corrections):
        share = rulebook.tolerance(odds, widened=True).of_winds
        calibration = choose_calibration(odds, past.corrections, rulebook.error_models, share)
    missed = find_missed_forecasts(case, rulebook)
    observed = [miss.observation for miss in missed]
    members = calibrate(raw, briefing, case.trust, calibration, observed)
    members = add_local_wind(members, case.plan.water)
    moving = movement_of(case)
    if moving is not None:
        from safety_check.conditions.moving_water import add_flow  # not for still water

        members = add_flow(members, moving)
    summary = replace(
        summarize_forecast(from_instant(raw, LEAD_IN), briefing.at),
        from_file=any(forecast.provenance.read_from_file for forecast in briefing.forecasts),
    )
    return ForecastHours(members, calibration, replace(summary, missed=missed))


def weigh_conditions(
    case: Case, given: ForecastHours, conditions: Conditions, rulebook: Rulebook
) -> WeighedHours:
    """Return hours weighed for a plan from their conditions.

    Parameters
    ----------
    case, rulebook
        The inputs of the check, and the limits that hold.
    given
        The forecasts for the hours.
    conditions
        The conditions that they give on this water, for the plan's craft and paddler.
    """
    plan, briefing, hours = case.plan, case.briefing, conditions.time
    tolerance = rulebook.tolerance(case.settings.user.odds, widened=given.calibration is not None)
    forecast = given.forecast
    known = warnings_known(briefing, case.trust.greatest_age)
    warned = warnings_over(briefing.alerts, hours, rulebook.alerts, known)
    added = {
        "official_warning": warned.level,
        "forecast_missed": hours_held(forecast.missed, hours, case.past.lost),
        **forecast_growth_of(forecast, case.past),
    }
    conditions = replace(conditions, quantities={**conditions.quantities, **added})
    limits = limits_of_case(case, rulebook)
    conditions, flow = _with_movement(case, conditions, limits)
    by_itself = weigh_by_itself(conditions, limits, tolerance, rulebook)
    alone = by_itself.members
    context = ReasonContext(
        preferences=case.settings.preferences,
        clock=LocalClock.of(plan),
        craft=plan.craft,
        limits=limits,
        warnings=warned.headlines,
        missed=forecast.missed,
        judged=(plan.start, plan.end + timedelta(seconds=rulebook.course.margin)),
        plan_end=plan.end,
        from_shore=float(np.max(conditions.water.distance_from_shore)),
        flow=flow,
    )
    return WeighedHours(
        trip=hours_of(plan, hours, rulebook.course.margin),
        without_return=alone,
        members=given.members,
        conditions=conditions,
        weighing=with_return(by_itself, conditions, limits, tolerance, alone),
        context=context,
        water_temperature=read_water(case).value,
        forecast=forecast,
        tolerance=tolerance,
        calibration=given.calibration,
    )


def movement_of(case: Case) -> MovingWater | None:
    """Return what is known of the movement of a plan's water; None on still water.

    On water that moves it is never None: what nobody said is then unknown.
    """
    water = case.plan.water
    if not water.moves:
        return None
    return replace(case.briefing.moving or MovingWater(), tidal=water.tidal)


def _with_movement(
    case: Case, conditions: Conditions, limits: Limits
) -> tuple[Conditions, tuple[str, ...]]:
    """Return conditions with the movement of the water, and the flow of each hour in words."""
    moving = movement_of(case)
    if moving is None:
        return conditions, ()
    from safety_check.assess.moving_water import add_movement, describe_flow  # not for still water

    flow = describe_flow(moving, conditions.time)
    return add_movement(case, moving, conditions, limits), flow


def weigh_trip(case: Case, whole: WeighedHours, rulebook: Rulebook) -> WeighedHours:
    """Return the hours of a plan weighed from its start to its last judged minute.

    Between two whole hours a value is interpolated, so a few minutes more or less never add a
    whole hour of weather.
    """
    plan, hours, margin = case.plan, whole.conditions.time, rulebook.course.margin
    conditions = whole.conditions.in_parts(
        trip_parts(plan, hours, margin),
        light_of_trip(plan, hours, margin),
        farthest_in_trip(plan, hours, rulebook.course),
    )
    moving = movement_of(case)
    if moving is not None:
        from safety_check.assess.moving_water import spare_middle  # not for still water

        conditions = spare_middle(case, moving, conditions, margin)
    weighing = weigh_parts(case, whole, conditions, rulebook)
    return replace(whole, conditions=conditions, weighing=weighing)


def weigh_returns(case: Case, whole: WeighedHours, rulebook: Rulebook) -> Weighing:
    """Return each hour weighed as the margin after a return at its first instant."""
    hours, plan = whole.conditions.time, case.plan
    conditions = whole.conditions.in_parts(
        return_hours(len(hours), rulebook.course.margin),
        light(plan.launch, hours, hours),
        farthest_on_return(plan, len(hours), rulebook.course),
    )
    return weigh_parts(case, whole, conditions, rulebook)


def weigh_parts(
    case: Case, whole: WeighedHours, conditions: Conditions, rulebook: Rulebook
) -> Weighing:
    """Return parts of hours weighed; the hours after them are weighed as whole hours."""
    limits = whole.context.limits
    by_itself = weigh_by_itself(conditions, limits, whole.tolerance, rulebook)
    return with_return(by_itself, conditions, limits, whole.tolerance, whole.without_return)


def limits_of_case(case: Case, rulebook: Rulebook) -> Limits:
    """Return the limits that hold for a plan's craft and paddler."""
    plan, own = case.plan, case.settings.user.limit
    return choose_limits(
        plan.craft, plan.paddler, rulebook.limits, own, plan.night, plan.water.name
    )


def weigh_by_itself(
    conditions: Conditions, limits: Limits, tolerance: Tolerance, rulebook: Rulebook
) -> Weighing:
    """Return each hour weighed on its own, without the way home from it."""
    reductions, parts = total_reduction(
        rulebook.reductions, conditions.quantities, rulebook.greatest_reduction
    )
    hazards = [hazard for hazard in rulebook.hazards if _weighed_by_itself(hazard, conditions)]
    by_itself = weigh(conditions, limits, reductions, tolerance, hazards)
    return replace(by_itself, reduction_parts=parts)


def _weighed_by_itself(hazard: Hazard, conditions: Conditions) -> bool:
    """Return whether a hazard is weighed hour by hour, only by that hour's quantity."""
    if hazard is WORSE_BEFORE_HOME:
        return False
    return not hazard.needs_past or hazard.weighs in conditions.quantities


def forecast_growth_of(forecast: ForecastSummary, past: PastChecks) -> dict[str, FloatArray]:
    """Return how the forecast has risen, the worse end of each hour; nothing without a past.

    Where part of the past is lost, the greatest rise is unknown.
    """
    if past.lost:
        return {"forecast_growth": np.full((1, 1), np.nan)}
    earlier = [summary for summary in past.earlier if not summary.from_file]
    if not earlier:
        return {}
    grown = forecast_growth(forecast, earlier)
    return {"forecast_growth": np.maximum(grown[:-1], grown[1:])[None, :]}


def assessment_hours(plan: Plan, at: datetime, margin: float) -> TimeArray:
    """Return the hours of the trip and of its local day still to come, for the windows.

    The margin [s] after the plan's end belongs to the trip.
    """
    zone = ZoneInfo(plan.water.time_zone)
    start, end = plan.start.astimezone(zone), plan.end.astimezone(zone)
    morning = datetime.combine(start.date(), time(0), tzinfo=zone)
    evening = datetime.combine(end.date(), time(23), tzinfo=zone)
    first = min(plan.start, max(morning.astimezone(UTC), at))
    return hour_axis(first, max(plan.end + timedelta(seconds=margin), evening))

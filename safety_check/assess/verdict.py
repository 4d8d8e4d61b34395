"""From a case to a verdict: no clock, no file, no network."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np

from safety_check.arrays import FloatArray, TimeArray, hour_axis, to_utc
from safety_check.assess.missed_forecast import find_missed_forecasts, hours_held
from safety_check.conditions.alone_in_water import ALONE_IN_WATER, time_in_water_share
from safety_check.conditions.calibration import (
    calibrate,
    choose_calibration,
    describe_calibration,
)
from safety_check.conditions.case import Case
from safety_check.conditions.conditions import (
    Conditions,
    build_conditions,
)
from safety_check.conditions.ensemble import (
    FROM,
    WIND,
    Trust,
    as_forecast,
    from_instant,
    usable_observations,
)
from safety_check.conditions.forecast_trend import (
    ForecastSummary,
    PastChecks,
    forecast_growth,
    summarize_forecast,
)
from safety_check.conditions.hour_parts import LEAD_IN, hour_ends, return_hours, trip_parts
from safety_check.conditions.lee import Lee, Winds, find_lee
from safety_check.conditions.light import daylight, light, light_of_trip
from safety_check.conditions.return_trip import hours_of, time_home_of_trip
from safety_check.model.craft import Craft, Paddler
from safety_check.model.local_clock import LocalClock
from safety_check.model.place import Water
from safety_check.model.plan import Plan
from safety_check.model.verdict import Verdict
from safety_check.model.weather import Briefing
from safety_check.rules.cautions import list_cautions
from safety_check.rules.engine import Weighing, weigh
from safety_check.rules.findings import build_verdict
from safety_check.rules.hazard import Hazard
from safety_check.rules.hazards_home import WORSE_BEFORE_HOME
from safety_check.rules.homeward import with_return
from safety_check.rules.limits import Limits, choose_limits, personal_limit, total_reduction
from safety_check.rules.reasons import ReasonContext
from safety_check.rules.rulebook import Rulebook
from safety_check.rules.trips import judge_trips
from safety_check.rules.unknowns import best_possible
from safety_check.rules.warnings import warnings_known, warnings_over
from safety_check.rules.weighed_hours import WeighedHours
from safety_check.settings.limits import load_default_limits
from safety_check.settings.rescue import RescueTable
from safety_check.settings.settings import Settings
from safety_check.settings.user_file import LimitTable

WAVES = "sea_surface_wave_significant_height"


@dataclass(frozen=True)
class Assessment:
    """A verdict, and what the forecasts said of the wind, for later checks of the launch."""

    verdict: Verdict
    forecast: ForecastSummary


def judge(case: Case, rulebook: Rulebook) -> Verdict:
    """Return the verdict on a plan: no clock, no file, no network, only its arguments."""
    return assess_case(case, rulebook).verdict


def assess_case(case: Case, rulebook: Rulebook) -> Assessment:
    """Return the verdict on a plan, and the forecast summary that the history stores."""
    plan, margin = case.plan, rulebook.return_margin
    whole = weigh_hours(case, assessment_hours(plan, case.briefing.at, margin), rulebook)
    returning = weigh_returns(case, whole, rulebook)
    best = best_possible(case.briefing)
    table = judge_trips(whole.weighing, returning, best, case.tolerance)
    weighed = weigh_trip(case, whole, rulebook)
    cautions = list_cautions(plan, weighed.water_temperature)
    verdict = build_verdict(case, weighed, table, rulebook, cautions)
    lee = find_shelter(case, weighed)
    verdict = replace(
        verdict,
        daylight=daylight_spans(plan, weighed.conditions.time),
        lee=lee.words(case.settings.preferences) if lee else "",
        widening=describe_calibration_used(case, weighed),
        missed=weighed.forecast.missed,
    )
    return Assessment(verdict, weighed.forecast)


def describe_calibration_used(case: Case, weighed: WeighedHours) -> tuple[str, ...]:
    """Return in words what was done to the forecasts before they were weighed."""
    lead = float(weighed.members.lead_hours[LEAD_IN])
    prefer = case.settings.preferences
    return describe_calibration(weighed.calibration, case.past.days, lead, prefer)


def find_shelter(case: Case, weighed: WeighedHours) -> Lee | None:
    """Return where the lee is on a trip; None without a shoreline, or a limit for waves."""
    water, limit = case.water, weighed.context.limits.limits.get(WAVES)
    if water.whole is None or limit is None or limit.marginal is None:
        return None
    trip = weighed.trip
    until = LEAD_IN + int(trip[-1]) + 2
    stale = weighed.members.stale[:, None]
    wind, direction = (weighed.members.quantities[name][:, :until] for name in (WIND, FROM))
    winds = Winds(
        speed=np.where(stale, np.nan, wind),
        direction=direction,
        weights=weighed.members.weights,
        lead_in=LEAD_IN + int(trip[0]),
        sea=weighed.conditions.quantities[WAVES][:, trip],
    )
    return find_lee(water.whole, winds, limit.marginal, case.tolerance, water.fetch.max(axis=1))


def daylight_spans(plan: Plan, hours: TimeArray) -> tuple[tuple[datetime, datetime], ...]:
    """Return from when to when the sun is up at the launch within some hours, in UTC."""
    spans = daylight(plan.launch, hours)
    return tuple((to_utc(first), to_utc(last)) for first, last in spans)


def weigh_hours(case: Case, hours: TimeArray, rulebook: Rulebook) -> WeighedHours:
    """Return the weighed hours from which a verdict or an outlook is made.

    Parameters
    ----------
    case
        What is known. The hours are whole, whatever its plan's start and end.
    hours : array (hour,)
        Start of each hour; may reach beyond the trip.
    rulebook
        The limits and tables that hold.
    """
    plan, briefing, past = case.plan, case.briefing, case.past
    raw = as_forecast(briefing, hour_ends(hours), case.trust)
    calibration = choose_calibration(
        case.settings.user.odds, past.corrections, rulebook.error_models, rulebook.most_weight
    )
    missed = find_missed_forecasts(case, rulebook)
    observed = [miss.observation for miss in missed]
    members = calibrate(raw, briefing, case.trust, calibration, observed)
    temperature = water_temperature(plan, briefing, case.trust)
    conditions = build_conditions(
        plan, hours, members, case.water, temperature, rulebook.coefficients
    )
    known = warnings_known(briefing, case.trust.greatest_age)
    warned = warnings_over(briefing.alerts, hours, rulebook.alerts, known)
    forecast = replace(summarize_forecast(from_instant(raw, LEAD_IN), briefing.at), missed=missed)
    added = {
        "official_warning": warned.level,
        "forecast_missed": hours_held(missed, hours),
        ALONE_IN_WATER: alone_in_water(plan.paddler, conditions, temperature, rulebook.rescue),
        **_growth(forecast, past),
    }
    conditions = replace(conditions, quantities={**conditions.quantities, **added})
    limits = limits_of_case(case, rulebook)
    by_itself = weigh_by_itself(conditions, limits, case.tolerance, rulebook)
    alone = by_itself.members
    context = ReasonContext(
        preferences=case.settings.preferences,
        clock=LocalClock.of(plan),
        craft=plan.craft,
        limits=limits,
        warnings=warned.headlines,
        missed=missed,
    )
    return WeighedHours(
        trip=hours_of(plan, hours, rulebook.return_margin),
        without_return=alone,
        members=members,
        conditions=conditions,
        weighing=with_return(by_itself, conditions, limits, case.tolerance, alone),
        context=context,
        water_temperature=temperature,
        forecast=forecast,
        calibration=calibration,
    )


def weigh_trip(case: Case, whole: WeighedHours, rulebook: Rulebook) -> WeighedHours:
    """Return the hours of a plan weighed from its start to its last judged minute.

    Between two whole hours a value runs straight, so a few minutes more or less never
    add an hour of weather.
    """
    plan, hours, margin = case.plan, whole.conditions.time, rulebook.return_margin
    conditions = whole.conditions.in_parts(
        trip_parts(plan, hours, margin),
        light_of_trip(plan, hours, margin),
        time_home_of_trip(plan, whole.conditions.way, hours),
    )
    weighing = _weigh_parts(case, whole, conditions, rulebook)
    return replace(whole, conditions=conditions, weighing=weighing)


def weigh_returns(case: Case, whole: WeighedHours, rulebook: Rulebook) -> Weighing:
    """Return each hour weighed as the margin after a return at its first instant."""
    hours, plan = whole.conditions.time, case.plan
    conditions = whole.conditions.in_parts(
        return_hours(len(hours), rulebook.return_margin),
        light(plan.launch, hours, hours),
        np.zeros((1, 1)),
    )
    return _weigh_parts(case, whole, conditions, rulebook)


def _weigh_parts(
    case: Case, whole: WeighedHours, conditions: Conditions, rulebook: Rulebook
) -> Weighing:
    """Return parts of hours weighed; what lies ahead of them are whole hours."""
    limits = whole.context.limits
    by_itself = weigh_by_itself(conditions, limits, case.tolerance, rulebook)
    return with_return(by_itself, conditions, limits, case.tolerance, whole.without_return)


def alone_in_water(
    paddler: Paddler, conditions: Conditions, water_temperature: float, table: RescueTable
) -> FloatArray:
    """Return the time alone in the water as a share of the time that it allows, for every hour."""
    from_shore = float(np.max(conditions.water.distance_from_shore))
    return np.full((1, 1), time_in_water_share(paddler, from_shore, water_temperature, table))


def limits_of_case(case: Case, rulebook: Rulebook) -> Limits:
    """Return the limits that hold for a plan's craft and paddler."""
    plan, own = case.plan, case.settings.user.limit
    return choose_limits(plan.craft, plan.paddler, rulebook.limits, own, plan.night)


def weigh_by_itself(
    conditions: Conditions, limits: Limits, tolerance: float, rulebook: Rulebook
) -> Weighing:
    """Return each hour weighed by itself, the way home from it not counted."""
    reductions, parts = total_reduction(
        rulebook.reductions, conditions.quantities, rulebook.greatest_reduction
    )
    hazards = [hazard for hazard in rulebook.hazards if _weighed_by_itself(hazard, conditions)]
    by_itself = weigh(conditions, limits, reductions, tolerance, hazards)
    return replace(by_itself, reduction_parts=parts)


def _weighed_by_itself(hazard: Hazard, conditions: Conditions) -> bool:
    """Return whether a hazard is weighed hour by hour, with nothing but that hour's quantity."""
    if hazard is WORSE_BEFORE_HOME:
        return False
    return not hazard.needs_past or hazard.weighs in conditions.quantities


def _growth(forecast: ForecastSummary, past: PastChecks) -> dict[str, FloatArray]:
    """Return how the forecast has grown, the worse end of each hour; nothing without a past."""
    if not past.earlier:
        return {}
    grown = forecast_growth(forecast, past.earlier)
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


def water_temperature(plan: Plan, briefing: Briefing, trust: Trust) -> float:
    """Return what was entered, else the coldest of the near and new; else NaN. [K]."""
    if plan.water_temperature is not None:
        return plan.water_temperature
    observed = usable_observations(
        briefing, "water_temperature", trust.water_distance, trust.water_age
    )
    return min((reading.value for reading in observed), default=float("nan"))


def reason_context(
    settings: Settings,
    craft: Craft,
    paddler: Paddler | None = None,
    night: bool = False,
    water: Water | None = None,
) -> ReasonContext:
    """Return for whom the reasons are written."""
    own = settings.user.limit
    return ReasonContext(
        preferences=settings.preferences,
        clock=LocalClock(ZoneInfo(water.time_zone if water else "UTC"), None),
        craft=craft,
        limits=choose_limits(craft, paddler or settings.paddler, load_default_limits(), own, night),
    )


def require_sound_limit(settings: Settings, table: Mapping[str, Any]) -> None:
    """Raise a clear error where a personal limit can't stand."""
    craft = settings.craft(table["craft"])
    book = choose_limits(craft, settings.paddler, load_default_limits(), ())
    personal_limit(LimitTable.model_validate(table), book.defaults)

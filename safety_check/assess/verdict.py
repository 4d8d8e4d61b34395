"""From a plan and a briefing to a verdict: no clock, no file, no network."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np

from safety_check.arrays import FloatArray, TimeArray, hour_axis
from safety_check.conditions import conditions as on_the_water
from safety_check.conditions.calibration import calibrate, choose_calibration
from safety_check.conditions.calibration import describe_calibration as widening_words
from safety_check.conditions.conditions import Conditions
from safety_check.conditions.ensemble import (
    FROM,
    HOUR,
    WIND,
    Ensemble,
    Trust,
    as_forecast,
    usable_observations,
)
from safety_check.conditions.forecast_trend import (
    ForecastSummary,
    PastChecks,
    forecast_growth,
    summarize_forecast,
)
from safety_check.conditions.lee import Lee, Winds, find_lee
from safety_check.model.craft import Craft, Paddler
from safety_check.model.place import OpenWater, Water
from safety_check.model.plan import Plan
from safety_check.model.verdict import Verdict
from safety_check.model.weather import Briefing
from safety_check.rules import warnings
from safety_check.rules.cautions import list_cautions
from safety_check.rules.engine import Weighing, weigh
from safety_check.rules.findings import build_verdict, trip_hours
from safety_check.rules.hazard import Hazard
from safety_check.rules.hazards import HAZARDS
from safety_check.rules.hazards_home import WORSE_BEFORE_HOME
from safety_check.rules.homeward import with_return
from safety_check.rules.limits import Limits, choose_limits, personal_limit, total_reduction
from safety_check.rules.reasons import ReasonContext
from safety_check.settings.limits import (
    load_default_limits,
    load_greatest_reduction,
    load_reductions,
)
from safety_check.settings.settings import Settings
from safety_check.settings.user_file import LimitTable

NOTHING_PAST = PastChecks()
WAVES = "sea_surface_wave_significant_height"
STEP_WORDS = {
    "alone": "you go alone",
    "distance_from_shore": "far from shore",
    "open_water_downwind": "the wind blows off the shore",
    "water_temperature": "cold water",
}


@dataclass(frozen=True)
class WeighedHours:
    """Hours weighed for a plan's craft, paddler and water, and what a verdict is read from.

    Parameters
    ----------
    members, conditions, weighing
        The forecasts, what it will be like, and how it was weighed.
    voice
        To whom the reasons speak.
    water_temperature
        NaN where it is not known. [K]
    """

    members: Ensemble
    conditions: Conditions
    weighing: Weighing
    voice: ReasonContext
    water_temperature: float


def judge(
    plan: Plan,
    briefing: Briefing,
    water: OpenWater,
    settings: Settings,
    trust: Trust,
    past: PastChecks = NOTHING_PAST,
) -> Verdict:
    """Return the verdict on a plan: no clock, no file, no network, only its arguments."""
    seen = weigh_hours(
        plan, assessment_hours(plan, briefing.at), briefing, water, settings, trust, past
    )
    answer = build_verdict(
        plan,
        briefing,
        seen.conditions,
        seen.weighing,
        seen.voice,
        settings.user.odds.tolerance,
        list_cautions(plan, seen.water_temperature),
    )
    found = find_shelter(plan, seen, water, settings)
    return replace(
        answer,
        daylight=daylight(plan, seen.conditions.time),
        lee=found.words(settings.preferences) if found else "",
        widening=describe_calibration_used(seen, past, settings),
    )


def describe_calibration_used(
    seen: WeighedHours, past: PastChecks, settings: Settings
) -> tuple[str, ...]:
    """Return in words what was done to the forecasts before they were weighed."""
    wider = choose_calibration(settings.user.odds, past.corrections)
    lead = float(seen.members.lead_hours[on_the_water.LEAD_IN])
    return widening_words(wider, past.days, lead, settings.preferences)


def find_shelter(
    plan: Plan, seen: WeighedHours, water: OpenWater, settings: Settings
) -> Lee | None:
    """Return where the lee is on a trip; None without a shoreline, or a limit for waves."""
    limit = seen.voice.limits.limits.get(WAVES)
    if water.whole is None or limit is None or limit.marginal is None:
        return None
    trip = trip_hours(seen.weighing, plan)
    until = on_the_water.LEAD_IN + int(trip[-1]) + 2
    stale = seen.members.stale[:, None]
    wind, direction = (seen.members.quantities[name][:, :until] for name in (WIND, FROM))
    winds = Winds(
        speed=np.where(stale, np.nan, wind),
        direction=direction,
        weights=seen.members.weights,
        lead_in=on_the_water.LEAD_IN + int(trip[0]),
        sea=seen.conditions.quantities[WAVES][:, trip],
    )
    tolerance = settings.user.odds.tolerance
    return find_lee(water.whole, winds, limit.marginal, tolerance, water.fetch.max(axis=1))


def daylight(plan: Plan, hours: TimeArray) -> tuple[tuple[datetime, datetime], ...]:
    """Return from when to when the sun is up at the launch within some hours, in UTC."""
    spans = on_the_water.daylight(plan.launch, hours)
    return tuple((_moment(first), _moment(last)) for first, last in spans)


def _moment(time: np.datetime64) -> datetime:
    moment: datetime = time.astype("datetime64[s]").item()
    return moment.replace(tzinfo=UTC)


def weigh_hours(
    plan: Plan,
    hours: TimeArray,
    briefing: Briefing,
    water: OpenWater,
    settings: Settings,
    trust: Trust,
    past: PastChecks = NOTHING_PAST,
) -> WeighedHours:
    """Return the weighed hours that a verdict or an outlook is read from.

    Parameters
    ----------
    plan
        Who and where; its start and end cut the light of the hours that they fall in.
    hours : array (hour,)
        Start of each hour; may reach beyond the trip.
    briefing, water, settings, trust
        What came, where, for whom, and how far it counts.
    past
        What earlier checks of this launch said.
    """
    wider = choose_calibration(settings.user.odds, past.corrections)
    members = calibrate(briefing, on_the_water.hour_ends(hours), trust, wider)
    temperature = water_temperature(plan, briefing, trust)
    condition = on_the_water.build_conditions(plan, hours, members, water, temperature)
    warned = warnings.warnings_over(briefing.alerts, hours)
    more = {"official_warning": warned.level, **_growth(briefing, hours, trust, past)}
    condition = replace(condition, quantities={**condition.quantities, **more})
    weighing, lowered_for = weigh_conditions(condition, plan, settings)
    voice = reason_context(settings, plan.craft, plan.paddler, plan.night, plan.water, lowered_for)
    voice = replace(voice, warnings=warned.headlines)
    return WeighedHours(members, condition, weighing, voice, temperature)


def weigh_conditions(
    condition: Conditions, plan: Plan, settings: Settings
) -> tuple[Weighing, tuple[str, ...]]:
    """Return conditions weighed by the limits that hold, and in words what lowers them."""
    steps, parts = total_reduction(
        load_reductions(), condition.quantities, load_greatest_reduction()
    )
    book = _book(settings, plan.craft, plan.paddler, plan.night)
    tolerance = settings.user.odds.tolerance
    by_itself = weigh(
        condition,
        book,
        steps,
        tolerance,
        [each for each in HAZARDS if _weighed_by_itself(each, condition)],
    )
    weighing = with_return(by_itself, condition, book, tolerance)
    return weighing, tuple(STEP_WORDS[name] for name, part in parts.items() if np.any(part > 0))


def _weighed_by_itself(hazard: Hazard, condition: Conditions) -> bool:
    """Return whether a hazard is weighed hour by hour, with nothing but that hour's quantity."""
    if hazard is WORSE_BEFORE_HOME:
        return False
    return not hazard.needs_past or hazard.weighs in condition.quantities


def forecast_summary(plan: Plan, briefing: Briefing, trust: Trust) -> ForecastSummary:
    """Return what the forecasts say of the wind around a plan, for later checks of it."""
    return _said(briefing, assessment_hours(plan, briefing.at), trust)


def _said(briefing: Briefing, hours: TimeArray, trust: Trust) -> ForecastSummary:
    instants = np.append(hours, hours[-1] + HOUR)
    return summarize_forecast(as_forecast(briefing, instants, trust), briefing.at)


def _growth(
    briefing: Briefing, hours: TimeArray, trust: Trust, past: PastChecks
) -> dict[str, FloatArray]:
    """Return how the forecast has grown, the worse end of each hour; nothing without a past."""
    if not past.earlier:
        return {}
    grown = forecast_growth(_said(briefing, hours, trust), past.earlier)
    return {"forecast_growth": np.maximum(grown[:-1], grown[1:])[None, :]}


def assessment_hours(plan: Plan, at: datetime) -> TimeArray:
    """Return the hours of the trip and of its local day still to come, for the windows."""
    zone = ZoneInfo(plan.water.time_zone)
    start, end = plan.start.astimezone(zone), plan.end.astimezone(zone)
    morning = datetime.combine(start.date(), time(0), tzinfo=zone)
    evening = datetime.combine(end.date(), time(23), tzinfo=zone)
    first = min(plan.start, max(morning.astimezone(UTC), at))
    return hour_axis(first, max(plan.end, evening))


def water_temperature(plan: Plan, briefing: Briefing, trust: Trust) -> float:
    """Return what was entered, else the coldest of the near and new; else NaN. [K]."""
    if plan.water_temperature is not None:
        return plan.water_temperature
    seen = usable_observations(briefing, "water_temperature", trust.water_distance, trust.water_age)
    return min((each.value for each in seen), default=float("nan"))


def _book(settings: Settings, craft: Craft, paddler: Paddler, night: bool) -> Limits:
    return choose_limits(craft, paddler, load_default_limits(), settings.user.limit, night)


def reason_context(
    settings: Settings,
    craft: Craft,
    paddler: Paddler | None = None,
    night: bool = False,
    water: Water | None = None,
    lowered_for: tuple[str, ...] = (),
) -> ReasonContext:
    """Return to whom the reasons speak."""
    return ReasonContext(
        preferences=settings.preferences,
        zone=ZoneInfo(water.time_zone if water else "UTC"),
        craft=craft,
        limits=_book(settings, craft, paddler or settings.paddler, night),
        reduction_causes=lowered_for,
    )


def require_sound_limit(settings: Settings, table: Mapping[str, Any]) -> None:
    """Raise a clear error where a personal limit can't stand."""
    craft = settings.craft(table["craft"])
    book = choose_limits(craft, settings.paddler, load_default_limits(), ())
    personal_limit(LimitTable.model_validate(table), book.defaults)

"""Judge a case: no clock, no file, no network."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np

from safety_check.arrays import TimeArray, to_utc
from safety_check.assess.leave_signs import find_leave_signs
from safety_check.assess.warnings_reach import warnings_to_come
from safety_check.assess.water_reading import origins_of_estimate, read_water
from safety_check.assess.weighing import (
    ForecastHours,
    assessment_hours,
    movement_of,
    weigh_conditions,
    weigh_hours,
    weigh_returns,
    weigh_trip,
)
from safety_check.conditions.calibration import (
    describe_calibration,
)
from safety_check.conditions.case import Case
from safety_check.conditions.ensemble import (
    FROM,
    WIND,
)
from safety_check.conditions.forecast_trend import (
    ForecastSummary,
)
from safety_check.conditions.hour_parts import LEAD_IN
from safety_check.conditions.lee import Lee, Winds, find_lee, with_near
from safety_check.conditions.light import daylight
from safety_check.errors import PlanError
from safety_check.model.craft import Craft, Paddler
from safety_check.model.local_clock import LocalClock
from safety_check.model.place import Water
from safety_check.model.plan import Plan
from safety_check.model.verdict import Severity, Verdict
from safety_check.model.weather import Briefing
from safety_check.rules.cautions import cautions_called_for, list_cautions
from safety_check.rules.findings import build_verdict, list_findings, severity_of_plan
from safety_check.rules.limits import choose_limits
from safety_check.rules.personal_limits import personal_limit
from safety_check.rules.ranking import rank_findings
from safety_check.rules.reasons import ReasonContext
from safety_check.rules.rulebook import Rulebook
from safety_check.rules.trips import TripTable, judge_trips
from safety_check.rules.unknowns import best_possible
from safety_check.rules.weighed_hours import WeighedHours
from safety_check.settings.limits import load_default_limits
from safety_check.settings.settings import Settings
from safety_check.settings.user_file import LimitTable

WAVES = "sea_surface_wave_significant_height"


@dataclass(frozen=True)
class Assessment:
    """A verdict, and the weighed hours it was made from.

    Parameters
    ----------
    verdict
        The answer.
    forecast
        A summary of the wind forecasts, for later checks of the launch.
    whole
        The whole hours around the trip, weighed.
    trips
        Every trip of whole hours in them.
    """

    verdict: Verdict
    forecast: ForecastSummary
    whole: WeighedHours
    trips: TripTable


def judge(case: Case, rulebook: Rulebook) -> Verdict:
    """Return the verdict on a plan: no clock, no file, no network, only its arguments."""
    return assess_case(case, rulebook).verdict


def assess_case(case: Case, rulebook: Rulebook) -> Assessment:
    """Return the verdict on a plan, and the forecast summary that the history stores."""
    plan, margin = case.plan, rulebook.course.margin
    whole = weigh_hours(case, assessment_hours(plan, case.briefing.at, margin), rulebook)
    returning = weigh_returns(case, whole, rulebook)
    best = best_possible(case.briefing)
    table = judge_trips(whole.weighing, returning, best, whole.tolerance)
    weighed = weigh_trip(case, whole, rulebook)
    cautions = list_cautions(plan, weighed.water_temperature)
    verdict = build_verdict(case, weighed, table, rulebook, cautions)
    lee = find_shelter(case, weighed)
    verdict = replace(
        verdict,
        daylight=daylight_spans(plan, weighed.conditions.time),
        lee=lee.words(case.settings.preferences) if lee else "",
        shelter=lee.shelter if lee else None,
        widening=describe_calibration_used(case, weighed),
        missed=weighed.forecast.missed,
        forecast_made=newest_forecast(case.briefing),
        water=read_water(case),
        unknown=(*verdict.unknown, *warnings_to_come(case)),
        provenance=(*verdict.provenance, *origins_of_estimate(case)),
        called_for=cautions_called_for(plan, weighed.water_temperature),
    )
    moving = movement_of(case)
    if moving is not None:
        from safety_check.assess.movement import describe_movement  # not for still water

        verdict = replace(verdict, movement=describe_movement(case, moving, weighed))
    signs = find_leave_signs(verdict, weighed.conditions.water, rulebook.coefficients)
    return Assessment(replace(verdict, leave_signs=signs), weighed.forecast, whole, table)


def judge_again(case: Case, whole: WeighedHours, rulebook: Rulebook) -> tuple[Severity, str]:
    """Return the verdict on another plan, and the reason that decides it.

    Parameters
    ----------
    case
        Whose plan has other times, another craft or paddler; briefing and water are the same.
    whole
        The hours weighed for the first plan; the trip lies within them.
    rulebook
        The limits and tables that hold.
    """
    plan = case.plan
    given = ForecastHours(whole.members, whole.calibration, whole.forecast)
    conditions = whole.conditions.with_plan(plan)
    return verdict_in_brief(case, weigh_conditions(case, given, conditions, rulebook), rulebook)


def judge_in_brief(case: Case, rulebook: Rulebook) -> tuple[Severity, str]:
    """Return the verdict on a plan, and the reason that decides it, without anything else."""
    hours = assessment_hours(case.plan, case.briefing.at, rulebook.course.margin)
    return verdict_in_brief(case, weigh_hours(case, hours, rulebook), rulebook)


def verdict_in_brief(case: Case, whole: WeighedHours, rulebook: Rulebook) -> tuple[Severity, str]:
    """Return the verdict on a plan from its weighed hours, and the reason that decides it."""
    weighed = weigh_trip(case, whole, rulebook)
    severity = severity_of_plan(case, weighed)
    if severity == Severity.GO:
        return severity, ""
    findings = rank_findings(list_findings(case, weighed, severity))
    return severity, next(found.short for found in findings if found.severity >= severity)


def newest_forecast(briefing: Briefing) -> datetime | None:
    """Return when the newest forecast was made, or received where it does not say."""
    origins = [forecast.provenance for forecast in briefing.forecasts]
    return max((item.issued or item.fetched for item in origins), default=None)


def describe_calibration_used(case: Case, weighed: WeighedHours) -> tuple[str, ...]:
    """Describe how the forecasts were calibrated before they were weighed."""
    lead = float(weighed.members.lead_hours[LEAD_IN])
    prefer = case.settings.preferences
    return describe_calibration(
        weighed.calibration, case.settings.user.odds, case.past.days, lead, prefer
    )


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
    share, reach = weighed.tolerance.share, water.fetch.max(axis=1)
    found = find_lee(water.whole, winds, limit.marginal, share, reach)
    if water.near is None:
        return found
    close = find_lee(water.near, winds, limit.marginal, share, reach)
    return with_near(found, water.whole, water.near, close)


def daylight_spans(plan: Plan, hours: TimeArray) -> tuple[tuple[datetime, datetime], ...]:
    """Return from when to when the sun is up at the launch within some hours, in UTC."""
    spans = daylight(plan.launch, hours)
    return tuple((to_utc(first), to_utc(last)) for first, last in spans)


def reason_context(
    settings: Settings,
    craft: Craft,
    paddler: Paddler | None = None,
    night: bool = False,
    water: Water | None = None,
) -> ReasonContext:
    """Return for whom the reasons are written."""
    own, name = settings.user.limit, water.name if water else ""
    who = paddler or settings.paddler
    return ReasonContext(
        preferences=settings.preferences,
        clock=LocalClock(ZoneInfo(water.time_zone if water else "UTC"), None),
        craft=craft,
        limits=choose_limits(craft, who, load_default_limits(), own, night, name),
    )


def contexts_by_water(context: ReasonContext, settings: Settings) -> dict[str, ReasonContext]:
    """Return for each water with limits of its own what `reason_context` gives there."""
    own = settings.user.limit
    waters = dict.fromkeys(table.water for table in own if table.water)
    return {
        water: replace(
            context,
            limits=choose_limits(
                context.craft, settings.paddler, load_default_limits(), own, water=water
            ),
        )
        for water in waters
    }


def require_sound_limit(settings: Settings, table: Mapping[str, Any]) -> None:
    """Raise a clear error where a personal limit is not allowed.

    A limit of a water must change something for one of the user's craft at least.
    """
    given = LimitTable.model_validate(dict(table))
    names = [given.craft] if given.craft else [*settings.user.craft] or [settings.craft_name(None)]
    changes = False
    for name in names:
        craft = settings.craft(name)
        defaults = choose_limits(craft, settings.paddler, load_default_limits(), ()).defaults
        own = personal_limit(given, defaults)
        default = defaults[given.quantity]
        changes |= (own.marginal, own.no_go) != (default.marginal, default.no_go)
    if not changes and given.craft is None:
        raise PlanError(
            f"for none of your craft this limit of {given.quantity} is stricter than the default,"
            " so it would change nothing. Choose a stricter value, or confirm a looser one.",
            field="no_go",
            remedy="To confirm it: --loosen",
        )

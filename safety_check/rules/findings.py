"""Make a verdict from weighed hours: its findings with their reasons, its hours and windows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import timedelta

import numpy as np

from safety_check.arrays import IntArray, to_utc
from safety_check.conditions.case import Case
from safety_check.conditions.conditions import Conditions
from safety_check.conditions.course import describe_course
from safety_check.conditions.ensemble import AS_FORECAST
from safety_check.conditions.hour_parts import LEAD_IN
from safety_check.conditions.local_rules import rules_that_add
from safety_check.conditions.return_trip import FARTHEST
from safety_check.model.moving_water import origins_of_movement
from safety_check.model.verdict import (
    Finding,
    HourVerdict,
    Limit,
    LocalRuleUse,
    Severity,
    Verdict,
    Window,
)
from safety_check.model.weather import Briefing, Provenance
from safety_check.physics.odds import Tolerance
from safety_check.rules.advice import build_advice
from safety_check.rules.alerts import holds_during
from safety_check.rules.current_words import AGAINST_CURRENT, describe_against
from safety_check.rules.deciding import look_over_trip, members_by_hour
from safety_check.rules.disagreement import describe_disagreement, worst_hour
from safety_check.rules.engine import (
    OF_WIDENED_WINDS,
    WeighedHazard,
    Weighing,
    share_that_decides,
)
from safety_check.rules.limits import REDUCTION_CAUSES
from safety_check.rules.loosened import describe_loosened
from safety_check.rules.ranking import (
    MISSING_SOURCE,
    SEVERAL_TOGETHER,
    find_missing_sources,
    rank_findings,
)
from safety_check.rules.reached import weighted_quantiles
from safety_check.rules.reasons import ReasonContext, WorstHour, write_brief, write_reason
from safety_check.rules.rulebook import Rulebook
from safety_check.rules.trips import (
    TripTable,
    best_trips,
    hazard_over_trip,
    severity_of_trip,
    trip_odds,
    trip_severity,
)
from safety_check.rules.unknowns import best_possible, list_unknown, unknown_from_failure
from safety_check.rules.warnings import words_that_count
from safety_check.rules.weighed_hours import WeighedHours

TABLE = (
    "wind_speed",
    "wind_speed_of_gust",
    "wind_from_direction",
    "sea_surface_wave_significant_height",
)


def build_verdict(
    case: Case,
    weighed: WeighedHours,
    table: TripTable,
    rulebook: Rulebook,
    cautions: Sequence[str],
) -> Verdict:
    """Return the answer to a plan from the weighed hours around it.

    Parameters
    ----------
    case
        What was asked, and what the sources answered.
    weighed
        The hours may reach beyond the trip.
    table
        Every trip of whole hours, for the windows.
    rulebook
        The limits and tables in use.
    cautions
        The cautions to print with the verdict.
    """
    plan, briefing, tolerance = case.plan, case.briefing, weighed.tolerance
    until = plan.end + timedelta(seconds=rulebook.course.margin)
    conditions, weighing, context = weighed.conditions, weighed.weighing, weighed.context
    trip, best = weighed.trip, best_possible(briefing)
    hours = np.maximum(weighing.hours, best)
    around = _hours(weighing, conditions, hours, tolerance, context)
    return Verdict(
        plan=plan,
        at=briefing.at,
        severity=severity_of_plan(case, weighed),
        hours=tuple(around[hour] for hour in trip),
        findings=rank_findings(list_findings(case, weighed)),
        windows=find_windows(weighing, table),
        unknown=(
            *list_unknown(weighing, trip, context),
            *map(unknown_from_failure, briefing.silences),
        ),
        provenance=_provenance(briefing, case.trust.greatest_age),
        cautions=tuple(cautions),
        around=tuple(around),
        advice=build_advice(case, weighed, trip, best, rulebook),
        disagreement=_disagreement(conditions, hours, trip, context),
        loosened=describe_loosened(context, tolerance.share),
        trip_odds=trip_odds(weighing, trip),
        judged_until=until,
        local_rules=use_of_rules(case, conditions, trip),
        course=describe_course(plan, conditions.way.ways.farthest, rulebook.course),
        alerts=tuple(alert for alert in briefing.alerts if holds_during(alert, plan.start, until)),
    )


def severity_of_plan(case: Case, weighed: WeighedHours) -> Severity:
    """Return the verdict on a plan from its weighed trip."""
    held = best_possible(case.briefing)
    return max(severity_of_trip(weighed.weighing, weighed.trip, weighed.tolerance), held)


def list_findings(
    case: Case, weighed: WeighedHours, at_least: Severity = Severity.GO
) -> list[Finding]:
    """Return every finding over a plan's trip, in no order.

    Findings of hazards that are less severe than `at_least` are left out.
    """
    weighing, trip, tolerance = weighed.weighing, weighed.trip, weighed.tolerance
    found = severities_over_trip(weighed)
    return [
        *(
            build_finding(one, weighing, trip, weighed.context, tolerance, weighed.conditions)
            for one in weighing.hazards
            if found[one.hazard.name] >= at_least
        ),
        *several_together(weighing, trip, tolerance, [*map(np.asarray, found.values())]),
        *find_missing_sources(case.briefing, weighing.time[trip]),
    ]


def severities_over_trip(weighed: WeighedHours) -> dict[str, Severity]:
    """Return the severity of each hazard over a plan's trip."""
    weighing, trip = weighed.weighing, weighed.trip
    return {
        one.hazard.name: Severity(
            int(hazard_over_trip(one, weighing.weights, trip, weighed.tolerance))
        )
        for one in weighing.hazards
    }


def _disagreement(
    conditions: Conditions, hours: np.ndarray, trip: np.ndarray, context: ReasonContext
) -> str:
    """Return how the models differ, before any correction, about the wind of the worst hour."""
    wind = conditions.quantities[AS_FORECAST]
    worst = np.isin(np.arange(len(hours)), trip) & (hours == hours[trip].max())
    hour = worst_hour(wind, worst)
    when = context.hour(conditions.time[hour])
    return describe_disagreement(conditions.models, wind[:, hour], when, context.preferences.wind)


def build_finding(
    weighed: WeighedHazard,
    weighing: Weighing,
    trip: np.ndarray,
    context: ReasonContext,
    tolerance: Tolerance,
    conditions: Conditions,
) -> Finding:
    """Return one hazard's finding over the trip, from its worst hour.

    Its odds are the share of the forecasts that reach its severity, or worse, at any hour.
    """
    hazard, weights = weighed.hazard, weighing.weights
    limit = context.limits.limits.get(hazard.weighs)
    over = look_over_trip(weighed, weights, trip, tolerance, limit)
    severity, odds = Severity(int(over.severity)), float(over.odds)
    at_worst, hour, member = trip[over.hours], int(trip[over.hour]), int(over.member)
    bounds = weighed.no_go if severity == Severity.NO_GO else weighed.marginal
    value, bound = float(weighed.value[member, hour]), float(bounds[member, hour])
    where = context.place(hazard, conditions.places.get(hazard.weighs))
    if context.flow and hazard.name in AGAINST_CURRENT:
        where = describe_against(context, conditions, member, hour)
    worst = WorstHour(
        severity,
        value,
        bound,
        weighing.time[hour],
        odds,
        where,
        _reduction_causes(weighing, weighed, np.array([member]), np.array([hour]))[0],
        _local_rules(weighed, conditions, member, hour),
        conditions.warm_end(hour),
    )
    return Finding(
        hazard=hazard.name,
        quantity=hazard.weighs,
        value=value,
        bound=bound,
        unit=limit.unit if limit else "1",
        severity=severity,
        hours=weighing.time[at_worst],
        limit=limit,
        odds=odds,
        reason=write_reason(hazard, context, worst),
        brief=write_brief(hazard, context, worst),
        source=limit.source if limit else "",
        basis=limit.basis if limit else "judgement",
    )


def _reduction_causes(
    weighing: Weighing, weighed: WeighedHazard, members: IntArray, hours: IntArray
) -> list[tuple[str, ...]]:
    """Return in words what lowers a wind limit for each of these members in its hour."""
    if not weighed.hazard.lowered_by_reductions:
        return [()] * len(hours)
    shape = weighing.members.shape
    lowers = [
        (REDUCTION_CAUSES[cause], np.broadcast_to(part, shape)[members, hours] > 0)
        for cause, part in weighing.reduction_parts.items()
    ]
    return [tuple(cause for cause, holds in lowers if holds[place]) for place in range(len(hours))]


def _local_rules(
    weighed: WeighedHazard, conditions: Conditions, member: int, hour: int
) -> tuple[tuple[str, float], ...]:
    """Return the user's rules that add to the wind behind a value, and how much each adds."""
    if conditions.inputs is None or weighed.hazard.weighs not in OF_WIDENED_WINDS:
        return ()
    return tuple(rules_that_add(conditions.inputs.members, member, hour).items())


def use_of_rules(case: Case, conditions: Conditions, hours: IntArray) -> tuple[LocalRuleUse, ...]:
    """Return the user's rules of a plan's water, and in which hours they add to the wind."""
    if conditions.inputs is None or not case.plan.water.rules:
        return ()
    local = conditions.inputs.members.local
    used = []
    for rule in case.plan.water.rules:
        adds = np.any(local[rule.name] > 0, axis=0)[LEAD_IN:]
        counted = [int(hour) for hour in hours if adds[hour : hour + 2].any()]
        used.append(LocalRuleUse(rule, tuple(to_utc(conditions.time[hour]) for hour in counted)))
    return tuple(used)


def several_together(
    weighing: Weighing, trip: IntArray, tolerance: Tolerance, alone: Sequence[IntArray]
) -> list[Finding]:
    """Return a finding for a trip whose severity no hazard explains alone, only all together.

    The severity of each hazard over the trip is given.
    """
    severity = Severity(int(trip_severity(weighing, trip, tolerance, alone)))
    if severity <= max(map(int, alone)):
        return []
    reaches = weighing.members[:, trip] >= severity
    share = float(weighing.weights[reaches.any(axis=1)].sum())
    return [
        Finding(
            hazard=SEVERAL_TOGETHER,
            quantity="share_of_forecasts",
            value=share,
            bound=float("nan"),
            unit="1",
            severity=severity,
            hours=weighing.time[trip[reaches.any(axis=0)]],
            limit=None,
            odds=share,
            reason=f"In {100 * share:.0f} % of the forecasts at least one limit is passed, though"
            " no single limit is passed often enough to decide.",
            source="A trip is as severe as the tolerated share of the forecasts says.",
            basis="judgement",
        )
    ]


def _hours(
    weighing: Weighing,
    conditions: Conditions,
    hours: IntArray,
    tolerance: Tolerance,
    context: ReasonContext,
) -> list[HourVerdict]:
    """Return what each hour is, and why."""
    limits = _limits_by_hour(weighing, context.limits.limits, tolerance)
    return [
        HourVerdict(
            time=to_utc(weighing.time[hour]),
            severity=Severity(int(hours[hour])),
            odds={level: float(weighing.odds[hour, level]) for level in Severity},
            because=_because(weighing, hours, hour),
            shown=shown,
            bounds={name: bounds[hour] for name, (bounds, _) in limits.items()},
            lowered_by={name: causes[hour] for name, (_, causes) in limits.items() if causes[hour]},
        )
        for hour, shown in enumerate(_shown(conditions, tolerance))
    ]


def _because(weighing: Weighing, hours: IntArray, hour: int) -> tuple[str, ...]:
    """Return the names of what makes an hour no GO."""
    if hours[hour] == Severity.GO:
        return ()
    held = (MISSING_SOURCE,) if hours[hour] > weighing.hours[hour] else ()
    hazards = (one.hazard.name for one in weighing.hazards if one.hours[hour] == hours[hour])
    return (*held, *hazards)


def _limits_by_hour(
    weighing: Weighing, limits: Mapping[str, Limit], tolerance: Tolerance
) -> dict[str, tuple[list[tuple[float, float]], list[tuple[str, ...]]]]:
    """Return by hour the bounds that the deciding member meets, and what lowers them.

    A finding's bound comes from the same member, so the two never differ for one hour.
    """
    found, hours = {}, np.arange(len(weighing.time))
    for weighed in weighing.hazards:
        name = weighed.hazard.weighs
        if name in TABLE:
            share = share_that_decides(weighed.hazard, weighed.hours, tolerance)
            members = members_by_hour(weighed, weighing.weights, share, limits.get(name))
            marginal, no_go = (bound[members, hours] for bound in (weighed.marginal, weighed.no_go))
            bounds = list(zip(marginal.tolist(), no_go.tolist(), strict=True))
            found[name] = bounds, _reduction_causes(weighing, weighed, members, hours)
    return found


def _shown(conditions: Conditions, tolerance: Tolerance) -> list[dict[str, float]]:
    """Return by hour the median of the forecasts, and their ends at the tolerated share."""
    shape = (len(conditions.models), len(conditions.time))
    shares = (0.5, 1 - tolerance.of_winds, tolerance.of_winds)
    shown = {FARTHEST: conditions.quantities[FARTHEST][0]}
    for name in TABLE:
        values = np.broadcast_to(conditions.quantities[name], shape)
        middle, low, high = weighted_quantiles(values, conditions.weights, shares)
        shown |= {name: middle, f"{name}_low": low, f"{name}_high": high}
    by_hour = zip(*(values.tolist() for values in shown.values()), strict=True)
    return [dict(zip(shown, values, strict=True)) for values in by_hour]


def find_windows(weighing: Weighing, table: TripTable) -> tuple[Window, ...]:
    """Return the best trips of whole hours, which do not overlap, the longest first.

    A check of exactly that trip gives the window's severity, or a better one.
    """
    severity, trips = best_trips(table)
    return tuple(
        Window(
            to_utc(weighing.time[start]),
            to_utc(weighing.time[start] + np.timedelta64(length, "h")),
            severity,
        )
        for start, length in trips
    )


def _provenance(briefing: Briefing, greatest_age: Mapping[str, float]) -> tuple[Provenance, ...]:
    origins = [forecast.provenance for forecast in briefing.forecasts]
    origins += [observation.provenance for observation in briefing.observations]
    origins += [alert.provenance for alert in briefing.alerts]
    origins += briefing.others
    origins += origins_of_movement(briefing.moving) if briefing.moving else ()
    origins += words_that_count(briefing, greatest_age)
    return tuple(dict.fromkeys(origins))

"""From the weighing to the verdict: findings with their reasons, hours, windows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.conditions.case import Case
from safety_check.conditions.conditions import Conditions
from safety_check.conditions.ensemble import AS_FORECAST
from safety_check.conditions.return_trip import hours_of
from safety_check.model.plan import Plan
from safety_check.model.verdict import (
    Finding,
    HourVerdict,
    Limit,
    Severity,
    Unknown,
    Verdict,
    Window,
)
from safety_check.model.weather import Briefing, Provenance, SourceFailure
from safety_check.rules.advice import build_advice
from safety_check.rules.disagreement import describe_disagreement, worst_hour
from safety_check.rules.engine import WeighedHazard, Weighing, odds_of_hazard, runs_of_hours
from safety_check.rules.limits import REDUCTION_CAUSES
from safety_check.rules.loosened import describe_loosened
from safety_check.rules.ranking import (
    MISSING_SOURCE,
    SEVERAL_TOGETHER,
    find_missing_sources,
    rank_findings,
)
from safety_check.rules.reached import weighted_quantile
from safety_check.rules.reasons import ReasonContext, WorstHour, write_reason
from safety_check.rules.rulebook import Rulebook
from safety_check.rules.weighed_hours import WeighedHours

TABLE = (
    "wind_speed",
    "wind_speed_of_gust",
    "wind_from_direction",
    "sea_surface_wave_significant_height",
)


def build_verdict(
    case: Case, weighed: WeighedHours, rulebook: Rulebook, cautions: Sequence[str]
) -> Verdict:
    """Return the answer to a plan from the weighed hours around it.

    Parameters
    ----------
    case
        What was asked, and what the sources answered.
    weighed
        The hours may reach beyond the trip: those serve the windows alone.
    rulebook
        The limits and tables in use.
    cautions
        What always holds.
    """
    plan, briefing, tolerance = case.plan, case.briefing, case.tolerance
    conditions, weighing, context = weighed.conditions, weighed.weighing, weighed.context
    trip = trip_hours(weighing, plan)
    findings = [
        *(
            build_finding(one, weighing, trip, context, tolerance, conditions)
            for one in weighing.hazards
        ),
        *several_together(weighing, trip),
        *find_missing_sources(briefing, weighing.time[trip]),
    ]
    hours = np.maximum(weighing.hours, best_possible(briefing))
    around = [
        _hour(weighing, conditions, hours, at, tolerance, context) for at in range(len(hours))
    ]
    return Verdict(
        plan=plan,
        at=briefing.at,
        severity=Severity(int(hours[trip].max())),
        hours=tuple(around[each] for each in trip),
        findings=rank_findings(findings),
        windows=find_windows(weighing, hours),
        unknown=(*_unknown(weighing, trip, context), *map(unknown_from_failure, briefing.silences)),
        provenance=_provenance(briefing),
        cautions=tuple(cautions),
        around=tuple(around),
        advice=build_advice(case, weighed, trip, best_possible(briefing), rulebook),
        disagreement=_disagreement(conditions, hours, trip, context),
        loosened=describe_loosened(context, tolerance),
    )


def _disagreement(
    conditions: Conditions, hours: np.ndarray, trip: np.ndarray, context: ReasonContext
) -> str:
    """Return how the models differ about the wind as they came, in the trip's worst hour."""
    wind = conditions.quantities[AS_FORECAST]
    worst = np.isin(np.arange(len(hours)), trip) & (hours == hours[trip].max())
    hour = worst_hour(wind, worst)
    when = context.hour(conditions.time[hour])
    return describe_disagreement(conditions.models, wind[:, hour], when, context.preferences.wind)


def trip_hours(weighing: Weighing, plan: Plan) -> np.ndarray:
    """Return the indices of the hours that the trip touches, the hour of return included."""
    return hours_of(plan, weighing.time)


def build_finding(
    weighed: WeighedHazard,
    weighing: Weighing,
    trip: np.ndarray,
    context: ReasonContext,
    tolerance: float,
    conditions: Conditions,
) -> Finding:
    """Return one hazard's finding over the trip, from its worst hour."""
    hazard = weighed.hazard
    severity = Severity(int(weighed.hours[trip].max()))
    limit = context.limits.limits.get(hazard.weighs)
    at_worst = trip[weighed.hours[trip] == severity]
    hour, member = _worst(weighed, weighing.weights, at_worst, tolerance, limit)
    value = float(weighed.value[member, hour])
    bound = float((weighed.no_go if severity == Severity.NO_GO else weighed.marginal)[member, hour])
    odds = odds_of_hazard(weighed, weighing.weights, hour)
    where = context.place(hazard, conditions.places.get(hazard.weighs))
    worst = WorstHour(
        severity,
        value,
        bound,
        weighing.time[hour],
        odds,
        where,
        _reduction_causes(weighing, weighed, member, hour),
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
        source=limit.source if limit else "",
        basis=limit.basis if limit else "judgement",
    )


def _worst(
    weighed: WeighedHazard,
    weights: FloatArray,
    hours: np.ndarray,
    tolerance: float,
    limit: Limit | None,
) -> tuple[int, int]:
    """Return the worst of some hours, and the member that decides it."""
    sign = _sign(limit)
    deciding = [_deciding(weighed, weights, int(each), tolerance, sign) for each in hours]
    values = np.array([sign * weighed.value[member, hour] for hour, member in deciding])
    return deciding[int(np.argmax(np.where(np.isnan(values), np.inf, values)))]


def _sign(limit: Limit | None) -> float:
    return -1.0 if limit and limit.worse == "lower" else 1.0


def _reduction_causes(
    weighing: Weighing, weighed: WeighedHazard, member: int, hour: int
) -> tuple[str, ...]:
    """Return in words what lowers a wind limit for one member in one hour."""
    if not weighed.hazard.lowered_by_reductions:
        return ()
    shape = weighing.members.shape
    return tuple(
        REDUCTION_CAUSES[cause]
        for cause, part in weighing.reduction_parts.items()
        if np.broadcast_to(part, shape)[member, hour] > 0
    )


def _deciding(
    weighed: WeighedHazard, weights: FloatArray, hour: int, tolerance: float, sign: float
) -> tuple[int, int]:
    """Return the hour and the member whose value at least the tolerated share reaches."""
    members = np.flatnonzero(weighed.counted) if weighed.counted.any() else np.arange(len(weights))
    value = sign * weighed.value[members, hour]
    level = weighed.members[members, hour]
    order = np.lexsort((np.where(np.isnan(value), np.inf, value), level))[::-1]
    share = np.cumsum(weights[members][order]) / weights[members].sum()
    return hour, int(members[order[np.searchsorted(share, tolerance - 1e-9)]])


def several_together(weighing: Weighing, trip: np.ndarray) -> list[Finding]:
    """Return a finding for hours that no single hazard explains, only all together."""
    alone = np.maximum.reduce([each.hours for each in weighing.hazards])
    worse = trip[weighing.hours[trip] > alone[trip]]
    if not worse.size:
        return []
    severity = Severity(int(weighing.hours[worse].max()))
    hour = int(worse[np.argmax(weighing.hours[worse])])
    share = sum(odds for level, odds in weighing.odds(hour).items() if level >= severity)
    return [
        Finding(
            hazard=SEVERAL_TOGETHER,
            quantity="share_of_forecasts",
            value=float(share),
            bound=float("nan"),
            unit="1",
            severity=severity,
            hours=weighing.time[worse],
            limit=None,
            odds=float(share),
            reason=f"In {100 * share:.0f} % of the forecasts at least one limit is passed, though"
            " no single limit is passed often enough to decide.",
            source="An hour counts as badly as the tolerated share of the forecasts says.",
            basis="judgement",
        )
    ]


def _hour(
    weighing: Weighing,
    conditions: Conditions,
    hours: np.ndarray,
    hour: int,
    tolerance: float,
    context: ReasonContext,
) -> HourVerdict:
    moment: datetime = weighing.time[hour].astype("datetime64[s]").item()
    because = tuple(
        each.hazard.name for each in weighing.hazards if each.hours[hour] == hours[hour]
    )
    if hours[hour] > weighing.hours[hour]:
        because = (MISSING_SOURCE, *because)
    limits = _limits_of_hour(weighing, context.limits.limits, hour, tolerance)
    return HourVerdict(
        time=moment.replace(tzinfo=UTC),
        severity=Severity(int(hours[hour])),
        odds=weighing.odds(hour),
        because=because if hours[hour] > Severity.GO else (),
        shown=_shown(conditions, hour, tolerance),
        bounds={name: bounds for name, (bounds, _) in limits.items()},
        lowered_by={name: causes for name, (_, causes) in limits.items() if causes},
    )


def _limits_of_hour(
    weighing: Weighing, limits: Mapping[str, Limit], hour: int, tolerance: float
) -> dict[str, tuple[tuple[float, float], tuple[str, ...]]]:
    """Return the bounds that the deciding member meets in an hour, and what lowers them.

    A finding's bound comes from the same member, so the two never differ for one hour.
    """
    found = {}
    for weighed in weighing.hazards:
        name = weighed.hazard.weighs
        if name in TABLE:
            sign = _sign(limits.get(name))
            _, member = _deciding(weighed, weighing.weights, hour, tolerance, sign)
            bounds = float(weighed.marginal[member, hour]), float(weighed.no_go[member, hour])
            found[name] = bounds, _reduction_causes(weighing, weighed, member, hour)
    return found


def _shown(conditions: Conditions, hour: int, tolerance: float) -> Mapping[str, float]:
    """Return the middle of the forecasts, and between what all but the tolerated ends lie."""
    shape = (len(conditions.models), len(conditions.time))
    shown: dict[str, float] = {}
    for name in TABLE:
        values = np.broadcast_to(conditions.quantities[name], shape)[:, hour]
        shown[name] = weighted_quantile(values, conditions.weights, 0.5)
        shown[f"{name}_low"] = weighted_quantile(values, conditions.weights, 1 - tolerance)
        shown[f"{name}_high"] = weighted_quantile(values, conditions.weights, tolerance)
    return shown


def find_windows(weighing: Weighing, hours: np.ndarray) -> tuple[Window, ...]:
    """Return the runs of GO hours, or of MARGINAL ones where there is no GO, longest first."""
    for best in (Severity.GO, Severity.MARGINAL):
        found = runs_of_hours(hours, best)
        if found:
            spans = [(_utc(weighing.time[a]), _utc(weighing.time[b - 1], 1)) for a, b in found]
            spans.sort(key=lambda span: (span[0] - span[1], span[0]))
            return tuple(Window(a, b, best) for a, b in spans)
    return ()


def _utc(time: np.datetime64, later: int = 0) -> datetime:
    moment: datetime = (time + np.timedelta64(later, "h")).astype("datetime64[s]").item()
    return moment.replace(tzinfo=UTC)


def best_possible(briefing: Briefing) -> Severity:
    """Return the best severity an hour can have, given the sources that did not answer."""
    return max((_cost(each) for each in briefing.silences), default=Severity.GO)


def _cost(silence: SourceFailure) -> Severity:
    return Severity.MARGINAL if silence.applies else Severity.GO


def unknown_from_failure(silence: SourceFailure) -> Unknown:
    """Return what a source that did not answer leaves unknown."""
    remedy = "Without it the verdict cannot be GO." if silence.applies else ""
    return Unknown(silence.source, silence.reason, remedy, _cost(silence))


def _unknown(weighing: Weighing, trip: np.ndarray, context: ReasonContext) -> tuple[Unknown, ...]:
    """Return what is not known in the trip's hours, whether or not it decides."""
    found = []
    for each in weighing.hazards:
        missing = _missing(each, trip)
        if missing.any():
            share = float(weighing.weights[missing.any(axis=1)].sum())
            found.append(_one_unknown(each, trip[missing.any(axis=0)], share, weighing, context))
    return tuple(found)


def _missing(weighed: WeighedHazard, trip: np.ndarray) -> np.ndarray:
    unknown = np.isnan(weighed.value[:, trip]) | np.isnan(weighed.marginal[:, trip])
    return unknown & (weighed.counted[:, None] | ~weighed.counted.any())


def _one_unknown(
    weighed: WeighedHazard,
    hours: np.ndarray,
    share: float,
    weighing: Weighing,
    context: ReasonContext,
) -> Unknown:
    first, last = (context.hour(weighing.time[hours[at]]).removeprefix("at ") for at in (0, -1))
    why = f"not known from {first} to {last}" if first != last else f"not known at {first}"
    if share < 1 - 1e-9:
        why += f" in {100 * share:.0f} % of the forecasts"
    hazard = weighed.hazard
    remedy = hazard.remedy
    if hazard.weighs in context.limits.undeclared:
        why, remedy = "your limit cannot be chosen", hazard.says_undeclared
    severity = Severity.UNKNOWN if hazard.required else Severity.MARGINAL
    return Unknown(hazard.quantity_label, why, remedy, severity)


def _provenance(briefing: Briefing) -> tuple[Provenance, ...]:
    origins = [each.provenance for each in briefing.forecasts]
    origins += [each.provenance for each in briefing.observations]
    origins += [each.provenance for each in briefing.alerts]
    origins += briefing.others
    return tuple(dict.fromkeys(origins))

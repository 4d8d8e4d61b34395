"""The details of each finding: value, limit, hours, odds, and where the limit comes from."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from safety_check.assess.verdict import reason_context
from safety_check.model.local_clock import LocalClock
from safety_check.model.verdict import Finding, Limit, Severity, Verdict
from safety_check.report.words import percent, spans
from safety_check.rules.hazard import Hazard
from safety_check.rules.hazards import HAZARDS, quantity_label
from safety_check.rules.reasons import ReasonContext
from safety_check.settings.settings import Settings

HAZARD = {hazard.name: hazard for hazard in HAZARDS}
BASIS = {
    "published": "published",
    "common_practice": "common practice",
    "judgement": "our own judgement",
    "personal": "",
}
YES_OR_NO = ("flag", "declared", "warning")  # their limits are shown without figures


@dataclass(frozen=True)
class Reason:
    """A finding in words.

    Parameters
    ----------
    severity, text
        Its severity, and its sentence.
    facts
        Terms and their values: value, limit, hours, odds, source.
    """

    severity: Severity
    text: str
    facts: tuple[tuple[str, str], ...]


def explain(verdict: Verdict, settings: Settings) -> list[Reason]:
    """Return the findings of a verdict in words, in their order."""
    plan = verdict.plan
    context = reason_context(settings, plan.craft, plan.paddler, plan.night, plan.water)
    clock = LocalClock.of(plan)
    return [_reason(finding, context, clock) for finding in verdict.findings]


def _reason(finding: Finding, context: ReasonContext, clock: LocalClock) -> Reason:
    hazard = HAZARD.get(finding.hazard)
    facts = [
        ("What", quantity_label(finding.quantity)),
        *(_figures(finding, hazard, context) if hazard else ()),
        ("Hours", spans(finding.hours, clock)),
        ("Odds", _odds(finding)),
        *(_origin(finding)),
        ("Why it counts", hazard.rationale if hazard else ""),
        ("Cannot see", hazard.limitations if hazard else ""),
    ]
    return Reason(finding.severity, finding.reason, tuple(fact for fact in facts if fact[1]))


def _odds(finding: Finding) -> str:
    if finding.severity == Severity.GO:
        return ""
    worse = "" if finding.severity == Severity.NO_GO else " or worse"
    return f"{percent(finding.odds)} of the forecasts give {finding.severity}{worse}"


def _figures(finding: Finding, hazard: Hazard, context: ReasonContext) -> Iterable[tuple[str, str]]:
    reached = finding.severity > Severity.GO
    yield "Value", context.value_beside(finding.bound, finding.value, hazard, reached)
    if hazard.shown_as not in YES_OR_NO and finding.limit:
        yield "Limit here", _bound(finding, hazard, context)
        yield "Limit as set", _limit(finding.limit, hazard, context)


def _bound(finding: Finding, hazard: Hazard, context: ReasonContext) -> str:
    if not math.isfinite(finding.bound):
        return ""
    worse = finding.limit.worse if finding.limit else "higher"
    level = "no-go" if finding.severity == Severity.NO_GO else "caution"
    return f"{context.bound(finding.bound, hazard.shown_as, worse)} ({level})"


def _limit(limit: Limit, hazard: Hazard, context: ReasonContext) -> str:
    said = [
        f"{context.bound(bound, hazard.shown_as, limit.worse)} ({name})"
        for name, bound in (("caution", limit.marginal), ("no-go", limit.no_go))
        if bound is not None
    ]
    loose = "; looser than the default, as you asked" if limit.loosened else ""
    return f"{', '.join(said)}; {limit.worse} is worse{loose}"


def _origin(finding: Finding) -> Iterable[tuple[str, str]]:
    kind, source = BASIS[finding.basis], finding.source
    yield "Source", f"{kind}: {source}" if kind and source else kind or source
    if finding.limit:
        yield "Holds since", finding.limit.since.isoformat()

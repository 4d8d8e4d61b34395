"""Each finding as a line with a bar, and its details: value, limit, hours, odds, source."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from safety_check.assess.verdict import reason_context
from safety_check.model.local_clock import LocalClock
from safety_check.model.verdict import Finding, Limit, Severity, Verdict
from safety_check.report.page.hazard_names import name_of
from safety_check.report.page.reason_bars import ReasonBar, draw_bar
from safety_check.report.page.unweighed import was_asked
from safety_check.report.words import percent, spans, water_range
from safety_check.rules.hazard import Hazard
from safety_check.rules.hazards import HAZARDS, quantity_label
from safety_check.rules.reasons import FIGURES, ReasonContext
from safety_check.settings.settings import Settings

HAZARD = {hazard.name: hazard for hazard in HAZARDS}
BASIS = {
    "published": "published",
    "common_practice": "common practice",
    "judgement": "our own judgement",
    "personal": "",
}
GROUPS = {"wind_too_strong": "Wind", "gusts_too_strong": "Wind", "offshore_wind": "Wind"}
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
    name, value, limit, hours
        What was weighed, its value, the limit that it met or would meet first, and when; empty
        where there is none.
    bar
        The value against its limits; None where it has no number.
    group
        The title that it shares with others of its kind; empty for none.
    asked
        Whether it rests on an answer.
    estimated
        Whether its value is a range that has a drawing of its own.
    """

    severity: Severity
    text: str
    facts: tuple[tuple[str, str], ...]
    name: str
    value: str
    limit: str
    hours: str
    bar: ReasonBar | None
    group: str
    asked: bool
    estimated: bool

    @property
    def used(self) -> str:
        """The share of the limit in words; empty where there is none, never 100 % within it."""
        share = self.bar.share if self.bar else None
        if share is None or not math.isfinite(share):
            return ""
        return f"{min(math.ceil(100 * share - 1e-9), 99)} %"


def explain(verdict: Verdict, settings: Settings) -> list[Reason]:
    """Return the findings of a verdict in words, in their order."""
    plan = verdict.plan
    context = reason_context(settings, plan.craft, plan.paddler, plan.night, plan.water)
    clock = LocalClock.of(plan)
    return [_reason(finding, context, clock, verdict) for finding in verdict.findings]


def group_reasons(reasons: Sequence[Reason]) -> list[list[Reason]]:
    """Return reasons in their order, those of a group at the place of its first."""
    groups: dict[str, list[Reason]] = {}
    for number, reason in enumerate(reasons):
        groups.setdefault(reason.group or str(number), []).append(reason)
    return list(groups.values())


def sort_within(reasons: Iterable[Reason]) -> tuple[list[Reason], list[Reason]]:
    """Return what stays within its limits: with a number, the nearest first, and without."""
    within = [reason for reason in reasons if reason.severity == Severity.GO and reason.asked]
    near = [reason for reason in within if reason.bar]
    near.sort(key=lambda reason: -reason.bar.nearness if reason.bar else 0.0)
    return near, [reason for reason in within if not reason.bar]


def _reason(
    finding: Finding, context: ReasonContext, clock: LocalClock, verdict: Verdict
) -> Reason:
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
    estimated = finding.hazard == "cold_water" and _is_estimated(verdict)
    value = dict(facts).get("Value", "")
    if estimated and verdict.water:
        value = " to ".join(water_range(verdict.water, context.preferences))
    return Reason(
        severity=finding.severity,
        text=finding.reason,
        facts=tuple(fact for fact in facts if fact[1]),
        name=name_of(finding.hazard, finding.quantity),
        value=value,
        limit=_met(finding, hazard, context) if hazard else "",
        hours=spans(finding.hours, clock),
        bar=_bar(finding, hazard, verdict) if hazard else None,
        group=GROUPS.get(finding.hazard, ""),
        asked=was_asked(finding, verdict),
        estimated=estimated,
    )


def _is_estimated(verdict: Verdict) -> bool:
    return verdict.water is not None and verdict.water.warmest is not None


def _bar(finding: Finding, hazard: Hazard, verdict: Verdict) -> ReasonBar | None:
    if hazard.shown_as in YES_OR_NO:
        return None
    return draw_bar(finding, hazard.shown_as, verdict.hours)


def _met(finding: Finding, hazard: Hazard, context: ReasonContext) -> str:
    """Return the limit that a value met or would meet first; empty where it has no number."""
    if hazard.shown_as in YES_OR_NO or not finding.limit or not math.isfinite(finding.bound):
        return ""
    worse = finding.limit.worse
    below = " or less" if worse == "lower" and hazard.shown_as in FIGURES else ""
    only = finding.limit.marginal is None
    level = "no-go" if finding.severity == Severity.NO_GO or only else "caution"
    return f"{level} {context.bound(finding.bound, hazard.shown_as, worse)}{below}"


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

"""Each finding opened: its value, its limit, its hours, its odds and where the limit comes from."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta

from safety_check.arrays import TimeArray
from safety_check.assess.verdict import reason_context
from safety_check.model.verdict import Finding, Limit, Severity, Verdict
from safety_check.rules.hazard import Hazard
from safety_check.rules.hazards import HAZARDS, quantity_label
from safety_check.rules.reasons import ReasonContext, to_local
from safety_check.settings.settings import Settings

HAZARD = {each.name: each for each in HAZARDS}
BASIS = {
    "published": "published",
    "common_practice": "common practice",
    "judgement": "our own judgement",
    "personal": "",
}
YES_OR_NO = ("flag", "declared", "warning")  # their limits need no figures
HOUR = timedelta(hours=1)


@dataclass(frozen=True)
class Reason:
    """A finding in words.

    Parameters
    ----------
    severity, text
        How it weighs, and its sentence.
    facts
        Terms and what they are: value, limit, hours, odds, source.
    """

    severity: Severity
    text: str
    facts: tuple[tuple[str, str], ...]


def explain(verdict: Verdict, settings: Settings) -> list[Reason]:
    """Return the findings of a verdict in words, worst first as they stand in it."""
    plan = verdict.plan
    voice = reason_context(settings, plan.craft, plan.paddler, plan.night, plan.water)
    return [_reason(each, voice) for each in verdict.findings]


def _reason(finding: Finding, voice: ReasonContext) -> Reason:
    hazard = HAZARD.get(finding.hazard)
    facts = [
        ("What", quantity_label(finding.quantity)),
        *(_figures(finding, hazard, voice) if hazard else ()),
        ("Hours", spans(finding.hours, voice)),
        ("Odds", _odds(finding)),
        *(_origin(finding)),
        ("Why it counts", hazard.rationale if hazard else ""),
        ("Cannot see", hazard.limitations if hazard else ""),
    ]
    return Reason(
        finding.severity, finding.reason, tuple((term, said) for term, said in facts if said)
    )


def _odds(finding: Finding) -> str:
    if finding.severity == Severity.GO:
        return ""
    return f"{100 * finding.odds:.0f} % of the forecasts say {finding.severity} or worse"


def _figures(finding: Finding, hazard: Hazard, voice: ReasonContext) -> Iterable[tuple[str, str]]:
    yield "Value", voice.value(finding.value, hazard.shown_as)
    if hazard.shown_as not in YES_OR_NO and finding.limit:
        yield "Limit here", _bound(finding, hazard, voice)
        yield "Limit as set", _limit(finding.limit, hazard, voice)


def _bound(finding: Finding, hazard: Hazard, voice: ReasonContext) -> str:
    if not math.isfinite(finding.bound):
        return ""
    level = "no-go" if finding.severity == Severity.NO_GO else "caution"
    return f"{voice.value(finding.bound, hazard.shown_as)} ({level})"


def _limit(limit: Limit, hazard: Hazard, voice: ReasonContext) -> str:
    said = [
        f"{voice.value(bound, hazard.shown_as)} ({name})"
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


def spans(hours: TimeArray, voice: ReasonContext) -> str:
    """Return hours as one says them: "09:00 to 11:00, 14:00 to 15:00"."""
    moments = [to_local(each, voice.zone) for each in hours]
    runs: list[list[int]] = []
    for at, moment in enumerate(moments):
        if runs and moment - moments[at - 1] == HOUR:
            runs[-1][1] = at
        else:
            runs.append([at, at])
    return ", ".join(f"{moments[a]:%H:%M} to {moments[b] + HOUR:%H:%M}" for a, b in runs)

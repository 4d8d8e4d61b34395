"""What a verdict has not weighed: not asked for, or not applicable here."""

from __future__ import annotations

from collections.abc import Iterator

from safety_check.model.verdict import Finding, Verdict
from safety_check.report.page.hazard_names import name_of
from safety_check.rules.hazard import Hazard
from safety_check.rules.hazards import HAZARDS
from safety_check.rules.hazards_moving import OF_MOVING_WATER

NOT_ASKED = "not asked: you have not declared it"


def was_asked(finding: Finding, verdict: Verdict) -> bool:
    """Return whether a finding rests on an answer, and not on nobody having said otherwise."""
    return finding.hazard != "overloaded" or verdict.plan.paddler.within_capacity is not None


def list_unweighed(verdict: Verdict) -> list[tuple[str, str]]:
    """Return each hazard that was not weighed, as its quantity in words and why."""
    weighed = {finding.hazard for finding in verdict.findings}
    unasked = {one.hazard for one in verdict.findings if not was_asked(one, verdict)}
    return list(_list(weighed, unasked, verdict))


def _list(weighed: set[str], unasked: set[str], verdict: Verdict) -> Iterator[tuple[str, str]]:
    for hazard in HAZARDS:
        label = name_of(hazard.name, hazard.weighs)
        if hazard.name in unasked:
            yield label, NOT_ASKED
        elif hazard.name not in weighed:
            yield label, _why_not(hazard, verdict)


def _why_not(hazard: Hazard, verdict: Verdict) -> str:
    if hazard.needs_past:
        return "no earlier check to compare with"
    if hazard.only_where_made:
        return "none of the forecasts gives it"
    if hazard.name in OF_MOVING_WATER:
        return "still water" if verdict.movement is None else "not on this water"
    return "has no limit for this craft and paddler"

"""The decision in a few lines: when it is safe, why, where the lee is, when to be back."""

from __future__ import annotations

from safety_check.model.local_clock import LocalClock
from safety_check.model.verdict import Finding, Severity, Verdict
from safety_check.report.head import first_sentence, reason_forms, times_forms
from safety_check.rules.hazards import HAZARDS
from safety_check.rules.hazards_paddler import READINESS

MOST_WINDOWS = 2
NO_LIMIT_REACHED = "No hazard that the program weighs exceeds a limit."
NO_SHORE = "Not known: this water has no shoreline."
WITHOUT_FIGURES = ("flag", "declared", "warning")  # how their values are shown
ALIKE = {hazard.name for hazard in READINESS} | {
    hazard.name for hazard in HAZARDS if hazard.shown_as in WITHOUT_FIGURES
}


def decision_lines(verdict: Verdict) -> list[tuple[str, str]]:
    """Return the lines below a verdict, each with its label."""
    clock = LocalClock.of(verdict.plan)
    why, back = reason_forms(verdict, clock), times_forms(verdict, clock)
    lines = [
        ("When", _when(verdict, clock)),
        ("Why", why[0] if why else NO_LIMIT_REACHED),
        ("Lee", verdict.lee[:1].upper() + verdict.lee[1:] or NO_SHORE),
        ("Back", back[0] if back else ""),
    ]
    return [(label, text) for label, text in lines if text]


def _when(verdict: Verdict, clock: LocalClock) -> str:
    """Return the best hours around the plan, if they are GO or MARGINAL."""
    best = min((found.severity for found in verdict.windows), default=Severity.UNKNOWN)
    if best > Severity.MARGINAL:
        return "No hours around the plan are GO or MARGINAL."
    spans = [
        clock.span(found.start, found.end) for found in verdict.windows if found.severity == best
    ]
    only = "" if best == Severity.GO else "No hours around the plan are GO. "
    return f"{only}{best} {', '.join(spans[:MOST_WINDOWS])}."


def whole_trip_lines(verdict: Verdict) -> list[str]:
    """Return what holds in every hour alike, such as that no life jacket is worn.

    The main reason is not repeated, and what to do stands with the reasons below.
    """
    weighty = [finding for finding in verdict.findings if finding.severity > Severity.GO]
    throughout = [one for one in weighty[1:] if holds_throughout(one, verdict)]
    return [first_sentence(finding.short) for finding in throughout]


def holds_throughout(finding: Finding, verdict: Verdict) -> bool:
    """Return whether a finding is one of the whole trip, the same in each of its hours."""
    return finding.hazard in ALIKE and len(finding.hours) == len(verdict.hours)

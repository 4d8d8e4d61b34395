"""The reasons of a verdict as a list: what exceeds a limit, and what is not known."""

from __future__ import annotations

import math

from safety_check.model.verdict import Finding, Severity, Verdict
from safety_check.rules.hazards import quantity_label

FEW = 2  # reasons that something is not known; more of them share one line


def weighty_reasons(
    verdict: Verdict, brief: bool = False, leave_out: int = 0
) -> list[tuple[Severity, str]]:
    """Return the reasons that are worse than GO, the worst first.

    Parameters
    ----------
    verdict
        The verdict with the findings.
    brief
        Whether each shows only value, limit and hour.
    leave_out
        How many of the first are shown elsewhere.
    """
    weighty = [finding for finding in verdict.findings if finding.severity > Severity.GO]
    missing = [finding for finding in weighty if _missing(finding)]
    grouped = missing if len(missing) > FEW else []
    weighty = weighty[leave_out:]
    told = [
        (finding.severity, finding.short if brief else finding.reason)
        for finding in weighty
        if finding not in grouped
    ]
    for severity in sorted({finding.severity for finding in grouped}, reverse=True):
        names = [quantity_label(one.quantity) for one in grouped if one.severity == severity]
        where = "--full says" if brief else 'see "Not known" for'
        told.append((severity, f"Missing data ({where} what to do): {', '.join(names)}."))
    return list(dict.fromkeys(told))  # two hazards may lack the same declaration


def _missing(finding: Finding) -> bool:
    nobody_read_warnings = finding.hazard == "official_warning"
    return math.isnan(finding.value) and finding.limit is not None and not nobody_read_warnings

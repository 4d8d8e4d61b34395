"""Which findings made the verdict, and the order in which they are listed."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np

from safety_check.arrays import BoolArray, IntArray, TimeArray
from safety_check.model.verdict import Finding, Severity
from safety_check.model.weather import Briefing

MISSING_SOURCE = "missing_source"
SEVERAL_TOGETHER = "several_together"
UNREAD_WARNING = "official_warning"


def rank_findings(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return findings in order: those that decide come first.

    The most severe come first. Among equals the order is: official warnings that nobody has
    read, a value beyond its limit, missing data, then what only all hazards together explain.
    After that comes the one in more of the forecasts, then the one that lasts longer.
    """
    return tuple(sorted(findings, key=_rank))


def _rank(finding: Finding) -> tuple[int, int, float, int]:
    kind = int(kind_of_finding(finding.hazard, np.isnan(finding.value)))
    return -finding.severity, kind, -finding.odds, -len(finding.hours)


def kind_of_finding(hazard: str, missing: np.bool_ | BoolArray) -> IntArray:
    """Return the place of a kind of finding among equally severe ones, lowest first.

    Parameters
    ----------
    hazard
        Its name.
    missing : array (...)
        Whether the value that decides is not known.
    """
    if hazard == SEVERAL_TOGETHER:
        return np.full(np.shape(missing), 2)
    return np.where(missing, -1 if hazard == UNREAD_WARNING else 1, 0)


def find_missing_sources(briefing: Briefing, hours: TimeArray) -> list[Finding]:
    """Return a finding for sources that cover this place and gave no answer.

    Parameters
    ----------
    briefing
        Which sources failed.
    hours : array (hour,)
        Start of each hour of the trip.
    """
    missing = dict.fromkeys(failure.source for failure in briefing.silences if failure.applies)
    if not missing:
        return []
    reason = f"No full answer from {', '.join(missing)}: without it the verdict cannot"
    return [
        Finding(
            hazard=MISSING_SOURCE,
            quantity="sources_that_answered",
            value=math.nan,
            bound=math.nan,
            unit="1",
            severity=Severity.MARGINAL,
            hours=hours,
            limit=None,
            odds=1.0,
            reason=f"{reason} be GO.",
            source="A source that covers this place and does not answer may know of a danger.",
            basis="judgement",
        )
    ]

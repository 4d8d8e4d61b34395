"""Checks of the past: a line of the history, and an old check made again."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from safety_check.model.verdict import Finding, Severity, Verdict


@dataclass(frozen=True)
class CheckLine:
    """One line of the history.

    Parameters
    ----------
    id
        Its number, never used twice.
    at
        The time of the check. UTC
    name
        What the user calls the plan; "" where it has no name.
    water, launch, time_zone, craft, start, end
        What was planned; the zone is the water's.
    severity, because
        The verdict, and the reason of its first finding.
    program
        The version that made it.
    """

    id: int
    at: datetime
    name: str
    water: str
    launch: str
    time_zone: str
    craft: str
    start: datetime
    end: datetime
    severity: Severity
    because: str
    program: str


@dataclass(frozen=True)
class FindingChange:
    """One hazard on which two verdicts differ; None where one of them did not weigh it."""

    hazard: str
    before: Finding | None
    after: Finding | None


@dataclass(frozen=True)
class RepeatedCheck:
    """An old check, made again.

    Parameters
    ----------
    line, before
        Its line of the history, and its verdict.
    again
        From the same plan, forecasts, settings and clock by this program.
    today
        The same with the settings of today.
    same
        Whether `again` is the old verdict to the last digit.
    changes
        Where `again` differs from the old verdict: this program or its limits changed.
    settings_changes
        Where `today` differs from `again`: the user's settings changed.
    """

    line: CheckLine
    before: Verdict
    again: Verdict
    today: Verdict
    same: bool
    changes: tuple[FindingChange, ...]
    settings_changes: tuple[FindingChange, ...]

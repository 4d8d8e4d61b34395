"""What an official alert means for a small craft, and whether it touches a trip."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from safety_check.model.verdict import Severity
from safety_check.model.weather import Alert

GRAVE = ("severe", "extreme")


def alert_severity(event: str, severity: str, table: Mapping[str, Severity]) -> Severity:
    """Return how an alert counts for a small craft.

    Parameters
    ----------
    event
        The official name.
    severity
        The service's own severity (CAP 1.2). It ranks harm to the public, not to a kayak: a
        Small Craft Advisory is "Minor". So it counts only where the name is not listed.
    table
        Official name → severity; case and spacing do not matter.

    Notes
    -----
    Names change every few years. One that is not listed is NO-GO where the service calls it
    severe or extreme, and MARGINAL otherwise; it is never ignored.

    Examples
    --------
    >>> alert_severity("Extremely New Warning", "Severe", {}).name
    'NO_GO'
    """
    listed = {_folded(name): meaning for name, meaning in table.items()}
    unlisted = Severity.NO_GO if _folded(severity) in GRAVE else Severity.MARGINAL
    return listed.get(_folded(event), unlisted)


def holds_during(alert: Alert, start: datetime, end: datetime) -> bool:
    """Return whether an alert is in force between start and end, both included.

    Without an onset it is already in force; without an end it stays in force.
    """
    begun = alert.onset is None or alert.onset <= end
    over = alert.ends is not None and alert.ends < start
    return begun and not over


def _folded(text: str) -> str:
    return " ".join(text.casefold().split())

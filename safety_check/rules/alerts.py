"""What an official alert means for a small craft, and whether it touches a trip."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime

from safety_check.model.verdict import Severity
from safety_check.model.weather import Alert
from safety_check.settings.alert_classes import OTHER, AlertClasses


@dataclass(frozen=True)
class AlertMeanings:
    """What official alerts mean for a small craft.

    Parameters
    ----------
    events
        Official name → meaning, for services whose names are listed; case and spacing do not
        matter.
    classes
        The vocabulary with the meaning of each class of hazard, for all other services. It is read
        when the first alert needs it.
    """

    events: Mapping[str, Severity]
    classes: Callable[[], AlertClasses]


def alert_severity(alert: Alert, meanings: AlertMeanings) -> Severity:
    """Return how an alert counts for a small craft.

    Parameters
    ----------
    alert
        As received. Its own severity (CAP 1.2) ranks harm to the public, not to a kayak: a Small
        Craft Advisory is "Minor". So it counts only within a class of hazard, or where the name is
        not listed.
    meanings
        The shipped tables.

    Notes
    -----
    Names change every few years. One that is not listed is NO-GO where the service calls it
    severe or extreme, and MARGINAL otherwise; it is never ignored.
    """
    if alert.hazard:
        return meanings.classes().severity(alert.hazard, alert.severity)
    listed = {_folded(name): meaning for name, meaning in meanings.events.items()}
    found = listed.get(_folded(alert.event))
    return meanings.classes().severity(OTHER, alert.severity) if found is None else found


def holds_during(alert: Alert, start: datetime, end: datetime) -> bool:
    """Return whether an alert is in force between start and end, both included.

    Without an onset it is already in force; without an end it stays in force.
    """
    begun = alert.onset is None or alert.onset <= end
    over = alert.ends is not None and alert.ends < start
    return begun and not over


def _folded(text: str) -> str:
    return " ".join(text.casefold().split())

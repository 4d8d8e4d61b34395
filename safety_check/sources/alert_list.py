"""A list of official alerts, and whether it still shows that there are no others."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime
from typing import Self

from safety_check.model.weather import Alert, Provenance, SourceFailure
from safety_check.sources.answers import AHEAD
from safety_check.sources.question import max_age, provides, title


class AlertList(tuple[Alert, ...]):
    """The alerts of one answer; `provenance.issued` is when the list was last updated."""

    provenance: Provenance

    def __new__(cls, alerts: Iterable[Alert], provenance: Provenance) -> Self:
        """Return the alerts with the origin of their list."""
        listed = super().__new__(cls, alerts)
        listed.provenance = provenance
        return listed


def age_failure(listed: AlertList, source: str, at: datetime) -> tuple[SourceFailure, ...]:
    """Return a failure where a list is too old to show that there are no other alerts.

    Parameters
    ----------
    listed
        The alerts that a service answered.
    source
        Its name in the registry.
    at
        The time of the check.
    """
    updated, limit = listed.provenance.issued, max_age(source)
    if updated is None:
        age = "It does not say when its list of warnings was updated"
    elif updated > listed.provenance.fetched + AHEAD:
        age = f"Its list of warnings has a date in the future ({updated:%Y-%m-%d %H:%M} UTC)"
    elif at - updated > limit:
        hours = limit.total_seconds() / 3600
        age = f"Its list of warnings is of {updated:%Y-%m-%d %H:%M} UTC, over {hours:g} h old"
    else:
        return ()
    reason = f"{age}, so newer warnings may be missing. Read the official forecast."
    return (SourceFailure(title(source), reason, provides(source)),)


def distinct(alerts: Iterable[Alert]) -> tuple[Alert, ...]:
    """Return alerts without those that several points of one trip have in common."""
    found: list[Alert] = []
    for alert in alerts:
        if not any(replace(alert, provenance=other.provenance) == other for other in found):
            found.append(alert)
    return tuple(found)

"""The official warnings of a trip in the JSON report."""

from __future__ import annotations

from datetime import datetime

from pydantic import BaseModel, ConfigDict

from safety_check.model.verdict import Verdict
from safety_check.model.weather import Alert


class OfficialWarning(BaseModel):
    """An official warning that holds during the trip, its text unaltered; times UTC.

    `language` is that of the text, `severity` the issuer's word, `link` where people read it.
    """

    model_config = ConfigDict(extra="forbid")

    event: str
    headline: str
    severity: str
    area: str
    onset: datetime | None
    ends: datetime | None
    sent: datetime | None
    description: str
    instruction: str
    language: str
    link: str
    source: str
    issuer: str
    credit: str


def warnings_part(verdict: Verdict) -> list[OfficialWarning]:
    """Return the official warnings that hold during a trip."""
    return [_warning(alert) for alert in verdict.alerts]


def _warning(alert: Alert) -> OfficialWarning:
    return OfficialWarning(
        event=alert.event,
        headline=alert.headline,
        severity=alert.severity,
        area=alert.area,
        onset=alert.onset,
        ends=alert.ends,
        sent=alert.sent,
        description=alert.description,
        instruction=alert.instruction,
        language=alert.language,
        link=alert.link,
        source=alert.provenance.source,
        issuer=alert.provenance.model,
        credit=alert.provenance.attribution,
    )

"""A block of a message as an alert of the briefing."""

from __future__ import annotations

from dataclasses import replace

from safety_check.model.weather import Alert
from safety_check.sources.cap.in_force import end_of
from safety_check.sources.cap.level import level
from safety_check.sources.cap.message import Info, Message
from safety_check.sources.warning_services.answered import Answered
from safety_check.sources.warning_services.services import WarningService


def to_alert(message: Message, info: Info, row: WarningService, answered: Answered) -> Alert:
    """Return an alert with the service's own words."""
    assert answered.provenance
    return Alert(
        event=info.event or info.headline or "Alert without a name",
        severity=level(info),
        urgency=info.urgency,
        certainty=info.certainty,
        headline=info.headline,
        description=info.description,
        instruction=info.instruction,
        onset=info.onset or info.effective,
        ends=end_of(message, info),
        area="; ".join(area.description for area in info.areas if area.description),
        provenance=replace(answered.provenance, model=info.sender_name or row.title),
    )

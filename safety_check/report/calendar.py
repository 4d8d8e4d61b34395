"""The windows of an outlook as an iCalendar file (RFC 5545), for the calendar of a phone."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from safety_check.errors import PlanError
from safety_check.model.clean_text import remove_invisible
from safety_check.model.outlook import Day, Outlook
from safety_check.model.verdict import Severity
from safety_check.report.credits import credits_of_outlook

if TYPE_CHECKING:
    from icalendar import Event

PRODUCT = "-//safety-check//outlook//EN"
AID = (
    "An aid, not a permission: check again before you launch. Local regulations, official warnings"
    " and your own judgment at the water come first."
)


def windows_calendar(outlooks: Sequence[Outlook]) -> str:
    """Return each day's best window as an event; days without one have none.

    Raises
    ------
    PlanError
        Where the library is not installed.
    """
    try:
        from icalendar import Calendar  # an optional extra
    except ImportError as trouble:
        raise PlanError(
            '--ical: a calendar needs one more library. Install it with: pip install "safety-check'
            '[calendar]"; --json gives the same windows without it.'
        ) from trouble
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    for outlook in outlooks:
        for event in _events(outlook):
            calendar.add_component(event)
    written: bytes = calendar.to_ical()
    return written.decode("utf-8")


def _events(outlook: Outlook) -> Iterator[Event]:
    from icalendar import Event

    for day in outlook.days:
        if day.window is None:
            continue
        event, plan = Event(), day.plan
        event.add("uid", _identity(day))
        event.add("dtstamp", outlook.briefing.at)
        event.add("dtstart", day.window.start)
        event.add("dtend", day.window.end)
        name = f"{day.window.severity}: {plan.water.name}, {plan.launch.name}"
        event.add("summary", remove_invisible(name))
        event.add("description", remove_invisible(_description(day, outlook)))
        event.add("geo", (plan.launch.latitude, plan.launch.longitude))
        event.add("transp", "TRANSPARENT")  # a window does not mark the time as busy
        yield event


def _identity(day: Day) -> str:
    """Return the identity of a day at a launch, by which a newer outlook replaces it."""
    plan = day.plan
    named = f"{day.date}|{plan.water.name}|{plan.launch.name}|{plan.craft.name}"
    return f"{hashlib.sha256(named.encode()).hexdigest()[:32]}@safety-check"


def _description(day: Day, outlook: Outlook) -> str:
    lines = [f"{day.plan.craft.label}; trips of at least {outlook.hours} h."]
    if day.why is not None and day.severity != Severity.GO:
        lines.append(day.why.reason)
    if day.ends is not None:
        lines.append(f"It ends because of this: {day.ends.reason}")
    if day.beyond_warnings:
        lines.append("Official warnings are not issued that far ahead.")
    return "\n".join([*lines, AID, *credits_of_outlook(outlook)])

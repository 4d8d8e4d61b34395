"""Which messages of a service are warnings at a time: chains of updates, and every way to end.

A message that can't be shown to have ended stays in force. The forms of an end were collected
from the profiles and the recorded messages of several services; CAP 1.2 itself knows the first
three.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime, timedelta

from safety_check.sources.cap.level import green
from safety_check.sources.cap.message import Info, Message
from safety_check.sources.cap.times import in_order, latest

NOT_REAL = ("exercise", "system", "test", "draft")  # CAP 1.2, status other than Actual
NOT_PUBLIC = ("restricted", "private")  # CAP 1.2, scope other than Public
ANSWERS = ("ack", "error")  # CAP 1.2, msgType of a reply to a message
UPDATE, CANCEL = "update", "cancel"
ENDED_PLACES = ("ended", "cancelled", "canceled", "transitioned_out")  # Canada, status of a place
LOCATION_STATUS = "alert_location_status"  # Canada, behind the name of its layer
EVENT_ENDS = ("eventEndingTime", "event_end_datetime")  # Norway, Canada: the end of the event
FEW_THREATS = ("minor", "unknown", "")  # severities that an all-clear can have
Named = tuple[str, str, datetime | None]  # sender, identifier, and when it was sent
LONGEST_OVER = timedelta(days=1)  # judgement: an end longer before the message is an error


def in_force(messages: Iterable[Message], at: datetime) -> tuple[Message, ...]:
    """Return the messages that are warnings at a time or later, each with the parts that are.

    Parameters
    ----------
    messages
        Of one service, in any order.
    at
        The time of the check. A message that begins later is in force; one that has ended,
        that was replaced or cancelled, or that is no warning, is not.
    """
    real = [message for message in messages if _counts(message)]
    references = _latest_references(real)
    kept = []
    for message in real:
        infos = tuple(info for info in message.infos if not has_ended(message, info, at))
        ended = message.msg_type.casefold() == CANCEL or _replaced(message, references)
        if not ended and (infos or message.unread or not message.infos):
            kept.append(replace(message, infos=infos))
    return tuple(kept)


def end_of(message: Message, info: Info) -> datetime | None:
    """Return when an information block ends: the later of its end and that of the event.

    None where it does not say, or where what it says can't be: an end more than a day before
    the message was sent.
    """
    ends = [latest(text) for text in info.parameter_values(*EVENT_ENDS)]
    known = [end for end in (info.expires, *ends) if end is not None]
    if not known:
        return None
    end = max(known)
    return None if message.sent and message.sent - end > LONGEST_OVER else end


def has_ended(message: Message, info: Info, at: datetime) -> bool:
    """Return whether an information block is no warning any more, or never was one."""
    end = end_of(message, info)
    begins = info.onset or info.effective
    waits = end is not None and begins is not None and end < begins and end != message.sent
    over = end is not None and (begins if waits and begins else end) <= at
    return over or _all_clear(info) or _place_ended(info) or green(info)


def _counts(message: Message) -> bool:
    return (
        message.status.casefold() not in NOT_REAL
        and message.scope.casefold() not in NOT_PUBLIC
        and message.msg_type.casefold() not in ANSWERS
    )


def _latest_references(messages: Iterable[Message]) -> dict[Named, datetime]:
    """Return each message that an update or a cancel names → when the latest of these was sent."""
    found: dict[Named, datetime] = {}
    for message in messages:
        if message.sent is not None and message.msg_type.casefold() in (UPDATE, CANCEL):
            for reference in message.references:
                named = (reference.sender, reference.identifier, in_order(reference.sent))
                found[named] = max(found.get(named, message.sent), message.sent)
    return found


def _replaced(message: Message, references: Mapping[Named, datetime]) -> bool:
    """Return whether a later message names this one; never itself, nor one sent before it.

    A reference whose time can't be read names every message with that identifier.
    """
    if message.sent is None or not message.identifier:
        return False
    by = (references.get((message.sender, message.identifier, t)) for t in (message.sent, None))
    return any(sent is not None and sent > message.sent for sent in by)


def _all_clear(info: Info) -> bool:
    """Return whether a block says that the threat is over.

    CAP 1.2: AllClear, "the subject event no longer poses a threat or concern"; Past, "responsive
    action is no longer required". A block that asks for anything else as well, or that is severe
    and not past, contradicts itself and stays.
    """
    asked = {word.casefold() for word in info.response_types} - {"none"}
    past = info.urgency.casefold() == "past"
    return asked == {"allclear"} and (past or info.severity.casefold() in FEW_THREATS)


def _place_ended(info: Info) -> bool:
    states = [
        item.value.casefold()
        for item in info.parameters
        if item.name.casefold().endswith(LOCATION_STATUS)
    ]
    return bool(states) and all(state in ENDED_PLACES for state in states)

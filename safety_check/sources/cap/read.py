"""Read answers that contain whole CAP messages: one file, several in one wrapper, or as JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING

from safety_check.errors import DataError
from safety_check.sources.cap.build import build_message
from safety_check.sources.cap.message import Listing, Message
from safety_check.sources.cap.times import in_order
from safety_check.sources.cap.tree import (
    REMEDY,
    from_element,
    from_json,
    local_name,
    read_json,
    read_xml,
)

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

_SAYS_WHO = ("identifier", "info", "sender")


def read_cap(body: bytes, source: str) -> Listing:
    """Return the messages of a CAP file of version 1.0, 1.1 or 1.2, in an EDXL wrapper or not.

    Raises
    ------
    DataError
        Where it is not XML, or contains no message.
    """
    root = read_xml(body, source)
    messages = messages_in(root)
    if not messages:
        raise DataError(
            f"{source}: the answer is {local_name(root)!r} without a warning message. {REMEDY}"
        )
    return Listing(messages)


def messages_in(root: Element) -> tuple[Message, ...]:
    """Return every CAP message below an element, the element itself included."""
    found = (element for element in root.iter() if local_name(element) == "alert")
    alerts = (from_element(element) for element in found)
    return tuple(build_message(alert) for alert in alerts if any(key in alert for key in _SAYS_WHO))


def read_meteoalarm(body: bytes, source: str) -> Listing:
    """Return the messages of a MeteoAlarm feed: CAP trees as JSON in a list `warnings`.

    Raises
    ------
    DataError
        Where it is not JSON, or has no such list.
    """
    answer = read_json(body, source)
    warnings = answer.get("warnings") if isinstance(answer, dict) else None
    if not isinstance(warnings, list):
        raise DataError(f"{source}: the answer has no list of warnings. {REMEDY}")
    alerts = [warning.get("alert") if isinstance(warning, dict) else None for warning in warnings]
    trees = [from_json(alert) for alert in alerts]
    messages = tuple(build_message(tree) for tree in trees if tree)
    unread = tuple("a warning that can't be read" for tree in trees if not tree)
    return Listing(messages, updated=in_order(str(answer.get("updated", ""))), unread=unread)

"""Recorded warnings of services outside the US, and small messages written for one test."""

from __future__ import annotations

from safety_check.sources.cap.message import Listing, Message
from safety_check.sources.cap.read import read_cap
from safety_check.sources.cap.styles import READERS
from tests.recordings import shared_folder

CAP_12 = "urn:oasis:names:tc:emergency:cap:1.2"


def recorded(name: str, style: str) -> Listing:
    """Return a recorded answer as read; the name is its path below the recorded warnings."""
    body = shared_folder("recorded", "warnings").joinpath(name).read_bytes()
    return READERS[style](body, "a service")


def one_message(name: str) -> Message:
    """Return the only message of a recorded CAP file."""
    (message,) = recorded(name, "cap").messages
    return message


def alert_xml(info: str = "", **elements: str) -> bytes:
    """Return an invented CAP message; elements of the alert by name, and its information."""
    given = {
        "identifier": "1",
        "sender": "warnings@example.org",
        "sent": "2026-06-01T06:00:00+00:00",
        "status": "Actual",
        "msgType": "Alert",
        "scope": "Public",
        **elements,
    }
    body = "".join(f"<{name}>{value}</{name}>" for name, value in given.items() if value)
    return f'<alert xmlns="{CAP_12}">{body}{info}</alert>'.encode()


def info_xml(inside: str = "", **elements: str) -> str:
    """Return an invented information block; an element given as "" is left out."""
    given = {
        "language": "en",
        "category": "Met",
        "event": "gale",
        "urgency": "Expected",
        "severity": "Moderate",
        "certainty": "Likely",
        "onset": "2026-06-01T08:00:00+00:00",
        "expires": "2026-06-01T20:00:00+00:00",
        **elements,
    }
    body = "".join(f"<{name}>{value}</{name}>" for name, value in given.items() if value)
    return f"<info>{body}{inside}</info>"


def made(info: str = "", **elements: str) -> Message:
    """Return an invented message as read."""
    (message,) = read_cap(alert_xml(info or info_xml(), **elements), "a service").messages
    return message

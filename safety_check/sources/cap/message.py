"""An official message as CAP 1.2 describes it, whichever format a service sends.

OASIS, Common Alerting Protocol Version 1.2, 2010, section 3.2.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import NamedTuple

from safety_check.arrays import FloatArray


class Named(NamedTuple):
    """A valueName and its value: an event code, a parameter or a geocode."""

    name: str
    value: str


class Reference(NamedTuple):
    """An earlier message that a message replaces or cancels; `sent` is the text as received."""

    sender: str
    identifier: str
    sent: str


class Circle(NamedTuple):
    """A circular area: its centre [deg] and its radius [m]."""

    longitude: float
    latitude: float
    radius_m: float


@dataclass(frozen=True, eq=False)
class Area:
    """One area of an information block: the union of its polygons, circles and geocodes.

    Parameters
    ----------
    description
        In the words of the service.
    polygons : tuple of array (corner, 2)
        Outer rings, closed. [deg longitude, deg latitude]
    circles
        Circular areas.
    geocodes
        Codes of zones; the name says of which system.
    altitude_m, ceiling_m
        The lowest and the highest height that is affected; None where it is not given. [m]
    unread
        Parts that can't be read, in words. An area with such a part may be larger than what is
        known of it, so a place outside the known part can't be said to be outside the area.
    """

    description: str
    polygons: tuple[FloatArray, ...] = ()
    circles: tuple[Circle, ...] = ()
    geocodes: tuple[Named, ...] = ()
    altitude_m: float | None = None
    ceiling_m: float | None = None
    unread: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Info:
    """One information block: a translation, or a part of the area with its own severity.

    Parameters
    ----------
    language
        RFC 3066 tag; "en-US" where the message gives none.
    category, event
        Category codes, separated by blanks, and the event in the words of the service.
    event_codes, parameters
        Coded properties.
    urgency, severity, certainty
        The words of CAP, as received.
    response_types
        Recommended responses, such as "AllClear".
    effective, onset, expires
        In UTC; None where it is not given. `expires` is the end of the message, which may come
        before the end of the event. A time without an offset is read as the earliest instant
        that it can be for a beginning, and as the latest for an end.
    sender_name, headline, description, instruction, web
        The service's own text and link.
    areas
        Where it holds. Empty where the message names no area.
    unread
        Times that can't be read, in words. The warning counts without them.
    """

    language: str
    category: str
    event: str
    event_codes: tuple[Named, ...] = ()
    urgency: str = ""
    severity: str = ""
    certainty: str = ""
    response_types: tuple[str, ...] = ()
    effective: datetime | None = None
    onset: datetime | None = None
    expires: datetime | None = None
    sender_name: str = ""
    headline: str = ""
    description: str = ""
    instruction: str = ""
    web: str = ""
    parameters: tuple[Named, ...] = ()
    areas: tuple[Area, ...] = ()
    unread: tuple[str, ...] = ()

    def parameter_values(self, *names: str) -> Iterator[str]:
        """Yield every parameter of any of the names, whatever its case."""
        wanted = {name.casefold() for name in names}
        return (item.value for item in self.parameters if item.name.casefold() in wanted)


@dataclass(frozen=True, eq=False)
class Message:
    """One message of a service.

    Parameters
    ----------
    identifier, sender
        They name the message; "" where they can't be read.
    sent
        In UTC; None where it is not given or can't be read.
    status, msg_type, scope
        The words of CAP, as received.
    references
        Earlier messages that this one replaces or cancels.
    infos
        What it says: translations, and parts of the area.
    unread
        Warnings in it that can't be read, in words. Then it is not known in full what it says.
    """

    identifier: str
    sender: str
    sent: datetime | None
    status: str = "Actual"
    msg_type: str = "Alert"
    scope: str = "Public"
    references: tuple[Reference, ...] = ()
    infos: tuple[Info, ...] = ()
    unread: tuple[str, ...] = ()


@dataclass(frozen=True)
class Link:
    """A message that an index lists.

    Parameters
    ----------
    url
        Where the message is, as the index gives it; may be relative to the index.
    identifier
        The guid or id of the entry.
    title
        The words of the entry, to show where the message itself can't be read.
    updated
        When the entry says that the message was sent; None where it does not say.
    expires
        When the entry says that the message ends; None where it does not say.
    """

    url: str
    identifier: str = ""
    title: str = ""
    updated: datetime | None = None
    expires: datetime | None = None


@dataclass(frozen=True)
class Listing:
    """What one answer of a warning service contains.

    Parameters
    ----------
    messages
        Messages that the answer contains in full.
    links
        Messages that have to be read at their own address.
    updated
        When the list last changed, in the service's words; None where it does not say.
    unread
        Entries that can't be read, in words. Each is a warning that may hold here: it is shown,
        and what the service says here is then not known in full.
    made
        When the service made this answer, warnings or none; None where it does not say.
    """

    messages: tuple[Message, ...] = ()
    links: tuple[Link, ...] = ()
    updated: datetime | None = None
    unread: tuple[str, ...] = ()
    made: datetime | None = None

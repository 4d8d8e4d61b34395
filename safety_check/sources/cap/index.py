"""Read lists of warnings in RSS or Atom: links to messages, and messages that are in the list."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import TYPE_CHECKING

from safety_check.errors import DataError
from safety_check.model.clean_text import clean_text
from safety_check.sources.cap.message import Link, Listing, Message
from safety_check.sources.cap.read import messages_in
from safety_check.sources.cap.times import latest, mail_time
from safety_check.sources.cap.tree import REMEDY, local_name, read_xml

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

MOST_LINKS = 200  # messages that one check may read one by one; judgement
ATOM, CHANNEL = "feed", "channel"
LISTS = ("rss", "RDF", ATOM)
ENTRIES = ("item", "entry")
CAP_TYPE = "application/cap+xml"
UPDATED = ("lastBuildDate", "updated", "pubDate", "date")


def read_index(body: bytes, source: str) -> Listing:
    """Return the entries of an RSS or Atom list: messages in it, and links to messages.

    Raises
    ------
    DataError
        Where it is neither. An answer that is one CAP message is read as a list of one.
    """
    root = read_xml(body, source)
    if local_name(root) not in LISTS:
        messages = messages_in(root)
        if not messages:
            raise DataError(
                f"{source}: the answer is {local_name(root)!r}, not a list of warnings. {REMEDY}"
            )
        return Listing(messages)
    if local_name(root) != ATOM and not any(local_name(part) == CHANNEL for part in root):
        raise DataError(f"{source}: the answer is a list without its {CHANNEL!r}. {REMEDY}")
    return _listing(root)


def links_to_follow(listing: Listing, at: datetime) -> Listing:
    """Return a listing with no more links than one check may follow, the newest first.

    Parameters
    ----------
    listing
        As read.
    at
        The time of the check. An entry that says that its message has expired is left out.
        Those beyond the greatest number are named as not read.
    """
    live = [link for link in listing.links if link.expires is None or link.expires > at]
    live.sort(key=lambda link: link.updated or at, reverse=True)
    left = len(live) - MOST_LINKS
    unread = (f"{left} older warnings beyond the first {MOST_LINKS}",) if left > 0 else ()
    return Listing(
        listing.messages, tuple(live[:MOST_LINKS]), listing.updated, (*listing.unread, *unread)
    )


def _listing(root: Element) -> Listing:
    messages: list[Message] = []
    links: list[Link] = []
    unread: list[str] = []
    for entry in (element for element in root.iter() if local_name(element) in ENTRIES):
        inside = messages_in(entry)
        link = _link(entry)
        messages += inside
        if inside:
            continue
        if link.url:
            links.append(link)
        else:
            unread.append(f"an entry without a link: {link.title or 'no title'}")
    return Listing(tuple(messages), tuple(dict.fromkeys(links)), _updated(root), tuple(unread))


def _link(entry: Element) -> Link:
    identifier = _first(entry, ("guid", "id"))
    return Link(
        url=_address(entry, identifier),
        identifier=clean_text(identifier),
        title=clean_text(_first(entry, ("title",))),
        updated=mail_time(_first(entry, ("updated", "pubDate", "published", "sent"))),
        expires=latest(_first(entry, ("expires",))),
    )


def _address(entry: Element, identifier: str) -> str:
    """Return where the message is: a link of CAP's own type, else the first link or enclosure."""
    found: list[tuple[bool, str]] = []
    for child in entry:
        name = local_name(child)
        if name in ("link", "enclosure"):
            address = child.get("href") or child.get("url") or child.text or ""
            found.append((child.get("type") == CAP_TYPE, address.strip()))
    ranked = sorted((item for item in found if item[1]), key=lambda item: not item[0])
    if ranked:
        return ranked[0][1]
    return identifier if identifier.startswith(("http://", "https://")) else ""


def _updated(root: Element) -> datetime | None:
    """Return when the list was made, and not when one of its entries was."""
    heads: Iterable[Element] = [root, *(part for part in root if local_name(part) == CHANNEL)]
    times = (
        mail_time(child.text or "")
        for head in heads
        for child in head
        if local_name(child) in UPDATED
    )
    return max((time for time in times if time), default=None)


def _first(entry: Element, names: tuple[str, ...]) -> str:
    for name in names:
        for child in entry:
            if local_name(child) == name and child.text and child.text.strip():
                return child.text.strip()
    return ""

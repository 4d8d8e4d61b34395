"""Sort the messages of a service: warnings for this trip, those elsewhere, and those unclear."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from safety_check.model.clean_text import clean_text
from safety_check.model.weather import Alert, SourceFailure
from safety_check.sources.cap.in_force import in_force
from safety_check.sources.cap.level import LEVELS, level
from safety_check.sources.cap.message import Info, Message
from safety_check.sources.cap.shapes import turn_axes
from safety_check.sources.question import ALERTS
from safety_check.sources.warning_services.answered import Answered
from safety_check.sources.warning_services.placing import Placement, TripPlaces, place_info
from safety_check.sources.warning_services.services import WarningService
from safety_check.sources.warning_services.to_alert import to_alert

ENGLISH = "en"
MOST_NAMED = 3  # warnings that a sentence names; the others are counted
LONGEST_NAME = 80  # characters of a warning's name in a sentence


def sort_messages(
    row: WarningService, answered: Answered, trip: TripPlaces, at: datetime
) -> tuple[tuple[Alert, ...], tuple[SourceFailure, ...]]:
    """Return the warnings that concern a trip, and what leaves the answer in doubt.

    Parameters
    ----------
    row
        The service.
    answered
        What it answered.
    trip
        The places of the trip.
    at
        The time of the check.
    """
    turned = [turn_axes(listing, row.bounds) for listing in answered.listings]
    current = in_force([message for listing in turned for message in listing.messages], at)
    alerts: list[Alert] = []
    unclear = [text for listing in turned for text in listing.unread]
    unplaced: list[str] = []
    for message in current:
        placed = [(place_info(info, trip), info) for info in message.infos]
        here = [info for where, info in placed if where == Placement.HERE]
        alerts += (to_alert(message, info, row, answered) for info in in_one_language(here))
        if not here and any(where == Placement.UNKNOWN for where, _ in placed):
            unplaced.append(name_of(message))
        if not message.infos:
            unclear.append("a message without information")
    return tuple(dict.fromkeys(alerts)), (
        *_doubt(row, "can't be read", unclear),
        *_doubt(row, "can't be placed, so they may hold here", unplaced),
    )


def in_one_language(infos: Sequence[Info]) -> list[Info]:
    """Return the blocks in one language, English if there is one, and graver ones in others.

    A block in another language is a translation, unless it says something graver.
    """
    languages = dict.fromkeys(_language(info) for info in infos)
    chosen = next((tag for tag in languages if tag == ENGLISH), next(iter(languages), ""))
    read = [info for info in infos if _language(info) == chosen]
    gravest = max(map(_rank, read), default=-1)
    return read + [info for info in infos if info not in read and _rank(info) > gravest]


def _language(info: Info) -> str:
    return info.language.casefold().partition("-")[0]


def _rank(info: Info) -> int:
    grade = level(info)
    return LEVELS.index(grade) if grade in LEVELS else -1


def name_of(message: Message) -> str:
    """Return a message in a few words: its headline or event, and its areas."""
    infos = in_one_language(message.infos)[:1]
    if not infos:
        return "a message without information"
    area = ", ".join(area.description for area in infos[0].areas if area.description)
    named = infos[0].headline or infos[0].event or "a warning without a name"
    return clean_text(f"{named} ({area})" if area else named, limit=LONGEST_NAME)


def _doubt(row: WarningService, why: str, named: Sequence[str]) -> tuple[SourceFailure, ...]:
    """Return what leaves an answer in doubt, as one failure; none where nothing does."""
    texts = list(dict.fromkeys(named))
    if not texts:
        return ()
    more = len(texts) - MOST_NAMED
    first = "; ".join(texts[:MOST_NAMED]) + (f"; and {more} more" if more > 0 else "")
    reason = f"Warnings that {why}: {first}. Read the warnings at {row.link}."
    return (SourceFailure(row.title, reason, ALERTS),)

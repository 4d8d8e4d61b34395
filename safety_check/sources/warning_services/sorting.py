"""Sort the messages of a service: warnings for this trip, those elsewhere, and those unclear."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from safety_check.model.clean_text import clean_text
from safety_check.model.weather import Alert, SourceFailure
from safety_check.sources.cap.alerts import preferred, to_alerts, translations
from safety_check.sources.cap.in_force import in_force
from safety_check.sources.cap.message import Info
from safety_check.sources.cap.shapes import turn_axes
from safety_check.sources.question import ALERTS
from safety_check.sources.warning_services.answered import Answered
from safety_check.sources.warning_services.placing import Placement, TripPlaces, place_info
from safety_check.sources.warning_services.services import WarningService

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
        for group in translations(message.infos):
            where = max(place_info(info, trip) for info in group)
            if where == Placement.HERE:
                assert answered.provenance  # a message came in an answer
                alerts += to_alerts(message, group, answered.provenance)
            elif where == Placement.UNKNOWN:
                unplaced.append(name_of(group))
        unclear += message.unread
    return tuple(dict.fromkeys(replace(alert, link=alert.link or row.link) for alert in alerts)), (
        *_doubt(row, "can't be read", unclear),
        *_doubt(row, "can't be placed, so they may hold here", unplaced),
    )


def name_of(group: Sequence[Info]) -> str:
    """Return a part of a message in a few words: its headline or event, and its areas."""
    shown = preferred(group)
    area = ", ".join(area.description for area in shown.areas if area.description)
    named = shown.headline or shown.event or "a warning without a name"
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

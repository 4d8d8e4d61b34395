"""Ask every service that warns for a place of the trip, and say which of them answered in full."""

from __future__ import annotations

import asyncio
from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from urllib.parse import urljoin

from safety_check.model.weather import Briefing, Provenance, SourceFailure
from safety_check.sources.alert_list import AlertList, age_failure
from safety_check.sources.cap.index import links_to_follow
from safety_check.sources.cap.message import Link, Listing
from safety_check.sources.cap.read import read_cap
from safety_check.sources.cap.styles import READERS, Reader
from safety_check.sources.http.client import Client
from safety_check.sources.http.recording_client import RecordingClient
from safety_check.sources.question import (
    ALERTS,
    TROUBLE,
    Place,
    Question,
    failure_of,
    join_briefings,
    saved_answer_notes,
)
from safety_check.sources.registry import load_sources
from safety_check.sources.sent_place import sent_box
from safety_check.sources.stations import Station, distance
from safety_check.sources.warning_services.answered import Answered, join_answers
from safety_check.sources.warning_services.placing import TripPlaces, trip_places
from safety_check.sources.warning_services.services import WarningService, load_file, services_for
from safety_check.sources.warning_services.sorting import sort_messages


async def ask_warning_services(client: Client, question: Question) -> Briefing:
    """Return the official warnings of every country near the places of a trip."""
    names = services_for(question.places)
    if not names:
        return Briefing(at=question.at)
    trip = trip_places(question.places, question.elevation, question.reach)
    parts = await asyncio.gather(*(ask_service(client, name, question, trip) for name in names))
    return join_briefings(parts, question.at)


async def ask_service(client: Client, name: str, question: Question, trip: TripPlaces) -> Briefing:
    """Return the warnings of one service for a trip.

    Notes
    -----
    Only where every answer came, could be read in full, and each warning could be placed, does
    the service count as one that was read.
    """
    row = load_file().service[name]
    recording = RecordingClient(client)
    params = _params(name, row, question)
    parts = (_ask_list(recording, name, path, params, question.at) for path in row.paths)
    answered = _with_link(join_answers(await asyncio.gather(*parts)), row)
    alerts, doubts = sort_messages(row, answered, trip, question.at)
    failures = (*answered.failures, *doubts)
    origin = answered.provenance
    known = (replace(origin, model=row.lacks_in_words),) if origin else ()
    return Briefing(
        at=question.at,
        alerts=alerts,
        silences=(*failures, *saved_answer_notes(recording, name)),
        others=() if alerts else known,
        warnings_read=() if failures else known,
    )


def _params(name: str, row: WarningService, question: Question) -> Mapping[str, str]:
    """Return what the query adds: a box around all places, where the service takes one."""
    if not row.box:
        return {}
    farthest = max(distance(*question.here, _point(place)) for place in question.places)
    return {"bbox": sent_box(name, *question.here, row.box + farthest)}


def _point(place: Place) -> Station:
    return Station("", "", *place)


async def _ask_list(
    client: RecordingClient, name: str, path: str, params: Mapping[str, str], at: datetime
) -> Answered:
    """Return a list of warnings with the messages that it links to."""
    reader = READERS[load_file().service[name].style]
    answered = _in_time(await _read(client, name, path, params, reader), name, at)
    listings = tuple(links_to_follow(listing, at) for listing in answered.listings)
    links = (link for listing in listings for link in listing.links)
    linked = await asyncio.gather(
        *(_read(client, name, _address(name, path, link), {}, read_cap) for link in links)
    )
    return join_answers([replace(answered, listings=listings), *linked])


async def _read(
    client: RecordingClient, name: str, url: str, params: Mapping[str, str], reader: Reader
) -> Answered:
    def parse(body: bytes, provenance: Provenance) -> tuple[Listing, Provenance]:
        return reader(body, provenance.source), provenance

    try:
        listing, provenance = await client.read(url, params, parse, source=name)
    except TROUBLE as trouble:
        return Answered((), None, (failure_of(name, trouble),))
    return Answered((listing,), provenance, ())


def _in_time(answered: Answered, name: str, at: datetime) -> Answered:
    """Return an answer with a failure where it is too old, or its list is no longer kept up."""
    origin = answered.provenance
    if origin is None:
        return answered
    made = (listing.made for listing in answered.listings if listing.made)
    dated = (AlertList((), replace(origin, issued=time)) for time in made)
    old = tuple(failure for listed in dated for failure in age_failure(listed, name, at))
    stalled = tuple(
        _stalled(name, listing.updated)
        for listing in answered.listings
        if listing.updated and at - listing.updated > timedelta(seconds=load_file().lists.unchanged)
    )
    return replace(answered, failures=(*answered.failures, *old, *stalled))


def _stalled(name: str, changed: datetime) -> SourceFailure:
    row = load_file().service[name]
    reason = (
        f"Its list of warnings last changed on {changed:%Y-%m-%d %H:%M} UTC, so it may no longer be"
        f" kept up. Read the warnings at {row.link}."
    )
    return SourceFailure(row.title, reason, ALERTS)


def _address(name: str, path: str, link: Link) -> str:
    """Return where a linked message is, with the scheme of the service's own address."""
    base = load_sources()[name].base_url
    scheme, _, host = base.partition("://")
    whole = urljoin(base + path, link.url)
    return (
        f"{scheme}://{whole.removeprefix('http://')}"
        if whole.startswith(f"http://{host}")
        else whole
    )


def _with_link(answered: Answered, row: WarningService) -> Answered:
    """Return an answer whose credit says where people read the warnings."""
    if answered.provenance is None:
        return answered
    credit = f"{row.attribution}. Its warnings: {row.link}"
    return replace(answered, provenance=replace(answered.provenance, attribution=credit))

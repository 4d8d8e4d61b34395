"""Warnings for Canada's sea and large lakes: GeoMet's `marineweather-realtime` as GeoJSON.

The land alerts of the same service do not have them. Each feature is one marine area with its
shape, its forecast, and the warnings that stand in it; the collection is marked experimental. The
names of the properties are those that several public clients read.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any

from safety_check.sources.cap.canada import SENDER, severity_of
from safety_check.sources.cap.geojson import Properties, moment, read_features, word
from safety_check.sources.cap.message import Area, Info, Listing, Message, Named

WEB = "https://weather.gc.ca/marine/index_e.html"
LANGUAGES = ("en", "fr")
# judgement: a warning says only whether it holds, not when; the forecast that it is part of is
# issued several times a day and reaches two days
REACH = timedelta(days=2)


def read_canada_water(body: bytes, source: str) -> Listing:
    """Return the messages of a `marineweather-realtime` answer: one for each area.

    Raises
    ------
    DataError
        Where it is not JSON, or no FeatureCollection.
    """
    listing = read_features(body, source, _message)
    warned = tuple(message for message in listing.messages if message.infos or message.unread)
    return replace(listing, messages=warned)


def _message(properties: Properties, area: Area) -> Message:
    name = _text(_table(properties, "area"), "value", "en")
    events, unread = _events(properties.get("warnings"))
    sent = moment(properties.get("lastUpdated"))
    infos = (
        _info(event, replace(area, description=_text(location, "name", language) or name), language)
        for location, event in events
        for language in LANGUAGES
    )
    return Message(
        identifier=f"marine:{name}:{word(properties, 'lastUpdated')}",
        sender=SENDER,
        sent=sent,
        infos=tuple(replace(info, effective=sent, expires=sent and sent + REACH) for info in infos),
        unread=unread,
    )


def _events(warnings: object) -> tuple[list[tuple[Properties, Properties]], tuple[str, ...]]:
    """Return each place of the warnings with each of its events, and what can't be read."""
    if warnings is None or warnings == {}:
        return [], ()
    locations = warnings.get("locations") if isinstance(warnings, dict) else None
    if not isinstance(locations, list):
        return [], ("warnings that can't be read",)
    found: list[tuple[Properties, Properties]] = []
    unread: tuple[str, ...] = ()
    for location in locations:
        events = location.get("events") if isinstance(location, dict) else None
        read = (
            [event for event in events if isinstance(event, dict)]
            if isinstance(events, list)
            else []
        )
        found += ((location, event) for event in read)
        if not isinstance(events, list) or len(read) < len(events):
            unread = ("a warning that can't be read",)
    return found, unread


def _info(event: Properties, area: Area, language: str) -> Info:
    kind, name = _text(event, "type", "en").casefold(), _text(event, "name", language)
    return Info(
        language=f"{language}-CA",
        category="Met",
        event=name,
        severity=severity_of(kind),
        sender_name=SENDER,
        headline=name,
        web=WEB,
        parameters=(
            Named("Alert_Location_Status", _text(event, "status", "en")),
            Named("Alert_Type", kind),
        ),
        areas=(area,),
    )


def _text(table: Properties, key: str, language: str) -> str:
    """Return a text in a language; the only text where there is one for all languages."""
    value = table.get(key)
    return word(value, language) if isinstance(value, dict) else word(table, key)


def _table(properties: Properties, key: str) -> dict[str, Any]:
    value = properties.get(key)
    return value if isinstance(value, dict) else {}

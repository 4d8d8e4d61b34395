"""Warnings of SMHI: impact-based warnings as JSON (documentation: opendata.smhi.se, warnings)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from safety_check.errors import DataError
from safety_check.sources.cap.geojson import Properties, moment, prose, span, word
from safety_check.sources.cap.message import Area, Info, Listing, Message, Named
from safety_check.sources.cap.shapes import geojson_shapes
from safety_check.sources.cap.tree import REMEDY, read_json

SENDER = "SMHI"
WEB = "https://www.smhi.se/vader/varningar-och-brandrisk/varningar-och-meddelanden"
LEVELS = {"YELLOW": "Moderate", "ORANGE": "Severe", "RED": "Extreme", "MESSAGE": "Minor"}
LANGUAGES = {"en": "en-GB", "sv": "sv-SE"}


def read_sweden(body: bytes, source: str) -> Listing:
    """Return the messages of a `warning.json` answer: one for each area of each warning.

    An empty list is the answer where no warning is in force.

    Raises
    ------
    DataError
        Where it is not JSON, or no list.
    """
    answer = read_json(body, source)
    if not isinstance(answer, list):
        raise DataError(f"{source}: the answer is no list of warnings. {REMEDY}")
    messages: list[Message] = []
    unread: list[str] = []
    for warning in answer:
        areas = warning.get("warningAreas") if isinstance(warning, dict) else None
        found = (
            [area for area in areas if isinstance(area, dict)] if isinstance(areas, list) else []
        )
        messages += (_message(warning, area) for area in found)
        if not found or not isinstance(areas, list) or len(found) < len(areas):
            unread.append("a warning, or an area of one, that can't be read")
    return Listing(tuple(messages), unread=tuple(unread))


def _message(warning: Properties, area: Properties) -> Message:
    return Message(
        identifier=f"{word(warning, 'id')}-{word(area, 'id')}",
        sender=SENDER,
        sent=moment(area.get("published")),
        infos=tuple(_info(warning, area, language) for language in LANGUAGES),
    )


def _info(warning: Properties, area: Properties, language: str) -> Info:
    event, kind = _table(warning, "event"), _table(area, "eventDescription")
    level = word(_table(area, "warningLevel"), "code").upper()
    codes = (("SMHI event", event), ("SMHI eventDescription", kind))
    return Info(
        language=LANGUAGES[language],
        category="Met",
        event=word(kind, language) or word(event, language),
        event_codes=tuple(
            Named(name, word(table, "code")) for name, table in codes if word(table, "code")
        ),
        severity=LEVELS.get(level, ""),
        sender_name=SENDER,
        headline=_headline(event, area, language),
        description="\n\n".join(_paragraphs(area, language)),
        web=WEB,
        parameters=(Named("warningLevel", level),) if level else (),
        areas=(_place(area, language),),
        **span(area, "approximateStart", "approximateEnd"),
    )


def _headline(event: Properties, area: Properties, language: str) -> str:
    level = word(_table(area, "warningLevel"), language)
    return ", ".join(filter(None, (word(event, language), level)))


def _paragraphs(area: Properties, language: str) -> Iterator[str]:
    descriptions = area.get("descriptions")
    for part in descriptions if isinstance(descriptions, list) else []:
        if isinstance(part, dict):
            title, text = (
                word(_table(part, "title"), language),
                prose(_table(part, "text"), language),
            )
            yield f"{title}: {text}" if title else text


def _place(area: Properties, language: str) -> Area:
    rings, unread = geojson_shapes(_geometry(area.get("area")))
    return Area(word(_table(area, "areaName"), language), polygons=rings, unread=unread)


def _geometry(area: object) -> object:
    """Return the geometry of a Feature, or of all features of a FeatureCollection."""
    if not isinstance(area, dict):
        return area
    features = area.get("features")
    if isinstance(features, list):
        parts: list[Any] = [_geometry(feature) for feature in features]
        return {"type": "GeometryCollection", "geometries": parts}
    return area.get("geometry", area)


def _table(properties: Properties, key: str) -> Properties:
    value = properties.get(key)
    return value if isinstance(value, dict) else {}

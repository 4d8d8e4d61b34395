"""Warnings of MET Norway: MetAlerts 2.0 as GeoJSON (documentation: api.met.no, metalerts)."""

from __future__ import annotations

from dataclasses import replace

from safety_check.sources.answers import elevation
from safety_check.sources.cap.geojson import (
    Properties,
    moment,
    named,
    prose,
    read_features,
    span,
    word,
)
from safety_check.sources.cap.message import Area, Info, Listing, Message

SENDER = "MET Norway"
_PARAMETERS = {
    "awareness_level": "awareness_level",
    "awareness_type": "awareness_type",
    "riskMatrixColor": "riskMatrixColor",
    "triggerLevel": "triggerLevel",
    "geographicDomain": "geographicDomain",
    "eventEndingTime": "eventEndingTime",
}


def read_norway(body: bytes, source: str) -> Listing:
    """Return the messages of a `current.json` answer, in the language that was asked for.

    Raises
    ------
    DataError
        Where it is not JSON, or no FeatureCollection.
    """
    return read_features(body, source, _message)


def _message(properties: Properties, area: Area) -> Message:
    language = word(properties, "lang") or word(properties, "answer_language") or "no"
    place = replace(
        area,
        description=word(properties, "area"),
        altitude_m=elevation(properties.get("altitude_above_sea_level")),
        ceiling_m=elevation(properties.get("ceiling_above_sea_level")),
    )
    response = word(properties, "responseType")
    info = Info(
        language=language,
        category="Met",
        event=word(properties, "eventAwarenessName") or word(properties, "event"),
        event_codes=named(properties, {"event": "eventType"}),
        urgency=word(properties, "urgency"),
        severity=word(properties, "severity"),
        certainty=word(properties, "certainty"),
        response_types=(response,) if response else (),
        sender_name=SENDER,
        headline=word(properties, "title"),
        description=prose(properties, "description", "consequences"),
        instruction=prose(properties, "instruction"),
        web=word(properties, "web"),
        parameters=named(properties, _PARAMETERS),
        areas=(place,),
        **span(properties, "when_begins", "when_ends"),
    )
    return Message(
        identifier=word(properties, "id"),
        sender=SENDER,
        sent=moment(properties.get("sent")),
        status=word(properties, "status"),
        msg_type=word(properties, "type"),
        infos=(info,),
    )

"""Warnings of Environment and Climate Change Canada: GeoMet's `weather-alerts` as GeoJSON.

The readme of the collection gives its address and its filters; the names of the properties are
those that public clients read. The words of an alert are passed on unaltered, as the licence asks.
"""

from __future__ import annotations

from dataclasses import replace

from safety_check.sources.cap.geojson import (
    Properties,
    moment,
    named,
    prose,
    read_features,
    span,
    word,
)
from safety_check.sources.cap.level import COLOURS
from safety_check.sources.cap.message import Area, Info, Listing, Message, Named

SENDER = "Environment and Climate Change Canada"
WEB = "https://weather.gc.ca/"
KINDS = {"warning": "Severe", "watch": "Moderate"}  # judgement: without a colour, the kind decides
_PARAMETERS = {
    "alert_type": "Alert_Type",
    "risk_colour_en": "risk_colour",
    "impact_en": "impact",
    "confidence_en": "confidence",
    "status_en": "Alert_Location_Status",
    "event_end_datetime": "event_end_datetime",
}


def read_canada(body: bytes, source: str) -> Listing:
    """Return the messages of a `weather-alerts` answer, in English and French.

    Raises
    ------
    DataError
        Where it is not JSON, or no FeatureCollection.
    """
    return read_features(body, source, _message)


def severity_of(kind: str) -> str:
    """Return the severity of a kind of alert; none where the kind was lost."""
    return KINDS.get(kind, "Minor") if kind else ""


def _message(properties: Properties, area: Area) -> Message:
    parts = ("alert_code", "feature_id", "event_end_datetime")
    return Message(
        identifier=":".join(word(properties, part) for part in parts),
        sender=SENDER,
        sent=moment(properties.get("publication_datetime")),
        infos=tuple(_info(properties, area, language) for language in ("en", "fr")),
    )


def _info(properties: Properties, area: Area, language: str) -> Info:
    code = word(properties, "feature_id")
    place = replace(
        area,
        description=word(properties, f"feature_name_{language}"),
        geocodes=(Named("CLC", code),) if code else (),
    )
    colour = word(properties, "risk_colour_en").casefold()
    kind = word(properties, "alert_type").casefold()
    return Info(
        language=f"{language}-CA",
        category="Met",
        event=word(properties, f"alert_name_{language}"),
        event_codes=named(properties, {"alert_code": "ECCC alert_code"}),
        severity=COLOURS.get(colour) or severity_of(kind),
        sender_name=SENDER,
        headline=word(properties, f"alert_name_{language}"),
        description=prose(properties, f"alert_text_{language}"),
        web=WEB,
        parameters=named(properties, _PARAMETERS),
        areas=(place,),
        **span(properties, "validity_datetime", "expiration_datetime"),
    )

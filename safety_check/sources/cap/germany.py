"""Warnings of Deutscher Wetterdienst as map layers: GeoServer's GeoJSON, one layer for each kind.

The layers for coasts and inland lakes are the only ones whose warnings are for the water. The
names of the properties are those of CAP in capitals, as public clients read them.
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
from safety_check.sources.cap.message import Area, Info, Listing, Message
from safety_check.sources.cap.shapes import metres
from safety_check.sources.cap.times import earliest

SENDER = "Deutscher Wetterdienst"


def read_germany(body: bytes, source: str) -> Listing:
    """Return the messages of a layer; GeoServer's own errors come with status 200 and are refused.

    Raises
    ------
    DataError
        Where it is not JSON, or no FeatureCollection.
    """
    return read_features(body, source, _message)


def _message(properties: Properties, area: Area) -> Message:
    place = replace(
        area,
        description=word(properties, "NAME") or word(properties, "AREADESC"),
        geocodes=named(properties, {"WARNCELLID": "WARNCELLID"}),
        altitude_m=metres(word(properties, "ALTITUDE")),
        ceiling_m=metres(word(properties, "CEILING")),
    )
    response = word(properties, "RESPONSETYPE")
    info = Info(
        language=word(properties, "LANGUAGE") or "de-DE",
        category=word(properties, "CATEGORY"),
        event=word(properties, "EVENT"),
        event_codes=named(properties, {"EC_II": "II", "EC_GROUP": "GROUP"}),
        urgency=word(properties, "URGENCY"),
        severity=word(properties, "SEVERITY"),
        certainty=word(properties, "CERTAINTY"),
        response_types=(response,) if response else (),
        effective=earliest(word(properties, "EFFECTIVE")),
        sender_name=SENDER,
        headline=word(properties, "HEADLINE"),
        description=prose(properties, "DESCRIPTION"),
        instruction=prose(properties, "INSTRUCTION"),
        web=word(properties, "WEB"),
        areas=(place,),
        **span(properties, "ONSET", "EXPIRES"),
    )
    return Message(
        identifier=word(properties, "IDENTIFIER"),
        sender=SENDER,
        sent=moment(properties.get("SENT")),
        status=word(properties, "STATUS"),
        msg_type=word(properties, "MSGTYPE"),
        infos=(info,),
    )

"""Fakes of the services of official warnings: an invented warning in the form of each of them.

    services = WarningFakes(server)
    services.say("smhi")                                        # no warning
    services.say("smhi", Told(near(59.4, 18.9)))                # a severe wind warning there
    services.say("smhi", Told(), Told(near(66.0, 20.0)))        # one without a place, one far away

All forms are invented after the services' documents and public programs; no text is genuine.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from urllib.parse import urlsplit

from safety_check.sources.warning_services.services import WarningService, load_file
from tests.sources.fake_server import FakeServer, Reply, json_reply, text_reply

Ring = list[list[float]]  # longitude, latitude [deg]

SENT = "2026-06-13T12:00:00+00:00"
BEGINS = "2026-06-13T13:00:00+00:00"
ENDS = "2026-06-13T23:00:00+00:00"
OVER = "2026-06-13T09:00:00+00:00"
GRADES = {"Moderate": "yellow", "Severe": "orange", "Extreme": "red"}


def near(latitude: float, longitude: float, half: float = 0.2) -> Ring:
    """Return a square around a place."""
    west, east, south, north = (
        longitude - half,
        longitude + half,
        latitude - half,
        latitude + half,
    )
    return [[west, south], [east, south], [east, north], [west, north], [west, south]]


@dataclass(frozen=True)
class Told:
    """An invented warning.

    Parameters
    ----------
    ring
        Where it holds; None where the message has no polygon.
    codes
        Codes of zones, each with the name of its system.
    severity
        CAP's word.
    event, headline, language
        In the words of the service.
    ends
        Of the message.
    """

    ring: Ring | None = None
    codes: tuple[tuple[str, str], ...] = ()
    severity: str = "Severe"
    event: str = "Strong wind"
    headline: str = "Invented wind warning"
    language: str = "en-GB"
    ends: str = ENDS


def _polygon(ring: Ring | None) -> str:
    return " ".join(f"{north},{east}" for east, north in ring or [])


def cap_tree(told: Told, number: int) -> dict[str, Any]:
    """Return a CAP message as a tree."""
    area: dict[str, Any] = {"areaDesc": "Invented area"}
    if told.ring:
        area["polygon"] = [_polygon(told.ring)]
    area["geocode"] = [{"valueName": name, "value": value} for name, value in told.codes]
    grade = GRADES[told.severity]
    level = {"Moderate": 2, "Severe": 3, "Extreme": 4}[told.severity]
    parameters = {
        "awareness_level": f"{level}; {grade}; {told.severity}",
        "awareness_type": "1; Wind",
    }
    info = {
        "language": told.language,
        "category": ["Met"],
        "event": told.event,
        "urgency": "Expected",
        "severity": told.severity,
        "certainty": "Likely",
        "onset": BEGINS,
        "expires": told.ends,
        "senderName": "Invented office",
        "headline": told.headline,
        "description": "Invented text.",
        "parameter": [{"valueName": name, "value": text} for name, text in parameters.items()],
        "area": [area],
    }
    return {
        "identifier": f"invented-{number}",
        "sender": "invented@example.org",
        "sent": SENT,
        "status": "Actual",
        "msgType": "Alert",
        "scope": "Public",
        "info": [info],
    }


def meteoalarm(told: tuple[Told, ...]) -> Any:
    return {
        "warnings": [{"alert": cap_tree(one, at), "uuid": f"{at}"} for at, one in enumerate(told)]
    }


def _feature(told: Told, properties: dict[str, Any], **more: Any) -> dict[str, Any]:
    geometry = {"type": "Polygon", "coordinates": [told.ring]} if told.ring else None
    return {"type": "Feature", "geometry": geometry, "properties": properties, **more}


def norway(told: tuple[Told, ...]) -> Any:
    features = [
        _feature(
            one,
            {
                "id": f"invented-{at}",
                "event": "gale",
                "eventAwarenessName": one.event,
                "title": one.headline,
                "area": "Invented area",
                "severity": one.severity,
                "awareness_level": f"3; {GRADES[one.severity]}; {one.severity}",
                "certainty": "Likely",
                "status": "Actual",
                "type": "Alert",
            },
            when={"interval": [BEGINS, one.ends]},
        )
        for at, one in enumerate(told)
    ]
    return {"type": "FeatureCollection", "lang": "en", "lastChange": SENT, "features": features}


def sweden(told: tuple[Told, ...]) -> Any:
    levels = {"Moderate": "YELLOW", "Severe": "ORANGE", "Extreme": "RED"}
    return [
        {
            "id": at,
            "event": {"code": "WIND_SEA", "sv": "Vind till havs", "en": one.event},
            "warningAreas": [
                {
                    "id": at,
                    "published": SENT,
                    "approximateStart": BEGINS,
                    "approximateEnd": one.ends,
                    "areaName": {"sv": "Påhittat", "en": "Invented area"},
                    "warningLevel": {"code": levels[one.severity], "en": "a warning"},
                    "area": _feature(one, {}),
                }
            ],
        }
        for at, one in enumerate(told)
    ]


def germany(told: tuple[Told, ...]) -> Any:
    features = [
        _feature(
            one,
            {
                "IDENTIFIER": f"invented-{at}",
                "SENT": SENT,
                "STATUS": "Actual",
                "MSGTYPE": "Alert",
                "EVENT": one.event,
                "HEADLINE": one.headline,
                "SEVERITY": one.severity,
                "URGENCY": "Immediate",
                "CERTAINTY": "Likely",
                "ONSET": BEGINS,
                "EXPIRES": one.ends,
                "NAME": "Invented area",
            },
        )
        for at, one in enumerate(told)
    ]
    return {"type": "FeatureCollection", "features": features, "timeStamp": SENT}


def canada(told: tuple[Told, ...]) -> Any:
    features = [
        _feature(
            one,
            {
                "alert_code": "WW",
                "alert_type": "warning",
                "alert_name_en": one.event,
                "alert_name_fr": "vent",
                "alert_text_en": "Invented text.",
                "risk_colour_en": GRADES[one.severity],
                "feature_id": f"{at}",
                "feature_name_en": "Invented area",
                "publication_datetime": SENT,
                "validity_datetime": BEGINS,
                "expiration_datetime": one.ends,
                "status_en": "issued",
            },
        )
        for at, one in enumerate(told)
    ]
    return {"type": "FeatureCollection", "features": features}


def canada_water(told: tuple[Told, ...]) -> Any:
    features = [
        _feature(
            one,
            {
                "lastUpdated": SENT,
                "area": {"value": {"en": "Invented area", "fr": "Lieu inventé"}},
                "warnings": {
                    "locations": [
                        {
                            "name": {"en": "Invented area", "fr": "Lieu inventé"},
                            "events": [
                                {
                                    "name": {"en": one.event, "fr": "vent"},
                                    "type": {"en": "warning"},
                                    "category": {"en": "marine"},
                                    "status": {"en": "IN EFFECT" if one.ends == ENDS else "ENDED"},
                                }
                            ],
                        }
                    ]
                },
            },
        )
        for one in told
    ]
    return {"type": "FeatureCollection", "features": features}


def cap_file(told: Told, number: int) -> str:
    """Return a CAP message as XML."""
    tree = cap_tree(told, number)

    def element(name: str, value: Any) -> str:
        if isinstance(value, list):
            return "".join(element(name, one) for one in value)
        if isinstance(value, dict):
            inside = "".join(element(key, one) for key, one in value.items())
            return f"<{name}>{inside}</{name}>"
        return f"<{name}>{value}</{name}>"

    inside = "".join(element(key, value) for key, value in tree.items())
    return f'<alert xmlns="urn:oasis:names:tc:emergency:cap:1.2">{inside}</alert>'


def rss(told: tuple[Told, ...], base: str) -> str:
    """Return an index with a link to each message."""
    items = "".join(
        f"<item><title>{one.headline}</title><link>{base}/invented/{at}.xml</link>"
        f"<guid>invented-{at}</guid></item>"
        for at, one in enumerate(told)
    )
    return f'<rss version="2.0"><channel><title>Invented</title>{items}</channel></rss>'


FORMS = {
    "meteoalarm": meteoalarm,
    "norway": norway,
    "sweden": sweden,
    "germany": germany,
    "canada": canada,
    "canada_water": canada_water,
}


def replies(row: WarningService, told: tuple[Told, ...]) -> dict[str, Reply]:
    """Return what a service answers at each of its paths."""
    paths = [urlsplit(path).path for path in row.paths]
    if row.style != "rss":
        return {path: json_reply(FORMS[row.style](told)) for path in paths}
    index = text_reply(rss(told, row.base_url), "application/rss+xml")
    linked = {
        f"/invented/{at}.xml": text_reply(cap_file(one, at), "application/cap+xml")
        for at, one in enumerate(told)
    }
    return {path: index for path in paths} | linked


def say(server: FakeServer, name: str, *told: Told) -> None:
    """Let a service answer with some warnings, or with none."""
    for path, reply in replies(load_file().service[name], told).items():
        server.serve(path, reply)


def addresses(server: FakeServer) -> dict[str, str]:
    """Return where each service is."""
    return {name: server.url for name in load_file().service}

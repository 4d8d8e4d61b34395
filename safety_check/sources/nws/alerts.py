"""Official alerts for a place (api.weather.gov, CAP 1.2)."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

from safety_check.errors import DataError
from safety_check.model.clean_text import clean_text
from safety_check.model.weather import Alert, Provenance
from safety_check.sources.alert_list import AlertList
from safety_check.sources.answers import instant, read
from safety_check.sources.nws.point import NwsAnswer, place

if TYPE_CHECKING:
    from safety_check.sources.http.client import Client

PATH = "/alerts/active"
NOT_REAL = ("exercise", "system", "test", "draft")  # CAP 1.2, status other than Actual
ENDING = "cancel"  # CAP 1.2, messageType that ends an alert
LONGEST_OVER = timedelta(days=1)  # judgement: a message may stay listed for hours after its end
FARTHEST_AHEAD = timedelta(days=30)  # judgement: several times as far as any forecast reaches
NAMELESS = "Alert without a name"

_OPEN_END = re.compile(r"-000000T0000Z/")  # P-VTEC: until further notice


class Alerts(NwsAnswer):
    """A FeatureCollection of alerts; without alerts the list is empty, not missing."""

    features: list[Any] | None = None
    updated: str | None = None


def query(latitude: float, longitude: float) -> dict[str, str]:
    """Return the query. The service itself matches zones and polygons to the point.

    A launch on land is in the land zone, so its answer can lack the advisory for the water next
    to it. So request a point on the water and the far end of the route as well.
    """
    return {"point": place("nws_alerts", latitude, longitude)}


def parse(body: bytes, provenance: Provenance) -> AlertList:
    """Return the current and coming alerts in the words of the service.

    Notes
    -----
    Exercises, tests, drafts and cancelled alerts are left out. All others stay, even an alert
    whose parts cannot be read: it then has no name or no end, and the rules treat it as doubtful.
    A list of alerts in force has none that ended days ago or begins next month: such a time is
    an error, and the alert counts without it.
    """
    answer = read(body, Alerts, provenance.source)
    if answer.features is None:
        words = clean_text(": ".join(filter(None, (answer.title, answer.detail))))
        raise DataError(
            f"{provenance.source}: the answer has no list of alerts ({words or 'no reason given'})."
            " Whether there are warnings is unknown. Try again, or read the official forecast."
        )
    source = replace(provenance, issued=instant(answer.updated))
    messages = [_properties(feature) for feature in answer.features]
    over = {
        name
        for message in messages
        if _word(message, "messageType") == ENDING
        for name in _ended(message)
    }
    alerts = (_alert(message, source) for message in messages if _in_force(message, over))
    return AlertList(alerts, source)


async def ask(client: Client, latitude: float, longitude: float) -> AlertList:
    """Request the alerts of one point; a trip has several, joined by `alert_list.distinct`."""
    return await client.read(PATH, query(latitude, longitude), parse, source="nws_alerts")


def _properties(feature: object) -> dict[str, Any]:
    properties = feature.get("properties") if isinstance(feature, dict) else None
    return properties if isinstance(properties, dict) else {}


def _in_force(properties: dict[str, Any], over: set[str]) -> bool:
    if _word(properties, "status") in NOT_REAL or _word(properties, "messageType") == ENDING:
        return False
    return _text(properties, "id") not in over


def _ended(properties: dict[str, Any]) -> Iterable[str]:
    """Yield the earlier alerts that a message ends."""
    references = properties.get("references")
    for reference in references if isinstance(references, list) else []:
        if isinstance(reference, dict) and isinstance(reference.get("identifier"), str):
            yield clean_text(reference["identifier"])


def _alert(properties: dict[str, Any], provenance: Provenance) -> Alert:
    listed = provenance.issued or provenance.fetched
    onset = instant(properties.get("onset")) or instant(properties.get("effective"))
    ends = _ends(properties)
    onset = None if onset and onset - listed > FARTHEST_AHEAD else onset
    ends = None if ends and listed - ends > LONGEST_OVER else ends
    return Alert(
        event=_text(properties, "event") or NAMELESS,
        severity=_text(properties, "severity"),
        urgency=_text(properties, "urgency"),
        certainty=_text(properties, "certainty"),
        headline=_text(properties, "headline"),
        description=_text(properties, "description"),
        instruction=_text(properties, "instruction"),
        onset=onset,
        ends=None
        if onset and ends and ends < onset
        else ends,  # an end before the onset is an error
        area=_text(properties, "areaDesc"),
        provenance=replace(provenance, model=_text(properties, "senderName")),
    )


def _ends(properties: dict[str, Any]) -> datetime | None:
    """Return when the hazard ends; None until further notice.

    `expires` is the end of the message, not of the hazard: a watch for next week expires tonight.
    It is used only where no other end is given.
    """
    if properties.get("ends") is not None:
        return instant(properties["ends"])
    parameters = properties.get("parameters")
    codes = parameters.get("VTEC") if isinstance(parameters, dict) else None
    if isinstance(codes, list) and any(_OPEN_END.search(str(code)) for code in codes):
        return None
    return instant(properties.get("expires"))


def _text(properties: dict[str, Any], key: str) -> str:
    value = properties.get(key)
    return clean_text(value, lines=True) if isinstance(value, str) else ""


def _word(properties: dict[str, Any], key: str) -> str:
    return _text(properties, key).strip().casefold()

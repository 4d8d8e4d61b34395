"""Read a GeoJSON FeatureCollection of warnings; each service says what its properties mean."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Any

from safety_check.errors import DataError
from safety_check.model.clean_text import clean_text
from safety_check.sources.answers import number
from safety_check.sources.cap.build import LONGEST_TEXT
from safety_check.sources.cap.message import Area, Listing, Message, Named
from safety_check.sources.cap.shapes import geojson_shapes
from safety_check.sources.cap.times import earliest, in_order, latest, unread_time
from safety_check.sources.cap.tree import REMEDY, read_json

Properties = Mapping[str, Any]


def read_features(
    body: bytes, source: str, message: Callable[[Properties, Area], Message]
) -> Listing:
    """Return the messages of a GeoJSON FeatureCollection; one that can't be read is named.

    Raises
    ------
    DataError
        Where it is not JSON, or no FeatureCollection: some services send an error with status
        200.
    """
    answer = read_json(body, source)
    features = answer.get("features") if isinstance(answer, dict) else None
    if not isinstance(features, list) or answer.get("type") != "FeatureCollection":
        raise DataError(f"{source}: the answer has no list of warnings. {REMEDY}")
    messages = []
    unread = [] if not cut_short(answer) else ["warnings beyond the first page of the answer"]
    for feature in features:
        properties = feature.get("properties") if isinstance(feature, dict) else None
        if isinstance(properties, dict):
            rings, unclear = geojson_shapes(feature.get("geometry"))
            area = Area("", polygons=rings, unread=unclear)
            language = {"answer_language": answer.get("lang")}
            messages.append(message({**language, **properties, **_when(feature)}, area))
        else:
            unread.append("a warning that can't be read")
    stamps = (answer.get(key) for key in ("lastChange", "timeStamp", "updated"))
    updated = next((time for time in map(moment, stamps) if time), None)
    made = moment(answer.get("timeStamp"))  # of the response, by OGC API - Features, Part 1
    return Listing(tuple(messages), updated=updated, made=made, unread=tuple(unread))


def cut_short(answer: Properties) -> bool:
    """Return whether a service has more features than it sent: by its counts, or a next page."""
    matched, returned = number(answer.get("numberMatched")), number(answer.get("numberReturned"))
    features, links = answer.get("features"), answer.get("links")
    sent = len(features) if isinstance(features, list) else 0
    onward = any(
        isinstance(link, dict) and link.get("rel") == "next"
        for link in (links if isinstance(links, list) else [])
    )
    return onward or matched > returned or matched > sent


def moment(value: object) -> datetime | None:
    """Return a time for putting messages in order; None for anything else."""
    return in_order(value) if isinstance(value, str) else None


def word(properties: Properties, key: str) -> str:
    """Return a text or number, or the first of a list, as one line; "" where there is none."""
    value = properties.get(key)
    value = value[0] if isinstance(value, list) and value else value
    if isinstance(value, int | float) and not isinstance(value, bool):
        return f"{value}"
    return clean_text(value) if isinstance(value, str) else ""


def prose(properties: Properties, *keys: str) -> str:
    """Return the texts of some keys, as received, each in its own paragraph."""
    found = (properties.get(key) for key in keys)
    given = [text.strip() for text in found if isinstance(text, str) and text.strip()]
    return clean_text("\n\n".join(given), LONGEST_TEXT, lines=True)


def named(properties: Properties, names: Mapping[str, str]) -> tuple[Named, ...]:
    """Return the parameters that a service gives: its key → the name that they get."""
    pairs = ((name, word(properties, key)) for key, name in names.items())
    return tuple(Named(name, value) for name, value in pairs if value)


def span(properties: Properties, begins: str, ends: str) -> dict[str, Any]:
    """Return the onset and end of an information block, and what of them can't be read."""
    first, last = word(properties, begins), word(properties, ends)
    onset, expires = earliest(first), latest(last)
    unread = (*unread_time("onset", first, onset), *unread_time("expires", last, expires))
    return {"onset": onset, "expires": expires, "unread": unread}


def _when(feature: Properties) -> dict[str, Any]:
    """Return the interval of Norway's GeoJSON, as two more properties."""
    when = feature.get("when")
    interval = when.get("interval") if isinstance(when, dict) else None
    if not isinstance(interval, list) or len(interval) != 2:
        return {}
    return {"when_begins": interval[0], "when_ends": interval[1]}

"""High and low water in Norway, predicted by the Norwegian Mapping Authority for any sea point.

The service takes the prediction of a port, with a delay and a factor for the place.
"""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC
from typing import TYPE_CHECKING

from safety_check.errors import DataError
from safety_check.model.clean_text import clean_text
from safety_check.model.moving_water import (
    MovingWater,
    PredictionStation,
    TideEvent,
    TidePrediction,
)
from safety_check.model.weather import Briefing, Provenance
from safety_check.sources.answers import believable, instant, number
from safety_check.sources.cap.tree import read_xml
from safety_check.sources.http.client import Client
from safety_check.sources.http.error_messages import NothingToReport
from safety_check.sources.http.recording_client import RecordingClient
from safety_check.sources.moving_water import TIDE, events_span, not_answered, notes_on
from safety_check.sources.question import TROUBLE, Question
from safety_check.sources.sent_place import sent_place

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

    from safety_check.arrays import TimeArray

SOURCE = "kartverket"
PATH = "/tideapi.php"
DATUM = "chart datum"
KINDS = {"high": True, "low": False}
CENTIMETRE = 0.01


def query(latitude: float, longitude: float, hours: TimeArray) -> dict[str, str]:
    """Return what to ask for high and low water around some hours, above chart datum."""
    north, east = sent_place(SOURCE, latitude, longitude)
    begin, end = (moment.astimezone(UTC) for moment in events_span(hours))
    return {
        "tide_request": "locationdata",
        "lat": north,
        "lon": east,
        "fromtime": f"{begin:%Y-%m-%dT00:00}",
        "totime": f"{end:%Y-%m-%dT23:59}",
        "datatype": "tab",
        "refcode": "cd",
        "dst": "0",
        "tzone": "0",
        "lang": "en",
    }


def parse(body: bytes, provenance: Provenance) -> TidePrediction:
    """Return high and low water; raise DataError where a row can't be read."""
    root = read_xml(body, provenance.source)
    nothing = root.find(".//nodata")
    if nothing is not None:
        words = clean_text(nothing.get("info") or "no reason")
        raise NothingToReport(f"{provenance.source}: it has no tide for this place ({words}).")
    location, told = root.find(".//location"), root.find(".//data[@type='prediction']")
    datum = root.findtext(".//reflevelcode")
    rows = [] if told is None else told.findall("waterlevel")
    events = {event.time: event for event in map(_event, rows) if event}
    unit = None if told is None else told.get("unit")
    if location is None or not rows or len(events) < len(rows) or (unit, datum) != ("cm", "CD"):
        raise DataError(
            f"{provenance.source}: of {len(rows)} rows only {len(events)} can be read as high or"
            f" low water, in {clean_text(str(unit))} above {clean_text(str(datum))} instead of cm"
            " above CD. The tide is unknown; enter high water by hand."
        )
    name, code = (clean_text(location.get(key) or "") for key in ("name", "code"))
    return TidePrediction(
        tuple(events[time] for time in sorted(events)),
        DATUM,
        PredictionStation(code, name, 0.0),
        replace(provenance, model=name),
    )


def _event(row: Element) -> TideEvent | None:
    time, high = instant(row.get("time")), KINDS.get(row.get("flag") or "")
    height = believable(TIDE, number(row.get("value")) * CENTIMETRE)
    if time is None or high is None or math.isnan(height):
        return None
    return TideEvent(time, height, high)


async def ask_tides(client: Client, question: Question) -> Briefing:
    """Return the tide at a place, or why there is none."""
    recording = RecordingClient(client)
    try:
        found = await recording.read(
            PATH, query(*question.here, question.hours), parse, source=SOURCE
        )
    except TROUBLE as trouble:
        return not_answered(SOURCE, question, trouble)
    moving = MovingWater(tides=(found,))
    return Briefing(at=question.at, moving=moving, silences=notes_on(recording, SOURCE))

"""High and low water, slack, flood and ebb predicted by the Canadian Hydrographic Service.

High and low water come without saying which is which: each is compared with its neighbours. A
speed has no unit and no sign: it is in knots by the service's custom, and the qualifier says
whether it is flood or ebb.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import partial
from itertools import pairwise
from typing import Any

from safety_check.errors import DataError
from safety_check.model.moving_water import (
    CurrentEvent,
    CurrentKind,
    CurrentPrediction,
    MovingWater,
    PredictionStation,
    TideEvent,
    TidePrediction,
)
from safety_check.model.weather import Briefing, Provenance
from safety_check.sources.answers import Answer, believable, instant, number, read
from safety_check.sources.http.client import Client
from safety_check.sources.http.recording_client import RecordingClient
from safety_check.sources.iwls.stations import (
    CURRENT_EVENTS,
    HIGH_AND_LOW,
    PATH,
    SeriesStation,
    data_path,
    entries_of,
    nearest_with,
    parse_stations,
    query,
)
from safety_check.sources.listing import Listing
from safety_check.sources.moving_water import SPEED, TIDE, no_station, not_answered, notes_on
from safety_check.sources.question import TROUBLE, Question
from safety_check.sources.stations import Station, greatest_distance
from safety_check.units import KNOT

TIDES = "iwls_tides"
CURRENTS = "iwls_currents"
DATUM = "chart datum"
KINDS = {
    "SLACK": CurrentKind.SLACK,
    "EXTREMA_FLOOD": CurrentKind.FLOOD,
    "EXTREMA_EBB": CurrentKind.EBB,
}


@dataclass(frozen=True)
class Directions:
    """Where flood and ebb flow to at a station. [deg true]."""

    flood: float
    ebb: float


class Metadata(Answer):
    """The part of a station's description that is used."""

    id: str
    floodDirection: float | None = None
    ebbDirection: float | None = None


def parse_tides(body: bytes, provenance: Provenance, station: PredictionStation) -> TidePrediction:
    """Return high and low water; raise DataError where a row can't be read or told apart."""
    rows = entries_of(body, provenance)
    found = {time: height for time, height in map(_height, rows) if time is not None}
    times = sorted(found)
    heights = [found[time] for time in times]
    high = _which_are_high(heights)
    if len(found) < len(rows) or high is None:
        raise DataError(
            f"{provenance.source}: station {station.name}: its {len(rows)} rows are not high and"
            " low water by turns, each with a time of its own and a height. The tide is unknown;"
            " enter high water by hand."
        )
    events = tuple(map(TideEvent, times, heights, high))
    return TidePrediction(events, DATUM, station, replace(provenance, model=station.label))


def _height(row: object) -> tuple[datetime | None, float]:
    if not isinstance(row, dict):
        return None, math.nan
    height = believable(TIDE, number(row.get("value")))
    return (None if math.isnan(height) else instant(row.get("eventDate"))), height


def _which_are_high(heights: Sequence[float]) -> list[bool] | None:
    """Return which heights are high water; None where they do not rise and fall by turns."""
    rises = [later - earlier for earlier, later in pairwise(heights)]
    turns = all(one * other < 0 for one, other in pairwise(rises))
    if not rises or not turns or 0 in rises:
        return None
    return [rises[0] < 0, *(rise > 0 for rise in rises)]


def parse_directions(body: bytes, provenance: Provenance, station: Station) -> Directions:
    """Return the directions of flood and ebb; raise DataError where they are missing."""
    about = read(body, Metadata, provenance.source)
    found = Directions(number(about.floodDirection), number(about.ebbDirection))
    if about.id == station.name and 0 <= found.flood <= 360 and 0 <= found.ebb <= 360:
        return found
    raise DataError(
        f"{provenance.source}: station {station.name}: the directions of flood and ebb"
        f" ({found.flood:g}, {found.ebb:g}) are missing. The current is unknown; enter it by hand."
    )


def parse_currents(
    body: bytes, provenance: Provenance, station: PredictionStation, towards: Directions
) -> CurrentPrediction:
    """Return slack, flood and ebb; raise DataError where a row can't be read."""
    rows = entries_of(body, provenance)
    events = {event.time: event for row in rows if (event := _event(row))}
    if not rows or len(events) < len(rows):
        raise DataError(
            f"{provenance.source}: station {station.name}: of {len(rows)} rows only {len(events)}"
            " can be read as slack, flood or ebb. The current is unknown; enter it by hand."
        )
    return CurrentPrediction(
        tuple(events[time] for time in sorted(events)),
        towards.flood,
        towards.ebb,
        None,
        station,
        replace(provenance, model=station.label),
    )


def _event(row: Any) -> CurrentEvent | None:
    if not isinstance(row, dict):
        return None
    time, kind = instant(row.get("eventDate")), KINDS.get(str(row.get("qualifier")))
    speed = believable(SPEED, number(row.get("value")) * KNOT)
    if time is None or kind is None or math.isnan(speed):
        return None
    return CurrentEvent(time, kind, 0.0 if kind is CurrentKind.SLACK else speed)


# -- asked ---------------------------------------------------------------------------------------


async def ask_tides(client: Client, question: Question) -> Briefing:
    """Return the tide at the nearest station, or why there is none."""
    recording = RecordingClient(client)
    within = greatest_distance([TIDE])
    try:
        near = await _nearest(recording, question, HIGH_AND_LOW, within)
        if near is None:
            return no_station(TIDES, question, within, "the tide")
        known = PredictionStation(near[1].name, near[1].label, near[0])
        found = await recording.read(
            data_path(near[1]),
            query(HIGH_AND_LOW, question.hours),
            partial(parse_tides, station=known),
            source=TIDES,
        )
    except TROUBLE as trouble:
        return not_answered(TIDES, question, trouble)
    moving = MovingWater(tides=(found,))
    return Briefing(at=question.at, moving=moving, silences=notes_on(recording, TIDES))


async def ask_currents(client: Client, question: Question) -> Briefing:
    """Return the current at the nearest station, or why there is none."""
    recording = RecordingClient(client)
    within = greatest_distance([SPEED])
    try:
        near = await _nearest(recording, question, CURRENT_EVENTS, within)
        if near is None:
            return no_station(CURRENTS, question, within, "the current")
        found = await _currents_of(recording, question, *near)
    except TROUBLE as trouble:
        return not_answered(CURRENTS, question, trouble)
    moving = MovingWater(currents=(found,))
    return Briefing(at=question.at, moving=moving, silences=notes_on(recording, CURRENTS))


async def _currents_of(
    client: Client, question: Question, away: float, station: Station
) -> CurrentPrediction:
    towards = await client.read(
        f"{PATH}/{station.name}/metadata",
        {},
        partial(parse_directions, station=station),
        source="iwls_stations",
    )
    known = PredictionStation(station.name, station.label, away)
    return await client.read(
        data_path(station),
        query(CURRENT_EVENTS, question.hours),
        partial(parse_currents, station=known, towards=towards),
        source=CURRENTS,
    )


async def _nearest(
    client: Client, question: Question, code: str, within: float
) -> tuple[float, Station] | None:
    stations: Listing[SeriesStation] = await client.read(
        PATH, {}, parse_stations, source="iwls_stations"
    )
    return nearest_with(stations, code, question.here, within)

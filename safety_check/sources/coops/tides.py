"""High and low water predicted by NOAA CO-OPS at the nearest tide station.

Subordinate stations give only high and low water, so only these are requested, for every station
alike. The answer names neither its unit nor its datum: metres above mean lower low water are
requested. Predictions are astronomical: wind, surge and river flow are not in them.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from functools import partial
from typing import TYPE_CHECKING

from safety_check.errors import DataError
from safety_check.model.moving_water import (
    MovingWater,
    PredictionStation,
    TideEvent,
    TidePrediction,
)
from safety_check.model.weather import Briefing, Provenance, SourceFailure
from safety_check.sources.answers import believable, number, read
from safety_check.sources.coops import harmonics
from safety_check.sources.coops.stations import (
    APPLICATION,
    DATA,
    STATIONS,
    Product,
    parse_stations,
    query_stations,
    refusal,
)
from safety_check.sources.http.client import Client
from safety_check.sources.http.recording_client import RecordingClient
from safety_check.sources.moving_water import (
    TIDE,
    events_span,
    no_station,
    not_answered,
    notes_on,
)
from safety_check.sources.question import TROUBLE, Question, failure_of
from safety_check.sources.stations import Station, greatest_distance, nearest

if TYPE_CHECKING:
    from safety_check.arrays import TimeArray

SOURCE = "coops_tides"
DATUM = "MLLW"
KINDS = {"H": True, "L": False}


def query(station: str, hours: TimeArray) -> dict[str, str]:
    """Return what to ask for high and low water around some hours."""
    return {
        "station": station,
        "product": "predictions",
        "interval": "hilo",
        "datum": DATUM,
        "units": "metric",
        **query_span(hours),
    }


def query_span(hours: TimeArray) -> dict[str, str]:
    """Return the part of a query that names the time, in whole days so that answers are reused."""
    begin, end = (moment.astimezone(UTC) for moment in events_span(hours))
    return {
        "begin_date": f"{begin:%Y%m%d}",
        "end_date": f"{end:%Y%m%d}",
        "time_zone": "gmt",
        "format": "json",
        "application": APPLICATION,
    }


def parse(body: bytes, provenance: Provenance, station: PredictionStation) -> TidePrediction:
    """Return high and low water; raise DataError where a row can't be read.

    A missing event would join two others that are not neighbours, so one is enough.
    """
    rows = read(body, Product, provenance.source)
    if rows.error is not None or not rows.predictions:
        raise refusal(provenance.source, rows.error)
    events = {event.time: event for event in map(_event, rows.predictions) if event is not None}
    if len(events) < len(rows.predictions):
        raise DataError(
            f"{provenance.source}: station {station.name}: of {len(rows.predictions)} rows"
            f" only {len(events)} are high or low water with a time of its own and a height. The"
            " tide is unknown; enter high water by hand."
        )
    return TidePrediction(
        tuple(events[time] for time in sorted(events)),
        DATUM,
        station,
        replace(provenance, model=station.label),
    )


def _event(row: object) -> TideEvent | None:
    if not isinstance(row, dict):
        return None
    time, high = row_time(row.get("t")), KINDS.get(str(row.get("type")))
    height = believable(TIDE, number(row.get("v")))
    return None if time is None or high is None or height != height else TideEvent(
        time, height, high
    )  # fmt: skip


def row_time(text: object) -> datetime | None:
    """Return the time of a row, which is in the zone that was asked for: UTC."""
    try:
        return datetime.strptime(str(text), "%Y-%m-%d %H:%M").replace(tzinfo=UTC)
    except ValueError:
        return None


async def ask_tides(client: Client, question: Question) -> Briefing:
    """Return the tide at the nearest station, or why there is none."""
    recording = RecordingClient(client)
    try:
        near = await _nearest(recording, question)
        if near is None:
            return no_station(SOURCE, question, greatest_distance([TIDE]), "the tide")
        found, failures = await _tide_of(recording, question, near)
    except TROUBLE as trouble:
        return not_answered(SOURCE, question, trouble)
    moving = MovingWater(tides=(found,))
    notes = notes_on(recording, SOURCE)
    return Briefing(at=question.at, moving=moving, silences=(*failures, *notes))


async def _nearest(client: RecordingClient, question: Question) -> PredictionStation | None:
    stations: tuple[Station, ...] = await client.read(
        STATIONS, query_stations("predictions"), parse_stations, source="coops_stations"
    )
    for away, station in nearest(stations, *question.here, greatest_distance([TIDE]))[:1]:
        return PredictionStation(station.name, station.label, away)
    return None


async def _tide_of(
    client: RecordingClient, question: Question, station: PredictionStation
) -> tuple[TidePrediction, tuple[SourceFailure, ...]]:
    """Return the service's prediction; where it fails, one that is computed from its constants.

    The constants are asked for at the same time, so that they are stored for later.
    """
    import asyncio  # imported only where tides are asked

    asked = query(station.name, question.hours)
    predicted, constants = await asyncio.gather(
        client.read(DATA, asked, partial(parse, station=station), source=SOURCE),
        client.read(
            harmonics.path(station.name),
            harmonics.query(),
            partial(harmonics.parse, station=station.name),
            source="coops_stations",
        ),
        return_exceptions=True,
    )
    if not isinstance(predicted, BaseException):
        return predicted, ()
    if isinstance(constants, BaseException) or not isinstance(predicted, TROUBLE):
        raise predicted
    note = failure_of(SOURCE, predicted, applies=False)
    reason = f"{note.reason} The tide was computed here from stored constants: it is not official."
    return harmonics.predict(constants, station, question.hours), (replace(note, reason=reason),)

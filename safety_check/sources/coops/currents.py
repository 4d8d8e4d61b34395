"""Slack water, greatest flood and greatest ebb predicted by NOAA CO-OPS.

A station has several bins, each a depth of its own; a small craft floats in the shallowest. The
number of a bin does not tell its depth. Stations of weak and variable current have no prediction.
The event is what `Type` says: at slack the speed may have either sign.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING, Any

from safety_check.errors import DataError
from safety_check.model.clean_text import clean_text
from safety_check.model.moving_water import (
    CurrentEvent,
    CurrentKind,
    CurrentPrediction,
    MovingWater,
    PredictionStation,
)
from safety_check.model.weather import Briefing, Provenance
from safety_check.sources.answers import Answer, believable, number, read
from safety_check.sources.coops.stations import DATA, STATIONS, Stations, refusal
from safety_check.sources.coops.tides import query_span, row_time
from safety_check.sources.http.client import Client
from safety_check.sources.http.recording_client import RecordingClient
from safety_check.sources.listing import Listing, read_list, require_entries
from safety_check.sources.moving_water import SPEED, no_station, not_answered, notes_on
from safety_check.sources.question import TROUBLE, Question
from safety_check.sources.stations import Station, distance, greatest_distance
from safety_check.units import FOOT, KNOT

if TYPE_CHECKING:
    from safety_check.arrays import TimeArray

SOURCE = "coops_currents"
PREDICTED = ("H", "S")  # harmonic and subordinate stations; W is weak and variable
DEEPEST = 40_000.0  # feet, or metres; deeper than any sea
UNITS = {"feet, knots": (FOOT, KNOT), "meters, cm/s": (1.0, 0.01)}  # of depth and of speed


@dataclass(frozen=True)
class CurrentBin:
    """One depth at one station.

    Parameters
    ----------
    station
        Where it is.
    number
        The bin as the service numbers it.
    depth
        Below the surface; NaN where the list does not say. In the unit of the list.
    predicted
        False where the current is weak and variable, so that nothing is predicted.
    """

    station: Station
    number: str
    depth: float
    predicted: bool


class CurrentPredictions(Answer):
    """The part of the answer that has the events."""

    units: str
    cp: list[Any]


class CurrentAnswer(Answer):
    """What the data service answers; an error has status 200 too."""

    error: dict[str, Any] | None = None
    current_predictions: CurrentPredictions | None = None


def query_bins() -> dict[str, str]:
    """Return what to ask for every bin of every station of current predictions."""
    return {"type": "currentpredictions", "units": "metric"}


def query(current_bin: CurrentBin, hours: TimeArray) -> dict[str, str]:
    """Return what to ask for the events of one bin around some hours."""
    return {
        "station": current_bin.station.name,
        "bin": current_bin.number,
        "product": "currents_predictions",
        "interval": "MAX_SLACK",
        "units": "metric",
        **query_span(hours),
    }


def parse_bins(body: bytes, provenance: Provenance) -> Listing[CurrentBin]:
    """Return every bin of a list of stations, in its order."""
    raw = read(body, Stations, provenance.source).stations
    bins = read_list(raw, _bin, provenance.source, "stations")
    return require_entries(bins, provenance.source, "stations of current predictions")


def _bin(entry: object) -> CurrentBin | None:
    if not isinstance(entry, dict) or not entry.get("id") or entry.get("currbin") is None:
        return None
    name, label = (clean_text(str(entry.get(key) or "")) for key in ("id", "name"))
    station = Station.of(name, label, number(entry.get("lat")), number(entry.get("lng")))
    if station is None:
        return None
    return CurrentBin(
        station,
        clean_text(str(entry["currbin"])),
        _depth(number(entry.get("depth"))),
        entry.get("type") in PREDICTED,
    )


def _depth(said: float) -> float:
    return said if 0 <= said <= DEEPEST else math.nan


def choose_bin(
    bins: Iterable[CurrentBin], latitude: float, longitude: float, within: float
) -> tuple[float, CurrentBin] | None:
    """Return the shallowest bin of the nearest station with a prediction, and how far it is.

    Where the list gives no depth, the first bin of a station counts: it is its primary one.
    """
    apart = [(distance(latitude, longitude, one.station), one) for one in bins if one.predicted]
    near = [pair for pair in apart if pair[0] <= within]
    if not near:
        return None
    least = min(away for away, _ in near)
    return min(
        (pair for pair in near if pair[0] == least),
        key=lambda pair: math.inf if math.isnan(pair[1].depth) else pair[1].depth,
    )


def parse(
    body: bytes, provenance: Provenance, station: PredictionStation, asked: str
) -> CurrentPrediction:
    """Return slack, flood and ebb of one bin; raise DataError where a row can't be read.

    Parameters
    ----------
    body, provenance
        The answer.
    station
        Where it holds.
    asked
        The bin that was asked for.
    """
    answer = read(body, CurrentAnswer, provenance.source)
    found = answer.current_predictions
    if answer.error is not None or found is None or not found.cp:
        raise refusal(provenance.source, answer.error)
    about = f"{provenance.source}: station {station.name}, bin {asked}"
    units = UNITS.get(found.units)
    if units is None:
        raise DataError(
            f"{about}: the unit is {clean_text(found.units)!r}, not one of {', '.join(UNITS)}. The"
            " current is unknown; enter it by hand."
        )
    rows = [row for row in found.cp if isinstance(row, dict) and str(row.get("Bin")) == asked]
    events = {event.time: event for row in rows if (event := _event(row, units[1]))}
    flood, ebb = (_direction(rows, key) for key in ("meanFloodDir", "meanEbbDir"))
    if len(events) < len(found.cp) or math.isnan(flood + ebb):
        raise DataError(
            f"{about}: of {len(found.cp)} rows only {len(events)} can be read as slack, flood or"
            f" ebb of this bin, or the directions ({flood:g}, {ebb:g}) are missing. The current is"
            " unknown; enter it by hand."
        )
    depth = number(rows[0].get("Depth")) * units[0]
    return CurrentPrediction(
        tuple(events[time] for time in sorted(events)),
        flood,
        ebb,
        None if math.isnan(depth) else depth,
        station,
        replace(provenance, model=station.label),
    )


def _event(row: dict[str, Any], unit: float) -> CurrentEvent | None:
    time, kind = row_time(row.get("Time")), str(row.get("Type"))
    speed = believable(SPEED, abs(number(row.get("Velocity_Major"))) * unit)
    if time is None or kind not in list(CurrentKind) or math.isnan(speed):
        return None
    known = CurrentKind(kind)
    return CurrentEvent(time, known, 0.0 if known is CurrentKind.SLACK else speed)


def _direction(rows: Iterable[dict[str, Any]], key: str) -> float:
    """Return the direction that all rows agree on; NaN where they do not."""
    found = {number(row.get(key)) for row in rows}
    one = found.pop() if len(found) == 1 else math.nan
    return one if 0 <= one <= 360 else math.nan


async def ask_currents(client: Client, question: Question) -> Briefing:
    """Return the current at the nearest station, or why there is none."""
    recording = RecordingClient(client)
    within = greatest_distance([SPEED])
    try:
        bins: Listing[CurrentBin] = await recording.read(
            STATIONS, query_bins(), parse_bins, source="coops_stations"
        )
        chosen = choose_bin(bins, *question.here, within)
        if chosen is None:
            return no_station(SOURCE, question, within, "the current")
        away, one = chosen
        station = PredictionStation(one.station.name, one.station.label, away)
        found = await recording.read(
            DATA,
            query(one, question.hours),
            partial(parse, station=station, asked=one.number),
            source=SOURCE,
        )
    except TROUBLE as trouble:
        return not_answered(SOURCE, question, trouble)
    moving = MovingWater(currents=(found,))
    return Briefing(at=question.at, moving=moving, silences=notes_on(recording, SOURCE))

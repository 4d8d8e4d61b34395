"""Ask Open-Meteo for the waves at sea near the launch."""

from __future__ import annotations

from datetime import datetime
from functools import partial
from http import HTTPStatus

import numpy as np

from safety_check.arrays import TimeArray
from safety_check.errors import DataError, SourceError
from safety_check.model.weather import Briefing, Forecast, Provenance, SourceFailure
from safety_check.sources.coverage import sea_distance, sea_search
from safety_check.sources.grid_cells import SEA, align_hours
from safety_check.sources.grid_point import distance_to
from safety_check.sources.http.cache import LONGEST_STORAGE
from safety_check.sources.http.client import Client
from safety_check.sources.http.error_messages import StatusError
from safety_check.sources.http.recording_client import RecordingClient
from safety_check.sources.open_meteo import marine
from safety_check.sources.open_meteo.answer import read_answer
from safety_check.sources.open_meteo.forecast import date_by_rows
from safety_check.sources.open_meteo.variables import MARINE
from safety_check.sources.question import (
    TROUBLE,
    Place,
    Question,
    failure_of,
    max_age,
    saved_answer_notes,
    title,
)
from safety_check.sources.shared_place import shared_place

SOURCE = "open_meteo_marine"
NO_SEA = b"No data is available"  # the reason of a status 400 far from any sea


async def ask_sea(client: Client, question: Question) -> Briefing:
    """Return the waves of a sea near the launch in the hours of a trip.

    Notes
    -----
    The answer itself shows whether there is a sea. The last answer is therefore read however
    old it is: an answer that is too old for its waves still shows that a launch is inland, where
    no waves are missing.
    """
    recording = RecordingClient(client)
    parse = partial(_parse, here=question.here)
    query = marine.query(*shared_place(question, SOURCE))
    try:
        sea = await recording.read(
            "/v1/marine", query, parse, source=SOURCE, max_age=LONGEST_STORAGE
        )
    except TROUBLE as trouble:
        return Briefing(at=question.at, silences=(_failure(trouble),))
    if sea is None:
        return Briefing(at=question.at, silences=(_no_sea(),))
    made = sea.provenance.issued or sea.provenance.fetched
    if question.at - made > max_age(SOURCE):
        failures = tuple(failure_of(SOURCE, trouble) for trouble in recording.covered)
        return Briefing(at=question.at, silences=failures or (_too_old(made),))
    failures = (*saved_answer_notes(recording, SOURCE), *_unknown_hours(sea, question.hours))
    return Briefing(at=question.at, forecasts=(sea,), silences=failures)


def _parse(body: bytes, provenance: Provenance, here: Place) -> Forecast | None:
    """Return the waves, or None where the service has no sea near a place."""
    answer = read_answer(body, provenance.source)
    heights = answer.hourly.get(MARINE[SEA].name)
    empty = bool(heights) and all(height is None for height in heights or ())
    if answer.cell is None or distance_to(answer.cell, here) > sea_search():
        raise DataError(
            f"{provenance.source}: the answer is for another place, or does not name its grid"
            " point, so whether there is a sea near the launch is unknown. Try again later."
        )
    if empty or distance_to(answer.cell, here) > sea_distance():
        return None
    return date_by_rows(marine.parse(body, provenance, (marine.MODEL,)))


def _failure(trouble: SourceError | DataError) -> SourceFailure:
    inland = isinstance(trouble, StatusError) and trouble.says(NO_SEA, HTTPStatus.BAD_REQUEST)
    return _no_sea() if inland else failure_of(SOURCE, trouble)


def _too_old(made: datetime) -> SourceFailure:
    reason = f"Its waves are of {made:%Y-%m-%d}, too old to count. Try again later."
    return SourceFailure(title(SOURCE), reason, (SEA,))


def _no_sea() -> SourceFailure:
    reason = "It has no sea near the launch."
    return SourceFailure(title(SOURCE), reason, (SEA,), applies=False)


def _unknown_hours(sea: Forecast, hours: TimeArray) -> tuple[SourceFailure, ...]:
    """Return a failure where hours of the trip have no wave height, which is not a flat sea."""
    height = align_hours(sea.quantities[SEA].max(axis=0), sea.time, hours)
    if not np.isnan(height).any():
        return ()
    reason = "Its waves are unknown in at least one hour of the trip."
    return (SourceFailure(title(SOURCE), reason, (SEA,)),)

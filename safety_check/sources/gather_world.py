"""What Open-Meteo knows of a trip: several models, ensembles for the odds, the sea."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable
from dataclasses import dataclass
from functools import partial

import numpy as np

from safety_check.arrays import TimeArray
from safety_check.errors import DataError, SourceError
from safety_check.model.weather import Briefing, Forecast, Provenance, SourceFailure
from safety_check.sources.coverage import sea_distance
from safety_check.sources.grid_cells import SEA, align_hours, stronger_cell
from safety_check.sources.http.cache import KEPT
from safety_check.sources.http.client import Client
from safety_check.sources.http.error_messages import StatusError
from safety_check.sources.http.recording_client import RecordingClient
from safety_check.sources.open_meteo import forecast, marine
from safety_check.sources.open_meteo.answer import read_answer
from safety_check.sources.open_meteo.variables import MARINE
from safety_check.sources.question import (
    TROUBLE,
    WIND,
    Place,
    Question,
    failure_of,
    greatest_age,
    stand_in_notes,
    title,
)
from safety_check.sources.stations import Station, distance

# Which cell speaks for a launch (service's documentation): "nearest" is the one that holds
# it, "land" and "sea" look around for one of their kind.
CELLS = ("nearest", "land", "sea")
NOTE = "the windier of the cells around the launch"
NOTHING_HERE = b"No data is available"  # the reason of a status 400 far from any sea

MODELS = "open_meteo_marine"


# -- the air -----------------------------------------------------------------------------------


async def ask_forecasts(client: Client, trip: Question) -> Briefing:
    """Return the models' forecasts, the wind of each from the windiest of the cells around."""
    parts = await asyncio.gather(
        *(
            _asked(ear, forecast.ask(ear, *trip.here, cell_selection=cell), "open_meteo")
            for cell in CELLS
            for ear in [RecordingClient(client)]
        )
    )
    near = [
        told
        for cell, (told, _) in zip(CELLS, parts, strict=True)
        if told and (cell != "sea" or _near(told.cell, trip.here))
    ]
    return Briefing(
        at=trip.at,
        forecasts=(stronger_cell(near, NOTE),) if near else (),
        silences=tuple(silence for _, silences in parts for silence in silences),
    )


async def ask_ensembles(client: Client, trip: Question) -> Briefing:
    """Return the members of the ensembles."""
    ear = RecordingClient(client)
    question = forecast.ask_ensemble(ear, *trip.here)
    told, silences = await _asked(ear, question, "open_meteo_ensemble")
    return Briefing(at=trip.at, forecasts=(told,) if told else (), silences=silences)


async def _asked(
    ear: RecordingClient, question: Awaitable[Forecast], source: str
) -> tuple[Forecast | None, tuple[SourceFailure, ...]]:
    """Return a forecast and what is silent in it, or nothing but a silence."""
    try:
        told = await question
    except TROUBLE as trouble:
        return None, (failure_of(source, trouble, WIND),)
    return told, (*stand_in_notes(ear, source, WIND), *forecast.missing_models(told))


def _near(cell: Place | None, here: Place) -> bool:
    """Return whether a cell of the sea is near enough to count; one without a place is."""
    return cell is None or distance(*here, Station("", "", *cell)) <= sea_distance()


# -- the sea -----------------------------------------------------------------------------------


@dataclass(frozen=True)
class Sea:
    """What is known of the sea near a launch.

    Parameters
    ----------
    told
        Its waves; None where there is no sea, or nothing is known of it.
    silences
        What is not known, or does not apply.
    """

    told: Forecast | None
    silences: tuple[SourceFailure, ...]


async def ask_sea(client: Client, trip: Question) -> Sea:
    """Return the waves of a sea near the launch in the hours of a trip.

    Notes
    -----
    Whether there is a sea is learnt from the answer. So the last answer is read however old
    it is: one that has lost its say on the waves still tells that a launch is inland, and
    that nothing is missed there.
    """
    ear = RecordingClient(client)
    meant = partial(_meant, here=trip.here)
    asked = marine.query(*trip.here)
    try:
        told = await ear.read("/v1/marine", asked, meant, source=MODELS, max_age=KEPT)
    except TROUBLE as trouble:
        return Sea(None, (_no_answer(trouble),))
    if told is None:
        return Sea(None, (_no_sea(),))
    if trip.at - told.provenance.fetched > greatest_age(MODELS):
        return Sea(None, tuple(failure_of(MODELS, each, (SEA,)) for each in ear.covered))
    return Sea(told, (*stand_in_notes(ear, MODELS, (SEA,)), *_gaps(told, trip.hours)))


def _meant(body: bytes, provenance: Provenance, here: Place) -> Forecast | None:
    """Return the waves, or None where the service has no sea near a place."""
    answer = read_answer(body, provenance.source)
    heights = answer.hourly.get(MARINE[SEA].name)
    empty = heights is not None and all(each is None for each in heights)
    if empty or not _near(answer.cell, here):
        return None
    return marine.parse(body, provenance, (marine.MODEL,))


def _no_answer(trouble: SourceError | DataError) -> SourceFailure:
    inland = isinstance(trouble, StatusError) and NOTHING_HERE in trouble.body
    return _no_sea() if inland else failure_of(MODELS, trouble, (SEA,))


def _no_sea() -> SourceFailure:
    return SourceFailure(
        title(MODELS), "It knows of no sea near the launch.", (SEA,), applies=False
    )


def _gaps(told: Forecast, hours: TimeArray) -> tuple[SourceFailure, ...]:
    """Return a silence where hours of the trip are without a wave, which is not a flat sea."""
    height = align_hours(told.quantities[SEA].max(axis=0), told.time, hours)
    if not np.isnan(height).any():
        return ()
    return (
        SourceFailure(title(MODELS), "Its waves are not known in every hour of the trip.", (SEA,)),
    )

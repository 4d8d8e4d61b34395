"""Ask Open-Meteo for a trip: several models, and ensembles for the odds."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable

from safety_check.model.weather import Briefing, Forecast, SourceFailure
from safety_check.sources.coverage import sea_distance
from safety_check.sources.grid_cells import windier_cell
from safety_check.sources.grid_point import distance_to
from safety_check.sources.http.client import Client
from safety_check.sources.http.recording_client import RecordingClient
from safety_check.sources.open_meteo import forecast
from safety_check.sources.open_meteo.regional import ask_regional
from safety_check.sources.question import (
    TROUBLE,
    WIND,
    Place,
    Question,
    failure_of,
    join_briefings,
    saved_answer_notes,
)
from safety_check.sources.registry import greatest_grid_distance, neighbour_search
from safety_check.sources.shared_place import shared_place

MODELS, ENSEMBLES = "open_meteo", "open_meteo_ensemble"
# Which cell is used for a launch (service's documentation): "nearest" is the one that contains
# it, "land" and "sea" search around it for a cell of their kind.
CELLS = ("nearest", "land", "sea")
ELSEWHERE = "One of its answers is for another place, or does not name its grid point."
NOTE = "the windier of the cells around the launch"


async def ask_forecasts(client: Client, question: Question) -> Briefing:
    """Return the forecasts of the global models, and of those of the launch's region."""
    parts = await asyncio.gather(_ask_global(client, question), ask_regional(client, question))
    return join_briefings(parts, question.at)


async def _ask_global(client: Client, question: Question) -> Briefing:
    """Return the models' forecasts, the wind of each from the windiest cell around the launch."""
    place = shared_place(question, MODELS)
    parts = await asyncio.gather(
        *(
            _ask(
                recording,
                forecast.ask(recording, *place, cell_selection=cell),
                MODELS,
            )
            for cell in CELLS
            for recording in [RecordingClient(client)]
        )
    )
    answers = [
        (selection, answer)
        for selection, (answer, _) in zip(CELLS, parts, strict=True)
        if answer is not None
    ]
    near = [answer for selection, answer in answers if _counts(selection, answer, question.here)]
    failures = [failure for _, part in parts for failure in part]
    failures += [
        SourceFailure(answer.provenance.source, ELSEWHERE, WIND)
        for selection, answer in answers
        if selection != "nearest" and not _within(answer, question.here, neighbour_search())
    ]
    return Briefing(
        at=question.at,
        forecasts=(windier_cell(near, NOTE),) if near else (),
        silences=tuple(failures),
    )


def _counts(selection: str, answer: Forecast, here: Place) -> bool:
    """Return whether the wind of a cell counts; that of a neighbour only where it is near."""
    match selection:
        case "land":
            return _within(answer, here, min(map(greatest_grid_distance, answer.models)))
        case "sea":
            return _within(answer, here, sea_distance())
        case _:
            return True


def _within(answer: Forecast, here: Place, limit: float) -> bool:
    """Return whether the grid point of an answer is within a distance [m] of the launch."""
    return answer.cell is not None and distance_to(answer.cell, here) <= limit


async def ask_ensembles(client: Client, question: Question) -> Briefing:
    """Return the members of the ensembles."""
    recording = RecordingClient(client)
    place = shared_place(question, ENSEMBLES)
    answer, failures = await _ask(recording, forecast.ask_ensemble(recording, *place), ENSEMBLES)
    return Briefing(at=question.at, forecasts=(answer,) if answer else (), silences=failures)


async def _ask(
    recording: RecordingClient, answer: Awaitable[Forecast], source: str
) -> tuple[Forecast | None, tuple[SourceFailure, ...]]:
    """Return a forecast and what is missing in it, or only a failure."""
    try:
        found = await answer
    except TROUBLE as trouble:
        return None, (failure_of(source, trouble),)
    return found, (*saved_answer_notes(recording, source), *forecast.missing_models(found))

"""Ask Open-Meteo for the wind of the high-resolution models of a region.

Each shares the vote of a global model, so it can only make a verdict stricter. The nests HRRR,
ICON-D2 and HRDPS are not requested here: they come inside the seamless models of their services.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import partial
from http import HTTPStatus

from safety_check.model.weather import Briefing, Forecast, Provenance, SourceFailure
from safety_check.sources import registry
from safety_check.sources.http.client import Client
from safety_check.sources.http.error_messages import StatusError
from safety_check.sources.http.recording_client import RecordingClient
from safety_check.sources.model_hosts import regional_models
from safety_check.sources.open_meteo import forecast
from safety_check.sources.open_meteo.answer import read_answer
from safety_check.sources.open_meteo.variables import FORECAST, columns
from safety_check.sources.question import (
    TROUBLE,
    WIND,
    Question,
    failure_of,
    saved_answer_notes,
    title,
)
from safety_check.sources.shared_place import shared_place

SOURCE, SHARING = "open_meteo", "open_meteo_regional"
DAYS = 3  # today included; none of these models is relied on for longer
NO_DATA = b"No data is available"  # the reason of a status 400 where no model covers a place
REGIONAL = {name: FORECAST[name] for name in ("wind_speed", "wind_from_direction")}


async def ask_regional(client: Client, question: Question) -> Briefing:
    """Return the wind of the regional models that cover the launch; nothing where none does."""
    asked = regional_models(*question.here)
    if not asked:
        return Briefing(at=question.at)
    recording = RecordingClient(client)
    place = shared_place(question, SHARING)
    query = forecast.query(*place, days=DAYS, models=asked, table=REGIONAL)
    try:
        found, failures = await recording.read(
            "/v1/forecast", query, partial(parse, asked=asked), source=SOURCE
        )
    except TROUBLE as trouble:
        silences = _not_covered(asked) if _says_none(trouble) else (failure_of(SOURCE, trouble),)
        return Briefing(at=question.at, silences=silences)
    notes = saved_answer_notes(recording, SOURCE)
    return Briefing(at=question.at, forecasts=(found,), silences=(*notes, *failures))


def parse(
    body: bytes, provenance: Provenance, asked: tuple[str, ...]
) -> tuple[Forecast, tuple[SourceFailure, ...]]:
    """Return the forecasts that came, and a failure for each model that is missing.

    Notes
    -----
    The service leaves out a model that does not cover a place. Where only one is left, its
    columns name no model; the first that was asked stands for it, since all share one vote.
    """
    found = forecast.parse_live(body, provenance, models_asked=asked)
    if forecast.UNNAMED in found.models:
        return replace(found, models=asked[:1], absent=()), ()
    names = columns(read_answer(body, provenance.source).hourly, FORECAST, registry.spellings())
    present = {column.model for column in names}
    empty = [model for model in found.absent if model in present]
    missing = forecast.missing_models(replace(found, absent=tuple(empty)))
    left_out = [model for model in found.absent if model not in present]
    return replace(found, absent=()), (*missing, *_not_covered(left_out))


def _says_none(trouble: Exception) -> bool:
    return isinstance(trouble, StatusError) and trouble.says(NO_DATA, HTTPStatus.BAD_REQUEST)


def _not_covered(models: Iterable[str]) -> tuple[SourceFailure, ...]:
    reason = "It does not cover this place."
    return tuple(
        SourceFailure(f"{title(SOURCE)}, {registry.label(model)}", reason, WIND, applies=False)
        for model in models
    )

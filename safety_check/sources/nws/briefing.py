"""Ask the National Weather Service for a trip: grid, alerts and stations."""

from __future__ import annotations

import asyncio
from datetime import datetime
from http import HTTPStatus

import numpy as np

from safety_check.model.weather import Briefing, Forecast, SourceFailure
from safety_check.sources.alert_list import AlertList, age_failure, distinct
from safety_check.sources.http.client import Client
from safety_check.sources.http.error_messages import StatusError
from safety_check.sources.http.recording_client import RecordingClient
from safety_check.sources.nws import alerts, grid, observations
from safety_check.sources.nws.point import ask_point
from safety_check.sources.question import (
    TROUBLE,
    WAVES,
    Place,
    Question,
    failure_of,
    join_briefings,
    not_covered,
    saved_answer_notes,
    title,
)
from safety_check.sources.station_service import StationService, ask_stations, lists_a_station

GRID, ALERTS, STATIONS = "nws_grid", "nws_alerts", "nws_observations"
OUTSIDE = b"InvalidPoint"  # in a 404: the service does not cover this place


async def ask_weather_service(client: Client, question: Question) -> Briefing:
    """Return grid, alerts and stations of the National Weather Service.

    Its boxes in coverage.toml include parts of the neighbouring countries: where the service
    itself says that it does not cover a place, it does not apply.
    """
    warned, forecast = await asyncio.gather(
        ask_alerts(client, question), _ask_grid_and_stations(client, question)
    )
    if forecast is not None:
        return join_briefings([forecast, warned], question.at)
    outside = tuple(map(not_covered, (GRID, ALERTS, STATIONS)))
    return Briefing(at=question.at, alerts=warned.alerts, silences=outside)


async def _ask_grid_and_stations(client: Client, question: Question) -> Briefing | None:
    """Return forecast and observations, which both begin with one request for the place.

    None where the service does not cover the place.
    """
    try:
        await ask_point(client, *question.here)
    except TROUBLE as trouble:
        if isinstance(trouble, StatusError) and trouble.says(OUTSIDE, HTTPStatus.NOT_FOUND):
            return None
        failures = tuple(failure_of(source, trouble) for source in (GRID, STATIONS))
        return Briefing(at=question.at, silences=failures)
    return join_briefings(
        await asyncio.gather(
            _ask_grid(client, question), ask_stations(LAND_STATIONS, client, question)
        ),
        question.at,
    )


async def _ask_grid(client: Client, question: Question) -> Briefing:
    recording = RecordingClient(client)
    try:
        forecast = await grid.ask(recording, *question.here)
    except TROUBLE as trouble:
        return Briefing(at=question.at, silences=(failure_of(GRID, trouble),))
    notes = (*saved_answer_notes(recording, GRID), *_lost_waves(forecast))
    return Briefing(at=question.at, forecasts=(forecast,), silences=notes)


def _lost_waves(forecast: Forecast) -> tuple[SourceFailure, ...]:
    """Return a failure where the waves of a cell cannot be read, which is not a flat sea."""
    if WAVES in forecast.not_made or np.isfinite(forecast.quantities[WAVES]).any():
        return ()
    reason = "Its wave heights are missing or cannot be read."
    return (SourceFailure(title(GRID), reason, (WAVES,)),)


async def ask_alerts(client: Client, question: Question) -> Briefing:
    """Return the official alerts for every place of a trip, each once."""
    recording = RecordingClient(client)
    answers = await asyncio.gather(
        *(_ask_alerts_at(recording, place, question.at) for place in question.places)
    )
    found = distinct(alert for at_place, _ in answers for alert in at_place or ())
    failures = tuple(failure for _, at_place in answers for failure in at_place)
    lists = [listed for listed, _ in answers if listed is not None]
    return Briefing(
        at=question.at,
        alerts=found,
        silences=(*failures, *saved_answer_notes(recording, ALERTS)),
        others=tuple(listed.provenance for listed in lists[:1] if not found),
        warnings_read=() if failures else tuple(listed.provenance for listed in lists[:1]),
    )


async def _ask_alerts_at(
    recording: RecordingClient, place: Place, at: datetime
) -> tuple[AlertList | None, tuple[SourceFailure, ...]]:
    try:
        listed = await alerts.ask(recording, *place)
    except TROUBLE as trouble:
        return None, (failure_of(ALERTS, trouble),)
    return listed, age_failure(listed, ALERTS, at)


LAND_STATIONS = StationService(STATIONS, observations.ask, measures=lists_a_station)

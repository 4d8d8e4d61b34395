"""What the services of the United States know of a trip: grid, alerts, stations, gauges."""

from __future__ import annotations

import asyncio

from safety_check.model.weather import Alert, Briefing, SourceFailure
from safety_check.sources.coverage import covers
from safety_check.sources.gather_stations import ASHORE, ask_stations
from safety_check.sources.http.client import Client
from safety_check.sources.http.error_messages import StatusError
from safety_check.sources.http.recording_client import RecordingClient
from safety_check.sources.nws import alerts as nws_alerts
from safety_check.sources.nws import grid
from safety_check.sources.nws.point import ask_point
from safety_check.sources.question import (
    ALERTS,
    TROUBLE,
    WIND,
    Place,
    Question,
    failure_of,
    join_briefings,
    not_covered,
    stand_in_notes,
    title,
)

OUTSIDE = b"InvalidPoint"  # how the service says that a place is not its own


async def ask_weather_service(client: Client, trip: Question) -> Briefing:
    """Return grid, alerts and stations of the National Weather Service.

    Its boxes hold some of the neighbouring countries: where it says itself that a place is
    not its own, it does not apply.
    """
    if not covers("nws", *trip.here):
        return _not_here(trip)
    warned, told = await asyncio.gather(ask_alerts(client, trip), _grid_and_stations(client, trip))
    if told is None:
        return join_briefings(
            [Briefing(at=trip.at, alerts=warned.alerts), _not_here(trip)], trip.at
        )
    return join_briefings([told, warned], trip.at)


def _not_here(trip: Question) -> Briefing:
    wanted = {"nws_grid": WIND, "nws_alerts": ALERTS, "nws_observations": WIND}
    silences = tuple(not_covered(source, what) for source, what in wanted.items())
    return Briefing(at=trip.at, silences=silences)


async def _grid_and_stations(client: Client, trip: Question) -> Briefing | None:
    """Return forecast and observations, which both begin with one question for the place.

    None where the place is not the service's own.
    """
    try:
        await ask_point(client, *trip.here)
    except TROUBLE as trouble:
        if isinstance(trouble, StatusError) and OUTSIDE in trouble.body:
            return None
        sources = ("nws_grid", "nws_observations")
        return Briefing(
            at=trip.at, silences=tuple(failure_of(each, trouble, WIND) for each in sources)
        )
    return join_briefings(
        await asyncio.gather(_grid(client, trip), ask_stations(ASHORE, client, trip)), trip.at
    )


async def _grid(client: Client, trip: Question) -> Briefing:
    ear = RecordingClient(client)
    try:
        told = await grid.ask(ear, *trip.here)
    except TROUBLE as trouble:
        return Briefing(at=trip.at, silences=(failure_of("nws_grid", trouble, WIND),))
    return Briefing(at=trip.at, forecasts=(told,), silences=stand_in_notes(ear, "nws_grid", WIND))


async def ask_alerts(client: Client, trip: Question) -> Briefing:
    """Return the official alerts for every place of a trip, each once."""
    ear = RecordingClient(client)
    told = await asyncio.gather(*(_alerts_at(ear, place) for place in trip.places))
    found = nws_alerts.once(alert for alerts, _ in told for alert in alerts)
    return Briefing(
        at=trip.at,
        alerts=found,
        silences=(
            *(silence for _, silences in told for silence in silences),
            *stand_in_notes(ear, "nws_alerts", ALERTS),
        ),
        others=() if found else ear.origins(title("nws_alerts"))[:1],
    )


async def _alerts_at(
    ear: RecordingClient, place: Place
) -> tuple[tuple[Alert, ...], tuple[SourceFailure, ...]]:
    try:
        return await nws_alerts.ask(ear, *place), ()
    except TROUBLE as trouble:
        return (), (failure_of("nws_alerts", trouble, ALERTS),)

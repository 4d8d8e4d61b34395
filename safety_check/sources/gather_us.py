"""What the services of the United States know of a trip: grid, alerts, stations, gauges."""

from __future__ import annotations

import asyncio

from safety_check.model.weather import Alert, Briefing, Silence
from safety_check.sources import nws, nws_alerts
from safety_check.sources.asking import (
    ALERTS,
    TROUBLE,
    WIND,
    Place,
    Question,
    elsewhere,
    joined,
    silent,
    stand_ins,
    title,
)
from safety_check.sources.client import Client
from safety_check.sources.coverage import covers
from safety_check.sources.failure import StatusError
from safety_check.sources.gather_stations import ASHORE, observed
from safety_check.sources.listening import Listening
from safety_check.sources.nws_point import ask_point

OUTSIDE = b"InvalidPoint"  # how the service says that a place is not its own


async def weather_service(client: Client, trip: Question) -> Briefing:
    """Return grid, alerts and stations of the National Weather Service.

    Its boxes hold some of the neighbouring countries: where it says itself that a place is
    not its own, it does not apply.
    """
    if not covers("nws", *trip.here):
        return _not_here(trip)
    warned, told = await asyncio.gather(alerts(client, trip), _grid_and_stations(client, trip))
    if told is None:
        return joined([Briefing(at=trip.at, alerts=warned.alerts), _not_here(trip)], trip.at)
    return joined([told, warned], trip.at)


def _not_here(trip: Question) -> Briefing:
    wanted = {"nws_grid": WIND, "nws_alerts": ALERTS, "nws_observations": WIND}
    silences = tuple(elsewhere(source, what) for source, what in wanted.items())
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
        return Briefing(at=trip.at, silences=tuple(silent(each, trouble, WIND) for each in sources))
    return joined(
        await asyncio.gather(_grid(client, trip), observed(ASHORE, client, trip)), trip.at
    )


async def _grid(client: Client, trip: Question) -> Briefing:
    ear = Listening(client)
    try:
        told = await nws.ask(ear, *trip.here)
    except TROUBLE as trouble:
        return Briefing(at=trip.at, silences=(silent("nws_grid", trouble, WIND),))
    return Briefing(at=trip.at, forecasts=(told,), silences=stand_ins(ear, "nws_grid", WIND))


async def alerts(client: Client, trip: Question) -> Briefing:
    """Return the official alerts for every place of a trip, each once."""
    ear = Listening(client)
    told = await asyncio.gather(*(_alerts_at(ear, place) for place in trip.places))
    found = nws_alerts.once(alert for alerts, _ in told for alert in alerts)
    return Briefing(
        at=trip.at,
        alerts=found,
        silences=(
            *(silence for _, silences in told for silence in silences),
            *stand_ins(ear, "nws_alerts", ALERTS),
        ),
        others=() if found else ear.origins(title("nws_alerts"))[:1],
    )


async def _alerts_at(ear: Listening, place: Place) -> tuple[tuple[Alert, ...], tuple[Silence, ...]]:
    try:
        return await nws_alerts.ask(ear, *place), ()
    except TROUBLE as trouble:
        return (), (silent("nws_alerts", trouble, ALERTS),)

"""Ask the National Data Buoy Center for a trip."""

from __future__ import annotations

from safety_check.model.weather import Briefing
from safety_check.sources.http.client import Client
from safety_check.sources.http.recording_client import RecordingClient
from safety_check.sources.ndbc import buoys
from safety_check.sources.question import SPEED, TEMPERATURE, WAVES, Question
from safety_check.sources.station_service import (
    Observations,
    StationService,
    ask_stations,
    reported_lately,
)
from safety_check.sources.stations import load_reaches

# What a buoy also reports when it measures a quantity.
COMPANIONS = {
    SPEED: ("wind_speed_of_gust", "wind_from_direction"),
    WAVES: (buoys.PEAK_PERIOD, "sea_surface_wave_from_direction"),
    TEMPERATURE: (),
}


async def ask_buoys(client: Client, question: Question) -> Briefing:
    """Return what the nearest useful buoys report, and what is missing."""
    return await ask_stations(BUOYS, client, question)


def reports_a_companion(
    recording: RecordingClient, observations: Observations, quantity: str, question: Question
) -> bool:
    """Return whether a buoy reports a gust or a direction: then it measures wind as well."""
    within = load_reaches()[quantity].distance
    return any(
        reported_lately(observation, companion, within, question)
        for observation in observations
        for companion in COMPANIONS[quantity]
    )


BUOYS = StationService(
    "ndbc", buoys.ask, measures=reports_a_companion, recall_stations=buoys.recall_stations
)

"""Ask the Aviation Weather Center for a trip."""

from __future__ import annotations

from safety_check.model.weather import Briefing
from safety_check.sources.aviation_weather import reports
from safety_check.sources.http.client import Client
from safety_check.sources.http.recording_client import RecordingClient
from safety_check.sources.question import Question
from safety_check.sources.station_service import Observations, StationService, ask_stations
from safety_check.sources.stations import load_reaches, nearest


async def ask_aerodromes(client: Client, question: Question) -> Briefing:
    """Return what the nearest useful aerodrome reports, and what is missing."""
    return await ask_stations(AERODROMES, client, question)


def reports_anything(
    recording: RecordingClient, observations: Observations, quantity: str, question: Question
) -> bool:
    """Return whether an aerodrome in reach reports: every one of them measures the wind."""
    readings = [
        entry
        for answer in recording.answers
        for entry in answer.meaning
        if isinstance(entry, reports.Readings)
    ]
    within = load_reaches()[quantity].distance
    return bool(nearest((entry.station for entry in readings), *question.here, within))


AERODROMES = StationService(reports.SOURCE, reports.ask, measures=reports_anything)

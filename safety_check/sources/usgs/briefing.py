"""Ask the gauges of the US Geological Survey for a trip."""

from __future__ import annotations

from safety_check.model.weather import Briefing
from safety_check.sources.http.client import Client
from safety_check.sources.http.recording_client import RecordingClient
from safety_check.sources.question import Question
from safety_check.sources.station_service import Observations, StationService, ask_stations
from safety_check.sources.usgs import gauges

WATER_TEMPERATURE = b'"00010"'  # its parameter code, as it appears in an answer


async def ask_gauges(client: Client, question: Question) -> Briefing:
    """Return what the nearest useful gauges report, and what is missing."""
    return await ask_stations(GAUGES, client, question)


def mentions_temperature(
    recording: RecordingClient, observations: Observations, quantity: str, question: Question
) -> bool:
    """Return whether an answer mentions the water temperature, in whatever form or unit."""
    pages = (answer.meaning for answer in recording.answers if isinstance(answer.meaning, tuple))
    bodies = (page[0] for page in pages if page and isinstance(page[0], bytes))
    return any(WATER_TEMPERATURE in body for body in bodies)


GAUGES = StationService("usgs", gauges.ask, measures=mentions_temperature, has_substitute=True)

"""Ask the gauges of the US Geological Survey for a trip."""

from __future__ import annotations

from safety_check.model.weather import Briefing
from safety_check.sources.http.client import Client
from safety_check.sources.http.recording_client import RecordingClient
from safety_check.sources.question import Question
from safety_check.sources.station_service import Observations, StationService, ask_stations
from safety_check.sources.usgs import gauges

WATER_TEMPERATURE = "00010"  # its parameter code


async def ask_gauges(client: Client, question: Question) -> Briefing:
    """Return what the nearest useful gauges report, and what is missing."""
    return await ask_stations(GAUGES, client, question)


def mentions_temperature(
    recording: RecordingClient, observations: Observations, quantity: str, question: Question
) -> bool:
    """Return whether a page mentions the water temperature, in whatever form or unit."""
    meanings = [answer.meaning for answer in recording.answers]
    pages = [meaning for meaning in meanings if isinstance(meaning, gauges.Page)]
    return any(
        reading.parameter == WATER_TEMPERATURE for page in pages for reading in page.readings
    )


GAUGES = StationService("usgs", gauges.ask, measures=mentions_temperature, has_substitute=True)

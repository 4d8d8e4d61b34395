"""Ask the tide stations of NOAA CO-OPS for a trip."""

from __future__ import annotations

from safety_check.model.weather import Briefing
from safety_check.sources.coops import stations
from safety_check.sources.http.client import Client
from safety_check.sources.http.error_messages import NothingToReport
from safety_check.sources.http.recording_client import RecordingClient
from safety_check.sources.question import SPEED, TEMPERATURE, Question
from safety_check.sources.station_service import (
    Observations,
    StationService,
    any_near,
    ask_stations,
)

PRODUCTS = {SPEED: "wind", TEMPERATURE: "water_temperature"}


async def ask_tide_stations(client: Client, question: Question) -> Briefing:
    """Return what the nearest useful tide stations report, and what is missing."""
    return await ask_stations(TIDE_STATIONS, client, question)


def lists_a_station_with_data(
    recording: RecordingClient, observations: Observations, quantity: str, question: Question
) -> bool:
    """Return whether a station is near that is listed for a quantity and has data."""
    query = stations.query_stations(PRODUCTS[quantity])
    lists = (answer.meaning for answer in recording.answers if answer.params == query)
    no_data = any(isinstance(trouble, NothingToReport) for trouble in recording.missed)
    return any_near(lists, quantity, question) and not no_data


TIDE_STATIONS = StationService(
    "coops",
    stations.ask,
    measures=lists_a_station_with_data,
    recall_stations=stations.recall_stations,
)

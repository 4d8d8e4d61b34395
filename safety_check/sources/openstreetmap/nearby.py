"""The waters near a place, from OpenStreetMap, asked once when a water is added."""

from __future__ import annotations

import asyncio

from safety_check.settings.settings import Settings
from safety_check.sources.http import client
from safety_check.sources.http.asker import RetryPolicy
from safety_check.sources.openstreetmap import overpass

PATIENT = RetryPolicy(deadline=60.0, patience=60.0, first_pause=5.0)


def find_waters(latitude: float, longitude: float, settings: Settings) -> overpass.Found:
    """Return the waters at a place, nearest first, and what of them can't be used.

    Raises
    ------
    SourceError, DataError
        Where the service fails, or its answer can't be used.
    """
    return asyncio.run(_asked(latitude, longitude, settings))


async def _asked(latitude: float, longitude: float, settings: Settings) -> overpass.Found:
    async with client.open_client(
        settings.folders.cache,
        contact=settings.user.contact.email,
        addresses=settings.user.services,
        policy=PATIENT,
    ) as open_client:
        return await overpass.ask(open_client, latitude, longitude)

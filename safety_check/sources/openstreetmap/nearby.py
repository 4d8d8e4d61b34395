"""Waters near a place or of a name, from OpenStreetMap, asked once when a water is added."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from safety_check.settings.settings import Settings
from safety_check.sources.http import client
from safety_check.sources.http.asker import RetryPolicy
from safety_check.sources.openstreetmap import nominatim, overpass

PATIENT = RetryPolicy(deadline=60.0, patience=60.0, first_pause=5.0)


def find_waters(latitude: float, longitude: float, settings: Settings) -> overpass.Found:
    """Return the waters at a place, nearest first, and those that cannot be used.

    Raises
    ------
    SourceError, DataError
        Where the service fails, or its answer can't be used.
    """

    async def asked() -> overpass.Found:
        async with _patient_client(settings) as open_client:
            return await overpass.ask(open_client, latitude, longitude)

    return asyncio.run(asked())


def find_named(name: str, settings: Settings) -> tuple[nominatim.NamedWater, ...]:
    """Return the waters of a name, the best match first.

    Raises
    ------
    SourceError, DataError
        Where the service fails, or no water has that name.
    """

    async def asked() -> tuple[nominatim.NamedWater, ...]:
        async with _patient_client(settings) as open_client:
            return await nominatim.ask(open_client, name)

    return asyncio.run(asked())


def find_outline(water: nominatim.NamedWater, settings: Settings) -> overpass.Found:
    """Return the outline of a water that was found by its name.

    Raises
    ------
    SourceError, DataError
        Where the service fails, or the outline can't be used.
    """
    here = (water.latitude, water.longitude)

    async def asked() -> overpass.Found:
        async with _patient_client(settings) as open_client:
            return await overpass.ask_outline(open_client, water.osm_type, water.osm_id, here)

    return asyncio.run(asked())


@asynccontextmanager
async def _patient_client(settings: Settings) -> AsyncIterator[client.Client]:
    async with client.open_client(
        settings.folders.cache,
        contact=settings.user.contact.email,
        addresses=settings.user.services,
        policy=PATIENT,
    ) as open_client:
        yield open_client

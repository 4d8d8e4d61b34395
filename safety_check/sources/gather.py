"""Everything that the open services know for a plan, asked side by side within one deadline.

What answered is used; what did not is named with its reason. No trouble of a service, and no
bytes that it sends, get past here as anything but a silence.
"""

from __future__ import annotations

import asyncio
from dataclasses import replace
from pathlib import Path

from safety_check.model.weather import Briefing, SourceFailure
from safety_check.settings.folders import Folders
from safety_check.settings.settings import Settings
from safety_check.sources import gather_world
from safety_check.sources.coverage import covers
from safety_check.sources.gather_stations import BUOYS, GAUGES, TIDES, ask_stations
from safety_check.sources.gather_us import ask_weather_service
from safety_check.sources.grid_cells import add_sea
from safety_check.sources.http.client import Client, RetryPolicy, open_client
from safety_check.sources.question import ALERTS, Question, join_briefings

NOBODY_WARNS = SourceFailure(
    "official warnings",
    "No service that is asked here warns for this place. Read your own weather service's.",
    ALERTS,
    applies=False,
)


def gather_briefing(
    question: Question, settings: Settings, policy: RetryPolicy | None = None
) -> Briefing:
    """Return what the services know for a trip, within one deadline.

    Parameters
    ----------
    question
        What the trip asks of every source.
    settings
        Contact, addresses of the services, and the folder of the saved answers.
    policy
        How patiently to ask; ten seconds for everything by default.
    """
    briefings: list[Briefing] = []

    async def ask() -> None:
        briefings.append(await gather_briefing_async(question, settings, policy))

    # A task with a result is slow to end: `run` writes the result out, arrays and all.
    asyncio.run(ask())
    return briefings[0]


async def gather_briefing_async(
    question: Question, settings: Settings, policy: RetryPolicy | None = None
) -> Briefing:
    """Return what the services know for a trip, as `gather_briefing`, in a running loop."""
    async with open_client(
        saved_answers(settings.folders),
        contact=settings.user.contact.email,
        addresses=settings.user.services,
        manners=policy,
        now=lambda: question.at,
    ) as client:
        return await ask_all(client, question)


async def ask_all(client: Client, trip: Question) -> Briefing:
    """Return what every service answers through one client."""
    told, sea = await asyncio.gather(
        asyncio.gather(
            gather_world.ask_forecasts(client, trip),
            gather_world.ask_ensembles(client, trip),
            ask_weather_service(client, trip),
            *(ask_stations(each, client, trip) for each in (BUOYS, TIDES, GAUGES)),
        ),
        gather_world.ask_sea(client, trip),
    )
    silences = sea.silences if covers("nws", *trip.here) else (*sea.silences, NOBODY_WARNS)
    briefing = join_briefings([*told, Briefing(at=trip.at, silences=silences)], trip.at)
    if sea.told is None or not briefing.forecasts:
        return briefing
    first, *others = briefing.forecasts
    return replace(
        briefing,
        forecasts=(add_sea(first, sea.told), *others),
        others=(*briefing.others, sea.told.provenance),
    )


def saved_answers(folders: Folders) -> Path:
    """Return the folder of the saved answers, which serve at a ramp without signal.

    This is not the cache folder, because the system may empty that the night before.
    """
    return folders.data

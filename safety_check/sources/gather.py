"""Everything that the open services know for a plan, asked side by side within one deadline.

What answered is used; what did not is named with its reason. No trouble of a service, and no
bytes that it sends, get past here as anything but a silence.
"""

from __future__ import annotations

import asyncio
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np

from safety_check.arrays import hour_axis
from safety_check.model.plan import Plan
from safety_check.model.weather import Briefing, SourceFailure
from safety_check.settings.settings import Folders, Settings
from safety_check.sources import gather_world
from safety_check.sources.coverage import covers
from safety_check.sources.gather_stations import BUOYS, GAUGES, TIDES, ask_stations
from safety_check.sources.gather_us import ask_weather_service
from safety_check.sources.grid_cells import add_sea
from safety_check.sources.http.client import Client, RetryPolicy, open_client
from safety_check.sources.question import (
    ALERTS,
    SPEED,
    TEMPERATURE,
    WAVES,
    Place,
    Question,
    join_briefings,
)
from safety_check.waters.open_water import open_water
from safety_check.waters.projection import to_degrees

NOBODY_WARNS = SourceFailure(
    "official warnings",
    "No service that is asked here warns for this place. Read your own weather service's.",
    ALERTS,
    applies=False,
)


def gather_briefing(
    plan: Plan, settings: Settings, now: datetime, manners: RetryPolicy | None = None
) -> Briefing:
    """Return what the services know for a plan, within one deadline.

    Parameters
    ----------
    plan
        Who goes where and when.
    settings
        Contact, addresses of the services, and where the last answers are kept.
    now
        The clock of the check.
    manners
        How patiently to ask; ten seconds for everything by default.
    """
    told: list[Briefing] = []

    async def ask() -> None:
        told.append(await gather_briefing_async(plan, settings, now, manners))

    # A task with a result is slow to end: `run` writes it out, arrays and all, for nobody.
    asyncio.run(ask())
    return told[0]


async def gather_briefing_async(
    plan: Plan, settings: Settings, now: datetime, manners: RetryPolicy | None = None
) -> Briefing:
    """Return what the services know for a plan, as `briefing`, in a loop that already runs."""
    trip = build_question(plan, settings, now)
    async with open_client(
        kept_answers(settings.folders),
        contact=settings.user.contact.email,
        addresses=settings.user.services,
        manners=manners,
        now=lambda: now,
    ) as client:
        return await ask_all(client, trip)


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


def kept_answers(folders: Folders) -> Path:
    """Return where what the services said is kept for a ramp without signal.

    It is no cache that the system may sweep away the night before.
    """
    return folders.data


# -- what a trip asks ----------------------------------------------------------------------------


def build_question(plan: Plan, settings: Settings, now: datetime) -> Question:
    """Return what a plan asks of every source."""
    return Question(
        here=(plan.launch.latitude, plan.launch.longitude),
        places=alert_places(plan, settings),
        hours=hour_axis(plan.start, plan.end + timedelta(hours=1)),
        wanted=wanted_observations(plan),
        at=now,
        unit=settings.preferences.distance,
    )


def wanted_observations(plan: Plan) -> frozenset[str]:
    """Return what an observation may tell that the rules weigh on a trip."""
    warmth = {TEMPERATURE} if plan.water_temperature is None else set()
    return frozenset({SPEED, WAVES} | warmth)


def alert_places(plan: Plan, settings: Settings) -> tuple[Place, ...]:
    """Return the launch, a point well out on the water, and the farthest that the trip may reach.

    A launch lies in a zone of the land, and the water before it may be another zone, with
    warnings of its own.
    """
    here = np.array([[plan.launch.longitude, plan.launch.latitude]])
    found = [here, _reached(plan, settings)]
    if plan.route is not None:
        found.append(plan.route)
    rounded = np.round(np.concatenate(found), 4)
    return tuple(dict.fromkeys((float(north), float(east)) for east, north in rounded))


def _reached(plan: Plan, settings: Settings) -> np.ndarray:
    """Return longitude and latitude of the point farthest from shore and of that farthest out."""
    if not plan.water.shoreline:
        return np.empty((0, 2))
    water = open_water(plan, settings.folders.cache)
    out = np.hypot(*water.points.T).argmax()
    ends = water.points[[water.distance_from_shore.argmax(), out]]
    return to_degrees(ends, plan.launch.longitude, plan.launch.latitude)

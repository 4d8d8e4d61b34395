"""Ask every service of the registry for a plan, at the same time within one deadline.

Answers are used, and failures are listed with their reason. Whatever a service sends or does
wrong, this package reports it as a failure and raises nothing else.
"""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from dataclasses import replace
from datetime import timedelta
from importlib import import_module
from pathlib import Path

from safety_check.model.weather import Briefing, Forecast
from safety_check.settings.folders import Folders
from safety_check.settings.settings import Settings
from safety_check.sources.coverage import covers
from safety_check.sources.elevation import check_elevations
from safety_check.sources.grid_cells import add_sea
from safety_check.sources.grid_point import check_grid_points
from safety_check.sources.http.asker import RetryPolicy
from safety_check.sources.http.cache import AnswerCache
from safety_check.sources.http.client import Client, open_client
from safety_check.sources.lent_directions import lend_directions
from safety_check.sources.question import SPEED, Question, join_briefings, not_covered
from safety_check.sources.registry import adapters, moving_adapters
from safety_check.sources.same_station import count_once
from safety_check.sources.shared_votes import share_votes
from safety_check.sources.warning_services.briefing import ask_warning_services
from safety_check.sources.warnings_read import settle_warnings

Adapter = Callable[[Client, Question], Awaitable[Briefing]]
SECOND = timedelta(seconds=1)  # the cache rounds times


def gather_briefing(
    question: Question, settings: Settings, policy: RetryPolicy | None = None
) -> Briefing:
    """Return the answers of the services for a trip, within one deadline.

    Parameters
    ----------
    question
        The question that every source is asked.
    settings
        Contact, addresses of the services, and the folder of the saved answers.
    policy
        How long to wait and how often to try; ten seconds for everything by default.
    """
    briefings: list[Briefing] = []

    async def ask() -> None:
        briefings.append(await gather_briefing_async(question, settings, policy))

    # A task that returns a result ends slowly: `run` formats the whole result, with its arrays.
    asyncio.run(ask())
    return briefings[0]


async def gather_briefing_async(
    question: Question, settings: Settings, policy: RetryPolicy | None = None
) -> Briefing:
    """Return the answers for a trip, as `gather_briefing` does, in a running loop."""
    async with open_client(
        saved_answers(settings.folders),
        contact=settings.user.contact.email,
        addresses=settings.user.services,
        policy=policy,
        now=lambda: question.at,
    ) as client:
        return await ask_all(client, question)


def saved_answers(folders: Folders) -> Path:
    """Return the folder of the saved answers, which are used at a launch without signal.

    This is not the cache folder, because the system may empty that before the trip.
    """
    return folders.data


def answers_stored(briefing: Briefing, folders: Folders) -> bool:
    """Return whether the forecasts of a briefing are on the disk, for a launch without signal.

    The answers are written together and without an error where they can't be: a check needs none.
    """
    cache = AnswerCache(saved_answers(folders), briefing.at)
    origins = [forecast.provenance for forecast in briefing.forecasts]
    saved = [(cache.last(origin.url), origin.fetched) for origin in origins]
    cache.close()
    return all(one is not None and one.fetched >= received - SECOND for one, received in saved)


async def ask_all(client: Client, question: Question) -> Briefing:
    """Return the answers of all services, requested through one client."""
    asked = adapters() | moving_adapters(question.moving)
    parts = await asyncio.gather(
        ask_warning_services(client, question),
        *(_ask(name, sources, client, question) for name, sources in asked.items()),
    )
    briefing = settle_warnings(join_briefings(parts, question.at), question.here)
    briefing = replace(briefing, observations=count_once(briefing.observations))
    if "current" in question.moving:
        from safety_check.sources.moving_water import on_tidal_water  # not for still water

        briefing = on_tidal_water(briefing)
    near = check_grid_points(_with_sea(briefing), question.here, question.unit)
    near = share_votes(lend_directions(near), question.hours)
    return check_elevations(near, question.elevation, question.unit)


async def _ask(name: str, sources: tuple[str, ...], client: Client, question: Question) -> Briefing:
    """Return the answer of one adapter; it is not called where none of its sources applies."""
    if any(covers(source, *question.here) for source in sources):
        return await load_adapter(name)(client, question)
    return Briefing(at=question.at, silences=tuple(map(not_covered, sources)))


def load_adapter(name: str) -> Adapter:
    """Return the function that the registry names as "module:function"."""
    module, _, function = name.partition(":")
    adapter: Adapter = getattr(import_module(f"safety_check.sources.{module}"), function)
    return adapter


def _with_sea(briefing: Briefing) -> Briefing:
    """Return a briefing whose first forecast also has the waves of the wave-only forecasts."""
    air = [forecast for forecast in briefing.forecasts if SPEED in forecast.quantities]
    seas = [forecast for forecast in briefing.forecasts if SPEED not in forecast.quantities]
    if not air or not seas:
        return replace(briefing, forecasts=tuple(air))
    first: Forecast = air[0]
    for sea in seas:
        first = add_sea(first, sea)
    origins = (sea.provenance for sea in seas)
    return replace(briefing, forecasts=(first, *air[1:]), others=(*briefing.others, *origins))

"""Daily air temperature of the months before and the days ahead, from Open-Meteo."""

from __future__ import annotations

import asyncio
from collections.abc import Iterable
from datetime import date, datetime, timedelta
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from safety_check.arrays import BoolArray
from safety_check.errors import DataError
from safety_check.model.water_estimate import DailyAir
from safety_check.model.weather import Provenance, SourceFailure
from safety_check.settings.lake_file import load_lake_file
from safety_check.settings.settings import Settings
from safety_check.sources.answers import believable
from safety_check.sources.grid_point import distance_to
from safety_check.sources.open_meteo.answer import REMEDY, Place, hours, numbers, read_answer
from safety_check.sources.open_meteo.variables import FORECAST, UNITS
from safety_check.sources.question import TROUBLE, failure_of
from safety_check.sources.sent_place import coordinates

if TYPE_CHECKING:
    from safety_check.sources.http.client import Client

ARCHIVE = "open_meteo_archive"
RECENT = "open_meteo_recent"
AIR = FORECAST["air_temperature"]


def archive_query(here: Place, first: date, last: date) -> dict[str, str]:
    """Return the query for past days."""
    return {**_place(ARCHIVE, here), "start_date": first.isoformat(), "end_date": last.isoformat()}


def recent_query(here: Place) -> dict[str, str]:
    """Return the query for the last days and the days ahead."""
    asked = load_lake_file().air
    days = {"past_days": str(asked.overlap), "forecast_days": str(asked.ahead)}
    return {**_place(RECENT, here), **days}


def _place(source: str, here: Place) -> dict[str, str]:
    return {
        **coordinates(source, *here),
        "hourly": AIR.name,
        "timeformat": "unixtime",
        "timezone": "GMT",
    }


def parse(body: bytes, provenance: Provenance, *, here: Place, today: date) -> DailyAir:
    """Return the mean of each day, UTC; NaN where too few of its hours are known.

    Raises
    ------
    DataError
        Where the answer can't be read, or is for another place.
    """
    trusted = load_lake_file().air
    answer = read_answer(body, provenance.source, here)
    clock = hours(answer, provenance.source)
    unit = UNITS[AIR.kind].get(str(answer.hourly_units.get(AIR.name)))
    if AIR.name not in answer.hourly or unit is None:
        raise DataError(
            f"{provenance.source}: no air temperature in a known unit"
            f" ({answer.hourly_units.get(AIR.name)!r}). {REMEDY}"
        )
    if answer.cell is None or distance_to(answer.cell, here) > trusted.farthest:
        raise DataError(
            f"{provenance.source}: the answer is for another place, or does not name its grid"
            f" point. {REMEDY}"
        )
    factor, offset = unit
    column = numbers(answer.hourly[AIR.name]) * factor + offset
    values = clock.lay(np.array([believable("air_temperature", value) for value in column]))
    day = clock.time.astype("datetime64[D]")
    days = np.arange(day[0], day[-1] + 1)
    number, known = (day - day[0]).astype(np.int64), np.isfinite(values)
    count = np.bincount(number[known], minlength=len(days))
    total = np.bincount(number[known], weights=values[known], minlength=len(days))
    mean = np.where(count >= trusted.hours_for_a_mean, total / np.maximum(count, 1), np.nan)
    ahead = np.maximum(0, (days - np.datetime64(today)).astype(np.int64)).astype(np.float64)
    return DailyAir(days, mean, ahead, (provenance,))


def missing_chunks(known: Iterable[date], today: date) -> list[tuple[date, date]]:
    """Return the spans of days that the archive has and the store has not.

    Examples
    --------
    >>> today = date(2026, 6, 12)
    >>> [(str(first), str(last)) for first, last in missing_chunks((), today)]
    [('2024-06-12', '2025-06-11'), ('2025-06-12', '2026-06-05')]
    """
    have, asked = set(known), load_lake_file().air
    since, until = today - timedelta(days=asked.back), today - timedelta(days=asked.late)
    wanted = [since + timedelta(days=number) for number in range((until - since).days + 1)]
    chunks = [wanted[start : start + asked.chunk] for start in range(0, len(wanted), asked.chunk)]
    lacking = ([day for day in chunk if day not in have] for chunk in chunks)
    return [(days[0], days[-1]) for days in lacking if days]


def gather_air(
    here: Place, at: datetime, known: Iterable[date], settings: Settings
) -> tuple[list[DailyAir], tuple[SourceFailure, ...]]:
    """Return the air temperatures that the store lacks, and what went wrong.

    Parameters
    ----------
    here, at
        Where, and the clock.
    known
        Days that are stored for good.
    settings
        Contact, addresses of the services, and the folder of the saved answers.
    """
    found: list[DailyAir] = []
    failures: list[SourceFailure] = []

    async def ask() -> None:
        from safety_check.sources.gather import saved_answers
        from safety_check.sources.http.client import open_client

        async with open_client(
            saved_answers(settings.folders),
            contact=settings.user.contact.email,
            addresses=settings.user.services,
            now=lambda: at,
        ) as client:
            await _ask_all(client, here, at.date(), known, found, failures)

    asyncio.run(ask())
    return found, tuple(failures)


async def _ask_all(
    client: Client,
    here: Place,
    today: date,
    known: Iterable[date],
    found: list[DailyAir],
    failures: list[SourceFailure],
) -> None:
    """Ask for each span in turn, the recent days last, so that newer values count."""
    read = partial(parse, here=here, today=today)
    asked = [
        client.read("/v1/archive", archive_query(here, first, last), read, source=ARCHIVE)
        for first, last in missing_chunks(known, today)
    ]
    asked.append(client.read("/v1/forecast", recent_query(here), read, source=RECENT))
    for source, answer in zip([ARCHIVE] * (len(asked) - 1) + [RECENT], asked, strict=True):
        try:
            found.append(await answer)
        except TROUBLE as trouble:
            failures.append(failure_of(source, trouble))


def lasting(air: DailyAir, today: date) -> BoolArray:
    """Return which days no later answer will change: those that the archive has."""
    until = np.datetime64(today - timedelta(days=load_lake_file().air.late))
    stays: BoolArray = air.day <= until
    return stays

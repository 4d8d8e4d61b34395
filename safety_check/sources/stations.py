"""Which station counts for a place: by distance and age, for each quantity."""

from __future__ import annotations

import math
from collections.abc import Awaitable, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cache

from pydantic import Field

from safety_check.errors import SafetyCheckError
from safety_check.model.place import is_on_earth
from safety_check.model.weather import Observation
from safety_check.settings import toml_file
from safety_check.settings.folders import shipped_file
from safety_check.settings.sourced import Sourced
from safety_check.settings.toml_file import Strict
from safety_check.sources.http.error_messages import NothingToReport


@dataclass(frozen=True)
class Station:
    """A place with instruments.

    Parameters
    ----------
    name, label
        Its name at the service, and its name for people.
    latitude, longitude
        WGS84. [deg]
    """

    name: str
    label: str
    latitude: float
    longitude: float

    @classmethod
    def of(cls, name: str, label: str, latitude: float, longitude: float) -> Station | None:
        """Return a station, or None where its place is not on the globe."""
        return cls(name, label, latitude, longitude) if is_on_earth(latitude, longitude) else None


class Reach(Sourced):
    """One [[reach]] of stations.toml: how far and how long a measurement counts."""

    quantities: list[str]
    distance: float = Field(gt=0, lt=60_000)
    age: float = Field(gt=0)


class StationsFile(Strict):
    """stations.toml."""

    reach: list[Reach]


@cache
def load_reaches() -> Mapping[str, Reach]:
    """Return the shipped reach of each quantity."""
    file = toml_file.read(shipped_file("stations.toml"), StationsFile)
    return {quantity: reach for reach in file.reach for quantity in reach.quantities}


def greatest_distance(quantities: Iterable[str]) -> float:
    """Return the greatest distance [m] at which any of these quantities counts."""
    return max(load_reaches()[quantity].distance for quantity in quantities)


def distance(latitude: float, longitude: float, station: Station) -> float:
    """Return how far [m] a station is from a place, along the ellipsoid."""
    from pyproj import Geod  # imported only where stations are asked

    return float(
        Geod(ellps="WGS84").inv(longitude, latitude, station.longitude, station.latitude)[2]
    )


def nearest(
    stations: Iterable[Station], latitude: float, longitude: float, within: float
) -> tuple[tuple[float, Station], ...]:
    """Return the stations within a distance [m], each with its own, nearest first."""
    apart = ((distance(latitude, longitude, station), station) for station in stations)
    return tuple(sorted((pair for pair in apart if pair[0] <= within), key=lambda pair: pair[0]))


def useful(
    observations: Iterable[Observation], at: datetime, reach: Mapping[str, Reach]
) -> tuple[Observation, ...]:
    """Return, for each quantity, the values of the nearest station that is in reach and fresh.

    All sensors of that station are used, because any of them may have the most cautious value.
    A quantity without a station in reach is absent: the wind of another lake does not count.
    """
    usable = [seen for seen in observations if _usable(seen, at, reach.get(seen.quantity))]
    least: dict[str, float] = {}
    for seen in usable:
        apart = _apart(seen)
        least[seen.quantity] = min(apart, least.get(seen.quantity, apart))
    return tuple(seen for seen in usable if _apart(seen) == least[seen.quantity])


async def all_that_answer(
    requests: Iterable[Awaitable[tuple[Observation, ...]]],
) -> tuple[Observation, ...]:
    """Return the observations of the stations that answer.

    Where none does, the first error is raised. A failure comes before a station that has nothing
    to report, because the failing station may be the one that matters.
    """
    import asyncio  # imported only where stations are asked

    results = await asyncio.gather(*requests, return_exceptions=True)
    answers = [result for result in results if not isinstance(result, BaseException)]
    troubles = [result for result in results if isinstance(result, BaseException)]
    for trouble in sorted(troubles, key=lambda error: isinstance(error, NothingToReport)):
        if not answers or not isinstance(trouble, SafetyCheckError):
            raise trouble
    return tuple(seen for answer in answers for seen in answer)


def _apart(observation: Observation) -> float:
    return math.inf if observation.distance is None else observation.distance


def _usable(observation: Observation, at: datetime, reach: Reach | None) -> bool:
    if reach is None:
        return False
    fresh = at - observation.time <= timedelta(seconds=reach.age)
    return fresh and _apart(observation) <= reach.distance

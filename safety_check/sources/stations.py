"""Which station counts as here: by distance and age, for each quantity."""

from __future__ import annotations

import math
from collections.abc import Awaitable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cache
from typing import Literal

from pydantic import Field

from safety_check.errors import SafetyCheckError
from safety_check.model.weather import Observation
from safety_check.settings import toml_file
from safety_check.settings.folders import shipped_file
from safety_check.settings.toml_file import Strict


@dataclass(frozen=True)
class Station:
    """A place that measures.

    Parameters
    ----------
    name, label
        What the service calls it, and what people call it.
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
        somewhere = abs(latitude) <= 90 and abs(longitude) <= 180
        return cls(name, label, latitude, longitude) if somewhere else None


class Reach(Strict):
    """One [[reach]] of stations.toml: how far and how long a measurement speaks."""

    quantities: list[str]
    distance: float = Field(gt=0, lt=60_000)
    age: float = Field(gt=0)
    basis: Literal["published", "common_practice", "judgement"]
    source: str
    since: date
    checked: date


class StationsFile(Strict):
    """stations.toml."""

    reach: list[Reach]


@cache
def load_reaches() -> Mapping[str, Reach]:
    """Return the shipped reach of each quantity."""
    file = toml_file.read(shipped_file("stations.toml"), StationsFile)
    return {quantity: reach for reach in file.reach for quantity in reach.quantities}


def greatest_distance(quantities: Iterable[str]) -> float:
    """Return the greatest distance [m] at which any of these quantities speaks."""
    return max(load_reaches()[each].distance for each in quantities)


def distance(latitude: float, longitude: float, station: Station) -> float:
    """Return how far [m] a station is from a place, along the ellipsoid."""
    from pyproj import Geod  # only where stations are asked

    return float(
        Geod(ellps="WGS84").inv(longitude, latitude, station.longitude, station.latitude)[2]
    )


def nearest(
    stations: Iterable[Station], latitude: float, longitude: float, within: float
) -> tuple[tuple[float, Station], ...]:
    """Return the stations within a distance [m], each with its own, nearest first."""
    apart = ((distance(latitude, longitude, each), each) for each in stations)
    return tuple(sorted((pair for pair in apart if pair[0] <= within), key=lambda pair: pair[0]))


def useful(
    observations: Iterable[Observation], at: datetime, reach: Mapping[str, Reach]
) -> tuple[Observation, ...]:
    """Return, for each quantity, what the nearest station says that is near and fresh enough.

    Several sensors of that one station all stay, for one of them may be the cautious one.
    A quantity that no station reaches is absent: the next lake's wind is not this one's.
    """
    heard = [each for each in observations if _speaks(each, at, reach.get(each.quantity))]
    least: dict[str, float] = {}
    for each in heard:
        apart = _apart(each)
        least[each.quantity] = min(apart, least.get(each.quantity, apart))
    return tuple(each for each in heard if _apart(each) == least[each.quantity])


async def answered(
    questions: Iterable[Awaitable[tuple[Observation, ...]]],
) -> tuple[Observation, ...]:
    """Return what the stations say that answered; raise the first trouble where none did."""
    import asyncio  # only where stations are asked

    results = await asyncio.gather(*questions, return_exceptions=True)
    said = [each for each in results if not isinstance(each, BaseException)]
    for trouble in (each for each in results if isinstance(each, BaseException)):
        if not said or not isinstance(trouble, SafetyCheckError):
            raise trouble
    return tuple(seen for each in said for seen in each)


def _apart(observation: Observation) -> float:
    return math.inf if observation.distance is None else observation.distance


def _speaks(observation: Observation, at: datetime, reach: Reach | None) -> bool:
    if reach is None:
        return False
    fresh = at - observation.time <= timedelta(seconds=reach.age)
    return fresh and _apart(observation) <= reach.distance

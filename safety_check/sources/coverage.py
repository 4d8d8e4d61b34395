"""Which service speaks for which place, and what counts as here."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from functools import cache

from pydantic import Field

from safety_check.settings import toml_file
from safety_check.settings.folders import shipped_file
from safety_check.settings.sourced import Basis
from safety_check.settings.toml_file import Strict


class Region(Strict):
    """One [[region]] of coverage.toml; degrees, west to east."""

    name: str
    services: list[str]
    south: float = Field(ge=-90, le=90)
    north: float = Field(ge=-90, le=90)
    west: float = Field(ge=-180, le=180)
    east: float = Field(ge=-180, le=180)
    source: str
    checked: date

    def holds(self, latitude: float, longitude: float) -> bool:
        """Return whether a place lies within."""
        longitude = (longitude + 180) % 360 - 180
        between = self.west <= longitude <= self.east
        if self.west > self.east:
            between = longitude >= self.west or longitude <= self.east
        return self.south <= latitude <= self.north and between


class Judged(Strict):
    """What every table says of itself."""

    basis: Basis
    source: str
    since: date
    checked: date


class Sea(Judged):
    """[sea]."""

    distance: float = Field(gt=0)


class OutOfService(Judged):
    """[station]."""

    out_of_service: float = Field(gt=0)


class Grid(Judged):
    """[grid]."""

    model: str
    lacks: list[str]


class CoverageFile(Strict):
    """coverage.toml."""

    region: list[Region]
    sea: Sea
    station: OutOfService
    grid: Grid


@cache
def _file() -> CoverageFile:
    return toml_file.read(shipped_file("coverage.toml"), CoverageFile)


def regions() -> tuple[Region, ...]:
    """Return every region and who speaks for it."""
    return tuple(_file().region)


def covers(service: str, latitude: float, longitude: float) -> bool:
    """Return whether a service may have something to say of a place.

    Examples
    --------
    >>> covers("nws", 44.9, -99.6), covers("nws", 59.9, 10.7)
    (True, False)
    >>> covers("nws", 52.9, 172.9), covers("nws", 52.9, -172.9)
    (True, True)
    """
    return any(service in each.services and each.holds(latitude, longitude) for each in regions())


def sea_distance() -> float:
    """Return how far a cell of a sea model may be to count as here [m]."""
    return _file().sea.distance


def out_of_service() -> timedelta:
    """Return for how long a silent station still counts as being here."""
    return timedelta(seconds=_file().station.out_of_service)


def lacks() -> Mapping[str, frozenset[str]]:
    """Return what the models that are not Open-Meteo's never give."""
    grid = _file().grid
    return {grid.model: frozenset(grid.lacks)}

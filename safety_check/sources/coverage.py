"""Which source has data for which place, and from what distance."""

from __future__ import annotations

from datetime import date, timedelta
from functools import cache
from typing import Annotated

from pydantic import Field

from safety_check.settings import toml_file
from safety_check.settings.countries import countries_near
from safety_check.settings.folders import shipped_file
from safety_check.settings.sourced import Sourced
from safety_check.settings.toml_file import Strict
from safety_check.sources.registry import COUNTRIES, load_sources
from safety_check.sources.sent_place import METRES_A_DEGREE
from safety_check.sources.stations import Station, distance
from safety_check.sources.warning_services.services import has_service, warns_for


class Region(Strict):
    """One [[region]] of coverage.toml; degrees, west to east."""

    name: str
    group: str
    south: float = Field(ge=-90, le=90)
    north: float = Field(ge=-90, le=90)
    west: float = Field(ge=-180, le=180)
    east: float = Field(ge=-180, le=180)
    source: str
    checked: date

    def holds(self, latitude: float, longitude: float) -> bool:
        """Return whether a place is inside."""
        longitude = (longitude + 180) % 360 - 180
        between = self.west <= longitude <= self.east
        if self.west > self.east:
            between = longitude >= self.west or longitude <= self.east
        return self.south <= latitude <= self.north and between


class Domestic(Strict):
    """[united_states]: sources that have nothing for any other country."""

    sources: list[str]
    countries: list[str] = Field(min_length=1)
    source: str
    checked: date

    def excludes(self, source: str, latitude: float, longitude: float) -> bool:
        """Return whether a place is near other countries only; false far out on the sea."""
        if source not in self.sources:
            return False
        near = countries_near(latitude, longitude)
        return bool(near) and set(near).isdisjoint(self.countries)


class Sea(Sourced):
    """[sea]."""

    distance: float = Field(gt=0)
    search: float = Field(gt=0)


class OutOfService(Sourced):
    """[station]."""

    out_of_service: float = Field(gt=0)


class StationList(Sourced):
    """A file with the places of stations; it says what each key means."""

    margin: float = Field(gt=0)
    recorded: date
    lacks: str
    places: list[Annotated[tuple[float, float], Field(strict=False)]] = Field(min_length=1)


class CoverageFile(Strict):
    """coverage.toml."""

    region: list[Region]
    united_states: Domestic
    sea: Sea
    station: OutOfService


WORLD = "world"  # the coverage of a source that is asked everywhere


@cache
def _file() -> CoverageFile:
    return toml_file.read(shipped_file("coverage.toml"), CoverageFile)


def regions() -> tuple[Region, ...]:
    """Return every region."""
    return tuple(_file().region)


def covers(source: str, latitude: float, longitude: float) -> bool:
    """Return whether a source may have data for a place.

    Examples
    --------
    >>> covers("nws_alerts", 44.9, -99.6), covers("nws_alerts", 59.9, 10.7)
    (True, False)
    >>> covers("nws_alerts", 52.9, 172.9), covers("nws_alerts", 52.9, -172.9)
    (True, True)
    >>> covers("nws_alerts", 43.63, -79.38), covers("ndbc", 43.63, -79.38)  # Toronto
    (False, True)
    >>> covers("open_meteo", 59.9, 10.7)
    True
    """
    group = load_sources()[source].covers
    if group == COUNTRIES:
        return warns_for(source, latitude, longitude)
    if _file().united_states.excludes(source, latitude, longitude):
        return False
    return group == WORLD or any(
        region.group == group and region.holds(latitude, longitude) for region in regions()
    )


def warnings_covered(latitude: float, longitude: float) -> bool:
    """Return whether any service issues official warnings for a place.

    Examples
    --------
    >>> warnings_covered(44.9, -99.6), warnings_covered(59.9, 10.7), warnings_covered(-33.9, 151.3)
    (True, True, False)
    """
    regional = any(
        covers(name, latitude, longitude)
        for name, source in load_sources().items()
        if "alerts" in source.provides and source.covers != COUNTRIES
    )
    return regional or has_service(latitude, longitude)


def sea_distance() -> float:
    """Return the greatest distance at which a cell of a sea model counts [m]."""
    return _file().sea.distance


def sea_search() -> float:
    """Return how far away the service may find a cell of the sea for a place [m]."""
    return _file().sea.search


def may_have_station(source: str, latitude: float, longitude: float) -> bool:
    """Return whether a source may have a station near a place, by its shipped list.

    A source without such a list may have one anywhere.

    Examples
    --------
    >>> may_have_station("ndbc", 47.6, -122.4), may_have_station("ndbc", 44.9, -99.6)
    (True, False)
    """
    file = load_sources()[source].station_list
    if not file:
        return True
    listed = load_station_list(file)
    band = listed.margin / METRES_A_DEGREE  # most places need no exact distance
    places = (
        Station("", "", *place) for place in listed.places if abs(place[0] - latitude) <= band
    )
    return any(distance(latitude, longitude, place) <= listed.margin for place in places)


@cache
def load_station_list(file: str) -> StationList:
    """Return a shipped list of stations."""
    return toml_file.read(shipped_file(file), StationList)


def out_of_service() -> timedelta:
    """Return how old a station's last value is when the station counts as out of service."""
    return timedelta(seconds=_file().station.out_of_service)

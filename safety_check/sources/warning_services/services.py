"""Who issues official warnings in which country: config/warning_services.toml."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from functools import cache
from typing import Any, Literal

from pydantic import Field

from safety_check.settings import toml_file
from safety_check.settings.countries import bounds_of, countries_near
from safety_check.settings.folders import shipped_file
from safety_check.settings.sourced import Sourced
from safety_check.settings.toml_file import Strict
from safety_check.sources.registry import COUNTRIES, Source

FILE = "warning_services.toml"
Place = tuple[float, float]  # latitude, longitude [deg]
Box = tuple[float, float, float, float]  # west, south, east, north [deg]
Has = Literal["yes", "no", "unknown"]


LEAST_AHEAD = 86_400.0
"""Every service warns at least so far ahead; a row that says less is refused. [s]"""


class WarningService(Source):
    """One [service.NAME] of warning_services.toml; the file says what each key means."""

    adapter: str = ""
    provides: list[str] = Field(default_factory=lambda: ["alerts"])
    covers: str = COUNTRIES
    countries: list[str] = Field(min_length=1)
    paths: list[str] = Field(min_length=1)
    style: str
    languages: list[str] = Field(min_length=1)
    sea: Has
    lakes: Has
    ahead: float = Field(ge=LEAST_AHEAD)
    link: str = Field(pattern=r"^https://\S+$")
    known: Literal["D", "C", "P", "M"]
    box: float = Field(default=0.0, ge=0)

    @property
    def bounds(self) -> Box:
        """West, south, east and north of its countries. [deg]."""
        return bounds_of(tuple(self.countries))

    @property
    def lacks_in_words(self) -> str:
        """What it does not warn of, or may not warn of, in words; empty where there is nothing."""
        has = {"the sea": self.sea, "lakes": self.lakes}
        no, unknown = (
            " or for ".join(water for water, state in has.items() if state == kind)
            for kind in ("no", "unknown")
        )
        parts = (
            f"it has no warnings of its own for {no}" if no else "",
            f"whether it has warnings for {unknown} is not known" if unknown else "",
        )
        return "; ".join(filter(None, parts))


class LinkOnly(Strict):
    """One [link_only.NAME]: a service that is linked to, and not read."""

    countries: list[str] = Field(min_length=1)
    title: str
    link: str = Field(pattern=r"^https://\S+$")
    because: str
    source: str
    checked: date


class Zones(Sourced):
    """[zones]."""

    tolerance: float = Field(gt=0)


class Lists(Sourced):
    """[lists]."""

    unchanged: float = Field(gt=0)


class WarningServicesFile(Strict):
    """warning_services.toml, with the keys of each family in the services that belong to it."""

    zones: Zones
    lists: Lists
    service: dict[str, WarningService]
    link_only: dict[str, LinkOnly]


@cache
def load_file() -> WarningServicesFile:
    """Return the shipped table of warning services."""
    tables = toml_file.load(shipped_file(FILE))
    families = tables.pop("family", {})
    services = {
        name: _with_family(row, families) for name, row in tables.get("service", {}).items()
    }
    return toml_file.validate({**tables, "service": services}, WarningServicesFile, FILE)


def _with_family(row: dict[str, Any], families: dict[str, dict[str, Any]]) -> dict[str, Any]:
    """Return a row with the keys of its family; a family that is not known stays an error."""
    family = row.get("family", "")
    if family not in families:
        return row
    own = {key: value for key, value in row.items() if key != "family"}
    return {**families[family], "service": family, **own}


def services_for(places: Iterable[Place]) -> tuple[str, ...]:
    """Return the names of the services that warn for any country near any of the places.

    Examples
    --------
    >>> services_for([(53.34, -6.20)])
    ('meteoalarm_ireland',)
    """
    countries = {country for place in places for country in countries_near(*place)}
    return tuple(
        name for name, row in load_file().service.items() if countries.intersection(row.countries)
    )


def warns_for(name: str, latitude: float, longitude: float) -> bool:
    """Return whether a service warns for a country near a place."""
    return not set(countries_near(latitude, longitude)).isdisjoint(
        load_file().service[name].countries
    )


def has_service(latitude: float, longitude: float) -> bool:
    """Return whether a service warns for the country of a place.

    A neighbour's service is asked too, but it does not warn on this side of the border.
    """
    nearest = countries_near(latitude, longitude)[:1]
    return any(
        country in row.countries for row in load_file().service.values() for country in nearest
    )


def issued_ahead(title: str, default: float) -> float:
    """Return how far ahead the service of a title warns [s]; the default where none has it."""
    rows = load_file().service.values()
    return next((row.ahead for row in rows if row.title == title), default)


def link_only(latitude: float, longitude: float) -> LinkOnly | None:
    """Return the service of a place that is linked to and not read; None where there is none."""
    near = countries_near(latitude, longitude)
    rows = load_file().link_only.values()
    return next((row for row in rows if not set(near).isdisjoint(row.countries)), None)

"""The registry of sources and weather models: config/sources.toml and config/models.toml."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from functools import cache
from typing import Literal

from pydantic import Field, model_validator

from safety_check.errors import ConfigError
from safety_check.settings import toml_file
from safety_check.settings.folders import shipped_file
from safety_check.settings.sourced import Sourced
from safety_check.settings.toml_file import Strict

Addresses = Mapping[str, str]
COUNTRIES = "countries"  # the coverage of a service of official warnings, by its countries


class Box(Strict):
    """A part of the Earth that does not cross the antimeridian; degrees."""

    south: float = Field(ge=-90, le=90)
    north: float = Field(ge=-90, le=90)
    west: float = Field(ge=-180, le=180)
    east: float = Field(ge=-180, le=180)

    def holds(self, latitude: float, longitude: float) -> bool:
        """Return whether a place is inside."""
        return self.south <= latitude <= self.north and self.west <= longitude <= self.east


class OnlyWithin(Box):
    """[[source.NAME.model.only_within]]: where the model has a quantity."""

    quantity: str


class OwnModel(Sourced):
    """[source.NAME.model]: the model of a service that has a forecast of its own."""

    name: str
    spacing: float = Field(gt=0)
    lacks: list[str]
    host: str = ""
    assured: float = Field(default=0, ge=0)
    only_within: list[OnlyWithin] = Field(default_factory=list)


class Source(Strict):
    """One service of sources.toml; the file says what each key means."""

    title: str
    base_url: str = Field(pattern=r"^https?://[^/?#@\s]+(/[^?#\s]*[^/?#\s])?$")
    docs: str
    format: Literal["json", "text", "xml"]
    content_type: bool
    adapter: str = Field(pattern=r"^([a-z_.]+:[a-z_]+)?$")
    provides: list[str]
    covers: str
    ttl: float = Field(ge=0)
    max_age: float = Field(gt=0)
    attribution: str
    terms: str
    source: str
    checked: date
    service: str = ""
    station_list: str = ""
    empty_status: int | None = None
    contact: bool = False
    expires: bool = False
    pause: float = Field(default=0.0, ge=0)
    largest: int | None = Field(None, gt=0)
    decimals: int | None = Field(None, ge=0, le=4)
    decimals_reason: str = ""
    model: OwnModel | None = None
    moving: Literal["", "tide", "current", "river"] = ""
    lacks: list[str] = Field(default_factory=list)

    @model_validator(mode="after")
    def _explained(self) -> Source:
        if (self.decimals is None) == bool(self.decimals_reason):
            raise ValueError("decimals and decimals_reason need each other: give both or neither")
        return self


class SourcesFile(Strict):
    """sources.toml."""

    source: dict[str, Source]


class WeatherModel(Strict):
    """One weather model of models.toml; the file says what each key means."""

    name: str
    older: list[str]
    label: str
    horizon: float = Field(gt=0)
    members: int = Field(ge=1)
    cycle: float = Field(gt=0)
    available_after: float = Field(gt=0)
    spacing: float = Field(gt=0)
    lacks: list[str]
    votes: int = Field(default=1, ge=1)
    host: str = ""
    assured: float = Field(default=0, ge=0)
    source: str
    checked: date


class GridPoint(Sourced):
    """[grid_point] of models.toml: how far from the launch a grid point may be."""

    factor: float = Field(gt=0)
    unlisted_spacing: float = Field(gt=0)
    neighbour_search: float = Field(gt=0)


class Elevation(Sourced):
    """[elevation] of models.toml: how far from the water's height a temperature may be."""

    lapse_rate: float = Field(gt=0)
    temperature_error: float = Field(gt=0)


class Sharing(Sourced):
    """[sharing] of models.toml: from how near launches of one water share an answer."""

    open_meteo: float = Field(ge=0)
    open_meteo_ensemble: float = Field(ge=0)
    open_meteo_marine: float = Field(ge=0)
    open_meteo_regional: float = Field(ge=0)


class Regional(Box, Sourced):
    """[[regional]] of models.toml: where a regional model is asked."""

    name: str


class ModelsFile(Strict):
    """models.toml."""

    default_forecast: list[str]
    default_ensemble: list[str]
    other_names: list[str]
    grid_point: GridPoint
    elevation: Elevation
    sharing: Sharing
    most_regional: int = Field(ge=0)
    regional: list[Regional]
    model: list[WeatherModel]


@cache
def listed_sources() -> dict[str, Source]:
    """Return the sources of sources.toml by name."""
    return toml_file.read(shipped_file("sources.toml"), SourcesFile).source


@cache
def _with_warning_services() -> dict[str, Source]:
    from safety_check.sources.warning_services.services import load_file

    return {**listed_sources(), **load_file().service}


@cache
def _models() -> ModelsFile:
    return toml_file.read(shipped_file("models.toml"), ModelsFile)


class Sources(Mapping[str, Source]):
    """Every source by name; the services of official warnings are read when one is wanted."""

    def __getitem__(self, name: str) -> Source:
        known = listed_sources()
        return known[name] if name in known else _with_warning_services()[name]

    def __iter__(self) -> Iterator[str]:
        return iter(_with_warning_services())

    def __len__(self) -> int:
        return len(_with_warning_services())


def load_sources(addresses: Addresses | None = None) -> Mapping[str, Source]:
    """Return every source by name, the services of official warnings included.

    Parameters
    ----------
    addresses
        The user's own base URLs, by the name of a source or of a service that has several.

    Raises
    ------
    ConfigError
        Where an address is for an unknown source, or is not a plain http address.
    """
    if not addresses:
        return Sources()
    known, own = _with_warning_services(), dict(addresses)
    unknown = own.keys() - known.keys() - {source.service for source in known.values()}
    if unknown:
        raise ConfigError(
            f"settings.toml, table services, key {min(unknown)}: there is no such service, so the"
            f" key has no effect. The services are {', '.join(known)}."
        )
    return {name: _moved(name, source, own) for name, source in known.items()}


def _moved(name: str, source: Source, own: Addresses) -> Source:
    address = own.get(name, own.get(source.service))
    if address is None:
        return source
    tables = {**source.model_dump(), "base_url": address.rstrip("/")}
    return toml_file.validate(tables, type(source), f"settings.toml, table services, {name}")


def adapters() -> dict[str, tuple[str, ...]]:
    """Return every adapter that a check calls, with the names of the sources that it asks."""
    return _adapters(frozenset({""}))


def moving_adapters(kinds: frozenset[str]) -> dict[str, tuple[str, ...]]:
    """Return the adapters that a check calls only for water that moves so."""
    return _adapters(kinds) if kinds else {}


def _adapters(kinds: frozenset[str]) -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for name, source in listed_sources().items():
        if source.adapter and source.moving in kinds:
            found[source.adapter] = (*found.get(source.adapter, ()), name)
    return found


@cache
def load_models() -> dict[str, WeatherModel]:
    """Return every weather model that is requested, by name."""
    return {model.name: model for model in _models().model}


def default_forecast() -> tuple[str, ...]:
    """Return the models requested for one forecast each."""
    return tuple(_models().default_forecast)


def regional_areas() -> tuple[tuple[Regional, ...], int]:
    """Return where each regional model is asked, and how many at most for one place."""
    return tuple(_models().regional), _models().most_regional


def default_ensemble() -> tuple[str, ...]:
    """Return the models requested for many forecasts each."""
    return tuple(_models().default_ensemble)


@cache
def spellings(asked: tuple[str, ...] = ()) -> dict[str, str]:
    """Return every spelling of a model's name, those requested included, with our name of it."""
    own = {old: model.name for model in _models().model for old in (model.name, *model.older)}
    return {name: name for name in (*asked, *_models().other_names)} | own


@cache
def lacks() -> dict[str, frozenset[str]]:
    """Return the quantities that each model does not have."""
    known = {name: frozenset(model.lacks) for name, model in load_models().items()}
    own = (source.model for source in listed_sources().values() if source.model)
    return known | {model.name: frozenset(model.lacks) for model in own}


@cache
def service_lacks() -> dict[str, frozenset[str]]:
    """Return by a service's title the quantities that none of its models gives."""
    return {source.title: frozenset(source.lacks) for source in listed_sources().values()}


def votes() -> dict[str, int]:
    """Return the models that do not have one vote in the odds, and how many they have."""
    return {model.name: model.votes for model in _models().model if model.votes != 1}


def sharing_distance(source: str) -> float:
    """Return from how near launches of one water share an answer of a source [m]."""
    return float(getattr(_models().sharing, source))


@cache
def greatest_grid_distance(model: str) -> float:
    """Return how far from the launch a model's grid point may be [m]."""
    rule = _models().grid_point
    models = [source.model for source in listed_sources().values()]
    spacings = {own.name: own.spacing for own in models if own}
    spacings |= {known.name: known.spacing for known in _models().model}
    return rule.factor * spacings.get(model, rule.unlisted_spacing)


def neighbour_search() -> float:
    """Return how far around a place the service searches for a cell of land or sea [m]."""
    return _models().grid_point.neighbour_search


def greatest_height_difference() -> float:
    """Return how far in height from the water an air temperature may be [m]."""
    rule = _models().elevation
    return rule.temperature_error / rule.lapse_rate


def label(model: str) -> str:
    """Return a model's name for people.

    Examples
    --------
    >>> label("dwd_icon_seamless"), label("not_listed")
    ('German ICON', 'not_listed')
    """
    known = load_models().get(model)
    return known.label if known else model

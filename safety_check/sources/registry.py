"""The services and weather models that are known: config/sources.toml and config/models.toml."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from functools import cache
from typing import Literal

from pydantic import Field

from safety_check.errors import ConfigError
from safety_check.settings import toml_file
from safety_check.settings.folders import shipped_file
from safety_check.settings.toml_file import Strict

Addresses = Mapping[str, str]


class Source(Strict):
    """One service of sources.toml; the file says what each key means."""

    title: str
    base_url: str = Field(pattern=r"^https?://[^/?#@\s]+(/[^?#\s]*[^/?#\s])?$")
    docs: str
    format: Literal["json", "text"]
    content_type: bool
    ttl: float = Field(ge=0)
    max_age: float = Field(gt=0)
    attribution: str
    terms: str
    source: str
    checked: date
    service: str = ""


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
    lacks: list[str]
    source: str
    checked: date


class ModelsFile(Strict):
    """models.toml."""

    default_forecast: list[str]
    default_ensemble: list[str]
    other_names: list[str]
    model: list[WeatherModel]


@cache
def _sources() -> dict[str, Source]:
    return toml_file.read(shipped_file("sources.toml"), SourcesFile).source


@cache
def _models() -> ModelsFile:
    return toml_file.read(shipped_file("models.toml"), ModelsFile)


def load_sources(addresses: Addresses | None = None) -> dict[str, Source]:
    """Return every service by name.

    Parameters
    ----------
    addresses
        The user's own base URLs, by the name of a source or of a service that has several.

    Raises
    ------
    ConfigError
        Where an address is for no known source, or is no plain http address.
    """
    known = _sources()
    own = dict(addresses or {})
    unknown = own.keys() - known.keys() - {each.service for each in known.values()}
    if unknown:
        raise ConfigError(
            f"settings.toml, table services, key {min(unknown)}: no such service, so it would"
            f" change nothing. The services are {', '.join(known)}."
        )
    return {name: _moved(name, each, own) for name, each in known.items()}


def _moved(name: str, source: Source, own: Addresses) -> Source:
    address = own.get(name, own.get(source.service))
    if address is None:
        return source
    tables = {**source.model_dump(), "base_url": address.rstrip("/")}
    return toml_file.validate(tables, Source, f"settings.toml, table services, {name}")


def greatest_age() -> dict[str, float]:
    """Return how old what a source said may be, by the source's title, in seconds."""
    return {each.title: each.max_age for each in _sources().values()}


@cache
def load_models() -> dict[str, WeatherModel]:
    """Return every weather model that is asked, by name."""
    return {each.name: each for each in _models().model}


def default_forecast() -> tuple[str, ...]:
    """Return the models asked for one forecast each."""
    return tuple(_models().default_forecast)


def default_ensemble() -> tuple[str, ...]:
    """Return the models asked for many."""
    return tuple(_models().default_ensemble)


@cache
def spellings(asked: tuple[str, ...] = ()) -> dict[str, str]:
    """Return every spelling of a model's name, those asked included, and our name of it."""
    own = {old: each.name for each in _models().model for old in (each.name, *each.older)}
    return {name: name for name in (*asked, *_models().other_names)} | own


@cache
def lacks() -> dict[str, frozenset[str]]:
    """Return what each model never gives."""
    return {name: frozenset(each.lacks) for name, each in load_models().items()}


def label(model: str) -> str:
    """Return a model's name for people.

    Examples
    --------
    >>> label("dwd_icon_seamless"), label("jma_msm")
    ('German ICON', 'jma_msm')
    """
    known = load_models().get(model)
    return known.label if known else model

"""Where a launch may be, from the shipped config."""

from __future__ import annotations

from functools import cache

from pydantic import Field

from safety_check.settings import toml_file
from safety_check.settings.folders import shipped_file
from safety_check.settings.sourced import Sourced
from safety_check.settings.toml_file import Strict


class ShoreEntry(Sourced):
    """[shore] of launches.toml: how far from the shoreline a launch may be [m]."""

    within: float = Field(gt=0)


class SeaEntry(Sourced):
    """[sea] of launches.toml: where a water counts as tidal until someone says what it is [m]."""

    within: float = Field(gt=0)
    highest: float = Field(gt=0)


class LaunchesFile(Strict):
    """launches.toml."""

    shore: ShoreEntry
    sea: SeaEntry


@cache
def load_greatest_gap() -> float:
    """Return how far from the shoreline a launch may be, on either side. [m]."""
    return _file().shore.within


@cache
def load_sea() -> SeaEntry:
    """Return where a water counts as tidal until someone says what it is."""
    return _file().sea


def _file() -> LaunchesFile:
    return toml_file.read(shipped_file("launches.toml"), LaunchesFile)

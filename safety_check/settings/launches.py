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


class LaunchesFile(Strict):
    """launches.toml."""

    shore: ShoreEntry


@cache
def load_greatest_gap() -> float:
    """Return how far from the shoreline a launch may be, on either side. [m]."""
    return toml_file.read(shipped_file("launches.toml"), LaunchesFile).shore.within

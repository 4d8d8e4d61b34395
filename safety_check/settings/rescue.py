"""Rescue of a person alone in the water, from the shipped config."""

from __future__ import annotations

from functools import cache

from pydantic import Field

from safety_check.settings import toml_file
from safety_check.settings.folders import shipped_file
from safety_check.settings.sourced import Sourced
from safety_check.settings.toml_file import Strict


class SwimEntry(Sourced):
    """[swim] of rescue.toml: the speed of a swimmer [m s⁻¹]."""

    speed: float = Field(gt=0)


class HelpEntry(Sourced):
    """[help] of rescue.toml: how long after a call help arrives [s]."""

    arrives_after: float = Field(gt=0)


class SelfRescueEntry(Sourced):
    """[self_rescue] of rescue.toml: how much practice lengthens the time one lasts [1]."""

    lengthens: float = Field(ge=1)


class LastsEntry(Sourced):
    """[lasts] of rescue.toml: time until exhaustion [s] by the water's temperature [K]."""

    water: list[float]
    time: list[float]


class WearingEntry(Sourced):
    """[wearing] of rescue.toml: how much clothing lengthens that time [1]."""

    none: float = Field(ge=1)
    wetsuit: float = Field(ge=1)
    drysuit: float = Field(ge=1)


class RescueTable(Strict):
    """rescue.toml."""

    swim: SwimEntry
    help: HelpEntry
    self_rescue: SelfRescueEntry
    lasts: LastsEntry
    wearing: WearingEntry


@cache
def load_rescue_table() -> RescueTable:
    """Return how long a person alone in the water lasts, and how long until ashore or helped."""
    return toml_file.read(shipped_file("rescue.toml"), RescueTable)

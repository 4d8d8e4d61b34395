"""How long and how far items count."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from safety_check.conditions.water_memory import WaterMemoryTrust


@dataclass(frozen=True)
class ModelRuns:
    """When a model runs.

    Parameters
    ----------
    label
        Its name for people.
    cycle
        From the start of one run to that of the next, counted from 00 UTC. [s]
    available_after
        From the start of a run until it can be requested. [s]
    """

    label: str
    cycle: float
    available_after: float


@dataclass(frozen=True)
class MissedTrust:
    """When an observation shows that the forecasts are wrong, and what that means.

    Parameters
    ----------
    spread
        The share of outcomes that the stated spread of the forecasts holds. [1]
    floor
        Wind and gusts → how far above the median an observation must be at least. [m s⁻¹]
    remembered_for
        How long an observation is compared with the forecasts. [s]
    fades_over
        How long its excess is added to the hours after it. [s]
    """

    spread: float
    floor: Mapping[str, float]
    remembered_for: float
    fades_over: float


@dataclass(frozen=True)
class Trust:
    """How long and how far items count; from config.

    Parameters
    ----------
    greatest_age
        Source → how old its forecast may be. [s]
    file_age
        The same for a forecast read from a file that the user named. [s]
    lacks
        Model → CF names that it never gives.
    service_lacks
        Source → CF names that none of its models gives.
    wind_distance, wind_age, wind_fades_over
        How far and how old an observed wind counts, and how long its excess lasts. [m, s, s]
    water_distance, water_age
        How far and how old an observed water temperature counts. [m, s]
    water_memory
        How an older one may be used instead.
    compares_over
        For how long an earlier check is compared with a new one. [s]
    warnings_ahead
        How far ahead the service of a title issues official warnings. [s]
    warnings_least_ahead
        How far ahead every service issues them at least. [s]
    missed
        When an observation shows that the forecasts are wrong.
    runs
        Model → when it runs, where that is known.
    votes
        Model → how many votes it has in the odds, where these are not one.
    """

    greatest_age: Mapping[str, float]
    file_age: float
    lacks: Mapping[str, frozenset[str]]
    service_lacks: Mapping[str, frozenset[str]]
    wind_distance: float
    wind_age: float
    wind_fades_over: float
    direction_distance: float
    wave_distance: float
    wave_age: float
    water_distance: float
    water_age: float
    water_memory: WaterMemoryTrust
    compares_over: float
    warnings_ahead: Callable[[str], float]
    warnings_least_ahead: float
    missed: MissedTrust
    runs: Mapping[str, ModelRuns]
    votes: Mapping[str, int]

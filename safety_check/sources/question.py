"""The question that every source is asked for one trip, and the parts of the answer."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from safety_check.arrays import TimeArray
from safety_check.errors import DataError, SafetyCheckError, SourceError
from safety_check.model.moving_water import MovingWater, join_moving_water
from safety_check.model.weather import (
    Alert,
    Briefing,
    Forecast,
    Observation,
    Provenance,
    SourceFailure,
)
from safety_check.sources.registry import load_sources

if TYPE_CHECKING:
    from safety_check.sources.http.recording_client import RecordingClient

Place = tuple[float, float]  # latitude, longitude [deg]
TROUBLE = (SourceError, DataError)
ALERTS = ("alerts",)
WIND = ("wind_speed", "wind_speed_of_gust", "wind_from_direction")

SPEED, TEMPERATURE = "wind_speed", "water_temperature"
WAVES = "sea_surface_wave_significant_height"


@dataclass(frozen=True)
class Question:
    """What a trip asks of every source.

    Parameters
    ----------
    here
        The launch.
    places
        Where alerts are requested: the launch and the farthest places that the trip may reach.
    hours : array (hour,)
        Every whole hour that the trip touches, that of its end included, UTC.
    wanted
        The observed quantities that the rules weigh on this trip.
    at
        The time of the check.
    unit
        The unit in which the user reads distances.
    elevation
        Height of the water above sea level, as the user declares it [m]; None where not declared.
    moving
        What is asked of water that moves: "tide", "current" and "river"; empty for still water,
        for which none of their services is asked.
    launches
        The launches of the water, in their order: those near each other share answers.
    reach
        How far from the launch, in a straight line, the trip may be. [m]
    """

    here: Place
    places: tuple[Place, ...]
    hours: TimeArray
    wanted: frozenset[str]
    at: datetime
    unit: str
    elevation: float | None = None
    moving: frozenset[str] = frozenset()
    launches: tuple[Place, ...] = ()
    reach: float = 0.0


def title(source: str) -> str:
    """Return the name of a source for people."""
    return load_sources()[source].title


def provides(source: str) -> tuple[str, ...]:
    """Return the quantities that are unknown when a source fails."""
    return tuple(load_sources()[source].provides)


def max_age(source: str) -> timedelta:
    """Return the greatest useful age of a source's answer."""
    return timedelta(seconds=load_sources()[source].max_age)


def failure_of(
    source: str,
    trouble: SafetyCheckError,
    wanted: tuple[str, ...] | None = None,
    *,
    applies: bool = True,
) -> SourceFailure:
    """Return the failure that an error causes; its reason does not repeat the source's title.

    Parameters
    ----------
    source
        Its name in the registry.
    trouble
        The error.
    wanted
        The quantities that are unknown now; by default all that the source provides.
    applies
        False where nothing is missing on this trip.
    """
    reason = str(trouble).removeprefix(title(source)).lstrip(": ")
    reason = reason[:1].upper() + reason[1:]
    return SourceFailure(title(source), reason, wanted or provides(source), applies)


def not_covered(source: str) -> SourceFailure:
    """Return the entry for a source that does not cover a place."""
    reason = "It does not cover this place."
    return SourceFailure(title(source), reason, provides(source), applies=False)


def saved_answer_notes(
    recording: RecordingClient, source: str, wanted: tuple[str, ...] | None = None
) -> tuple[SourceFailure, ...]:
    """Return a note for each error where a saved answer was used instead: nothing is missing."""
    return tuple(
        SourceFailure(
            failure.source,
            f"{failure.reason.split('. ')[0]}. Using the last saved answer; its age is shown.",
            failure.wanted,
            applies=False,
        )
        for failure in (failure_of(source, trouble, wanted) for trouble in recording.covered)
    )


def join_briefings(parts: Iterable[Briefing], at: datetime) -> Briefing:
    """Return one briefing from its parts; equal failures are listed once."""
    forecasts: list[Forecast] = []
    observations: list[Observation] = []
    alerts: list[Alert] = []
    failures: list[SourceFailure] = []
    others: list[Provenance] = []
    warnings_read: list[Provenance] = []
    moving: list[MovingWater] = []
    for part in parts:
        forecasts += part.forecasts
        observations += part.observations
        alerts += part.alerts
        failures += part.silences
        others += part.others
        warnings_read += part.warnings_read
        moving += [part.moving] if part.moving is not None else []
    return Briefing(
        at=at,
        forecasts=tuple(forecasts),
        observations=tuple(observations),
        alerts=tuple(alerts),
        silences=tuple(dict.fromkeys(failures)),
        others=tuple(dict.fromkeys(others)),
        warnings_read=tuple(dict.fromkeys(warnings_read)),
        moving=join_moving_water(moving),
    )

"""What every question of one briefing has in common: parts of it, and silences in words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from safety_check.arrays import TimeArray
from safety_check.errors import DataError, SafetyCheckError, SourceError
from safety_check.model.weather import (
    Alert,
    Briefing,
    Forecast,
    Observation,
    Provenance,
    SourceFailure,
)
from safety_check.sources import registry
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
        Where alerts are asked for: the launch and the ends of all that the trip may reach.
    hours : array (hour,)
        Every whole hour that the trip touches, that of its end included, UTC.
    wanted
        What an observation may tell that the rules weigh on this trip.
    at
        The clock of the check.
    unit
        In which the user reads distances.
    """

    here: Place
    places: tuple[Place, ...]
    hours: TimeArray
    wanted: frozenset[str]
    at: datetime
    unit: str


def title(source: str) -> str:
    """Return a service's name for people."""
    return registry.load_sources()[source].title


def greatest_age(source: str) -> timedelta:
    """Return how old what a service said may be."""
    return timedelta(seconds=registry.load_sources()[source].max_age)


def failure_of(
    source: str, trouble: SafetyCheckError, wanted: tuple[str, ...], *, applies: bool = True
) -> SourceFailure:
    """Return the silence that a trouble leaves, its reason without the service's own name."""
    who = title(source)
    reason = str(trouble).removeprefix(who).lstrip(": ")
    return SourceFailure(who, reason[:1].upper() + reason[1:], wanted, applies)


def not_covered(source: str, wanted: tuple[str, ...]) -> SourceFailure:
    """Return the silence of a service that does not cover a place."""
    return SourceFailure(title(source), "It does not cover this place.", wanted, applies=False)


def stand_in_notes(
    heard: RecordingClient, source: str, wanted: tuple[str, ...]
) -> tuple[SourceFailure, ...]:
    """Return a note for each trouble that a saved answer covers: nothing is missed by it."""
    notes = (failure_of(source, each, wanted, applies=False) for each in heard.covered)
    last = "The last answer stands in, with its age."
    return tuple(
        SourceFailure(
            each.source, f"{each.reason.split('. ')[0]}. {last}", each.wanted, each.applies
        )
        for each in notes
    )


def join_briefings(parts: Iterable[Briefing], at: datetime) -> Briefing:
    """Return one briefing from its parts; what is silent for one reason is said once."""
    forecasts: list[Forecast] = []
    observations: list[Observation] = []
    alerts: list[Alert] = []
    silences: list[SourceFailure] = []
    others: list[Provenance] = []
    for each in parts:
        forecasts += each.forecasts
        observations += each.observations
        alerts += each.alerts
        silences += each.silences
        others += each.others
    return Briefing(
        at=at,
        forecasts=tuple(forecasts),
        observations=tuple(observations),
        alerts=tuple(alerts),
        silences=tuple(dict.fromkeys(silences)),
        others=tuple(dict.fromkeys(others)),
    )

"""Forecasts, observations and alerts, each with its provenance."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from safety_check.arrays import FloatArray, TimeArray
from safety_check.model.moving_water import MovingWater
from safety_check.model.provenance import Provenance

__all__ = ["Alert", "Briefing", "Forecast", "Observation", "Provenance", "SourceFailure"]

OWN_EYES = "your own eyes"
OWN_WORD = "your own word on official warnings"
OWN_ARRAYS = "a program's own arrays"


@dataclass(frozen=True)
class Forecast:
    """Hours ahead as one service forecasts them: one or several members.

    Parameters
    ----------
    time : array (hour,)
        Whole hours UTC, ascending, each once. [datetime64[s]]
    models
        For each member, the model that it belongs to; a model counts once however
        many members it has.
    members
        For each member, which run of its model ("" for the only one).
    quantities
        CF name → array (member, hour) in SI units; NaN where it is not known.
        `wind_speed`, `wind_from_direction`, `air_temperature` … hold at the instant;
        `wind_speed_of_gust` and `precipitation_amount` describe the hour that ends then.
    provenance
        Where it comes from.
    cell
        Latitude and longitude of the grid cell that answered [deg], where the service gives it.
    absent
        Models that were asked and gave nothing.
    not_made
        Quantities that the service says it does not make for this place.
    elevation
        Height above sea level for which the air temperature holds [m]; None where it is not given.
    """

    time: TimeArray
    models: tuple[str, ...]
    members: tuple[str, ...]
    quantities: Mapping[str, FloatArray]
    provenance: Provenance
    cell: tuple[float, float] | None = None
    absent: tuple[str, ...] = ()
    not_made: tuple[str, ...] = ()
    elevation: float | None = None


@dataclass(frozen=True)
class Observation:
    """What a station, a buoy or the user's own eyes report.

    Parameters
    ----------
    quantity
        CF name.
    value
        In SI units.
    time
        When it was observed.
    station
        Which station.
    distance
        From the launch [m]; None where the place is not known.
    provenance
        Where it comes from.
    flagged
        True where the station's own quality check casts doubt on it.
    sign
        The sign, such as "whitecaps", where the value is only the least that the sign means;
        empty where the value was read or measured.
    """

    quantity: str
    value: float
    time: datetime
    station: str
    distance: float | None
    provenance: Provenance
    flagged: bool = False
    sign: str = ""


@dataclass(frozen=True)
class Alert:
    """An official warning for the place.

    Parameters
    ----------
    event
        The official name, as `config/alerts.toml` lists it for the United States.
    severity, urgency, certainty
        The service's own words (CAP 1.2). The severity is the higher of its word and its colour.
    headline, description, instruction
        The service's own text.
    onset, ends
        When the hazard holds; None where it is not given.
    area
        The area in the service's words.
    provenance
        Where it comes from.
    hazard
        Its class of `config/alert_classes.toml`; empty for a service whose events are listed by
        their names.
    language
        The language of its text; empty where the service does not say.
    link
        Where the service shows it; empty where it does not say.
    sent
        When the service sent it; None where it does not say.
    """

    event: str
    severity: str
    urgency: str
    certainty: str
    headline: str
    description: str
    instruction: str
    onset: datetime | None
    ends: datetime | None
    area: str
    provenance: Provenance
    hazard: str = ""
    language: str = ""
    link: str = ""
    sent: datetime | None = None


@dataclass(frozen=True)
class SourceFailure:
    """A source that was asked and did not answer, or could not be asked.

    Parameters
    ----------
    source
        Which source did not answer.
    reason
        One sentence for the reader.
    wanted
        What its failure leaves unknown: CF names, or "alerts".
    applies
        False where the source does not cover this place or time at all, or where the user has
        read the warnings instead.
    """

    source: str
    reason: str
    wanted: tuple[str, ...]
    applies: bool = True


@dataclass(frozen=True)
class Briefing:
    """All that the sources answered for a plan.

    Parameters
    ----------
    at
        The time of the check: ages are counted to it.
    forecasts, observations, alerts
        The data received.
    silences
        The sources that did not answer, and why.
    others
        The origin of other answers: of a service without alerts now, or of a sea that was added
        to a forecast.
    warnings_read
        Who answered about the official warnings of this place, and when: a service that covers
        it, or the user (`OWN_WORD`). Empty where nobody did; then it is not known whether there
        is a warning.
    moving
        Tide, current and river; None for still water, where they were not asked for.
    """

    at: datetime
    forecasts: tuple[Forecast, ...] = ()
    observations: tuple[Observation, ...] = ()
    alerts: tuple[Alert, ...] = ()
    silences: tuple[SourceFailure, ...] = ()
    others: tuple[Provenance, ...] = ()
    warnings_read: tuple[Provenance, ...] = ()
    moving: MovingWater | None = None

"""What changed between two checks of a plan."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from safety_check.model.verdict import Finding, Severity, Verdict


@dataclass(frozen=True)
class SeverityChange:
    """A run of hours whose verdict changed in one way."""

    start: datetime
    end: datetime
    before: Severity
    after: Severity


@dataclass(frozen=True)
class HazardChange:
    """A hazard whose verdict changed.

    Parameters
    ----------
    before
        None where it was not weighed then.
    after
        The verdict on it now.
    """

    before: Severity | None
    after: Finding


@dataclass(frozen=True)
class ForecastChange:
    """Where the high end of the forecasts of a quantity changed most. SI."""

    quantity: str
    time: datetime
    before: float
    after: float


@dataclass(frozen=True)
class ObservedDifference:
    """An observed value beside the median forecast for that hour; NaN without one. SI.

    With a `sign`, such as "whitecaps", the value is only the least that the sign means.
    """

    quantity: str
    value: float
    forecast: float
    sign: str = ""


@dataclass(frozen=True)
class Changes:
    """What changed since an earlier check.

    Parameters
    ----------
    since
        The time of that check.
    before, alone, after
        Its verdict; the verdict of the newer forecasts alone; the one with the observations.
    turns, hazards, moves
        Hours, hazards and forecasts that changed; those that got worse come first.
    sights
        Observations that differ from the forecasts.
    same_forecast
        True where nothing newer was received; None where there is no forecast at all.
    forecast_age
        Age of the oldest forecast; None without one.
    warned, ended
        Headlines of official warnings that are new, and of those that no longer hold.
    silent, speaking
        Sources that no longer answer, and that do again.
    water_temperature
        As entered then and now, where that changed. [K]
    """

    since: datetime
    before: Severity
    alone: Severity
    after: Severity
    turns: tuple[SeverityChange, ...]
    hazards: tuple[HazardChange, ...]
    moves: tuple[ForecastChange, ...]
    sights: tuple[ObservedDifference, ...]
    same_forecast: bool | None
    forecast_age: timedelta | None
    warned: tuple[str, ...]
    ended: tuple[str, ...]
    silent: tuple[str, ...]
    speaking: tuple[str, ...]
    water_temperature: tuple[float, float] | None

    @property
    def worse(self) -> bool:
        """Whether the verdict got worse."""
        return self.after > self.before


@dataclass(frozen=True)
class CompletedRecheck:
    """A verdict, what changed since the last one, and its number in the history.

    Parameters
    ----------
    verdict, changes
        The answer, and what changed.
    number
        Of this check in the history; None where it could not be stored.
    remarks
        For standard error.
    """

    verdict: Verdict
    changes: Changes
    number: int | None = None
    remarks: tuple[str, ...] = ()

"""A forecast that an observation has shown to be wrong."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from safety_check.model.weather import Observation


@dataclass(frozen=True)
class MissedForecast:
    """An observed wind or gust above every forecast for its time.

    Parameters
    ----------
    observation
        What was observed.
    expected
        The median of the forecasts for that time. [m s⁻¹]
    highest
        The upper end of their stated spread, which the observation exceeds. [m s⁻¹]
    forecasts
        The models whose forecast was below the observation, by their names for people; empty
        where this is so for every model.
    next_run
        When the next run that can include the observation is due, UTC; None where no run times
        are known.
    next_run_of
        The model of that run, by its name for people.
    """

    observation: Observation
    expected: float
    highest: float
    forecasts: tuple[str, ...] = ()
    next_run: datetime | None = None
    next_run_of: str = ""

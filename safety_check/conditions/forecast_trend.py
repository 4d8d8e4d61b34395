"""How the forecast has changed since earlier checks of the same launch."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

import numpy as np

from safety_check.arrays import BoolArray, FloatArray, TimeArray
from safety_check.conditions.ensemble import Ensemble
from safety_check.model.missed_forecast import MissedForecast
from safety_check.model.water_estimate import WaterEstimate
from safety_check.model.weather import Observation
from safety_check.physics.ensemble_calibration import LocalCorrection, mean_and_spread

WINDS = ("wind_speed", "wind_speed_of_gust")


@dataclass(frozen=True)
class ForecastSummary:
    """A summary of one check's wind forecasts, before any correction.

    Parameters
    ----------
    at
        The time of that check.
    time : array (hour,)
        Instants, UTC.
    lead_hours : array (hour,)
        From the issue of the oldest of the forecasts. [h]
    models
        Each model once.
    wind_speed : array (model, hour)
        Mean of each model's members [m s⁻¹]; NaN where one of them is not known.
    mean, spread
        Wind and gusts → mean and standard deviation of the members that give them, each
        model counted once, (hour,) each [m s⁻¹].
    missed
        Observations that the forecasts of that check missed.
    from_file
        True where that check used a saved file, perhaps to try something out: it then does not
        show how the services' forecasts have changed.
    """

    at: datetime
    time: TimeArray
    lead_hours: FloatArray
    models: tuple[str, ...]
    wind_speed: FloatArray
    mean: Mapping[str, FloatArray]
    spread: Mapping[str, FloatArray]
    missed: tuple[MissedForecast, ...] = ()
    from_file: bool = False


@dataclass(frozen=True)
class PastChecks:
    """What a verdict may use from the history.

    Parameters
    ----------
    earlier
        What the forecasts said in earlier checks of this launch, any order.
    corrections
        Wind and gusts → the errors of their forecasts on past days at this launch.
    days
        Wind and gusts → the number of those days.
    observed
        Winds and gusts that were stored with earlier checks of this launch.
    water
        Stored water temperatures that may be used where today's is not known.
    lost
        Whether a part of the history of the last days can no longer be read.
    estimate
        The range of the water's temperature, estimated from the air of the last year; None
        where the user has not allowed that.
    """

    earlier: tuple[ForecastSummary, ...] = ()
    corrections: Mapping[str, LocalCorrection] = field(default_factory=dict)
    days: Mapping[str, int] = field(default_factory=dict)
    observed: tuple[Observation, ...] = ()
    water: tuple[Observation, ...] = ()
    lost: bool = False
    estimate: WaterEstimate | None = None


def summarize_forecast(members: Ensemble, at: datetime) -> ForecastSummary:
    """Return a summary of the wind forecasts as received."""
    models = tuple(dict.fromkeys(members.models))
    of = np.array(members.models)
    values = members.quantities["wind_speed"]
    means = np.array([values[of == model].mean(axis=0) for model in models])
    together = {name: _mean_and_spread(members, name) for name in WINDS}
    return ForecastSummary(
        at=at,
        time=members.time,
        lead_hours=members.lead_hours,
        models=models,
        wind_speed=means,
        mean={name: mean for name, (mean, _) in together.items()},
        spread={name: spread for name, (_, spread) in together.items()},
    )


def _mean_and_spread(members: Ensemble, name: str) -> tuple[FloatArray, FloatArray]:
    gives = ~members.lacking[name]
    if not gives.any():
        unknown = np.full(len(members.time), np.nan)
        return unknown, unknown
    return mean_and_spread(members.quantities[name][gives], members.weights[gives])


def forecast_growth(now: ForecastSummary, earlier: Sequence[ForecastSummary]) -> FloatArray:
    """Return by how much the forecast wind has risen from an earlier check to this one.

    Parameters
    ----------
    now, earlier
        This check and those before it.

    Returns
    -------
    array (hour,)
        The largest rise from any earlier check, for each instant of `now` [m s⁻¹]; 0 where it
        did not rise and where nothing can be compared; NaN where a model gave a value earlier but
        gives none now.

    Notes
    -----
    Of the models that gave a value for an instant in both checks, the windiest of each check
    counts.
    A forecast that rose and fell again has not risen: only what it says now counts.
    """
    rises = [_rise(first, now, now.time) for first in earlier]
    lost = [_lost(first, now) for first in earlier]
    risen = np.maximum.reduce([np.zeros(len(now.time)), *rises])
    return np.where(np.logical_or.reduce([np.zeros(len(risen), bool), *lost]), np.nan, risen)


def _rise(first: ForecastSummary, later: ForecastSummary, time: TimeArray) -> FloatArray:
    before, after = _compared(first, later, time)
    known = ~np.isnan(before) & ~np.isnan(after)
    before, after = (
        np.where(known, wind, 0.0).max(axis=0, initial=0.0) for wind in (before, after)
    )
    risen: FloatArray = after - before
    return risen


def _lost(first: ForecastSummary, now: ForecastSummary) -> BoolArray:
    before, after = _compared(first, now, now.time)
    return np.asarray(np.any(~np.isnan(before) & np.isnan(after), axis=0))


def _compared(
    first: ForecastSummary, later: ForecastSummary, time: TimeArray
) -> tuple[FloatArray, FloatArray]:
    """Return the winds of the models that both checks asked, (model, hour) each."""
    shared = [model for model in first.models if model in later.models]
    return _on(first, shared, time), _on(later, shared, time)


def _on(summary: ForecastSummary, models: Sequence[str], time: TimeArray) -> FloatArray:
    rows = [summary.models.index(model) for model in models]
    at = np.searchsorted(summary.time, time).clip(0, len(summary.time) - 1)
    values: FloatArray = summary.wind_speed[rows][:, at]
    return np.where(summary.time[at] == time, values, np.nan)

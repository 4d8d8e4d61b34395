"""Give the runs of an ensemble the wind directions of the single forecasts."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.model.weather import Briefing, Forecast
from safety_check.sources import registry
from safety_check.sources.grid_cells import FROM, align_hours


def lend_directions(briefing: Briefing) -> Briefing:
    """Return a briefing in which every run of an ensemble has a wind direction.

    Notes
    -----
    The runs take the directions of the single forecasts in turn, so that they differ in direction
    as the models do, and no run has a direction that no model forecasts. Where a run has a
    direction of its own, as in a file, it stays. Without single forecasts the directions are
    unknown.
    """
    lenders = _lenders(briefing)
    return replace(
        briefing,
        forecasts=tuple(_lend(forecast, lenders) for forecast in briefing.forecasts),
    )


def _lenders(briefing: Briefing) -> list[tuple[Forecast, FloatArray]]:
    """Return the direction of each single forecast of Open-Meteo, and its hours."""
    single = registry.default_forecast()
    return [
        (forecast, forecast.quantities[FROM][row])
        for forecast in briefing.forecasts
        for row, model in enumerate(forecast.models)
        if model in single and FROM in forecast.quantities
    ]


def _lend(forecast: Forecast, lenders: list[tuple[Forecast, FloatArray]]) -> Forecast:
    """Return a forecast in which each run of an ensemble that has no direction has a lent one."""
    own = forecast.quantities.get(FROM)
    ensembles = registry.default_ensemble()
    runs = [row for row, model in enumerate(forecast.models) if model in ensembles]
    if own is None or not lenders or not runs or np.isfinite(own[runs]).any():
        return forecast
    lent = own.copy()
    for turn, row in enumerate(runs):
        lender, direction = lenders[turn % len(lenders)]
        lent[row] = align_hours(direction, lender.time, forecast.time)
    return replace(forecast, quantities={**forecast.quantities, FROM: lent})

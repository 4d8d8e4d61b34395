"""Compare the grid point of each forecast with the launch: a forecast too far away is unknown."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from safety_check.model.weather import Briefing, Forecast, SourceFailure
from safety_check.physics.sphere import great_circle_distance
from safety_check.sources.question import WIND, Place
from safety_check.sources.registry import greatest_grid_distance, label
from safety_check.units import show


def check_grid_points(briefing: Briefing, here: Place, unit: str) -> Briefing:
    """Return a briefing in which every forecast for another place is unknown.

    Parameters
    ----------
    briefing
        What the sources answered.
    here
        The launch.
    unit
        The unit in which the user reads distances.

    Notes
    -----
    Each model has its own greatest distance, its grid spacing times a factor
    (config/models.toml, sources.toml). A forecast that does not name its grid point may be
    for any place, so all its members are unknown. The provenance names point and distance.
    """
    checked = [_check(forecast, here, unit) for forecast in briefing.forecasts]
    failures = [failure for _, found in checked for failure in found]
    return replace(
        briefing,
        forecasts=tuple(forecast for forecast, _ in checked),
        silences=tuple(dict.fromkeys((*briefing.silences, *failures))),
    )


def distance_to(cell: Place, here: Place) -> float:
    """Return the distance from a grid point to the launch. [m]."""
    return great_circle_distance(*here, *cell)


def _check(
    forecast: Forecast, here: Place, unit: str
) -> tuple[Forecast, tuple[SourceFailure, ...]]:
    away = np.nan if forecast.cell is None else distance_to(forecast.cell, here)
    near = np.array([away <= greatest_grid_distance(model) for model in forecast.models])
    quantities = {
        name: np.where(near[:, np.newaxis], values, np.nan)
        for name, values in forecast.quantities.items()
    }
    origin = forecast.provenance
    named = replace(origin, model=f"{origin.model}; {_point(forecast, away, unit)}")
    checked = replace(forecast, quantities=quantities, provenance=named)
    return checked, tuple(_failures(forecast, near, away, unit))


def _point(forecast: Forecast, away: float, unit: str) -> str:
    if forecast.cell is None:
        return "grid point not named"
    north, east = forecast.cell
    return f"grid point {north:.2f}, {east:.2f}, {show(away, 'length', unit)} from the launch"


def _failures(
    forecast: Forecast, near: np.ndarray, away: float, unit: str
) -> Iterator[SourceFailure]:
    """Yield a failure for each model whose grid point is too far away, or not named."""
    far = dict.fromkeys(
        model for model, known in zip(forecast.models, near, strict=True) if not known
    )
    for model in far:
        reason = "Its answer does not name its grid point, so it may be for another place."
        if forecast.cell is not None:
            limit = show(greatest_grid_distance(model), "length", unit)
            reason = (
                f"Its grid point is {show(away, 'length', unit)} from the launch; beyond {limit}"
                " the forecast is for another place."
            )
        yield SourceFailure(f"{forecast.provenance.source}, {label(model)}", reason, WIND)

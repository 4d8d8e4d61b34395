"""Compare the height of each air temperature with the water's: one too far off is unknown."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from safety_check.model.weather import Briefing, Forecast, SourceFailure
from safety_check.sources.registry import greatest_height_difference
from safety_check.units import in_unit

AIR = "air_temperature"
METRIC = ("km", "m")  # units of distance of those who read heights in metres


def check_elevations(briefing: Briefing, declared: float | None, unit: str) -> Briefing:
    """Return a briefing in which an air temperature for another height is unknown.

    Parameters
    ----------
    briefing
        What the sources answered.
    declared
        Height of the water above sea level, where the user declares it. [m]
    unit
        The unit in which the user reads distances.

    Notes
    -----
    Where no height is declared, the services are compared with each other. One service asked for
    a launch fits its temperatures to a terrain model at that point, another gives the mean of a
    cell; where they differ too much, either may be wrong, so neither counts. A forecast that does
    not name its height may hold for any. Wind and weather stay as they are.
    """
    height = "m" if unit in METRIC else "ft"
    silences: list[SourceFailure] = []
    forecasts = []
    for forecast in briefing.forecasts:
        named = _name(forecast, height)
        others = [other for other in briefing.forecasts if other is not forecast]
        reasons = list(_reasons(forecast, others, declared, height))
        if reasons and _has_temperature(forecast):
            silences.append(SourceFailure(forecast.provenance.source, reasons[0], (AIR,)))
            unknown = np.full_like(forecast.quantities[AIR], np.nan)
            named = replace(named, quantities={**forecast.quantities, AIR: unknown})
        forecasts.append(named)
    return replace(
        briefing,
        forecasts=tuple(forecasts),
        silences=tuple(dict.fromkeys((*briefing.silences, *silences))),
    )


def _has_temperature(forecast: Forecast) -> bool:
    values = forecast.quantities.get(AIR)
    return values is not None and bool(np.isfinite(values).any())


def _name(forecast: Forecast, unit: str) -> Forecast:
    """Return a forecast whose provenance names the height of its air temperature."""
    if not _has_temperature(forecast):
        return forecast
    at = forecast.elevation
    height = "of unknown height" if at is None else f"for {_height(at, unit)}"
    origin = forecast.provenance
    return replace(
        forecast, provenance=replace(origin, model=f"{origin.model}; air temperature {height}")
    )


def _reasons(
    forecast: Forecast, others: Sequence[Forecast], declared: float | None, unit: str
) -> Iterator[str]:
    """Yield why the air temperature of a forecast does not count."""
    at, allowed = forecast.elevation, greatest_height_difference()
    if at is None:
        yield "It does not name the height of its air temperature, which is therefore unknown."
        return
    own, limit = _height(at, unit), _height(allowed, unit)
    if declared is not None and abs(at - declared) > allowed:
        yield (
            f"Its air temperature is for {own} above sea level, and the water is at"
            f" {_height(declared, unit)}. Beyond a difference of {limit} it is unknown."
        )
    if declared is not None:
        return
    for other in filter(_has_temperature, others):
        if other.elevation is not None and abs(at - other.elevation) > allowed:
            yield (
                f"Its air temperature is for {own} above sea level, that of"
                f" {other.provenance.source} for {_height(other.elevation, unit)}; which of"
                " them fits the water is unknown. Say how high it is: safety-check water set NAME"
                " --elevation HEIGHT"
            )


def _height(metres: float, unit: str) -> str:
    return f"{in_unit(metres, 'length', unit):.0f} {unit}"

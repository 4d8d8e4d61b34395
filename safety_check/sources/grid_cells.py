"""Combine several grid cells into one forecast, and add the sea to a forecast."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from safety_check.arrays import FloatArray, TimeArray
from safety_check.model.weather import Forecast, Provenance

WIND = ("wind_speed", "wind_speed_of_gust")
FROM = "wind_from_direction"
SEA = "sea_surface_wave_significant_height"

Member = tuple[str, str]  # model, run


def windier_cell(cells: Sequence[Forecast], note: str) -> Forecast:
    """Return one forecast whose wind is, for every member and hour, that of the windier cell.

    Parameters
    ----------
    cells
        The same models for several cells; the first gives the hours and all but the wind.
    note
        Added to the provenance; it says how the cells were chosen.

    Notes
    -----
    A model counts once, so its cells are not members of their own. A hill or a forest in a
    cell slows its wind, and over a lake that wind is too low; the windier cell is the better
    guess for open water and errs towards caution. Wind unknown in one cell is unknown. The
    direction is that of the stronger wind.
    """
    first = cells[0]
    if len(cells) == 1:
        return first
    members: list[Member] = list(
        dict.fromkeys(member for cell in cells for member in _members(cell))
    )
    rows = [_member(cells, member, first.time) for member in members]
    return Forecast(
        time=first.time,
        models=tuple(model for model, _ in members),
        members=tuple(run for _, run in members),
        quantities={name: np.array([row[name] for row in rows]) for name in first.quantities},
        provenance=_oldest([cell.provenance for cell in cells], note),
        cell=first.cell,
        elevation=first.elevation,
        absent=tuple(
            model for model in first.absent if all(model in cell.absent for cell in cells)
        ),
    )


def _members(forecast: Forecast) -> list[Member]:
    return list(zip(forecast.models, forecast.members, strict=True))


def _member(cells: Sequence[Forecast], member: Member, time: TimeArray) -> dict[str, FloatArray]:
    """Return the hours of one member, with the wind of the windier cell among those with wind."""
    having = [cell for cell in cells if member in _members(cell)]
    row = {name: _row(having[0], member, name, time) for name in cells[0].quantities}
    winds = {
        name: np.array([_row(cell, member, name, time) for cell in having])
        for name in (*WIND, FROM)
    }
    windier = winds["wind_speed"].argmax(axis=0)[np.newaxis]
    row |= {name: winds[name].max(axis=0) for name in WIND}
    row[FROM] = np.take_along_axis(winds[FROM], windier, axis=0)[0]
    return row


def _row(forecast: Forecast, member: Member, name: str, time: TimeArray) -> FloatArray:
    """Return the hours of one member; NaN in a cell that was not asked for the quantity."""
    if name not in forecast.quantities:
        return np.full(time.size, np.nan)
    values = forecast.quantities[name][_members(forecast).index(member)]
    return align_hours(values, forecast.time, time)


def align_hours(values: FloatArray, own: TimeArray, time: TimeArray) -> FloatArray:
    """Return hourly values on other hours; NaN in hours that they do not include."""
    at = np.searchsorted(own, time).clip(0, len(own) - 1)
    return np.where(own[at] == time, values[at], np.nan)


def _oldest(origins: Sequence[Provenance], note: str) -> Provenance:
    """Return one origin for several answers, with the age of the oldest."""
    oldest = min(origins, key=lambda origin: origin.issued or origin.fetched)
    return replace(
        oldest,
        model=f"{origins[0].model}; {note}",
        recorded=any(origin.recorded for origin in origins),
    )


def add_sea(forecast: Forecast, sea: Forecast) -> Forecast:
    """Return a forecast whose members also have the sea; it can only raise their waves.

    Where the sea is unknown, the forecast's own waves stay.
    """
    height = align_hours(sea.quantities[SEA].max(axis=0), sea.time, forecast.time)
    shape = (len(forecast.models), len(forecast.time))
    own = forecast.quantities.get(SEA, np.full(shape, np.nan))
    raised = np.where(np.isnan(own) | (height > own), height, own)
    return replace(
        forecast,
        quantities={**forecast.quantities, SEA: np.where(np.isnan(height), own, raised)},
    )

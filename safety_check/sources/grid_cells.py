"""One forecast from several grid cells, and the sea laid on it."""

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


def stronger_cell(told: Sequence[Forecast], note: str) -> Forecast:
    """Return one forecast whose wind is, for every member and hour, that of the windier cell.

    Parameters
    ----------
    told
        The same models for several cells; the first gives the hours, and all but the wind.
    note
        What is said of the cells in the provenance.

    Notes
    -----
    A model counts once, so its cells are not members of their own. A hill or a forest in a
    cell slows its wind, and over a lake that wind is too low; the windier cell is the better
    guess for open water, and errs towards caution. A wind unknown in one cell is unknown. The
    direction is that of the stronger wind.
    """
    first = told[0]
    if len(told) == 1:
        return first
    members: list[Member] = list(dict.fromkeys(each for one in told for each in _members(one)))
    rows = [_member(told, each, first.time) for each in members]
    return Forecast(
        time=first.time,
        models=tuple(model for model, _ in members),
        members=tuple(run for _, run in members),
        quantities={name: np.array([each[name] for each in rows]) for name in first.quantities},
        provenance=_oldest([each.provenance for each in told], note),
        cell=first.cell,
        absent=tuple(each for each in first.absent if all(each in one.absent for one in told)),
    )


def _members(forecast: Forecast) -> list[Member]:
    return list(zip(forecast.models, forecast.members, strict=True))


def _member(told: Sequence[Forecast], member: Member, time: TimeArray) -> dict[str, FloatArray]:
    """Return the hours of one member, its wind from the windier of the cells that have it."""
    speaking = [each for each in told if member in _members(each)]
    row = {name: _row(speaking[0], member, name, time) for name in told[0].quantities}
    cells = {
        name: np.array([_row(each, member, name, time) for each in speaking])
        for name in (*WIND, FROM)
    }
    windier = cells["wind_speed"].argmax(axis=0)[np.newaxis]
    row |= {name: cells[name].max(axis=0) for name in WIND}
    row[FROM] = np.take_along_axis(cells[FROM], windier, axis=0)[0]
    return row


def _row(forecast: Forecast, member: Member, name: str, time: TimeArray) -> FloatArray:
    values = forecast.quantities[name][_members(forecast).index(member)]
    return align_hours(values, forecast.time, time)


def align_hours(values: FloatArray, own: TimeArray, time: TimeArray) -> FloatArray:
    """Return hourly values on other hours; NaN where they do not speak of one."""
    at = np.searchsorted(own, time).clip(0, len(own) - 1)
    return np.where(own[at] == time, values[at], np.nan)


def _oldest(origins: Sequence[Provenance], note: str) -> Provenance:
    """Return one origin for several answers, as old as the oldest of them."""
    oldest = min(origins, key=lambda each: each.issued or each.fetched)
    return replace(
        oldest,
        model=f"{origins[0].model}; {note}",
        recorded=any(each.recorded for each in origins),
    )


def add_sea(forecast: Forecast, sea: Forecast) -> Forecast:
    """Return a forecast whose members also know the sea; its height only ever rises by it.

    Where the sea is not known, what the forecast says itself stands.
    """
    height = align_hours(sea.quantities[SEA].max(axis=0), sea.time, forecast.time)
    shape = (len(forecast.models), len(forecast.time))
    own = forecast.quantities.get(SEA, np.full(shape, np.nan))
    raised = np.where(np.isnan(own) | (height > own), height, own)
    return replace(
        forecast,
        quantities={**forecast.quantities, SEA: np.where(np.isnan(height), own, raised)},
    )

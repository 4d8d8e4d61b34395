"""The columns of an Open-Meteo answer as the runs of its models."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

import numpy as np

from safety_check.arrays import FloatArray, one_of
from safety_check.sources import registry
from safety_check.sources.open_meteo.answer import Answer, Hours, numbers
from safety_check.sources.open_meteo.variables import (
    CONTROL,
    RANGES,
    UNITS,
    WEATHER_CODES,
    Column,
    Variable,
)

NEARLY_CALM = 1.0  # m/s; up to here rounding alone can put a gust below the wind
Member = tuple[str, str]  # model, run
Runs = dict[Member, dict[str, FloatArray]]


def runs_by_member(answer: Answer, clock: Hours, names: Iterable[Column], unnamed: str) -> Runs:
    """Return the hours of each run, of models that gave any number."""
    names = [replace(column, model=column.model or unnamed) for column in names]
    ensembles = {name for name, known in registry.load_models().items() if known.members > 1}
    ensembles |= {column.model for column in names if column.member}
    runs: Runs = {}
    for column in names:
        run = runs.setdefault(
            (column.model, column.member or _only_run(column.model, ensembles)), {}
        )
        values = _values(answer, clock, column)
        if column.quantity in run:  # two spellings of one thing in one answer
            values = np.where(run[column.quantity] == values, values, np.nan)
        run[column.quantity] = values
    answered = {
        model
        for (model, _), run in runs.items()
        if any(np.isfinite(values).any() for values in run.values())
    }
    return {member: run for member, run in runs.items() if member[0] in answered}


def _only_run(model: str, ensembles: set[str]) -> str:
    return CONTROL if model in ensembles else ""


def _values(answer: Answer, clock: Hours, column: Column) -> FloatArray:
    """Return one column by hour in SI; NaN where the value is not plausible."""
    unit = answer.hourly_units.get(column.name)
    known = UNITS[column.kind].get(unit) if isinstance(unit, str) else None
    if known is None or column.quantity in registry.lacks().get(column.model, ()):
        return np.full(clock.time.size, np.nan)
    factor, offset = known
    with np.errstate(over="ignore"):  # a number too large to compute is out of range
        values = clock.lay(numbers(answer.hourly[column.name])) * factor + offset
    if column.quantity == "weather_code":
        return np.where(one_of(values, WEATHER_CODES), values, np.nan)
    low, high = RANGES[column.quantity]
    return np.where((values >= low) & (values <= high), values, np.nan)


def members_of(runs: Runs) -> list[Member]:
    """Return every run received, and for a known ensemble also its missing runs."""
    came: dict[str, list[str]] = {}
    for model, run in runs:
        came.setdefault(model, []).append(run)
    return [
        (model, run)
        for model, its in came.items()
        for run in dict.fromkeys([*its, *_known_runs(model, its)])
    ]


def _known_runs(model: str, came: list[str]) -> Iterator[str]:
    known = registry.load_models().get(model)
    if known and "" not in came:
        yield CONTROL
        yield from (f"{run:02d}" for run in range(1, known.members))


def stack_members(
    runs: Runs, members: list[Member], table: Mapping[str, Variable], size: int
) -> dict[str, FloatArray]:
    """Return each quantity as (member, hour)."""
    unknown = np.full(size, np.nan)
    quantities = {
        name: np.array([runs.get(member, {}).get(name, unknown) for member in members])
        for name in table
    }
    if "wind_speed_of_gust" in quantities:
        wind, gust = quantities["wind_speed"], quantities["wind_speed_of_gust"]
        quantities["wind_speed_of_gust"] = _believable_gusts(wind, gust)
    return quantities


def _believable_gusts(wind: FloatArray, gust: FloatArray) -> FloatArray:
    """Return gusts raised to the wind; unknown for a run where most are below it.

    A gust is the highest wind of its time. Single rows below the wind come from the models;
    a run with mostly such rows, such as all zeros, has no gusts.
    """
    compared = (wind > NEARLY_CALM) & ~np.isnan(gust)
    below = (compared & (gust < wind)).sum(axis=1) * 2 > compared.sum(axis=1)
    return np.where(below[:, None], np.nan, np.where(wind > gust, wind, gust))

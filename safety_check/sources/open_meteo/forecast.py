"""Hourly forecasts and ensembles from Open-Meteo (documentation: open-meteo.com/en/docs)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from safety_check.errors import DataError
from safety_check.model.weather import Forecast, Provenance, SourceFailure
from safety_check.sources import registry
from safety_check.sources.open_meteo.answer import (
    REMEDY,
    Place,
    hours,
    read_answer,
)
from safety_check.sources.open_meteo.members import members_of, runs_by_member, stack_members
from safety_check.sources.open_meteo.variables import (
    ENSEMBLE,
    FORECAST,
    WIND,
    Variable,
    columns,
    strangers,
)
from safety_check.sources.sent_place import coordinates

if TYPE_CHECKING:
    from safety_check.sources.http.client import Client

MIDNIGHT = timedelta(hours=2)  # judgement: caches keep answers for minutes, also past midnight
YESTERDAY = np.timedelta64(1, "D")  # `past_days` of the request
UNNAMED = "unnamed"  # the model of columns that do not name one


# -- what to ask -----------------------------------------------------------------------------


def query(
    latitude: float,
    longitude: float,
    *,
    days: int = 7,
    models: Iterable[str] | None = None,
    cell_selection: str = "nearest",
    table: Mapping[str, Variable] = FORECAST,
) -> dict[str, str]:
    """Return the query.

    Parameters
    ----------
    latitude, longitude
        The launch. [degrees]
    days
        How many days ahead, today included.
    models
        Which models; those of config/models.toml by default.
    cell_selection
        "nearest" takes the cell that holds the launch, water or land. "land", the service's
        default, avoids the water cells of great lakes and coasts, where the wind is stronger;
        "sea" looks for them.
    table
        The quantities.

    Notes
    -----
    Times are requested in GMT and as numbers, since a named zone comes with one offset for
    the whole answer, wrong beyond a change of clocks; speeds in m/s, which the service does
    not round twice. Yesterday is requested too, so that a trip begun before 00:00 UTC is
    covered.
    """
    return {
        **coordinates("open_meteo", latitude, longitude),
        "hourly": ",".join(variable.name for variable in table.values()),
        "models": ",".join(registry.default_forecast() if models is None else models),
        "wind_speed_unit": "ms",
        "timeformat": "unixtime",
        "timezone": "GMT",
        "past_days": "1",
        "forecast_days": str(days),
        "cell_selection": cell_selection,
    }


def parse_live(
    body: bytes,
    provenance: Provenance,
    *,
    models_asked: tuple[str, ...],
) -> Forecast:
    """Return what the answer to a request of this program means, as `parse` does."""
    return date_by_rows(parse(body, provenance, models_asked))


def date_by_rows(told: Forecast) -> Forecast:
    """Return a forecast dated by its rows, where these show that it is not of the day it came.

    The service does not say when it answered, but a request begins with its yesterday. Rows
    that begin earlier come from an answer that was stored on the way, and would otherwise
    count as new whatever their age. Such an answer counts from the first hour of the day on
    which it was made, as a saved file does.
    """
    made = (told.time[0] + YESTERDAY).astype(datetime).replace(tzinfo=UTC)
    if told.provenance.fetched - made <= timedelta(days=1) + MIDNIGHT:
        return told
    return replace(told, provenance=replace(told.provenance, issued=made))


async def ask(
    client: Client,
    latitude: float,
    longitude: float,
    *,
    days: int = 7,
    models: tuple[str, ...] | None = None,
    cell_selection: str = "nearest",
) -> Forecast:
    """Ask several models for one forecast each; cells other than the nearest for the wind only.

    A request counts once for every ten variables of a model, and of the other cells around a
    place only the wind is used.
    """
    models = registry.default_forecast() if models is None else models
    table = FORECAST if cell_selection == "nearest" else WIND
    asked = query(
        latitude, longitude, days=days, models=models, cell_selection=cell_selection, table=table
    )
    parse_answer = partial(parse_live, models_asked=models)
    return await client.read("/v1/forecast", asked, parse_answer, source="open_meteo")


async def ask_ensemble(
    client: Client,
    latitude: float,
    longitude: float,
    *,
    days: int = 7,
    models: tuple[str, ...] | None = None,
    cell_selection: str = "nearest",
) -> Forecast:
    """Ask ensembles for many forecasts of wind and gusts each, for the odds."""
    models = registry.default_ensemble() if models is None else models
    asked = query(
        latitude,
        longitude,
        days=days,
        models=models,
        cell_selection=cell_selection,
        table=ENSEMBLE,
    ) | coordinates("open_meteo_ensemble", latitude, longitude)
    parse_answer = partial(parse_live, models_asked=models)
    return await client.read("/v1/ensemble", asked, parse_answer, source="open_meteo_ensemble")


# -- what the answer means ---------------------------------------------------------------------


def parse(
    body: bytes,
    provenance: Provenance,
    models_asked: tuple[str, ...] | None = None,
    *,
    place: Place | None = None,
    table: Mapping[str, Variable] = FORECAST,
    day: int = 0,
) -> Forecast:
    """Return an answer as a forecast, in whichever unit, time format and zone it has.

    Parameters
    ----------
    body
        As received.
    provenance
        Where it comes from; its `model` is filled in here.
    models_asked
        The models of the question; None where they are not known.
    place
        Latitude and longitude of the launch, to choose from an answer for several places.
    table
        The quantities to read.
    day
        0 for the newest run, else the prediction made so many days before each hour.

    Returns
    -------
    Forecast
        Every quantity of the table is there, NaN wherever it is not known: null, of an
        undocumented unit, out of range, of an unlisted weather code, or given
        twice with different values.

    Notes
    -----
    - Where several models were asked and the columns name none, only one of them covers the
      place and the answer does not say which: the member is `UNNAMED`, and all that were
      asked are `absent`, since none can be shown to have answered.
    - A model that was asked, or has columns, and gave no number at all is `absent`. Of one
      that gave some, every run that it is known to have is a member, with NaN where the run
      is missing.
    - What a model is listed to lack (config/models.toml) is not read, so losing it can
      change nothing.
    - A gust below the wind of the same row is raised to the wind: the service passes such rows
      on as the models deliver them. Where most gusts of a run are below its wind, they are not
      gusts, and count as unknown.

    Raises
    ------
    DataError
        Where the answer has no usable value.
    """
    source = provenance.source
    answer = read_answer(body, source, place)
    clock = hours(answer, source)
    spellings = registry.spellings(models_asked or ())
    asked = tuple(dict.fromkeys(spellings[name] for name in models_asked or ()))
    names = [column for column in columns(answer.hourly, table, spellings) if column.day == day]
    runs = runs_by_member(answer, clock, names, asked[0] if len(asked) == 1 else UNNAMED)
    if not runs:
        raise DataError(
            f"{source}: no hour has a value that this program uses"
            f" ({len(answer.hourly)} columns). The place or the dates may lie outside what the"
            f" models cover. {REMEDY}"
        )
    members = members_of(runs)
    present = dict.fromkeys(model for model, _ in members)
    absent = [model for model in asked if model not in present or UNNAMED in present]
    absent += [column.model for column in names if column.model not in {"", *present, *absent}]
    return Forecast(
        time=clock.time,
        models=tuple(model for model, _ in members),
        members=tuple(run for _, run in members),
        quantities=stack_members(runs, members, table, clock.time.size),
        provenance=replace(provenance, model=", ".join(present)),
        cell=answer.cell,
        absent=tuple(dict.fromkeys((*absent, *strangers(answer.hourly, spellings)))),
        elevation=answer.height,
    )


def missing_models(forecast: Forecast) -> tuple[SourceFailure, ...]:
    """Return a failure for each model that should have given a forecast and did not."""
    source = forecast.provenance.source
    reason = "It gave no usable number, or its name is not known here."
    return tuple(
        SourceFailure(f"{source}, {registry.label(model)}", reason, tuple(WIND))
        for model in forecast.absent
    )

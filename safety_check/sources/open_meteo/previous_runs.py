"""What earlier runs predicted for the same hours, from Open-Meteo's previous runs."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from functools import partial
from typing import TYPE_CHECKING

from safety_check.errors import DataError
from safety_check.model.weather import Forecast, Provenance
from safety_check.sources import registry
from safety_check.sources.open_meteo import forecast
from safety_check.sources.open_meteo.answer import Place, read_answer
from safety_check.sources.open_meteo.variables import ENSEMBLE, FORECAST, columns
from safety_check.sources.sent_place import coordinates

if TYPE_CHECKING:
    from safety_check.sources.http.client import Client

DAYS_BACK = 3


def query(
    latitude: float,
    longitude: float,
    *,
    days: int = 7,
    models: tuple[str, ...] | None = None,
    days_back: int = DAYS_BACK,
) -> dict[str, str]:
    """Return the query: wind, gust and direction by the newest run and by those before it."""
    asked = forecast.query(latitude, longitude, days=days, models=models, table=ENSEMBLE)
    names = asked["hourly"].split(",")
    before = [f"{name}_previous_day{day}" for day in range(1, days_back + 1) for name in names]
    place = coordinates("open_meteo_previous_runs", latitude, longitude)
    return {**asked, **place, "hourly": ",".join([*names, *before])}


def parse(
    body: bytes,
    provenance: Provenance,
    models_asked: tuple[str, ...] | None = None,
    *,
    place: Place | None = None,
) -> Mapping[int, Forecast]:
    """Return days before the hour → the prediction made then; 0 is the newest run.

    Day n holds for each hour the value that was predicted 24 n hours before that hour. A day
    without a number is left out.
    """
    answer = read_answer(body, provenance.source, place)
    names = columns(answer.hourly, FORECAST, registry.spellings(models_asked or ()))
    parse_run = partial(forecast.parse, body, provenance, models_asked, place=place)
    forecasts = {}
    for day in sorted({column.day for column in names}):
        with suppress(DataError):
            forecasts[day] = parse_run(day=day)
    return forecasts or {0: parse_run()}


async def ask(
    client: Client,
    latitude: float,
    longitude: float,
    *,
    days: int = 7,
    models: tuple[str, ...] | None = None,
) -> Mapping[int, Forecast]:
    """Ask whether the forecast has risen or fallen over the last days."""
    models = registry.default_forecast() if models is None else models
    parse_answer = partial(parse, models_asked=models)
    asked = query(latitude, longitude, days=days, models=models)
    return await client.read("/v1/forecast", asked, parse_answer, source="open_meteo_previous_runs")

"""Past weather by the hour from a reanalysis, Open-Meteo's archive (its documentation page)."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import partial
from typing import TYPE_CHECKING

from safety_check.errors import DataError
from safety_check.model.weather import Forecast, Provenance
from safety_check.settings.reanalysis_file import load_reanalysis_file
from safety_check.sources.grid_point import distance_to
from safety_check.sources.open_meteo import forecast
from safety_check.sources.open_meteo.answer import REMEDY, Place
from safety_check.sources.open_meteo.variables import FORECAST
from safety_check.sources.sent_place import coordinates

if TYPE_CHECKING:
    from safety_check.sources.http.client import Client

SOURCE = "open_meteo_reanalysis"


def query(here: Place, year: int) -> dict[str, str]:
    """Return the query for the hours of a year, UTC."""
    asked = load_reanalysis_file().asked
    return {
        **coordinates(SOURCE, *here),
        "hourly": ",".join(FORECAST[name].name for name in asked.quantities),
        "models": asked.model,
        "wind_speed_unit": "ms",
        "timeformat": "unixtime",
        "timezone": "GMT",
        "cell_selection": "nearest",
        "start_date": date(year, 1, 1).isoformat(),
        "end_date": date(year, 12, 31).isoformat(),
    }


def parse(body: bytes, provenance: Provenance, *, here: Place) -> Forecast:
    """Return past weather as one run of one model, NaN wherever it is not known.

    Raises
    ------
    DataError
        Where the answer can't be read, or is for another place.
    """
    asked = load_reanalysis_file().asked
    table = {name: FORECAST[name] for name in asked.quantities}
    found = forecast.parse(body, provenance, (asked.model,), place=here, table=table)
    if len(found.models) != 1:
        raise DataError(
            f"{provenance.source}: {len(found.models)} runs where one reanalysis was asked for."
            f" {REMEDY}"
        )
    if found.cell is None or distance_to(found.cell, here) > asked.farthest:
        raise DataError(
            f"{provenance.source}: the answer is for another place, or does not name its grid"
            f" point. {REMEDY}"
        )
    return replace(found, not_made=tuple(name for name in FORECAST if name not in table))


async def ask_year(client: Client, here: Place, year: int) -> Forecast:
    """Ask for the weather of a past year."""
    read = partial(parse, here=here)
    return await client.read("/v1/archive", query(here, year), read, source=SOURCE)

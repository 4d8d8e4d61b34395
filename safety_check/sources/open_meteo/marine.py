"""Waves and water temperature of the sea from Open-Meteo's marine models.

These models do not include lakes, bays or rivers. Near the shore a value may belong to a sea cell
many kilometres away: the caller compares the forecast's `cell` with the launch. The surface
temperature comes once a day in steps of six hours.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from safety_check.model.weather import Forecast, Provenance
from safety_check.sources.open_meteo import forecast
from safety_check.sources.open_meteo.answer import Place
from safety_check.sources.open_meteo.variables import MARINE
from safety_check.sources.sent_place import coordinates

if TYPE_CHECKING:
    from safety_check.sources.http.client import Client

MODEL = "best_match"  # the service's own choice for the place


def query(latitude: float, longitude: float, *, days: int = 7) -> dict[str, str]:
    """Return the query; the service itself chooses the nearest cell of the sea."""
    asked = forecast.query(
        latitude, longitude, days=days, models=(MODEL,), cell_selection="sea", table=MARINE
    )
    del asked["models"], asked["wind_speed_unit"]
    place = coordinates("open_meteo_marine", latitude, longitude)
    return {**asked, **place, "length_unit": "metric"}


def parse(
    body: bytes,
    provenance: Provenance,
    models_asked: tuple[str, ...] | None = None,
    *,
    place: Place | None = None,
) -> Forecast:
    """Return an answer as a forecast, as `forecast.parse` does for the air.

    Its quantities are significant wave height [m], mean period [s] and direction from which
    the waves come [degrees], and the temperature of the sea's surface [K].
    """
    return forecast.parse(body, provenance, models_asked, place=place, table=MARINE)


async def ask(client: Client, latitude: float, longitude: float, *, days: int = 7) -> Forecast:
    """Ask for the sea nearest to a place."""
    parse_answer = partial(parse, models_asked=(MODEL,))
    asked = query(latitude, longitude, days=days)
    return await client.read("/v1/marine", asked, parse_answer, source="open_meteo_marine")

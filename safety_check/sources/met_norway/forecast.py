"""Hourly forecasts of MET Norway (documentation: docs.api.met.no/doc/ForecastJSON).

Locationforecast 2.0 answers for any place on Earth. After two to three days it goes on in steps
of six hours; an hour between two of them is unknown.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, datetime
from functools import partial
from typing import TYPE_CHECKING, Any

import numpy as np

from safety_check.arrays import FloatArray, IntArray
from safety_check.errors import DataError
from safety_check.model.place import is_on_earth
from safety_check.model.weather import Briefing, Forecast, Provenance
from safety_check.sources.answers import Answer, believable, elevation, instant, number, read
from safety_check.sources.http.recording_client import RecordingClient
from safety_check.sources.met_norway.symbols import weather_code
from safety_check.sources.model_hosts import has_here
from safety_check.sources.question import TROUBLE, Question, failure_of, saved_answer_notes
from safety_check.sources.sent_place import sent_place
from safety_check.units import ZERO_CELSIUS

if TYPE_CHECKING:
    from safety_check.sources.http.client import Client

SOURCE = "met_norway"
MODEL = "met_norway"
PATH = "/weatherapi/locationforecast/2.0/complete"
HOUR = 3600
LONGEST = 20 * 24  # hours; the service forecasts nine to ten days
GUST = "wind_speed_of_gust"
REMEDY = "It can't be used; try again later, or use another source."
# Our name: (their name, the unit that must come back, factor, offset)
INSTANT = {
    "wind_speed": ("wind_speed", "m/s", 1.0, 0.0),
    GUST: ("wind_speed_of_gust", "m/s", 1.0, 0.0),
    "wind_from_direction": ("wind_from_direction", "degrees", 1.0, 0.0),
    "air_temperature": ("air_temperature", "celsius", 1.0, ZERO_CELSIUS),
    "relative_humidity": ("relative_humidity", "%", 0.01, 0.0),
}
RAIN = ("precipitation_amount", "mm")
MOST_RAIN = 400.0  # mm in an hour; 305 mm in 42 minutes is the record (from memory, not read)


class Geometry(Answer):
    """The point of the answer: longitude, latitude, height."""

    coordinates: list[Any]


class Meta(Answer):
    """When the forecast was made, and the unit of each parameter."""

    updated_at: str
    units: dict[str, Any]


class Step(Answer):
    """One row of the series."""

    time: str
    data: dict[str, Any]


class Properties(Answer):
    """The forecast."""

    meta: Meta
    timeseries: list[Step]


class LocationAnswer(Answer):
    """What the service answers."""

    geometry: Geometry
    properties: Properties


def query(latitude: float, longitude: float, height: float | None = None) -> dict[str, str]:
    """Return the query for a place; a declared height [m] fits the air temperature to it."""
    north, east = sent_place(SOURCE, latitude, longitude)
    return {"lat": north, "lon": east} | (
        {} if height is None else {"altitude": str(max(round(height), -500))}
    )


def parse(body: bytes, provenance: Provenance) -> Forecast:
    """Return what an answer means.

    Notes
    -----
    - Rows are laid on whole hours; an hour without a row, or with two that differ, is unknown.
    - Rain belongs to the hour after a row, so it is read for the row that ends it.
    - Whether a gust is the greatest before or after its row is not documented, so an hour has
      the greater of its own and the earlier row's.
    - Gusts outside the area where the service documents them are not read, so that losing them
      changes nothing there; inside it, missing gusts are unknown.

    Raises
    ------
    DataError
        Where it has no issue time, no place, or rows that cannot be placed in time.
    """
    source = provenance.source
    answer = read(body, LocationAnswer, source)
    told = answer.properties
    issued, cell = instant(told.meta.updated_at), _cell(answer.geometry.coordinates)
    if issued is None or cell is None:
        raise DataError(f"{source}: the answer has no issue time or no grid point. {REMEDY}")
    row, hours = _axis(told.timeseries, source)
    details = [_part(step.data, "instant") for step in told.timeseries]
    next_hour = [_part(step.data, "next_1_hours") for step in told.timeseries]
    lay = partial(_lay, row, len(hours))
    quantities = {
        ours: lay(_values(details, told.meta.units, ours, *theirs))
        for ours, theirs in INSTANT.items()
    }
    symbols = (_object(step.data.get("next_1_hours")) for step in told.timeseries)
    codes = [weather_code(_object(entry.get("summary")).get("symbol_code")) for entry in symbols]
    quantities["weather_code"] = lay(np.array(codes))
    quantities["precipitation_amount"] = _later(lay(_rain(next_hour, told.meta.units)))
    made = has_here(MODEL, GUST, *cell)
    gust = quantities[GUST]
    quantities[GUST] = _greater(gust, _later(gust)) if made else np.full_like(gust, np.nan)
    _require_wind(quantities["wind_speed"], source)
    return Forecast(
        time=hours.astype("datetime64[s]"),
        models=(MODEL,),
        members=("",),
        quantities={name: values[np.newaxis] for name, values in quantities.items()},
        provenance=replace(provenance, model="Locationforecast", issued=issued),
        cell=cell,
        not_made=() if made else (GUST,),
        elevation=_height(answer.geometry.coordinates),
    )


async def ask_forecast(client: Client, question: Question) -> Briefing:
    """Return the forecast for a trip, or why there is none."""
    recording = RecordingClient(client)
    asked = query(*question.here, question.elevation)
    try:
        forecast = await recording.read(PATH, asked, parse, source=SOURCE)
    except TROUBLE as trouble:
        return Briefing(at=question.at, silences=(failure_of(SOURCE, trouble),))
    notes = saved_answer_notes(recording, SOURCE)
    return Briefing(at=question.at, forecasts=(forecast,), silences=notes)


def _cell(coordinates: list[Any]) -> tuple[float, float] | None:
    """Return latitude and longitude; None where they are not on this Earth."""
    east, north = (number(angle) for angle in (*coordinates, None, None)[:2])
    return (north, east) if is_on_earth(north, east) else None


def _height(coordinates: list[Any]) -> float | None:
    """Return the height to which the air temperature is fitted [m]; None where it is not given."""
    return elevation(coordinates[2]) if len(coordinates) > 2 else None


def _axis(steps: list[Step], source: str) -> tuple[IntArray, IntArray]:
    """Return the index of each row's hour, and every hour from the first to the last."""
    moments = [instant(step.time) for step in steps]
    known = [moment for moment in moments if moment is not None]
    if not known or len(known) < len(moments):
        raise DataError(f"{source}: the rows cannot be placed in time. {REMEDY}")
    seconds = np.array([_seconds(moment) for moment in known])
    first, last = int(seconds.min()), int(seconds.max())
    if (seconds % HOUR).any() or last - first > LONGEST * HOUR:
        raise DataError(f"{source}: the rows are not whole hours of a few days. {REMEDY}")
    hours = np.arange(first, last + HOUR, HOUR)
    return (seconds - first) // HOUR, hours


def _seconds(moment: datetime) -> int:
    return int(moment.astimezone(UTC).timestamp())


def _object(value: object) -> dict[str, Any]:
    return value if isinstance(value, dict) else {}


def _part(data: dict[str, Any], name: str) -> dict[str, Any]:
    """Return the details of one part of a row; empty where there are none."""
    return _object(_object(data.get(name)).get("details"))


def _values(
    details: Iterable[dict[str, Any]],
    units: dict[str, Any],
    ours: str,
    *theirs: Any,
) -> FloatArray:
    """Return one quantity by row; NaN where it is missing, in another unit, or implausible."""
    name, unit, factor, offset = theirs
    known = units.get(name) == unit
    raw = (number(row.get(name)) * factor + offset if known else np.nan for row in details)
    return np.array([believable(ours, value) for value in raw])


def _rain(details: Iterable[dict[str, Any]], units: dict[str, Any]) -> FloatArray:
    """Return the rain of the hour after each row [mm]."""
    name, unit = RAIN
    found = np.array([number(row.get(name)) for row in details])
    usable = (found >= 0) & (found <= MOST_RAIN) & (units.get(name) == unit)
    return np.where(usable, found, np.nan)


def _lay(row: IntArray, size: int, values: FloatArray) -> FloatArray:
    """Return rows by hour; NaN where an hour has no row, or rows that differ."""
    laid = np.full(size, np.nan)
    laid[row] = values
    laid[row[laid[row] != values]] = np.nan
    return laid


def _later(values: FloatArray) -> FloatArray:
    """Return each value one hour later."""
    return np.concatenate([[np.nan], values[:-1]])


def _greater(values: FloatArray, earlier: FloatArray) -> FloatArray:
    """Return the greater of two values; the own one where there is no earlier one."""
    return np.where(earlier > values, earlier, values)


def _require_wind(wind: FloatArray, source: str) -> None:
    if np.isnan(wind).all():
        raise DataError(f"{source}: no hour has a wind speed in a known unit. {REMEDY}")

"""Forecasts of the US National Weather Service (api.weather.gov): point, then raw grid.

The raw grid is used instead of the text forecast: it has numbers, gusts and marine cells.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import timedelta
from http import HTTPStatus
from typing import TYPE_CHECKING, Any

import numpy as np
from pydantic import ValidationError

from safety_check.arrays import FloatArray, TimeArray
from safety_check.errors import DataError
from safety_check.model.clean_text import clean_text
from safety_check.model.place import is_on_earth
from safety_check.model.weather import Forecast, Provenance
from safety_check.sources.answers import Answer, believable, elevation, instant, number, read
from safety_check.sources.http.error_messages import StatusError
from safety_check.sources.nws.intervals import (
    Choice,
    Interval,
    agreed,
    expand,
    interval,
    whole_hours,
)
from safety_check.sources.nws.point import NwsAnswer, ask_point, properties_of
from safety_check.sources.nws.weather_codes import weather_code
from safety_check.units import KILOMETRE_PER_HOUR, ZERO_CELSIUS

if TYPE_CHECKING:
    from safety_check.sources.http.client import Client

NO_STORED_ANSWER = timedelta(seconds=-1)  # every stored answer is older
LONGEST = timedelta(days=16)  # a grid spans 7.5 to 8 days; twice that is not a forecast

# Their unit without its prefix, which has changed over the years: factor and offset to ours.
Units = Mapping[str, tuple[float, float]]
SPEED: Units = {"km_h-1": (KILOMETRE_PER_HOUR, 0.0), "m_s-1": (1.0, 0.0)}
ANGLE: Units = {"degree_(angle)": (1.0, 0.0)}
TEMPERATURE: Units = {"degC": (1.0, ZERO_CELSIUS)}
LENGTH: Units = {"m": (1.0, 0.0)}
SHARE: Units = {"percent": (0.01, 0.0)}
BARE_SHARE: Units = {"percent": (0.01, 0.0), "": (0.01, 0.0)}
PREFIXES = ("wmoUnit", "unit", "nwsUnit")


@dataclass(frozen=True)
class Layer:
    """How one layer of the grid becomes one quantity.

    Parameters
    ----------
    name
        Their name for it.
    units
        The accepted units; in any other the layer is unknown.
    choice
        The value to use where two intervals include one hour.
    ends
        True where the quantity describes the hour that ends, not of the one that starts.
    zero_is_unknown
        True where a week of nothing but 0 says "not made for this cell".
    optional
        True where not every office provides it: an empty layer then does not count as missing.
    """

    name: str
    units: Units
    choice: Choice
    ends: bool = False
    zero_is_unknown: bool = False
    optional: bool = False


# windSpeed is the greatest prevailing wind in its interval: it counts for the hour that starts
# then. windGust is the greatest gust in it: it counts for the hour that ends then.
LAYERS = {
    "wind_speed": Layer("windSpeed", SPEED, np.maximum),
    "wind_speed_of_gust": Layer("windGust", SPEED, np.maximum, ends=True),
    "wind_from_direction": Layer("windDirection", ANGLE, agreed),
    "air_temperature": Layer("temperature", TEMPERATURE, agreed),
    "relative_humidity": Layer("relativeHumidity", SHARE, agreed),
    "visibility_in_air": Layer("visibility", LENGTH, np.minimum),
    "probability_of_thunder": Layer("probabilityOfThunder", BARE_SHARE, np.maximum, optional=True),
    "sea_surface_wave_significant_height": Layer(
        "waveHeight", LENGTH, np.maximum, zero_is_unknown=True, optional=True
    ),
}


class Part(Answer):
    """One interval of a layer."""

    validTime: str
    value: Any


class Values(Answer):
    """One layer; without a unit and without parts where the office does not provide it."""

    uom: str | None = None
    values: list[Part]


def parse(body: bytes, provenance: Provenance) -> Forecast:
    """Return a raw grid as a forecast.

    Notes
    -----
    Intervals become hours; gaps, empty layers, nulls, unknown units and impossible values are
    NaN. A week of waves of height 0 is NaN too: shore cells outside the marine area have it
    (seen in six offices).
    """
    answer = read(body, NwsAnswer, provenance.source)
    properties = properties_of(answer, provenance)
    issued = instant(properties.get("updateTime"))
    if issued is None:
        raise DataError(
            f"{provenance.source}: updateTime is missing or has no zone, so the forecast's age"
            " is unknown and it can't be used. Try again, or use another source."
        )
    time = _axis(properties, provenance)
    quantities = {ours: _quantity(ours, layer, properties, time) for ours, layer in LAYERS.items()}
    quantities["weather_code"] = _weather(properties, time)
    if all(np.isnan(values).all() for values in quantities.values()):
        raise DataError(
            f"{provenance.source}: the grid has no value in a known unit for any hour."
            " It can't be used; try again later, or use another source."
        )
    return Forecast(
        time=time,
        models=("nws",),
        members=("",),
        quantities={ours: values[np.newaxis] for ours, values in quantities.items()},
        provenance=replace(provenance, model=_cell_name(properties), issued=issued),
        cell=_centre(answer.geometry),
        not_made=_not_made(properties),
        elevation=_elevation(properties.get("elevation")),
    )


def _elevation(told: object) -> float | None:
    """Return the mean height of a cell [m]; None where it or its unit is not known."""
    match told:
        case {"unitCode": str(unit), "value": value} if unit_of(unit) in LENGTH:
            factor, _ = LENGTH[unit_of(unit)]
            return elevation(number(value) * factor)
        case _:
            return None


def _not_made(properties: dict[str, Any]) -> tuple[str, ...]:
    """Return the optional quantities that the office does not make for this cell.

    Their layer exists but is empty, or has only the zeros of a shore cell. A layer that is
    missing or cannot be read does not count as empty.
    """
    return tuple(
        ours
        for ours, layer in LAYERS.items()
        if layer.optional and _says_none(layer, properties.get(layer.name))
    )


def _says_none(layer: Layer, told: object) -> bool:
    match told:
        case {"values": []}:
            return True
        case {"values": [*parts]} if layer.zero_is_unknown:
            return all(isinstance(part, dict) and number(part.get("value")) == 0 for part in parts)
        case _:
            return False


async def ask(client: Client, latitude: float, longitude: float) -> Forecast:
    """Ask for the forecast of a place.

    The cell of a place is stored for long, but can change: where the cell no longer exists, the
    place is requested again.
    """
    point = await ask_point(client, latitude, longitude)
    try:
        return await client.read(point.grid, {}, parse, source="nws_grid")
    except StatusError as trouble:
        if trouble.status != HTTPStatus.NOT_FOUND:
            raise
    point = await ask_point(client, latitude, longitude, max_age=NO_STORED_ANSWER)
    return await client.read(point.grid, {}, parse, source="nws_grid")


def unit_of(written: str) -> str:
    """Return a unit without its prefix; one with a strange prefix stays as it is.

    Examples
    --------
    >>> unit_of("wmoUnit:km_h-1"), unit_of("unit:km_h-1"), unit_of("mile:h-1")
    ('km_h-1', 'km_h-1', 'mile:h-1')
    """
    prefix, _, unit = written.partition(":")
    return unit if prefix in PREFIXES else written


def _axis(properties: dict[str, Any], provenance: Provenance) -> TimeArray:
    written = str(properties.get("validTimes"))
    span = interval(written)
    if span is None or span.end - span.start > LONGEST:
        raise DataError(
            f"{provenance.source}: validTimes = {clean_text(written[:80])!r} is no span of at most"
            f" {LONGEST.days} days, so its hours are unknown. Use another source."
        )
    return whole_hours(span)


def _cell_name(properties: dict[str, Any]) -> str:
    office, x, y = (properties.get(key, "?") for key in ("gridId", "gridX", "gridY"))
    return clean_text(f"{office} {x},{y}")


def _centre(geometry: object) -> tuple[float, float] | None:
    """Return latitude and longitude of the middle of a cell; None where it has no outline."""
    match geometry:
        case {"type": "Polygon", "coordinates": [[_, *corners]]} if corners:
            pairs = [corner if isinstance(corner, list) else [] for corner in corners]
        case _:
            return None
    if any(len(pair) != 2 for pair in pairs):
        return None
    longitude, latitude = (
        sum(number(value) for value in column) / len(pairs) for column in zip(*pairs, strict=True)
    )
    return (latitude, longitude) if is_on_earth(latitude, longitude) else None


def _quantity(ours: str, layer: Layer, properties: dict[str, Any], time: TimeArray) -> FloatArray:
    values = _values(properties.get(layer.name))
    scale = layer.units.get(unit_of(values.uom or ""))
    parts = list(_parts(values)) if scale else []
    if layer.zero_is_unknown and not any(number(raw) > 0 for _, raw in parts):
        parts = []
    factor, offset = scale or (math.nan, math.nan)
    known = ((span, believable(ours, number(raw) * factor + offset)) for span, raw in parts)
    hours = expand(known, time, layer.choice)
    return np.concatenate([[np.nan], hours[:-1]]) if layer.ends else hours


def _weather(properties: dict[str, Any], time: TimeArray) -> FloatArray:
    parts = _parts(_values(properties.get("weather")))
    return expand(((span, weather_code(words)) for span, words in parts), time, np.maximum)


def _values(layer: object) -> Values:
    try:
        return Values.model_validate(layer)
    except ValidationError:
        return Values(values=[])


def _parts(values: Values) -> Iterator[tuple[Interval, Any]]:
    """Yield each interval and its value; one whose time can't be read is a gap."""
    for part in values.values:
        span = interval(part.validTime)
        if span:
            yield span, part.value

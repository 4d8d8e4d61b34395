"""Read what services send: checked shapes, plausible numbers, instants with a zone."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import TypeVar
from urllib.parse import SplitResult, urlsplit

from pydantic import BaseModel, ConfigDict, ValidationError

from safety_check.errors import DataError
from safety_check.model.clean_text import clean_text
from safety_check.model.place import HIGHEST, LOWEST
from safety_check.model.weather import Observation, Provenance

# The range of natural values, rounded outwards; a number beyond it is an error of the service.
# Records: WMO World Weather and Climate Extremes Archive (from memory, not read): gust
# 113.2 m/s, air -89.2 and 56.7 °C, significant wave height 19 m at a buoy. Sea water
# freezes at -1.9 °C; the rest is judgement.
BELIEVABLE = {
    "wind_speed": (0.0, 115.0),
    "wind_speed_of_gust": (0.0, 115.0),
    "wind_from_direction": (0.0, 360.0),
    "air_temperature": (180.0, 335.0),
    "water_temperature": (270.0, 320.0),
    "relative_humidity": (0.01, 1.0),
    "visibility_in_air": (0.0, 350_000.0),
    "probability_of_thunder": (0.0, 1.0),
    "weather_code": (0.0, 99.0),
    "sea_surface_wave_significant_height": (0.0, 30.0),
    "sea_surface_swell_wave_significant_height": (0.0, 30.0),
    "sea_surface_wind_wave_significant_height": (0.0, 30.0),
    "sea_surface_wave_period_at_variance_spectral_density_maximum": (0.5, 40.0),
    "sea_surface_swell_wave_period": (0.5, 40.0),
    "sea_surface_wind_wave_period": (0.5, 40.0),
    "sea_surface_wave_from_direction": (0.0, 360.0),
    "sea_surface_swell_wave_from_direction": (0.0, 360.0),
    "sea_surface_wind_wave_from_direction": (0.0, 360.0),
    "water_surface_height_above_reference_datum": (-30.0, 30.0),
    "water_volume_transport_in_river_channel": (-1e5, 1e6),
    "sea_water_speed": (0.0, 12.0),
    "river_stage": (-100.0, 3000.0),
}

# judgement: clocks differ, and some services give the time of the end of a period
AHEAD = timedelta(minutes=15)
_NUMBER = re.compile(r"\s*[-+]?([0-9]+\.?[0-9]*|\.[0-9]+)(e[-+]?[0-9]+)?\s*", re.IGNORECASE)


class Answer(BaseModel):
    """A part of a service's answer: types as documented, numbers finite, unknown keys ignored."""

    model_config = ConfigDict(
        strict=True, extra="ignore", frozen=True, defer_build=True, allow_inf_nan=False
    )


Shape = TypeVar("Shape", bound=BaseModel)


def read(body: bytes, shape: type[Shape], source: str) -> Shape:
    """Return an answer in JSON as a checked shape.

    Raises
    ------
    DataError
        Naming the source, the field and what is wrong with it.
    """
    try:
        return shape.model_validate_json(body)
    except ValidationError as trouble:
        raise DataError(_error_message(trouble, body, source)) from trouble


def _error_message(trouble: ValidationError, body: bytes, source: str) -> str:
    first = trouble.errors(include_url=False, include_input=False)[0]
    remedy = "The answer can't be used. Try again later, or use another source."
    if first["type"] == "json_invalid":
        start = clean_text(body[:40].decode("utf-8", "replace")) if body else "nothing"
        return f"{source}: not JSON as documented, it begins with {start!r}. {remedy}"
    where = clean_text(".".join(str(part) for part in first["loc"])) or "the answer"
    return f"{source}: {where} is not as documented ({first['msg']}). {remedy}"


def instant(value: object) -> datetime | None:
    """Return an ISO 8601 instant in UTC; None where it has no zone or can't be read.

    Examples
    --------
    >>> instant("2026-05-30T17:45:00.000-07:00")
    datetime.datetime(2026, 5, 31, 0, 45, tzinfo=datetime.timezone.utc)
    >>> instant("2026-05-30T17:45") is None
    True
    """
    if not isinstance(value, str):
        return None
    try:
        parsed = datetime.fromisoformat(value)
        return parsed.astimezone(UTC) if parsed.tzinfo else None
    except (ValueError, OverflowError):
        return None


def link(value: object) -> SplitResult:
    """Return the parts of a link; they are empty where it can't be read."""
    try:
        return urlsplit(value if isinstance(value, str) else "")
    except ValueError:
        return urlsplit("")


def number(value: object) -> float:
    """Return a number that may come as text; NaN where it is not a number.

    Examples
    --------
    >>> number("4.4"), number(""), number(None), number("1e999")
    (4.4, nan, nan, nan)
    """
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        return math.nan
    if isinstance(value, str) and not _NUMBER.fullmatch(value):
        return math.nan
    try:
        found = float(value)
    except OverflowError:
        return math.nan
    return found if math.isfinite(found) else math.nan


def elevation(value: object) -> float | None:
    """Return a height above sea level that a launch on Earth can have [m]; None for any other.

    Examples
    --------
    >>> elevation(19), elevation(-9999), elevation("x")
    (19.0, None, None)
    """
    found = number(value)
    return found if LOWEST <= found <= HIGHEST else None


def believable(quantity: str, value: float) -> float:
    """Return the value where it is plausible, else NaN.

    Examples
    --------
    >>> believable("wind_speed", 12.0), believable("air_temperature", 2500.0)
    (12.0, nan)
    """
    low, high = BELIEVABLE[quantity]
    return value if low <= value <= high else math.nan


@dataclass(frozen=True)
class Sensor:
    """The station that measured.

    Parameters
    ----------
    station
        The station's name.
    distance
        Distance from the launch; None where it is not known. [m]
    provenance
        The service's answer.
    """

    station: str
    distance: float | None
    provenance: Provenance


def observed(
    quantity: str, value: float, time: datetime | None, sensor: Sensor, *, flagged: bool = False
) -> tuple[Observation, ...]:
    """Return one observation, or none where it is not plausible.

    A value is dropped where it is NaN or out of range, and where its time is unknown or
    later than the moment at which it was received, because it would never become too old.
    """
    source = sensor.provenance
    if time is None or time > source.fetched + AHEAD:
        return ()
    if math.isnan(believable(quantity, value)):
        return ()
    made = Observation(quantity, value, time, sensor.station, sensor.distance, source, flagged)
    return (made,)

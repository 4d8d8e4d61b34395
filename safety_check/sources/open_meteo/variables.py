"""Names in Open-Meteo's columns: variables, units, members and models."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from safety_check.sources.answers import BELIEVABLE
from safety_check.units import FOOT, KILOMETRE_PER_HOUR, KNOT, MILE_PER_HOUR, ZERO_CELSIUS

CONTROL = "control"  # the ensemble run whose column carries no member number


@dataclass(frozen=True)
class Variable:
    """One quantity in the names of the service.

    Parameters
    ----------
    name
        The name to request.
    kind
        The kind of unit that is accepted.
    older
        Spellings in older answers.
    """

    name: str
    kind: str
    older: tuple[str, ...] = ()


FORECAST = {
    "wind_speed": Variable("wind_speed_10m", "speed", ("windspeed_10m",)),
    "wind_speed_of_gust": Variable("wind_gusts_10m", "speed", ("windgusts_10m",)),
    "wind_from_direction": Variable("wind_direction_10m", "angle", ("winddirection_10m",)),
    "air_temperature": Variable("temperature_2m", "temperature"),
    "relative_humidity": Variable("relative_humidity_2m", "share", ("relativehumidity_2m",)),
    "precipitation_amount": Variable("precipitation", "amount"),
    "weather_code": Variable("weather_code", "code", ("weathercode",)),
    "visibility_in_air": Variable("visibility", "length"),
    "air_pressure_at_mean_sea_level": Variable("pressure_msl", "pressure"),
    "atmosphere_convective_available_potential_energy": Variable("cape", "energy"),
}
WIND = {
    name: FORECAST[name] for name in ("wind_speed", "wind_speed_of_gust", "wind_from_direction")
}
# A request counts as variables times runs. The direction of a run is lent by the single forecasts
# (see `lend_directions`), so it is not requested.
ENSEMBLE = {name: FORECAST[name] for name in ("wind_speed", "wind_speed_of_gust")}
MARINE = {
    "sea_surface_wave_significant_height": Variable("wave_height", "length"),
    "sea_surface_wave_mean_period": Variable("wave_period", "duration"),
    "sea_surface_wave_from_direction": Variable("wave_direction", "angle"),
    "sea_surface_temperature": Variable("sea_surface_temperature", "temperature"),
}

# Their unit to SI: factor and offset, exact by definition. In any other unit a column is unknown,
# also in "undefined", which the service writes for a column that it does not have.
UNITS: Mapping[str, Mapping[str, tuple[float, float]]] = {
    "speed": {
        "m/s": (1.0, 0.0),
        "km/h": (KILOMETRE_PER_HOUR, 0.0),
        "mp/h": (MILE_PER_HOUR, 0.0),
        "mph": (MILE_PER_HOUR, 0.0),
        "kn": (KNOT, 0.0),
    },
    "angle": {"°": (1.0, 0.0)},
    "temperature": {
        "°C": (1.0, ZERO_CELSIUS),
        "°F": (1 / 1.8, ZERO_CELSIUS - 32 / 1.8),
    },
    "share": {"%": (0.01, 0.0)},
    "amount": {"mm": (1.0, 0.0), "inch": (25.4, 0.0)},  # 1 mm of water is 1 kg m⁻²
    "length": {"m": (1.0, 0.0), "ft": (FOOT, 0.0)},
    "pressure": {"hPa": (100.0, 0.0)},
    "energy": {"J/kg": (1.0, 0.0)},
    "duration": {"s": (1.0, 0.0)},
    "code": {"wmo code": (1.0, 0.0)},
}

# Natural records, rounded outwards; a number beyond them is an error of the service.
# Records (WMO archive, from memory, not read): 305 mm of rain in 42 minutes; 870 and
# 1085 hPa at sea level. CAPE and the mean wave period: judgement.
RANGES: Mapping[str, tuple[float, float]] = {
    **BELIEVABLE,
    "precipitation_amount": (0.0, 400.0),
    "air_pressure_at_mean_sea_level": (85_000.0, 110_000.0),
    "atmosphere_convective_available_potential_energy": (0.0, 12_000.0),
    "sea_surface_wave_mean_period": (0.0, 40.0),
    "sea_surface_temperature": (270.0, 320.0),
}

# The documented part of WMO code table 4677. Any other number is unknown, not fair weather.
WEATHER_CODES = (
    *(0, 1, 2, 3, 45, 48, 51, 53, 55, 56, 57, 61, 63, 65, 66, 67),
    *(71, 73, 75, 77, 80, 81, 82, 85, 86, 95, 96, 99),
)

_REST = re.compile(
    r"(?:_previous_day(?P<day>[0-7]))?(?:_member(?P<member>[0-9]{2,3}))?(?:_(?P<model>.+))?"
)
_STRANGER = re.compile(r"wind_?speed_10m(?:_member[0-9]+)?_(?P<model>[a-z][a-z0-9_]{1,60})")
_NO_MODEL = re.compile(r"(?:max|min|mean|spread|sum|previous_day[0-9]|member[0-9]).*")


@dataclass(frozen=True)
class Column:
    """The parts of one column's name.

    Parameters
    ----------
    name
        The whole name.
    quantity
        Our name of its quantity.
    kind
        The kind of unit that it may have.
    day
        How many days before the hour it was predicted; 0 for the newest run.
    member
        The number of its run as written; "" without one.
    model
        Our name of the model; "" where the column names none.
    """

    name: str
    quantity: str
    kind: str
    day: int
    member: str
    model: str


def columns(
    names: Iterable[str], table: Mapping[str, Variable], models: Mapping[str, str]
) -> list[Column]:
    """Return the parts of the names of columns; unknown names are left out.

    Names nest ("precipitation", "precipitation_probability"; "icon_seamless",
    "meteoswiss_icon_seamless"), so the longest variable is tried first, and what follows it
    must be a whole known model.

    Parameters
    ----------
    names
        As in the answer.
    table
        Our name → variable.
    models
        Every spelling of a model → our name of it.
    """
    written = {
        spelling: (ours, variable.kind)
        for ours, variable in table.items()
        for spelling in (variable.name, *variable.older)
    }
    longest_first = sorted(written, key=len, reverse=True)
    read = (_column(name, longest_first, written, models) for name in names)
    return [column for column in read if column is not None]


def _column(
    name: str,
    spellings: Iterable[str],
    written: Mapping[str, tuple[str, str]],
    models: Mapping[str, str],
) -> Column | None:
    for spelling in spellings:
        if not name.startswith(spelling):
            continue
        rest = _REST.fullmatch(name, len(spelling))
        if rest and (rest["model"] is None or rest["model"] in models):
            quantity, kind = written[spelling]
            model = models[rest["model"]] if rest["model"] else ""
            return Column(name, quantity, kind, int(rest["day"] or 0), rest["member"] or "", model)
    return None


def strangers(names: Iterable[str], models: Mapping[str, str]) -> tuple[str, ...]:
    """Return the unknown models in the names of wind speed columns.

    Examples
    --------
    >>> strangers(["wind_speed_10m_new_model", "wind_speed_10m_max"], {})
    ('new_model',)
    """
    read = (_STRANGER.fullmatch(name) for name in names)
    ends = (match["model"] for match in read if match)
    return tuple(
        dict.fromkeys(end for end in ends if end not in models and not _NO_MODEL.fullmatch(end))
    )

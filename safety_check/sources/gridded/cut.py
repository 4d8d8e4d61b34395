"""Cut a gridded forecast to launches."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np

from safety_check.arrays import FloatArray, IntArray, TimeArray
from safety_check.errors import DataError
from safety_check.model.provenance import Provenance
from safety_check.model.weather import Forecast
from safety_check.settings.survey_file import load_survey_file
from safety_check.sources.gridded.dataset import (
    DEGREE,
    REMEDY,
    SOURCE,
    UNREADABLE,
    GriddedForecast,
)
from safety_check.sources.gridded.variables import EASTWARD, NORTHWARD, QUANTITIES
from safety_check.sources.open_meteo.variables import RANGES

if TYPE_CHECKING:
    from xarray import DataArray


def cut_to_places(
    gridded: GriddedForecast, places: Sequence[tuple[float, float]]
) -> Iterator[Forecast | str]:
    """Yield the forecast at each place, or why there is none; places of one cell share it.

    Parameters
    ----------
    gridded
        A forecast on a grid. Its time must be whole hours.
    places
        Latitude and longitude of each. [deg]

    Raises
    ------
    DataError
        Where the times are no whole hours in order, or the values can't be read.
    """
    data = gridded.data
    latitude, longitude = data["latitude"].values, data["longitude"].values
    rows = _nearest(latitude, [north for north, _ in places])
    columns = _nearest(longitude, [east for _, east in places], around=True)
    points = np.stack([rows, columns], axis=1)
    cells = [(float(latitude[row]), float(longitude[column])) for row, column in points]
    away = [_distance(place, cell) for place, cell in zip(places, cells, strict=True)]
    allowed = load_survey_file().forecast.spacings * gridded.spacing
    near = np.array(away) <= allowed
    found: dict[tuple[float, float], Forecast] = {}
    if near.any():
        found = _at_points(gridded, np.unique(points[near], axis=0))
    for cell, distance in zip(cells, away, strict=True):
        if distance > allowed:
            yield (
                f"{gridded.name}: its nearest grid point is {distance / 1000:.0f} km away, more"
                f" than the {allowed / 1000:.0f} km of its grid"
            )
        else:
            yield found[cell]


def _nearest(axis: FloatArray, wanted: Sequence[float], around: bool = False) -> IntArray:
    """Return the index of the nearest point of an axis [deg]; `around` goes round the Earth."""
    apart = np.abs(np.asarray(wanted)[:, None] - axis[None, :])
    if around:
        apart = np.abs((apart + 180) % 360 - 180)
    nearest: IntArray = apart.argmin(axis=1)
    return nearest


def _distance(one: tuple[float, float], other: tuple[float, float]) -> float:
    """Return the distance of two near places on a sphere. [m]."""
    north = one[0] - other[0]
    east = (one[1] - other[1] + 180) % 360 - 180
    return DEGREE * math.hypot(north, east * math.cos(math.radians(one[0])))


def _hours(values: np.ndarray, name: str) -> TimeArray:
    time = values.astype("datetime64[s]")
    whole = (time == time.astype("datetime64[h]")).all()
    if not len(time) or not whole or not (np.diff(time) > np.timedelta64(0, "s")).all():
        raise DataError(f"{name}: its times are no whole hours in ascending order. {REMEDY}")
    return time


def _at_points(gridded: GriddedForecast, points: IntArray) -> dict[tuple[float, float], Forecast]:
    """Return the forecast of each grid point, array (point, row and column), by its place."""
    import xarray

    data = gridded.data
    time = _hours(data["time"].values, gridded.name)
    at = {
        name: xarray.DataArray(index, dims="point")
        for name, index in zip(("latitude", "longitude"), points.T, strict=True)
    }
    try:
        values = {
            name: _in_si(data[variable].isel(at), factors)
            for name, (variable, factors) in gridded.quantities.items()
        }
    except UNREADABLE as trouble:
        first = str(trouble).partition("\n")[0]
        raise DataError(
            f"{gridded.name}: the forecast is damaged or cannot be reached ({first}). Get its files"
            " again."
        ) from trouble
    rows, columns = points.T
    places = zip(
        data["latitude"].values[rows].tolist(),
        data["longitude"].values[columns].tolist(),
        strict=True,
    )
    return {
        place: _forecast(gridded, time, {name: one[point] for name, one in values.items()}, place)
        for point, place in enumerate(places)
    }


def _in_si(variable: DataArray, factors: tuple[float, float]) -> FloatArray:
    """Return a variable as array (point, member, time) in SI; NaN is unknown."""
    runs = variable if "member" in variable.dims else variable.expand_dims("member")
    others = [name for name in runs.dims if name not in ("point", "member", "time")]
    cut = runs.isel(dict.fromkeys(others, 0)).transpose("point", "member", "time")
    factor, offset = factors
    values = cut.compute(scheduler="synchronous").values.astype(float)
    scaled: FloatArray = values * factor + offset
    return scaled


def _forecast(
    gridded: GriddedForecast,
    time: TimeArray,
    values: Mapping[str, FloatArray],
    cell: tuple[float, float],
) -> Forecast:
    """Return the forecast of one place; hours that the file skips are missing."""
    winds = _speed_and_direction(values)
    quantities = {
        name: _within_range(name, one) for name, one in {**values, **winds}.items()
        if name not in (EASTWARD, NORTHWARD)
    }  # fmt: skip
    gust = quantities.get("wind_speed_of_gust")
    if gust is not None:
        quantities["wind_speed_of_gust"] = np.maximum(gust, quantities["wind_speed"])
    shape = quantities["wind_speed"].shape
    quantities |= {name: np.full(shape, np.nan) for name in gridded.unknown}
    members = shape[0]
    made = gridded.made
    asked = [name for name in QUANTITIES if name not in (EASTWARD, NORTHWARD)]
    return Forecast(
        time=time,
        models=(gridded.name,) * members,
        members=tuple(str(run) for run in range(members)) if members > 1 else ("",),
        quantities=quantities,
        provenance=Provenance(SOURCE, gridded.name, "", made, made, False),
        cell=cell,
        not_made=tuple(name for name in asked if name not in quantities),
    )


def _speed_and_direction(values: Mapping[str, FloatArray]) -> dict[str, FloatArray]:
    """Return speed and direction of components, where the file has these and no speed."""
    if EASTWARD not in values or NORTHWARD not in values or "wind_speed" in values:
        return {}
    east, north = values[EASTWARD], values[NORTHWARD]
    direction = np.degrees(np.arctan2(-east, -north)) % 360.0
    return {"wind_speed": np.hypot(east, north), "wind_from_direction": direction}


def _within_range(name: str, values: FloatArray) -> FloatArray:
    """Return values, NaN where they are beyond what nature has."""
    low, high = RANGES.get(name, (-math.inf, math.inf))
    return np.where((values >= low) & (values <= high), values, np.nan)

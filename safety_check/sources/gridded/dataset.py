"""Read a gridded forecast with xarray, and cut it to launches."""

from __future__ import annotations

import math
import warnings
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from safety_check.arrays import FloatArray, IntArray, TimeArray, to_utc
from safety_check.errors import ConfigError, DataError
from safety_check.model.provenance import Provenance
from safety_check.model.weather import Forecast
from safety_check.settings.survey_file import load_survey_file
from safety_check.sources.gridded.variables import (
    EASTWARD,
    NORTHWARD,
    QUANTITIES,
    SHORT_NAMES,
    UNITS,
)
from safety_check.sources.open_meteo.variables import RANGES

if TYPE_CHECKING:
    from xarray import DataArray, Dataset

SOURCE = "forecast file"
HOUR = np.timedelta64(3600, "s")
DEGREE = 111_195.0  # m of latitude, on a sphere of 6371 km
NAMES = {
    "latitude": ("latitude", "lat"),
    "longitude": ("longitude", "lon"),
    "time": ("time", "valid_time", "step"),
    "member": ("member", "number", "realization", "ensemble"),
}
DRY = "Give another file, or convert it so that it follows the CF conventions."


@dataclass(frozen=True)
class GriddedForecast:
    """A forecast of one model on a grid, not yet read.

    Parameters
    ----------
    name
        The model's name, as in `NAME=PATH`, else the file's.
    data
        With the dimensions time, latitude, longitude and perhaps member.
    quantities
        Our name → the variable and the factor and offset of its unit.
    refused
        Variables that can't be used, and why.
    made
        When the run was made.
    spacing
        Between grid points, the wider of the two directions. [m]
    """

    name: str
    data: Dataset
    quantities: Mapping[str, tuple[str, tuple[float, float]]]
    refused: tuple[str, ...]
    made: datetime
    spacing: float


def open_forecast(named: str) -> GriddedForecast:
    """Open a gridded forecast: NetCDF, zarr, a kerchunk reference or GRIB.

    Parameters
    ----------
    named
        A path, or "NAME=PATH" to name the model.

    Raises
    ------
    ConfigError
        Where the library that reads such files is not installed.
    DataError
        Where the file is no forecast on a grid of latitude and longitude by the hour.
    """
    name, equals, text = named.partition("=")
    path = text if equals else named
    label = name if equals else Path(path.rstrip("/")).stem
    data = _with_plain_names(_opened(path), path)
    quantities, refused = _quantities(data)
    if not {"wind_speed", EASTWARD} & quantities.keys():
        raise DataError(
            f"{path}: no wind. It needs wind_speed, or eastward_wind and northward_wind, as CF"
            f" standard names in a known unit. {' '.join(refused)} {DRY}"
        )
    return GriddedForecast(
        label, data, quantities, refused, _made(data, path), _spacing(data, path)
    )


def _opened(path: str) -> Dataset:
    try:
        import xarray
    except ImportError as trouble:
        raise ConfigError(
            f"survey needs xarray ({trouble}). Install it: pip install 'safety-check[survey]'"
        ) from trouble
    try:
        if path.rstrip("/").endswith(".zarr"):
            with warnings.catch_warnings():  # a store may well have no consolidated metadata
                warnings.simplefilter("ignore", RuntimeWarning)
                stored: Dataset = xarray.open_zarr(path)
                return stored
        if path.endswith((".json", ".parq")):
            return xarray.open_dataset(path, engine="kerchunk", chunks={})
        grib = path.endswith((".grib", ".grib2", ".grb", ".grb2"))
        return xarray.open_dataset(path, engine="cfgrib" if grib else None, chunks={})
    except (OSError, ValueError, KeyError, RuntimeError) as trouble:
        first = str(trouble).partition("\n")[0]
        raise DataError(
            f"{path} cannot be opened as a gridded forecast: {first}. {DRY}"
        ) from trouble


def _with_plain_names(data: Dataset, path: str) -> Dataset:
    """Return a data set with the dimensions time, latitude, longitude and perhaps member."""
    if "step" in data.dims and "valid_time" in data.coords:
        data = data.swap_dims({"step": "valid_time"})
        if "time" in data.coords and not data["time"].dims:
            made = data["time"].values
            data = data.drop_vars("time").assign_attrs(forecast_reference_time=str(made))
    found = {
        plain: next((name for name in names if name in data.dims), None)
        for plain, names in NAMES.items()
    }
    missing = [name for name in ("time", "latitude", "longitude") if found[name] is None]
    if missing:
        raise DataError(
            f"{path}: no dimension {' and no '.join(missing)} (it has"
            f" {', '.join(map(str, data.dims))}). {DRY}"
        )
    return data.rename({name: plain for plain, name in found.items() if name and name != plain})


def _quantities(
    data: Dataset,
) -> tuple[dict[str, tuple[str, tuple[float, float]]], tuple[str, ...]]:
    """Return the variables of the quantities that are known, and why others are refused."""
    found: dict[str, tuple[str, tuple[float, float]]] = {}
    refused = []
    for name, variable in data.data_vars.items():
        said = variable.attrs.get("standard_name") or variable.attrs.get("GRIB_cfName")
        quantity = said if said in QUANTITIES else SHORT_NAMES.get(str(name), str(name))
        if quantity not in QUANTITIES:
            continue
        unit = str(variable.attrs.get("units", ""))
        factors = UNITS[QUANTITIES[quantity]].get(unit)
        if factors is None:
            refused.append(f"{name}: unit {unit!r} is not known for {quantity}.")
        elif quantity in found:
            refused.append(f"{name}: {quantity} is there twice; {found[quantity][0]} counts.")
        else:
            found[quantity] = (str(name), factors)
    return found, tuple(refused)


def _made(data: Dataset, path: str) -> datetime:
    """Return when a run was made; UTC."""
    stated: Any = next(
        (one.values for one in data.coords.values()
         if one.attrs.get("standard_name") == "forecast_reference_time" and not one.dims),
        data.attrs.get("forecast_reference_time"),
    )  # fmt: skip
    try:
        moment = np.datetime64(stated if stated is not None else "", "s")
    except (TypeError, ValueError):
        moment = np.datetime64("NaT", "s")
    if np.isnat(moment):
        raise DataError(
            f"{path}: it does not say when the run was made (forecast_reference_time, as a"
            f" coordinate with that standard name or an attribute of the file), so its age is not"
            f" known. {DRY}"
        )
    return to_utc(moment)


def _spacing(data: Dataset, path: str) -> float:
    """Return the wider spacing of a regular grid. [m]."""
    steps = []
    for name in ("latitude", "longitude"):
        values = data[name].values.astype(float)
        step = np.abs(np.diff(values))
        if values.ndim != 1 or not step.size or not np.allclose(step, step[0], rtol=0.02):
            raise DataError(f"{path}: {name} is not one regular axis of at least two points. {DRY}")
        steps.append(float(step[0]))
    return max(steps) * DEGREE


# -- cut to the launches -----------------------------------------------------------------------


def cut_to_places(
    gridded: GriddedForecast, places: Sequence[tuple[float, float]]
) -> Iterator[Forecast | str]:
    """Yield the forecast at each place, or why there is none.

    Parameters
    ----------
    gridded
        A forecast on a grid. Its time must be whole hours.
    places
        Latitude and longitude of each. [deg]

    Raises
    ------
    DataError
        Where the times are no whole hours in order.
    """
    data = gridded.data
    rows = _nearest(data["latitude"].values, [north for north, _ in places])
    columns = _nearest(data["longitude"].values, [east for _, east in places], around=True)
    time = _hours(data["time"].values, gridded.name)
    values = {
        name: _read(data[variable], rows, columns, factors)
        for name, (variable, factors) in gridded.quantities.items()
    }
    cells = [
        (float(data["latitude"].values[row]), float(data["longitude"].values[column]))
        for row, column in zip(rows, columns, strict=True)
    ]
    allowed = load_survey_file().forecast.spacings * gridded.spacing
    for site, (place, cell) in enumerate(zip(places, cells, strict=True)):
        away = _distance(place, cell)
        if away > allowed:
            yield (
                f"{gridded.name}: its nearest grid point is {away / 1000:.0f} km away, more than"
                f" the {allowed / 1000:.0f} km of its grid"
            )
        else:
            yield _forecast(gridded, time, {name: one[site] for name, one in values.items()}, cell)


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
        raise DataError(f"{name}: its times are no whole hours in ascending order. {DRY}")
    return time


def _read(
    variable: DataArray, rows: IntArray, columns: IntArray, factors: tuple[float, float]
) -> FloatArray:
    """Return a variable at grid points, as array (site, member, time) in SI; NaN is unknown."""
    import xarray

    at = {
        "latitude": xarray.DataArray(rows, dims="site"),
        "longitude": xarray.DataArray(columns, dims="site"),
    }
    cut = variable.isel(at)
    cut = cut if "member" in cut.dims else cut.expand_dims("member")
    others = [name for name in cut.dims if name not in ("site", "member", "time")]
    cut = cut.isel(dict.fromkeys(others, 0)) if others else cut
    values = cut.transpose("site", "member", "time").compute(scheduler="synchronous").values
    factor, offset = factors
    scaled: FloatArray = values.astype(float) * factor + offset
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
    members = next(iter(quantities.values())).shape[0]
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

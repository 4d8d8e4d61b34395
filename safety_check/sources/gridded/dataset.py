"""Open a gridded forecast with xarray."""

from __future__ import annotations

import importlib
import warnings
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from safety_check.arrays import to_utc
from safety_check.errors import ConfigError, DataError
from safety_check.sources.gridded.variables import (
    EASTWARD,
    QUANTITIES,
    SHORT_NAMES,
    UNITS,
)

if TYPE_CHECKING:
    from xarray import Dataset

SOURCE = "forecast file"
DEGREE = 111_195.0  # m of latitude, on a sphere of 6371 km
NAMES = {
    "latitude": ("latitude", "lat"),
    "longitude": ("longitude", "lon"),
    "time": ("time", "valid_time", "step"),
    "member": ("member", "number", "realization", "ensemble"),
}
ENGINES = {
    ".zarr": "zarr",
    **dict.fromkeys((".json", ".parq"), "kerchunk"),
    **dict.fromkeys((".grib", ".grib2", ".grb", ".grb2"), "cfgrib"),
    **dict.fromkeys((".nc", ".nc4"), "netcdf4"),
}
"""Ending of a path → what xarray opens it with; others as xarray guesses."""

EXTRA = "'safety-check[survey]'"
LIBRARIES: Mapping[str | None, tuple[tuple[str, str], ...]] = {
    "zarr": (("zarr", EXTRA),),
    "kerchunk": (("kerchunk", "kerchunk"),),
    "cfgrib": (("cfgrib", "cfgrib eccodes"),),
    "netcdf4": (("netCDF4", "netCDF4"),),
}
"""What an engine needs, and how it is installed."""

CFGRIB = {
    "indexpath": "",  # writes nothing beside the forecast
    "coords_as_attributes": ["heightAboveGround"],  # wind at 10 m and air at 2 m are in one file
}
UNREADABLE = (OSError, EOFError, ValueError, KeyError, RuntimeError)
"""What the libraries raise where a file is not what its name says, or is damaged."""

REMEDY = "Give another file, or convert it so that it follows the CF conventions."


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
    unknown
        Our names of quantities that it holds in a unit that is not known; their values are NaN.
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
    unknown: tuple[str, ...]
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
    quantities, unknown, refused = _quantities(data)
    if not {"wind_speed", EASTWARD} & quantities.keys():
        raise DataError(
            f"{path}: no wind. It needs wind_speed, or eastward_wind and northward_wind, as CF"
            f" standard names in a known unit. {' '.join(refused)} {REMEDY}"
        )
    return GriddedForecast(
        label, data, quantities, unknown, refused, _made(data, path), _spacing(data, path)
    )


def _opened(path: str) -> Dataset:
    engine = next(
        (name for ending, name in ENGINES.items() if path.rstrip("/").endswith(ending)), None
    )
    _require_libraries(path, engine)
    import xarray

    options: dict[str, Any] = {"backend_kwargs": CFGRIB} if engine == "cfgrib" else {}
    try:
        with warnings.catch_warnings():  # a store may well have no consolidated metadata
            warnings.simplefilter("ignore", RuntimeWarning)
            return xarray.open_dataset(path, engine=engine, chunks={}, **options)
    except UNREADABLE as trouble:
        first = str(trouble).partition("\n")[0]
        raise DataError(
            f"{path} cannot be opened as a gridded forecast: {first}. {REMEDY}"
        ) from trouble


def _require_libraries(path: str, engine: str | None) -> None:
    """Name the library that is missing, before xarray says that it knows no such engine."""
    for name, remedy in (("xarray", EXTRA), *LIBRARIES.get(engine, ())):
        try:
            importlib.import_module(name)
        except (ImportError, RuntimeError, OSError) as trouble:  # the last two: its C library
            first = str(trouble).partition("\n")[0]
            raise ConfigError(
                f"{path}: it is read with {name}, which is missing or does not work ({first})."
                f" Install it: pip install {remedy}"
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
            f" {', '.join(map(str, data.dims))}). {REMEDY}"
        )
    return data.rename({name: plain for plain, name in found.items() if name and name != plain})


def _quantities(
    data: Dataset,
) -> tuple[dict[str, tuple[str, tuple[float, float]]], tuple[str, ...], tuple[str, ...]]:
    """Return the variables of the quantities that are known, those unknown, and why refused."""
    found: dict[str, tuple[str, tuple[float, float]]] = {}
    unknown, refused = [], []
    for name, variable in data.data_vars.items():
        said = variable.attrs.get("standard_name") or variable.attrs.get("GRIB_cfName")
        quantity = said if said in QUANTITIES else SHORT_NAMES.get(str(name), str(name))
        if quantity not in QUANTITIES:
            continue
        unit = str(variable.attrs.get("units", ""))
        factors = UNITS[QUANTITIES[quantity]].get(unit)
        if factors is None:
            unknown.append(quantity)
            refused.append(f"{name}: unit {unit!r} is not known for {quantity}.")
        elif quantity in found:
            refused.append(f"{name}: {quantity} is there twice; {found[quantity][0]} counts.")
        else:
            found[quantity] = (str(name), factors)
    return found, tuple(name for name in unknown if name not in found), tuple(refused)


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
            f" known. {REMEDY}"
        )
    return to_utc(moment)


def _spacing(data: Dataset, path: str) -> float:
    """Return the wider spacing of a regular grid. [m]."""
    steps = []
    for name in ("latitude", "longitude"):
        values = data[name].values.astype(float)
        step = np.abs(np.diff(values))
        if values.ndim != 1 or not step.size or not np.allclose(step, step[0], rtol=0.02):
            raise DataError(
                f"{path}: {name} is not one regular axis of at least two points. {REMEDY}"
            )
        steps.append(float(step[0]))
    return max(steps) * DEGREE

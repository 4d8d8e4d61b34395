"""Small invented forecasts on a grid, written as zarr."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import xarray

MADE = "2026-06-12T18:00"
TIME = (np.datetime64(MADE) + np.arange(-24, 96) * np.timedelta64(1, "h")).astype("datetime64[ns]")
SOUTH, WEST, STEP, CELLS = 44.0, -101.0, 0.25, 8
BENIGN: dict[str, tuple[float, str]] = {
    "air_temperature": (22.0, "degC"),
    "relative_humidity": (50.0, "%"),
    "precipitation_amount": (0.0, "kg m-2"),
    "weather_code": (1.0, "1"),
    "visibility_in_air": (20.0, "km"),
    "air_pressure_at_mean_sea_level": (1015.0, "hPa"),
    "atmosphere_convective_available_potential_energy": (50.0, "J kg-1"),
}


def grid(members: int = 2, seed: int = 1, west: float = WEST) -> xarray.Dataset:
    """Return a forecast of winds that rise in the afternoon, more on two of the days."""
    chance = np.random.default_rng(seed)
    shape = (members, len(TIME), CELLS, CELLS)
    daily = 4.0 + 3.0 * np.sin(2 * np.pi * (np.arange(len(TIME)) - 8) / 24)
    by_day = np.repeat([0.5, 0.5, 4.0, 4.0, 5.0], 24)
    speed = (daily * by_day)[None, :, None, None] * chance.gamma(40, 0.025, shape)
    data: dict[str, tuple[Any, np.ndarray, dict[str, str]]] = {}

    def add(name: str, values: np.ndarray, unit: str) -> None:
        attributes = {"standard_name": name, "units": unit}
        data[name] = (("member", "time", "latitude", "longitude"), values, attributes)

    add("wind_speed", speed, "m s-1")
    add("wind_speed_of_gust", 1.4 * speed, "m s-1")
    add("wind_from_direction", np.full(shape, 230.0), "degree")
    for name, (value, unit) in BENIGN.items():
        add(name, np.full(shape, value), unit)
    axes = {
        "time": TIME,
        "latitude": SOUTH + STEP * np.arange(CELLS),
        "longitude": west + STEP * np.arange(CELLS),
        "member": np.arange(members),
    }
    return xarray.Dataset(data, coords=axes, attrs={"forecast_reference_time": MADE})


def write(data: xarray.Dataset, path: Path) -> str:
    """Write a data set as zarr; return its path."""
    data.to_zarr(path, mode="w", consolidated=False)
    return str(path)

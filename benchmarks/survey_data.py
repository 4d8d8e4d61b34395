"""Invented forecasts on a grid, as zarr, and invented launches on it, for `benchmarks.survey`."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import xarray

from safety_check.arrays import FloatArray
from tests.sources.gridded.grids import BENIGN

MADE = np.datetime64("2026-06-12T18:00")
NOW = "2026-06-12T20:00"
TIME = (MADE + np.arange(-24, 24 * 8) * np.timedelta64(1, "h")).astype("datetime64[ns]")
SOUTH, WEST, STEP, CELLS = 40.0, -96.0, 0.25, 24  # degrees; 6 by 6 degrees
TILE = 4  # cells of a chunk in each direction
MODELS = {"gfs": 1, "icon": 1, "ecmwf": 1, "gem": 1, "ensemble": 50}
"""Model → its members."""

CRAFTS = ("canoe", "sit-on-top-kayak", "inflatable-kayak")
SECTORS = ("N", "E", "S", "W")


def write_forecasts(folder: Path, ensemble: bool = True) -> tuple[str, ...]:
    """Write a zarr store for each model; return the arguments of `--forecasts`."""
    rng = np.random.default_rng(20261127)
    return tuple(
        _written(name, members, folder, rng)
        for name, members in MODELS.items()
        if ensemble or members == 1
    )


def _written(name: str, members: int, folder: Path, rng: np.random.Generator) -> str:
    store = folder / f"{name}.zarr"
    tiles = {"member": -1, "time": -1, "latitude": TILE, "longitude": TILE}
    _forecast(members, rng).chunk(tiles).to_zarr(store, consolidated=False)
    return f"{name}={store}"


def _forecast(members: int, rng: np.random.Generator) -> xarray.Dataset:
    """Return winds that rise in the afternoon, by days, places and members a little different."""
    shape = (members, len(TIME), CELLS, CELLS)
    hour = np.arange(len(TIME))
    daily = 3.0 + 2.0 * np.sin(2 * np.pi * (hour - 13) / 24)
    by_day = np.repeat([0.5, 0.7, 1.0, 1.4, 0.8, 2.0, 0.6, 1.1, 1.0], 24)
    by_place = rng.uniform(0.4, 1.8, (CELLS, CELLS))
    wind = (daily * by_day)[None, :, None, None] * by_place * rng.gamma(40, 0.025, shape)
    fields: dict[str, tuple[FloatArray, str]] = {
        "wind_speed": (wind, "m s-1"),
        "wind_speed_of_gust": (1.4 * wind, "m s-1"),
        "wind_from_direction": (rng.uniform(200, 260, shape), "degree"),
        **{name: (np.full(shape, value), unit) for name, (value, unit) in BENIGN.items()},
    }
    axes = {
        "time": TIME,
        "latitude": SOUTH + STEP * np.arange(CELLS),
        "longitude": WEST + STEP * np.arange(CELLS),
        "member": np.arange(members),
    }
    data = {
        name: (
            ("member", "time", "latitude", "longitude"),
            values.astype(np.float32).round(1),  # as packed model files give it
            {"standard_name": name, "units": unit},
        )
        for name, (values, unit) in fields.items()
    }
    return xarray.Dataset(data, coords=axes, attrs={"forecast_reference_time": str(MADE)})


def write_launches(path: Path, number: int) -> Path:
    """Write a table of launches in waters of different openness; return its path."""
    rng = np.random.default_rng(20261128)
    rows = ["name,latitude,longitude,craft,fetch", *_rows(number, rng)]
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    return path


def _rows(number: int, rng: np.random.Generator) -> Iterator[str]:
    span = STEP * (CELLS - 1)
    for launch in range(number):
        north, east = rng.uniform(0, span, 2)
        sides = ", ".join(f"{side} {rng.integers(200, 4000)} m" for side in SECTORS)
        craft = CRAFTS[rng.integers(len(CRAFTS))]
        yield f'launch {launch},{SOUTH + north:.4f},{WEST + east:.4f},{craft},"{sides}"'

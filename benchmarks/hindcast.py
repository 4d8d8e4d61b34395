"""Waves that the wind of lake buoys should have raised, against those the buoys measured.

Run with `python -m benchmarks.hindcast --buoys DIR --lakes DIR`: a folder of the National Data
Buoy Center's season files, named by station, and one of shorelines. Prints for each file, over
all hours and over those with strong wind, how the sea followed through the hours compares with
the measured one, and beside it the plain formula at the full fetch of each hour's wind.
Bias and RMSE in metres; scatter: RMSE over the mean measured height; hits, missed and false
alarms: hours of 0.6 m and more. Wind is at ten metres, brought up from the mast. The last line
is the scatter of station 45012, over all its files, or of the first station there is.
"""

from __future__ import annotations

import argparse
import json
import sys
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from benchmarks.buoy_file import Hours, read_hours, ten_metre_wind
from safety_check.arrays import FloatArray
from safety_check.errors import DataError
from safety_check.physics.fetch import straight_fetch
from safety_check.physics.growth_through_hours import sea_through_hours
from safety_check.physics.waves import significant_height
from safety_check.waters.projection import local_rings

BEARING = np.arange(360.0)
STRONG_WINDS = (0.0, 6.0, 10.0)
ALARM = 0.6
HEADLINE = "45012"
HEADING = "hours    bias    RMSE  scatter  corr.   hits  missed  false"


@dataclass(frozen=True)
class Station:
    """A buoy's place, mast, lake and clock."""

    name: str
    latitude: float
    longitude: float
    mast: float
    lake: str
    time_zone: str


def stations() -> dict[str, Station]:
    """Return the stations of the table beside this command."""
    table = tomllib.loads(Path(__file__).with_name("stations.toml").read_text(encoding="utf-8"))
    return {number: Station(**row) for number, row in table.items()}


def open_water(station: Station, lakes: Path) -> FloatArray:
    """Return the straight fetch at a station by whole degree, in metres."""
    path = lakes / f"{station.lake}.geojson"
    try:
        shape: Any = json.loads(path.read_text(encoding="utf-8"))["features"][0]["geometry"]
        polygons = (
            shape["coordinates"] if shape["type"] == "MultiPolygon" else [shape["coordinates"]]
        )
        shoreline = [np.array(ring, dtype=float)[:, :2] for polygon in polygons for ring in polygon]
    except (OSError, ValueError, LookupError, TypeError) as trouble:
        raise DataError(f"{path}: no shoreline can be read from it ({trouble}).") from trouble
    rings = local_rings(shoreline, station.longitude, station.latitude)
    return straight_fetch(rings, np.zeros((1, 2)), BEARING)[:, 0]


def predictions(hours: Hours, wind: FloatArray, fetch: FloatArray) -> dict[str, FloatArray]:
    """Return the height of every hour by each method, in metres."""
    direction = hours.wind_from_direction
    followed = sea_through_hours(wind[None], direction[None], BEARING, fetch).height[0]
    straight = np.interp(direction, BEARING, fetch, period=360)
    return {
        "through the hours": followed,
        "full fetch at once": significant_height(wind, straight),
    }


def score(predicted: FloatArray, measured: FloatArray) -> str:
    """Return a line of figures: error, scatter, correlation, and alarms at 0.6 m."""
    if predicted.size < 2:
        return f"{predicted.size:5d}"
    error = predicted - measured
    rmse = np.sqrt(np.mean(error**2))
    spread = np.std(predicted) * np.std(measured)
    together = np.mean((predicted - predicted.mean()) * (measured - measured.mean()))
    correlation = together / spread if spread > 0 else np.nan
    high, alarmed = measured >= ALARM, predicted >= ALARM
    return (
        f"{error.size:5d}  {error.mean():+.3f}   {rmse:.3f}    {rmse / measured.mean():.3f}"
        f"   {correlation:.3f}  {np.sum(high & alarmed):5d}   {np.sum(high & ~alarmed):5d}"
        f"  {np.sum(~high & alarmed):5d}"
    )


def compare(path: Path, station: Station, lakes: Path) -> tuple[FloatArray, FloatArray]:
    """Print a file's comparison; return its predicted and measured heights in metres."""
    hours = read_hours(path)
    wind = ten_metre_wind(hours.wind_speed, station.mast)
    fetch = open_water(station, lakes)
    if not np.isfinite(fetch).all():
        raise DataError(f"{path.name}: its station is not on {station.lake}. It was left out.")
    reach = f"fetch {fetch.min() / 1e3:.0f} to {fetch.max() / 1e3:.0f} km"
    print(f"\n{path.name}: {station.name}, mast {station.mast:g} m, {reach}")
    print(f"{'':38s}{HEADING}")
    found = predictions(hours, wind, fetch)
    known = np.all([np.isfinite(one) for one in (*found.values(), hours.height)], axis=0)
    for name, height in found.items():
        for strong in STRONG_WINDS:
            row = f"  {name}, wind from {strong:g} m/s" if strong else f"  {name}, all"
            counted = known & (wind >= strong)
            print(f"{row:38s}{score(height[counted], hours.height[counted])}")
    return found["through the hours"][known], hours.height[known]


def headline(results: dict[str, list[tuple[FloatArray, FloatArray]]]) -> str:
    """Return the scatter index of the headline's station over all its files."""
    number = HEADLINE if HEADLINE in results else next(iter(results))
    predicted, measured = (np.concatenate(parts) for parts in zip(*results[number], strict=True))
    scatter = np.sqrt(np.mean((predicted - measured) ** 2)) / measured.mean()
    return f"hindcast_scatter_index_{number}: {scatter:.3f}"


def main() -> int:
    """Compare every file of a folder; return 1 where none could be compared."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--buoys", type=Path, required=True, help="folder of season files, *.txt")
    parser.add_argument("--lakes", type=Path, required=True, help="folder of *.geojson")
    asked = parser.parse_args()
    known = stations()
    results: dict[str, list[tuple[FloatArray, FloatArray]]] = {}
    for path in sorted(asked.buoys.glob("*.txt")):
        number = path.name[:5]
        if number not in known:
            print(f"\n{path.name}: station {number} is not in benchmarks/stations.toml; left out.")
            continue
        try:
            results.setdefault(number, []).append(compare(path, known[number], asked.lakes))
        except DataError as trouble:
            print(f"\n{trouble}")
    results = {number: pairs for number, pairs in results.items() if pairs}
    if not results:
        print(f"No file of {asked.buoys} could be compared.", file=sys.stderr)
        return 1
    print(f"\n{headline(results)}")
    return 0


if __name__ == "__main__":
    sys.exit(main())

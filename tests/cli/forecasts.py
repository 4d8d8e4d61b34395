"""Invented forecast files, in the form in which the service sends them."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

DAY = datetime(2026, 6, 12, tzinfo=UTC)
UNITS = {
    "wind_speed_10m": "m/s",
    "wind_gusts_10m": "m/s",
    "wind_direction_10m": "°",
    "temperature_2m": "°C",
    "relative_humidity_2m": "%",
    "precipitation": "mm",
    "weather_code": "wmo code",
    "visibility": "m",
    "pressure_msl": "hPa",
    "cape": "J/kg",
}
CALM: dict[str, Any] = {
    "wind_speed_10m": 1.5,
    "wind_gusts_10m": 2.6,
    "wind_direction_10m": 270,
    "temperature_2m": 22.0,
    "relative_humidity_2m": 50,
    "precipitation": 0.0,
    "weather_code": 1,
    "visibility": 24000.0,
    "pressure_msl": 1015.0,
    "cape": 10.0,
}


def answer(hours: int = 72, **changes: Any) -> dict[str, Any]:
    """Return an answer whose columns never change; None leaves a column out."""
    said = {name: value for name, value in (CALM | changes).items() if value is not None}
    time = [int((DAY + timedelta(hours=number)).timestamp()) for number in range(hours)]
    return {
        "latitude": 44.9,
        "longitude": -99.6,
        "generationtime_ms": 0.1,
        "utc_offset_seconds": 0,
        "timezone": "GMT",
        "timezone_abbreviation": "GMT",
        "elevation": 500.0,
        "hourly_units": {"time": "unixtime", **{name: UNITS[name] for name in said}},
        "hourly": {"time": time, **{name: [value] * hours for name, value in said.items()}},
    }


def write(folder: Path, said: dict[str, Any] | None = None) -> Path:
    """Write a forecast file and return its path."""
    path = folder / "forecast.json"
    path.write_text(json.dumps(said or answer()), encoding="utf-8")
    return path

"""Answers as Open-Meteo writes them, made up for what no recording shows."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from typing import Any

from safety_check.model.weather import Provenance
from tests.sources import fakes

NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)
SIX = int(datetime(2026, 11, 25, 6, tzinfo=UTC).timestamp())
TIMES = [SIX, SIX + 3600, SIX + 7200]
UNITS = {"time": "unixtime", **fakes.UNITS}
GOOD: dict[str, list[Any]] = {
    "wind_speed_10m": [3.0, 4.0, 5.0],
    "wind_gusts_10m": [6.0, 7.0, 8.0],
    "wind_direction_10m": [10, 20, 30],
}


def provenance(source: str = "Open-Meteo") -> Provenance:
    return Provenance(source, "", "https://x/v1/forecast", None, NOON, recorded=False)


def unit(name: str) -> str:
    """Return the unit that a column has in metres, seconds and degrees Celsius."""
    longest_first = sorted(UNITS, key=len, reverse=True)
    return next((UNITS[known] for known in longest_first if known in name), "")


def document(
    columns: dict[str, list[Any]] | None = None,
    *,
    time: list[Any] | None = None,
    units: dict[str, Any] | None = None,
    **header: Any,
) -> dict[str, Any]:
    hourly = {"time": TIMES if time is None else time, **(GOOD if columns is None else columns)}
    told = {name: unit(name) for name in hourly} | (units or {})
    place = {"latitude": 44.5, "longitude": -93.25, "utc_offset_seconds": 0, "timezone": "GMT"}
    return {**place, "hourly_units": told, "hourly": hourly, **header}


def body(columns: dict[str, list[Any]] | None = None, **rest: Any) -> bytes:
    return json.dumps(document(columns, **rest)).encode()


def by_model(*models: str, columns: dict[str, list[Any]] = GOOD) -> dict[str, list[Any]]:
    """Return every column once for each model, its name with the model's behind it."""
    return {f"{name}_{model}": column for name, column in columns.items() for model in models}


def ensemble(runs: int, model: str = "") -> dict[str, list[Any]]:
    """Return columns of control and runs, each a little windier than the one before."""
    ends = ["", *(f"_member{run:02d}" for run in range(1, runs))]
    return {
        f"{name}{end}{model and '_' + model}": [cell + place / 10 for cell in column]
        for name, column in GOOD.items()
        for place, end in enumerate(ends)
    }

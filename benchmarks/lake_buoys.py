"""The days on a great lake that the band would miss, by buoys with air and water."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from safety_check.arrays import FloatArray, TimeArray
from safety_check.conditions.lake_band import find_band
from safety_check.conditions.lake_model import LakeModel
from safety_check.physics.lake_temperature import daily_insolation

LATITUDES = {"45004": 47.585, "45012": 43.621}
MISSING_FROM = 90.0  # degC; the files write 99 or 999


def print_buoys(folder: Path, model: LakeModel) -> None:
    """Print how many days lie below the cold end of the deepest lake in range."""
    files = [path for path in sorted(folder.glob("*.txt")) if path.name[:5] in LATITUDES]
    if files:
        print("\nbuoys on great lakes, run as a lake of 25 m from their first day at 4 °C:")
    for path in files:
        below, days = days_below(path, LATITUDES[path.name[:5]], model)
        print(f"  {path.name}: {100 * below:.1f} % of {days} days below the cold end;"
              " great lakes stay UNKNOWN")  # fmt: skip


def days_below(path: Path, latitude: float, model: LakeModel) -> tuple[float, int]:
    """Return the share of a buoy's days below the cold end, and how many days there are."""
    days, air, water = read_days(path)
    here = np.isfinite(air)
    filled = np.interp(np.arange(len(days)), np.flatnonzero(here), air[here])
    number = (days - days.astype("datetime64[Y]")).astype(np.int64) + 1
    month = days.astype("datetime64[M]").astype(np.int64) % 12 + 1
    sun = daily_insolation(latitude, number)
    band = find_band(filled, sun, month, np.array([model.range.deepest]), model)
    known = np.isfinite(water)
    return float(np.mean(water[known] < band.cold[known])), int(known.sum())


def read_days(path: Path) -> tuple[TimeArray, FloatArray, FloatArray]:
    """Return successive days with the means of air and water temperature. [degC]."""
    lines = path.read_text(encoding="utf-8", errors="replace").splitlines()
    names = lines[0].lstrip("#").split()
    rows = [line.split() for line in lines[1:] if line[:1] != "#" and line.strip()]
    day = np.array(["-".join(row[:3]) for row in rows], dtype="datetime64[D]")
    days = np.arange(day.min(), day.max() + 1)
    means = []
    for name in ("ATMP", "WTMP"):
        values = np.array([float(row[names.index(name)]) for row in rows])
        known = values < MISSING_FROM
        at = (day[known] - days[0]).astype(np.int64)
        count = np.bincount(at, minlength=len(days))
        total = np.bincount(at, weights=values[known], minlength=len(days))
        means.append(np.where(count > 0, total / np.maximum(count, 1), np.nan))
    return days, means[0], means[1]

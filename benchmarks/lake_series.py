"""Daily air and water temperatures of lakes, read from a folder of CSV files."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from safety_check.arrays import BoolArray, FloatArray, IntArray, TimeArray
from safety_check.physics.lake_temperature import daily_insolation

LONGEST_GAP = 7  # d; a longer gap in the air temperature ends what can be run through
SPIN_UP = 365  # d; the start has no effect on later days


@dataclass(frozen=True)
class LakeSeries:
    """One lake, day by day without a gap.

    Parameters
    ----------
    name, latitude, depth
        Which; mean depth. [deg, m]
    day : array (day,)
        Successive days.
    air, water, sun : array (day,)
        Daily means, water NaN where it was not measured. [degC, degC, W m⁻²]
    usable : array (day,)
        True where water was measured and the year of air before it has no long gap.
    """

    name: str
    latitude: float
    depth: float
    day: TimeArray
    air: FloatArray
    water: FloatArray
    sun: FloatArray
    usable: BoolArray

    @property
    def month(self) -> IntArray:
        """Month of each day, 1 to 12."""
        return self.day.astype("datetime64[M]").astype(np.int64) % 12 + 1


def read_lakes(folder: Path) -> list[LakeSeries]:
    """Return the lakes of a folder's lakes.csv, each with a file of its own name."""
    with (folder / "lakes.csv").open(encoding="utf-8", newline="") as file:
        return [read_lake(folder, row) for row in csv.DictReader(file)]


def read_lake(folder: Path, about: dict[str, str]) -> LakeSeries:
    """Return one lake's series on successive days."""
    with (folder / f"{about['lake']}.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    dates = np.array([row["date"] for row in rows], dtype="datetime64[D]")
    day = np.arange(dates.min(), dates.max() + 1)
    at = (dates - day[0]).astype(np.int64)
    air, water = (
        _laid(rows, name, at, len(day)) for name in ("air_temperature", "water_temperature")
    )
    filled, known = fill_short_gaps(air)
    day_of_year = (day - day.astype("datetime64[Y]")).astype(np.int64) + 1
    latitude = float(about["lat"])
    usable = np.isfinite(water) & _year_known(known)
    sun = daily_insolation(latitude, day_of_year)
    depth = float(about["mean_depth_m"])
    return LakeSeries(about["lake"], latitude, depth, day, filled, water, sun, usable)


def _laid(rows: list[dict[str, str]], name: str, at: IntArray, days: int) -> FloatArray:
    laid = np.full(days, np.nan)
    laid[at] = [float(row[name]) if row[name].strip() else np.nan for row in rows]
    return laid


def fill_short_gaps(air: FloatArray) -> tuple[FloatArray, BoolArray]:
    """Return air temperatures with gaps filled in a straight line, and where that is sound."""
    here = np.isfinite(air)
    number = np.arange(len(air))
    filled = np.interp(number, number[here], air[here])
    last = np.maximum.accumulate(np.where(here, number, -LONGEST_GAP))
    coming = np.minimum.accumulate(np.where(here, number, len(air) + LONGEST_GAP)[::-1])[::-1]
    return filled, here | (coming - last <= LONGEST_GAP + 1)


def _year_known(known: BoolArray) -> BoolArray:
    """Return whether all of the year up to each day is known."""
    total = np.concatenate([[0], np.cumsum(known)])
    found = np.zeros(len(known), dtype=bool)
    found[SPIN_UP:] = total[SPIN_UP + 1 :] - total[: -SPIN_UP - 1] == SPIN_UP + 1
    return found

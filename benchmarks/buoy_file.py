"""Read a lake buoy's file, of any year's layout, and bring it to whole hours."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from safety_check.arrays import FloatArray, IntArray, TimeArray
from safety_check.errors import DataError
from safety_check.physics.wind import wind_at_height

MISSING_FROM = {"WDIR": 361.0, "WSPD": 99.0, "GST": 99.0, "WVHT": 99.0}
"""A value of this size or more means that the value is missing."""

OLD_NAMES = {"YY": "YEAR", "YYYY": "YEAR", "WD": "WDIR"}
LONGEST_SEASON = np.timedelta64(3 * 366, "D")


@dataclass(frozen=True)
class Hours:
    """The measurements of a buoy, by whole hours; NaN where there is none.

    Parameters
    ----------
    time : array (hour,)
        Every hour from first to last. [UTC]
    wind_speed, wind_from_direction, height : arrays (hour,)
        Means of what was reported nearest to each hour. [m s⁻¹ at the mast, deg true, m]
    wind_speed_of_gust : array (hour,)
        The highest of those reports. [m s⁻¹ at the mast]
    """

    time: TimeArray
    wind_speed: FloatArray
    wind_from_direction: FloatArray
    height: FloatArray
    wind_speed_of_gust: FloatArray


def read_hours(path: Path) -> Hours:
    """Return a file's hours; DataError where it can't be read as a buoy's."""
    lines = path.read_text(encoding="utf-8", errors="replace").splitlines()
    if not lines or not {"WVHT", "WSPD"} <= set(lines[0].split()):
        raise DataError(
            f"{path.name}: no heading with WSPD and WVHT, so it is not a buoy's file. Left out."
        )
    names = [OLD_NAMES.get(name, name) for name in lines[0].lstrip("#").split()]
    rows = [dict(zip(names, line.split(), strict=False)) for line in lines[1:] if line[:1] != "#"]
    reports = [report for report in map(_report, rows) if report is not None]
    if not reports:
        raise DataError(f"{path.name}: no line of it can be read. It was left out.")
    time = np.array([when for when, _ in reports])
    if time.max() - time.min() > LONGEST_SEASON:
        raise DataError(
            f"{path.name}: spans {time.min()} to {time.max()}. Give one file for each season."
        )
    return _by_hour(time, np.array([values for _, values in reports]))


def ten_metre_wind(wind_speed: FloatArray, mast: float) -> FloatArray:
    """Return the wind ten metres up from the wind on a mast [m s⁻¹], in neutral air.

    Examples
    --------
    >>> ten_metre_wind(np.array([8.89]), 3.0).round(1)
    array([10.])
    """
    return wind_speed / wind_at_height(np.array(1.0), mast)


def _report(row: dict[str, str]) -> tuple[np.datetime64, list[float]] | None:
    """Return a line's time, wind, direction, wave height and gust; None for a broken line."""
    try:
        year = int(row["YEAR"]) + (1900 if len(row["YEAR"]) == 2 else 0)
        day = f"{year:04d}-{int(row['MM']):02d}-{int(row['DD']):02d}"
        when = np.datetime64(f"{day}T{int(row['hh']):02d}:{int(row.get('mm', '0')):02d}", "m")
    except (KeyError, ValueError):
        return None
    return when, [_value(row, name) for name in ("WSPD", "WDIR", "WVHT", "GST")]


def _value(row: dict[str, str], name: str) -> float:
    try:
        value = float(row[name])
    except (KeyError, ValueError):
        return np.nan
    return value if 0 <= value < MISSING_FROM[name] else np.nan


def _by_hour(time: TimeArray, values: FloatArray) -> Hours:
    nearest = (time + np.timedelta64(30, "m")).astype("datetime64[h]")
    hour = (nearest - nearest.min()).astype(np.int64)
    count = int(hour.max()) + 1
    wind, direction, height, gust = values.T
    east, north = (_mean(hour, turn(np.radians(direction)), count) for turn in (np.sin, np.cos))
    return Hours(
        time=nearest.min() + np.arange(count),
        wind_speed=_mean(hour, wind, count),
        wind_from_direction=np.degrees(np.arctan2(east, north)) % 360,
        height=_mean(hour, height, count),
        wind_speed_of_gust=_highest(hour, gust, count),
    )


def _mean(hour: IntArray, value: FloatArray, count: int) -> FloatArray:
    """Mean of an hour's reports that hold a value; NaN where none does."""
    seen = np.isfinite(value)
    number = np.bincount(hour[seen], minlength=count)
    total = np.bincount(hour[seen], value[seen], minlength=count)
    return np.where(number > 0, total / np.maximum(number, 1), np.nan)


def _highest(hour: IntArray, value: FloatArray, count: int) -> FloatArray:
    """Highest of an hour's reports that hold a value; NaN where none does."""
    seen = np.isfinite(value)
    highest = np.full(count, -np.inf)
    np.maximum.at(highest, hour[seen], value[seen])
    return np.where(np.isfinite(highest), highest, np.nan)

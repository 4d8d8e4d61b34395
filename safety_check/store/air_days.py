"""Daily air temperatures of a place, stored for good."""

from __future__ import annotations

from datetime import date
from typing import Any

import numpy as np

from safety_check.arrays import BoolArray
from safety_check.model.water_estimate import DailyAir
from safety_check.model.weather import Provenance
from safety_check.store.file import StoreFile
from safety_check.store.serialize import deserialize, serialize

COLDEST, WARMEST = 180.0, 335.0  # K; a row with another value is damaged


class AirDays(StoreFile):
    """The air temperatures of the history file."""

    def save_air(self, place: str, air: DailyAir, lasting: BoolArray) -> None:
        """Store daily means; a day that was stored for good is not changed.

        Parameters
        ----------
        place
            Where; see `place_of`.
        air
            Days that are not known are left out.
        lasting : array (day,)
            True for days that no later answer changes.
        """
        known = np.isfinite(air.temperature)
        rows = [
            (place, str(day), float(value), float(ahead), int(stays))
            for day, value, ahead, stays in zip(
                air.day[known], air.temperature[known], air.ahead[known], lasting[known],
                strict=True,
            )
        ]  # fmt: skip
        with self._writing() as connection:
            connection.executemany(
                "INSERT INTO air_days VALUES (?, ?, ?, ?, ?) ON CONFLICT (place, day) DO UPDATE"
                " SET air_temperature = excluded.air_temperature, ahead = excluded.ahead,"
                " lasting = excluded.lasting WHERE NOT air_days.lasting",
                rows,
            )
            connection.executemany(
                "REPLACE INTO air_origins VALUES (?, ?, ?)",
                [(place, origin.source, serialize(origin)) for origin in air.provenance],
            )

    def lasting_days(self, place: str) -> set[date]:
        """Return the days that are stored for good."""
        with self._reading() as connection:
            rows = connection.execute(
                "SELECT day FROM air_days WHERE place = ? AND lasting", (place,)
            ).fetchall()
        return set(self._readable(lambda row: date.fromisoformat(row[0]), rows))

    def air(self, place: str) -> DailyAir:
        """Return every stored day of a place on successive days, NaN where one is missing."""
        with self._reading() as connection:
            rows = connection.execute(
                "SELECT day, air_temperature, ahead FROM air_days WHERE place = ? ORDER BY day",
                (place,),
            ).fetchall()
            origins = connection.execute(
                "SELECT archive FROM air_origins WHERE place = ? ORDER BY source", (place,)
            ).fetchall()
        found = list(self._readable(_air_day, rows))
        if not found:
            nothing = np.empty(0)
            return DailyAir(np.empty(0, dtype="datetime64[D]"), nothing, nothing)
        known = np.array([day for day, _, _ in found], dtype="datetime64[D]")
        days = np.arange(known[0], known[-1] + 1)
        at = (known - known[0]).astype(np.int64)
        temperature, ahead = np.full(len(days), np.nan), np.zeros(len(days))
        temperature[at] = [value for _, value, _ in found]
        ahead[at] = [lead for _, _, lead in found]
        return DailyAir(days, temperature, ahead, tuple(self._readable(_origin, origins)))


def place_of(latitude: float, longitude: float) -> str:
    """Return the name of a place to a hundredth of a degree, as the service is asked for it."""
    return f"{latitude:.2f},{longitude:.2f}"


def _origin(row: tuple[Any, ...]) -> Provenance:
    return deserialize(Provenance, row[0])


def _air_day(row: tuple[Any, ...]) -> tuple[date, float, float]:
    day, value, ahead = date.fromisoformat(row[0]), float(row[1]), float(row[2])
    if not (COLDEST <= value <= WARMEST and ahead >= 0):
        raise ValueError(value)
    return day, value, ahead

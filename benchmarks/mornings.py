"""Mornings of a buoy's season, combined as if each were one forecast of the same day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np

from benchmarks.buoy_file import Hours, read_hours, ten_metre_wind
from benchmarks.hindcast import stations
from safety_check.arrays import BoolArray, FloatArray, IntArray
from safety_check.conditions.hour_parts import LEAD_IN
from safety_check.errors import DataError
from safety_check.model.weather import OWN_WORD, Briefing, Forecast, Provenance
from safety_check.units import MILE_PER_HOUR

FIRST, LAST = 6, 11  # o'clock, of the trip
ON_THE_WATER = slice(LEAD_IN, LEAD_IN + LAST - FIRST + 1)
SPAN = LEAD_IN + 19  # instants of a day: those before, the trip, and until midnight
ZONE = ZoneInfo("America/Chicago")
START = datetime(2026, 6, 21, FIRST, tzinfo=ZONE).astimezone(UTC)  # an invented day, light by then
UNLISTED = ("America/New_York", 4.0)  # clock and mast of a station that the table lacks

FINE_WIND, FINE_GUST = 8 * MILE_PER_HOUR, 12 * MILE_PER_HOUR
BREEZE = 11.5 * MILE_PER_HOUR
BLOW_WIND, BLOW_GUST = 15 * MILE_PER_HOUR, 22 * MILE_PER_HOUR
BENIGN = {
    "air_temperature": 295.15,
    "relative_humidity": 0.5,
    "precipitation_amount": 0.0,
    "visibility_in_air": 20_000.0,
    "weather_code": 1.0,
    "atmosphere_convective_available_potential_energy": 0.0,
    "air_pressure_at_mean_sea_level": 101_500.0,
    "probability_of_thunder": 0.0,
}


@dataclass(frozen=True)
class Mornings:
    """Measured winds around many mornings.

    Parameters
    ----------
    name
        Of each morning: its file and day.
    wind, gust, direction : arrays (morning, instant)
        At whole hours from `LEAD_IN` hours before the launch. [m s⁻¹, m s⁻¹, deg true]
    """

    name: tuple[str, ...]
    wind: FloatArray
    gust: FloatArray
    direction: FloatArray

    @property
    def fine(self) -> BoolArray:
        """Mornings under 8 mph of wind and 12 mph of gusts all the time."""
        return self._below(FINE_WIND, FINE_GUST)

    @property
    def blow(self) -> BoolArray:
        """Mornings that reach 15 mph of wind or 22 mph of gusts."""
        blow: BoolArray = ~self._below(BLOW_WIND, BLOW_GUST)
        return blow

    @property
    def breeze(self) -> BoolArray:
        """Mornings whose wind reaches 8 to 11.5 mph, the gusts under 22 mph."""
        strongest = self.wind[:, ON_THE_WATER].max(axis=1)
        breeze: BoolArray = (strongest >= FINE_WIND) & (strongest <= BREEZE) & ~self.blow
        return breeze

    @property
    def fine_hours(self) -> BoolArray:
        """Hours (morning, hour) under 8 mph of wind and 12 mph of gusts at both ends."""
        at = (self.wind < FINE_WIND) & (self.gust < FINE_GUST)
        hours: BoolArray = (at[:, :-1] & at[:, 1:])[:, LEAD_IN : LEAD_IN + LAST - FIRST]
        return hours

    def _below(self, wind: float, gust: float) -> BoolArray:
        trip = (self.wind[:, ON_THE_WATER] < wind) & (self.gust[:, ON_THE_WATER] < gust)
        return np.asarray(trip.all(axis=1))


def read_mornings(folder: Path) -> Mornings:
    """Return the mornings of all season files of a folder; DataError where there is none."""
    seasons = []
    for path in sorted(folder.glob("*.txt")):
        try:
            seasons.append(_mornings(path))
        except DataError as trouble:
            print(trouble)
    found = [season for season in seasons if season.name]
    if not found:
        raise DataError(f"{folder}: no complete morning in its files (*.txt).")
    return Mornings(
        sum((season.name for season in found), ()),
        *(
            np.concatenate([getattr(season, field) for season in found])
            for field in ("wind", "gust", "direction")
        ),
    )


def _mornings(path: Path) -> Mornings:
    """Return the mornings of one file with every wind and gust from launch to an hour after."""
    station = stations().get(path.name[:5])
    zone, mast = (station.time_zone, station.mast) if station else UNLISTED
    hours = read_hours(path)
    first = _launches(hours, ZoneInfo(zone))
    rows = first[:, None] + np.arange(-LEAD_IN, SPAN - LEAD_IN)
    whole = (rows >= 0) & (rows < len(hours.time))
    rows = rows.clip(0, len(hours.time) - 1)
    wind, gust = (
        np.where(whole, ten_metre_wind(value, mast)[rows], np.nan)
        for value in (hours.wind_speed, hours.wind_speed_of_gust)
    )
    known = np.isfinite(wind + gust)[:, LEAD_IN : ON_THE_WATER.stop + 1].all(axis=1)
    day = hours.time[first].astype("datetime64[D]")
    return Mornings(
        tuple(f"{path.stem} {date}" for date in day[known]),
        _held(wind[known]),
        _held(gust[known]),
        _held(hours.wind_from_direction[rows][known]),
    )


def _launches(hours: Hours, zone: ZoneInfo) -> IntArray:
    """Return the rows at which the trip begins by the local clock."""
    local = [time.item().replace(tzinfo=UTC).astimezone(zone).hour for time in hours.time]
    return np.flatnonzero(np.array(local) == FIRST)


def _held(values: FloatArray) -> FloatArray:
    """Return each row with its gaps filled by the last value before, or the first after."""
    for ordered in (values, values[:, ::-1]):
        at = np.where(np.isfinite(ordered), np.arange(ordered.shape[1]), 0)
        ordered[:] = np.take_along_axis(ordered, np.maximum.accumulate(at, axis=1), axis=1)
    return values


def as_briefing(mornings: Mornings) -> Briefing:
    """Return mornings as forecasts of one day, each a model of its own, all else benign."""
    issued = START - timedelta(hours=1)
    first = np.datetime64(START.replace(tzinfo=None), "s") - LEAD_IN * np.timedelta64(3600, "s")
    shape = mornings.wind.shape
    return Briefing(
        at=issued,
        forecasts=(
            Forecast(
                time=first + np.arange(SPAN) * np.timedelta64(3600, "s"),
                models=mornings.name,
                members=("",) * len(mornings.name),
                quantities={
                    "wind_speed": mornings.wind,
                    "wind_speed_of_gust": mornings.gust,
                    "wind_from_direction": mornings.direction,
                    **{name: np.full(shape, value) for name, value in BENIGN.items()},
                },
                provenance=Provenance("Open-Meteo", "", "", issued, issued, recorded=True),
            ),
        ),
        warnings_read=(Provenance(OWN_WORD, "", "", issued, issued, recorded=True),),
    )

"""Weather that a caller has as arrays, made into a forecast and a briefing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

import numpy as np
from numpy.typing import ArrayLike

from safety_check.arrays import FloatArray, TimeArray, to_datetime64
from safety_check.errors import DataError
from safety_check.model.weather import (
    OWN_ARRAYS,
    OWN_WORD,
    Briefing,
    Forecast,
    Observation,
    Provenance,
)
from safety_check.settings.spelling import suggest_spelling
from safety_check.sources.answers import AHEAD
from safety_check.sources.gridded.variables import QUANTITIES
from safety_check.sources.open_meteo.variables import RANGES

HOUR = np.timedelta64(3600, "s")
UNIT = {
    **{"speed": "m s-1", "angle": "degrees", "temperature": "K", "share": "1", "code": "1"},
    **{"amount": "kg m-2", "length": "m", "pressure": "Pa", "energy": "J kg-1"},
}
KNOWN = {name: UNIT[kind] for name, kind in QUANTITIES.items() if name in RANGES}
"""CF standard name (and `weather_code`, WMO table 4677) → its SI unit."""

MOST_GIVE_NONE = ("probability_of_thunder",)
"""Quantities that are not unknown where they are left out; CAPE and the code speak of thunder."""


def make_forecast(
    time: ArrayLike | Sequence[datetime],
    quantities: Mapping[str, ArrayLike],
    *,
    models: Sequence[str],
    issued: datetime,
) -> Forecast:
    """Return a forecast from arrays.

    Parameters
    ----------
    time : array (hour,) of datetime64 in UTC, or time-zone-aware datetimes
        Whole hours, one after the other. A check needs the 24 hours before its first one too: the
        sea remembers them.
    quantities
        CF standard name → array (member, hour), or (hour,) for one member, in SI units; NaN where a
        value is not known. `wind_speed`, `wind_from_direction`, `air_temperature` and so on hold
        at the instant; `wind_speed_of_gust` and `precipitation_amount` describe the hour that ends
        then. Wind is that of 10 m. What is left out is not known, except the chance of thunder,
        which most services do not give.
    models
        For each member, the model that it belongs to. A model has one vote however many members.
    issued
        When the run was made. It counts for twelve hours (`config/trust.toml`).

    Raises
    ------
    DataError
        For a name that is not known, a shape that does not fit, a value out of range (another
        unit, mostly), and hours with a gap.
    """
    clock = _clock(time)
    models = list(models)
    members = len(models)
    if not members:
        raise DataError("models: name the model of each member, at least one.")
    found = {
        name: _checked(name, values, (members, len(clock))) for name, values in quantities.items()
    }
    made = Provenance(OWN_ARRAYS, "", "", _aware("issued", issued), issued, recorded=False)
    runs = [
        str(models[:place].count(name)) if models.count(name) > 1 else ""
        for place, name in enumerate(models)
    ]
    never = tuple(name for name in MOST_GIVE_NONE if name not in found)
    return Forecast(clock, tuple(models), tuple(runs), found, made, not_made=never)


def make_briefing(
    at: datetime,
    forecasts: Iterable[Forecast],
    observations: Iterable[Observation] = (),
    warnings_read: datetime | None = None,
) -> Briefing:
    """Return all that is known for a check.

    Parameters
    ----------
    at
        The time of the check.
    forecasts, observations
        The data.
    warnings_read
        When somebody last read that no official warning is in force for the place. None where
        nobody did: then the verdict is MARGINAL at best.

    Raises
    ------
    DataError
        For a time without a zone, and for one after the check.
    """
    _aware("at", at)
    forecasts, read = tuple(forecasts), []
    if warnings_read is not None:
        if _aware("warnings_read", warnings_read) > at:
            raise DataError(
                f"warnings_read: {warnings_read.isoformat()} is after the check"
                f" ({at.isoformat()}). Give when they were read."
            )
        read = [Provenance(OWN_WORD, "", "", warnings_read, warnings_read, recorded=False)]
    for forecast in forecasts:
        made = forecast.provenance.issued
        if made is not None and made > at + AHEAD:
            raise DataError(
                f"issued: {made.isoformat()} is after the check ({at.isoformat()}). A forecast"
                " from the future would never become too old."
            )
    return Briefing(at, forecasts, tuple(observations), warnings_read=tuple(read))


def _clock(time: ArrayLike | Sequence[datetime]) -> TimeArray:
    """Return whole hours without a gap, UTC."""
    if isinstance(time, np.ndarray):
        clock = time.astype("datetime64[s]")
    else:
        moments = [_aware("time", moment) for moment in time]  # type: ignore[union-attr, arg-type]
        clock = np.array([to_datetime64(moment) for moment in moments], "datetime64[s]")
    if clock.ndim != 1 or len(clock) < 2:
        raise DataError(f"time: shape {clock.shape}. Give at least two hours in one row.")
    steps = np.diff(clock)
    wrong = np.flatnonzero(~(steps == HOUR))  # NaT is wrong too
    if wrong.size:
        raise DataError(
            f"time: {clock[wrong[0] + 1]} does not follow {clock[wrong[0]]} by one hour. Give every"
            " hour once, in order, with NaN where nothing is known."
        )
    if (clock.astype(np.int64) % 3600).any():
        raise DataError(f"time: {clock[0]} is not a whole hour UTC.")
    return clock


def _checked(name: str, values: ArrayLike, shape: tuple[int, int]) -> FloatArray:
    """Return a quantity as (member, hour), every value NaN or plausible."""
    if name not in KNOWN:
        raise DataError(f"{name!r} is not known here.{suggest_spelling(name, KNOWN)}")
    array = np.array(values, dtype=float, copy=True)
    if array.ndim == 1:
        array = array[None, :]
    if array.shape != shape:
        raise DataError(
            f"{name}: shape {array.shape}, but there are {shape[0]} members and {shape[1]} hours."
            " Give an array (member, hour)."
        )
    low, high = RANGES[name]
    wrong = ~np.isnan(array) & ~((array >= low) & (array <= high))
    if wrong.any():
        raise DataError(
            f"{name}: {array[wrong][0]:g} is not between {low:g} and {high:g} {KNOWN[name]}. Give"
            " SI units, and NaN where nothing is known."
        )
    return array


def _aware(field: str, moment: datetime) -> datetime:
    if not isinstance(moment, datetime) or moment.tzinfo is None:
        raise DataError(f"{field}: {moment!r} has no time zone. Give a time-zone-aware datetime.")
    return moment

"""Estimate local forecast error from past trips at a launch."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from safety_check.arrays import FloatArray, TimeArray
from safety_check.conditions.error_models import WINDS, ErrorModels
from safety_check.conditions.forecast_trend import ForecastSummary
from safety_check.model.history import CheckLine
from safety_check.model.trip import Trip
from safety_check.physics.ensemble_calibration import (
    ErrorModel,
    ForecastPairs,
    LocalCorrection,
    Shrinkage,
    local_correction,
)
from safety_check.store.store import ObservedWind

HOUR = np.timedelta64(3600, "s")
USUAL_LENGTH = timedelta(hours=3)  # of a logged trip whose end is not known
MOST_DAYS = 150  # the newest that are read


@dataclass(frozen=True)
class Outcome:
    """The observed outcome of one day at a launch.

    Parameters
    ----------
    quantity, day
        Wind or gusts; the launch's own date.
    time : array (hour,)
        Whole hours, UTC.
    value : array (hour,)
        What was observed [m s⁻¹]; of a logged trip, its one wind at each hour.
    strongest
        True of a logged trip: people report the strongest wind.
    """

    quantity: str
    day: date
    time: TimeArray
    value: FloatArray
    strongest: bool


# -- observed outcomes -----------------------------------------------------------------------------


def find_outcomes(
    seen: Iterable[ObservedWind], trips: Iterable[Trip], checks: Sequence[CheckLine], zone: ZoneInfo
) -> list[Outcome]:
    """Return the outcome of each day, newest first; a logged trip replaces its day's reports."""
    ends = {check.id: check.end for check in checks}
    logged = [
        _of_trip(quantity, trip, ends.get(trip.check or 0, trip.start + USUAL_LENGTH), zone)
        for trip in trips
        for quantity in WINDS
        if trip.went and np.isfinite(getattr(trip, quantity))
    ]
    told = {(outcome.quantity, outcome.day) for outcome in logged}
    days: dict[tuple[str, date], list[ObservedWind]] = {}
    for observation in seen:
        key = (observation.quantity, observation.time.astimezone(zone).date())
        if key not in told and np.isfinite(observation.value):
            days.setdefault(key, []).append(observation)
    found = [*logged, *(_of_day(*key, winds) for key, winds in days.items())]
    return sorted(found, key=lambda outcome: outcome.day, reverse=True)[: MOST_DAYS * len(WINDS)]


def _of_trip(quantity: str, trip: Trip, end: datetime, zone: ZoneInfo) -> Outcome:
    first, last = _hour(trip.start), _hour(max(end, trip.start))
    time = np.arange(first, last + HOUR, HOUR)
    value = np.full(len(time), getattr(trip, quantity))
    return Outcome(quantity, trip.start.astimezone(zone).date(), time, value, True)


def _of_day(quantity: str, day: date, seen: Sequence[ObservedWind]) -> Outcome:
    time = np.array([_hour(wind.time) for wind in seen])
    return Outcome(quantity, day, time, np.array([wind.value for wind in seen]), False)


def _hour(moment: datetime) -> np.datetime64:
    """Return the nearest whole hour."""
    nearest = moment.astimezone(UTC).replace(tzinfo=None) + timedelta(minutes=30)
    return np.datetime64(nearest.replace(minute=0, second=0, microsecond=0), "s")


# -- earlier forecasts ------------------------------------------------------------------------


def checks_to_compare(
    checks: Iterable[CheckLine], found: Iterable[Outcome], zone: ZoneInfo
) -> dict[int, date]:
    """Return number and day of the checks to learn from: one for each day and each day of lead.

    Many checks of one trip share one error, so the last of each counts.
    """
    days = {outcome.day for outcome in found}
    last: dict[tuple[date, int], int] = {}
    for check in sorted(checks, key=lambda line: line.at):
        day = check.start.astimezone(zone).date()
        if day in days and check.at < check.start:
            last[day, (check.start - check.at) // timedelta(days=1)] = check.id
    return {number: day for (day, _), number in last.items()}


def fit_corrections(
    said: Iterable[tuple[date, ForecastSummary]],
    found: Sequence[Outcome],
    error_models: Mapping[str, ErrorModels],
    shrinkage: Shrinkage,
    at: datetime,
) -> tuple[dict[str, LocalCorrection], dict[str, int]]:
    """Return forecast corrections from past days at a launch, and how many days there were.

    Parameters
    ----------
    said
        Day → the forecasts of a past check for it; see `worth_reading`.
    found
        The observed outcomes of the days.
    error_models, shrinkage
        How such forecasts err anywhere, and how far a few days are trusted.
    at
        The time of the new check: older days count less.

    Returns
    -------
    dict, dict
        Wind and gusts → the correction, and from how many days; absent with fewer days than
        the least pairs.
    """
    came = {(outcome.quantity, outcome.day): outcome for outcome in found}
    told = tuple(said)
    learnt: dict[str, LocalCorrection] = {}
    days: dict[str, int] = {}
    for quantity, models in error_models.items():
        error_model = models.several
        pairs = {
            (day, summary.at): pair
            for day, summary in told
            if (quantity, day) in came
            for pair in _pair(summary, came[quantity, day], error_model, at)
        }
        count = len({day for day, _ in pairs})
        if count < shrinkage.least_pairs:
            continue
        columns = np.array(list(pairs.values())).T
        correction = local_correction(ForecastPairs(*columns), error_model.lead_hours, shrinkage)
        if correction is not None:
            learnt[quantity], days[quantity] = correction, count
    return learnt, days


def _pair(
    said: ForecastSummary, outcome: Outcome, error_model: ErrorModel, at: datetime
) -> list[FloatArray]:
    """Return location, scale, observed, lead [h] and age [d] of one day; nothing unmatched."""
    made = np.datetime64(said.at.astimezone(UTC).replace(tzinfo=None), "s")
    where = np.searchsorted(said.time, outcome.time).clip(0, len(said.time) - 1)
    matched = (said.time[where] == outcome.time) & (outcome.time > made)
    hours = where[matched]
    lead = said.lead_hours[hours]
    location, scale = error_model.of_mean(
        said.mean[outcome.quantity][hours], said.spread[outcome.quantity][hours], lead
    )
    pairs = np.array([location, scale, outcome.value[matched], lead])
    if not pairs.size or not np.isfinite(pairs).all():
        return []
    pair = pairs[:, np.argmax(location)] if outcome.strongest else pairs.mean(axis=1)
    return [np.append(pair, (at - said.at) / timedelta(days=1))]

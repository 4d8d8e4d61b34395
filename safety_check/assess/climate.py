"""How often trips of one length were a GO, by month and hour, with the spread of the years."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from safety_check.arrays import BoolArray, FloatArray, IntArray, to_utc
from safety_check.assess.hindcast import Hindcast
from safety_check.model.climate import Deciding, Month, Share, Week
from safety_check.model.verdict import Severity

OF_THE_LIGHT = ("dark_without_daylight", "dark_is_near", "dusk_before_home")
MONTHS, HOURS, LEVELS = 12, 24, len(Severity)
WEEK = 7  # days
WEEKS = 52  # the last of a year has a day or two more
SHOWN = 3  # hazards named for a month
NEW_YEAR = date(2000, 1, 1)  # of a leap year, which has every date
EARLIER = 1970  # the first year of numpy's calendar


@dataclass(frozen=True)
class Resampling:
    """How the spread of the years is found.

    Parameters
    ----------
    resamples
        How often whole years are drawn, with replacement.
    seed
        Of the draws, so that the same record gives the same spread.
    low, high
        The quantiles of the drawn means. [1]
    """

    resamples: int
    seed: int
    low: float
    high: float


@dataclass(frozen=True)
class PastTrips:
    """The verdicts on past trips, with the local calendar of their starts.

    Parameters
    ----------
    year, month, hour, week : array (trip,)
        By the water's clock; months from 1, weeks from 0.
    day : array (trip,)
        Numbers the local days.
    minute
        Of the hour at which trips begin.
    severity, light : array (trip,)
        Of the whole trip, and of its light alone.
    by_hazard
        Hazard → its severity over the trip (trip,).
    longest : array (trip,)
        The longest trip begun then that is a GO. [h]
    """

    year: IntArray
    month: IntArray
    hour: IntArray
    week: IntArray
    day: IntArray
    minute: int
    severity: IntArray
    light: IntArray
    by_hazard: Mapping[str, IntArray]
    longest: IntArray

    @property
    def in_daylight(self) -> BoolArray:
        """The trips that their light does not rule out."""
        allowed: BoolArray = self.light < Severity.UNKNOWN
        return allowed


def date_trips(found: Sequence[Hindcast], zone: str) -> PastTrips:
    """Return past trips with the local calendar of their starts.

    Parameters
    ----------
    found
        The trips of successive years.
    zone
        The water's time zone.
    """
    local = ZoneInfo(zone)
    starts = [to_utc(start).astimezone(local) for one in found for start in one.start]
    days = np.array([moment.date() for moment in starts], dtype="datetime64[D]")
    month: IntArray = days.astype("datetime64[M]").astype(np.int64) % MONTHS + 1
    by_hazard = {
        name: np.concatenate([one.by_hazard[name] for one in found]) for name in found[0].by_hazard
    }
    of_light = [by_hazard[name] for name in OF_THE_LIGHT if name in by_hazard]
    severity = np.concatenate([one.severity for one in found])
    return PastTrips(
        year=days.astype("datetime64[Y]").astype(np.int64) + EARLIER,
        month=month,
        hour=np.array([moment.hour for moment in starts]),
        week=np.minimum(_day_of_year(days) // WEEK, WEEKS - 1),
        day=days.astype(np.int64),
        minute=starts[0].minute,
        severity=severity,
        light=np.maximum.reduce(of_light) if of_light else np.zeros_like(severity),
        by_hazard=by_hazard,
        longest=np.concatenate([one.longest for one in found]),
    )


def choose_trips(trips: PastTrips, first: int, last: int) -> PastTrips:
    """Return the trips that began in some years, by the water's clock."""
    kept = (trips.year >= first) & (trips.year <= last)
    fields = ("year", "month", "hour", "week", "day", "severity", "light", "longest")
    by_hazard = {name: found[kept] for name, found in trips.by_hazard.items()}
    parts = {name: getattr(trips, name)[kept] for name in fields}
    return replace(trips, by_hazard=by_hazard, **parts)


def _day_of_year(days: np.ndarray) -> IntArray:
    """Return the number of each day in its year, from 0."""
    number: IntArray = (days - days.astype("datetime64[Y]")).astype(np.int64)
    return number


def shares_by_hour(trips: PastTrips) -> tuple[FloatArray, FloatArray]:
    """Return the shares of the severities, and of the trips that their light rules out.

    Returns
    -------
    tuple
        Arrays (month, hour, severity) and (month, hour); NaN where no trip began. [1]
    """
    place = (trips.month - 1) * HOURS + trips.hour
    count = np.bincount(place, minlength=MONTHS * HOURS)
    with np.errstate(invalid="ignore"):
        shares = np.stack(
            [
                np.bincount(place[trips.severity == level], minlength=MONTHS * HOURS) / count
                for level in Severity
            ],
            axis=-1,
        )
        dark = np.bincount(place[~trips.in_daylight], minlength=MONTHS * HOURS) / count
    return shares.reshape(MONTHS, HOURS, LEVELS), dark.reshape(MONTHS, HOURS)


def summarize_months(
    trips: PastTrips, lengths: Sequence[int], how: Resampling
) -> tuple[Month, ...]:
    """Return what each month of the year is like.

    Parameters
    ----------
    trips
        Of all years.
    lengths
        The lengths of windows to count days by. [h]
    how
        How the spread of the years is found.
    """
    months = [int(month) for month in np.unique(trips.month)]
    return tuple(_month(trips, month, lengths, how) for month in months)


def _month(trips: PastTrips, month: int, lengths: Sequence[int], how: Resampling) -> Month:
    here = trips.month == month
    light = here & trips.in_daylight
    shares = np.bincount(trips.severity[light], minlength=LEVELS) / max(int(light.sum()), 1)
    go, marginal, unknown, no_go = shares.tolist()
    longest = _longest_of_days(trips, here)
    return Month(
        month=month,
        shares=(go, marginal, unknown, no_go),
        go_days=go_days(trips, here, how),
        decides=_deciding(trips, light & (trips.severity > Severity.GO)),
        windows=tuple(float((longest >= length).mean()) for length in lengths),
    )


def _longest_of_days(trips: PastTrips, here: BoolArray) -> IntArray:
    """Return the longest GO of each day, 0 where there is none. [h]."""
    _, place = np.unique(trips.day[here], return_inverse=True)
    longest = np.zeros(int(place.max()) + 1, dtype=np.int64)
    np.maximum.at(longest, place, trips.longest[here])
    return longest


def _deciding(trips: PastTrips, refused: BoolArray) -> tuple[Deciding, ...]:
    """Return the hazards that are as bad as the trip, by how many of the refused trips."""
    number = int(refused.sum())
    if not number:
        return ()
    severity = trips.severity[refused]
    found = [
        Deciding(name, float((by_hazard[refused] >= severity).sum()) / number)
        for name, by_hazard in trips.by_hazard.items()
    ]
    ranked = sorted((one for one in found if one.share > 0), key=lambda one: -one.share)
    return tuple(ranked[:SHOWN])


def go_days(trips: PastTrips, here: BoolArray, how: Resampling) -> Share:
    """Return the share of the days with a trip that is a GO, and how the years differ.

    Parameters
    ----------
    trips
        Of all years.
    here : array (trip,)
        Those that count.
    how
        How the spread of the years is found.
    """
    days, place = np.unique(trips.day[here], return_inverse=True)
    good = np.zeros(len(days), dtype=bool)
    np.logical_or.at(good, place, trips.severity[here] == Severity.GO)
    year = days.astype("datetime64[D]").astype("datetime64[Y]").astype(np.int64)
    years, of_year = np.unique(year, return_inverse=True)
    total = np.bincount(of_year, minlength=len(years))
    found = np.bincount(of_year[good], minlength=len(years))
    return _spread(found, total, how)


def _spread(found: IntArray, total: IntArray, how: Resampling) -> Share:
    """Return a share of days, and the spread of that share when whole years are drawn.

    References
    ----------
    .. [Efron1979] The percentiles of the means of samples drawn with replacement.
    """
    mean = float(found.sum() / total.sum())
    drawn = np.random.default_rng(how.seed).integers(len(total), size=(how.resamples, len(total)))
    means = found[drawn].sum(axis=1) / total[drawn].sum(axis=1)
    low, high = np.quantile(means, [how.low, how.high]).tolist()
    return Share(mean, low, high)


def best_weeks(trips: PastTrips, number: int, how: Resampling) -> tuple[Week, ...]:
    """Return the weeks with the most days that have a GO, the best first.

    Parameters
    ----------
    trips
        Of all years.
    number
        How many weeks.
    how
        How the spread of the years is found.
    """
    weeks = [
        Week(*_dates(int(week)), go_days(trips, trips.week == week, how))
        for week in np.unique(trips.week)
    ]
    ranked = sorted(weeks, key=lambda week: (-week.go_days.mean, -week.go_days.low, week.first))
    return tuple(week for week in ranked[:number] if week.go_days.mean > 0)


def _dates(week: int) -> tuple[tuple[int, int], tuple[int, int]]:
    """Return the first and last date of a week, as (month, day) in a leap year.

    Examples
    --------
    >>> _dates(0), _dates(51)
    (((1, 1), (1, 7)), ((12, 23), (12, 31)))
    """
    last = WEEK * week + WEEK - 1 if week < WEEKS - 1 else 365
    first, until = (NEW_YEAR + timedelta(days=number) for number in (WEEK * week, last))
    return (first.month, first.day), (until.month, until.day)

"""Parse times as people write them, in the water's time zone."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from safety_check.errors import PlanError
from safety_check.use_cases.time_grammar import (
    FORMS,
    SaidDay,
    SaidTime,
    is_clock_only,
    read_time,
)

__all__ = ["is_clock_only", "parse_past_time", "parse_time"]

EARLIEST_YEAR, LATEST_YEAR = 1980, 2200  # dates beyond them are typing errors
_ISO = re.compile(r"\d{4}-\d\d-\d\d[T ]\d\d:\d\d.*")


def parse_time(text: str, zone: str, now: datetime, field: str) -> datetime:
    """Return the instant that a text means: "tomorrow 06:00", "sat 5:30", "28 Nov 6am", ISO.

    Parameters
    ----------
    text
        A day and a clock time in either order, a clock time alone, "now", or an ISO 8601
        date and time with or without an offset; without one it is the water's local time.
    zone
        The water's time zone.
    now
        The time now; "sat" is the next Saturday whose time is still to come, and a date
        without a year, such as "11/28" (month first), is the one nearest to now.
    field
        What it is for, named in the error.

    Raises
    ------
    PlanError
        Where it is not a time, or a local time skipped by a clock change.

    Examples
    --------
    >>> now = datetime(2026, 6, 12, 2, 0, tzinfo=UTC)  # Thursday evening in Chicago
    >>> parse_time("tomorrow 06:00", "America/Chicago", now, "start").isoformat()
    '2026-06-12T11:00:00+00:00'
    >>> parse_time("6am sat", "America/Chicago", now, "start").isoformat()
    '2026-06-13T11:00:00+00:00'
    """
    moment = _placed(text, zone, now, field, past=False)
    here = now.astimezone(ZoneInfo(zone))
    if moment is not None:
        return moment
    raise PlanError(
        f"{text!r} is in the past; it is now {here:%Y-%m-%d %H:%M}. {FORMS}", field=field
    )


def parse_past_time(text: str, zone: str, clock: datetime, field: str) -> datetime:
    """Return the latest past time that a text means: "today 06:00", "sat 5:30", ISO.

    Parameters
    ----------
    text
        As for `parse_time`, and "yesterday"; a day of the week is the last one.
    zone
        The water's.
    clock
        Now.
    field
        What it is for, named in the error.

    Raises
    ------
    PlanError
        For a text that is not a time, or a time in the future.

    Examples
    --------
    >>> friday = datetime(2026, 6, 12, 20, tzinfo=UTC)
    >>> parse_past_time("thu 06:00", "UTC", friday, "--began").isoformat()
    '2026-06-11T06:00:00+00:00'
    >>> parse_past_time("yesterday 21:00", "UTC", friday, "--began").isoformat()
    '2026-06-11T21:00:00+00:00'
    """
    moment = _placed(text, zone, clock, field, past=True)
    if moment is None or moment > clock:
        raise PlanError(f"{text!r} is in the future. Give a time that has passed.", field=field)
    return moment


def _placed(text: str, zone: str, now: datetime, field: str, past: bool) -> datetime | None:
    """Return the moment that a text means, the latest before now or the next one after it."""
    said = text.strip()
    if said.casefold() == "now":
        return now.astimezone(UTC)
    moment = _iso(said)
    if moment is None:
        told = read_time(text, field)
        if told.day is not None and told.day.word == "yesterday" and not past:
            return None
        here = now.astimezone(ZoneInfo(zone))
        moment = datetime.combine(_date(told, here, past, text, field), told.clock)
    if not EARLIEST_YEAR <= moment.year <= LATEST_YEAR:
        raise PlanError(
            f"{text!r} is not between {EARLIEST_YEAR} and {LATEST_YEAR}. Check the year.",
            field=field,
        )
    if moment.tzinfo is None:
        moment = _existing(moment.replace(tzinfo=ZoneInfo(zone)), text, zone, field)
    return moment.astimezone(UTC)


def _iso(said: str) -> datetime | None:
    """Return a date and time in ISO 8601; None for another form, and for a date alone."""
    if not _ISO.fullmatch(said):
        return None
    try:
        return datetime.fromisoformat(said)
    except ValueError:
        return None


def _date(told: SaidTime, here: datetime, past: bool, text: str, field: str) -> date:
    """Return the date that is meant, as seen from a local time."""
    today, day = here.date(), told.day
    missed = told.clock > here.time() if past else told.clock <= here.time()
    back = -1 if past else 1
    if day is None:
        return today + timedelta(days=back * missed)
    if day.word:
        return today + timedelta(days=("yesterday", "today", "tomorrow").index(day.word) - 1)
    if day.month is not None:
        return _calendar_date(day, today, text, field)
    ahead = back * ((day.weekday or 0) - today.weekday()) % 7
    return today + timedelta(days=back * (7 if ahead == 0 and missed else ahead))


def _calendar_date(day: SaidDay, today: date, text: str, field: str) -> date:
    """Return the given date; without a year, the one nearest to today."""
    near = (today.year - 1, today.year, today.year + 1)
    years = near if day.year is None else (day.year,)
    found = [date_of_year for year in years if (date_of_year := _valid(year, day)) is not None]
    if not found:
        raise PlanError(
            f"{text!r} names month {day.month}, day {day.day}, which does not exist."
            " In 11/28 the month comes first; 2026-11-28 and 28 Nov are read the same everywhere.",
            field=field,
        )
    nearest = min(found, key=lambda candidate: abs(candidate - today))
    if day.weekday is not None and nearest.weekday() != day.weekday:
        raise PlanError(
            f"{text!r} contradicts itself: {nearest:%Y-%m-%d} is a {nearest:%A}."
            " Correct the date or the day of the week.",
            field=field,
        )
    return nearest


def _valid(year: int, day: SaidDay) -> date | None:
    try:
        return date(year, day.month or 0, day.day or 0)
    except ValueError:
        return None


def _existing(moment: datetime, text: str, zone: str, field: str) -> datetime:
    """Return a local time that exists; refuse one skipped by a clock change."""
    back = moment.astimezone(UTC).astimezone(moment.tzinfo)
    if back.replace(tzinfo=None) != moment.replace(tzinfo=None):
        raise PlanError(
            f"{text!r} does not exist in {zone}: that time is skipped by the clock"
            " change. Use an hour earlier or later.",
            field=field,
        )
    return moment

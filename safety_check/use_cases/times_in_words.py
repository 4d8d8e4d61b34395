"""Parse times as people write them, in the water's time zone."""

from __future__ import annotations

import re
from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

from safety_check.errors import PlanError

EARLIEST_YEAR, LATEST_YEAR = 1980, 2200  # dates beyond them are typing errors
WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_CLOCK = re.compile(r"(\d{1,2})(?::(\d{2}))?\s*(am|pm)?")


def parse_time(text: str, zone: str, now: datetime, field: str) -> datetime:
    """Return the instant that a text means: "tomorrow 06:00", "sat 5:30", ISO.

    Parameters
    ----------
    text
        Words and a clock time, "now", or an ISO 8601 date and time with or without an
        offset; without one it is the water's local time.
    zone
        The water's time zone.
    now
        The clock; "sat" is the next Saturday whose time is still to come.
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
    >>> parse_time("sat 5:30", "America/Chicago", now, "start").isoformat()
    '2026-06-13T10:30:00+00:00'
    """
    said = text.strip().casefold()
    if said == "now":
        return now.astimezone(UTC)
    local = ZoneInfo(zone)
    try:
        moment = datetime.fromisoformat(text.strip())
    except ValueError:
        moment = _spoken(said, now.astimezone(local), text, field)
    if not EARLIEST_YEAR <= moment.year <= LATEST_YEAR:
        raise PlanError(
            f"{field}: {text!r} is not between {EARLIEST_YEAR} and {LATEST_YEAR}. Check the year."
        )
    if moment.tzinfo is None:
        moment = _existing(moment.replace(tzinfo=local), text, zone, field)
    return moment.astimezone(UTC)


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
    >>> parse_past_time("yesterday 06:00", "UTC", friday, "--began").isoformat()
    '2026-06-11T06:00:00+00:00'
    """
    said = text.strip().casefold()
    if said.startswith("yesterday"):
        return parse_past_time(
            said.replace("yesterday", "today", 1), zone, clock - timedelta(days=1), field
        )
    moment = parse_time(text, zone, clock, field)
    if moment > clock and said[:3] in WEEKDAYS:
        moment = parse_time(text, zone, clock - timedelta(days=7), field)
    if moment > clock and is_clock_only(text):
        moment = parse_time(text, zone, clock - timedelta(days=1), field)
    if moment > clock:
        raise PlanError(f"{field} {text!r} is in the future. Give a time that has passed.")
    return moment


def is_clock_only(text: str) -> bool:
    """Return whether a time is a clock time alone, with no day."""
    return _CLOCK.fullmatch(text.strip().casefold()) is not None


def _spoken(said: str, here: datetime, text: str, field: str) -> datetime:
    *words, clock = said.split() if said else [""]
    if clock in ("am", "pm") and words:
        clock = words.pop() + clock
    found = _CLOCK.fullmatch(clock)
    hour = _hour(found) if found else None
    if hour is None or len(words) > 1:
        raise PlanError(
            f'{field}: {text!r} is not a time. Write for example "tomorrow 06:00", "sat 5:30",'
            ' "2026-06-13 06:00", or "now".'
        )
    at = time(hour, int((found and found[2]) or 0))
    return _on_day(words[0] if words else "", at, here, text, field)


def _hour(found: re.Match[str]) -> int | None:
    hour, half = int(found[1]), found[3]
    if int(found[2] or 0) > 59 or hour > (12 if half else 23) or (half and hour == 0):
        return None
    return hour % 12 + (12 if half == "pm" else 0) if half else hour


def _on_day(day: str, at: time, here: datetime, text: str, field: str) -> datetime:
    today = here.date()
    if day in ("today", "tomorrow"):
        return datetime.combine(today + timedelta(days=day == "tomorrow"), at)
    if day[:3] in WEEKDAYS and day in (day[:3], _WHOLE[day[:3]]):
        ahead = (WEEKDAYS.index(day[:3]) - today.weekday()) % 7
        ahead += 7 if ahead == 0 and at <= here.time() else 0
        return datetime.combine(today + timedelta(days=ahead), at)
    if day == "":
        return datetime.combine(today + timedelta(days=at <= here.time()), at)
    raise PlanError(
        f"{field}: {day!r} in {text!r} is not a recognised day. Use today, tomorrow, mon … sun,"
        " or a date like 2026-06-13."
    )


_WHOLE = {
    "mon": "monday", "tue": "tuesday", "wed": "wednesday", "thu": "thursday",
    "fri": "friday", "sat": "saturday", "sun": "sunday",
}  # fmt: skip


def _existing(moment: datetime, text: str, zone: str, field: str) -> datetime:
    """Return a local time that exists; refuse one skipped by a clock change."""
    back = moment.astimezone(UTC).astimezone(moment.tzinfo)
    if back.replace(tzinfo=None) != moment.replace(tzinfo=None):
        raise PlanError(
            f"{field}: {text!r} does not exist in {zone}: that time is skipped by the clock"
            " change. Use an hour earlier or later."
        )
    return moment

"""The forms in which people write a day and a clock time; the calendar comes later."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import time

from safety_check.errors import PlanError

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
FORMS = (
    'Write for example "tomorrow 06:00", "sat 5:30", "28 Nov 6am", "2026-06-13 06:00", or "now".'
)

_WEEKDAY = (
    r"mon(?:day)?|tue(?:s|sday)?|wed(?:nesday)?|thu(?:rs?|rsday)?"
    r"|fri(?:day)?|sat(?:urday)?|sun(?:day)?"
)
_MONTH = (
    r"jan(?:uary)?|feb(?:ruary)?|mar(?:ch)?|apr(?:il)?|may|june?|july?|aug(?:ust)?"
    r"|sept?(?:ember)?|oct(?:ober)?|nov(?:ember)?|dec(?:ember)?"
)
_DAY = (
    r"(?P<word>today|tomorrow|yesterday)"
    rf"|(?:(?P<weekday>{_WEEKDAY})\b\s*)?(?:"
    r"(?P<iso_year>\d{4})-(?P<iso_month>\d{1,2})-(?P<iso_day>\d{1,2})"
    r"|(?P<us_month>\d{1,2})/(?P<us_day>\d{1,2})(?:/(?P<us_year>\d{4}))?"
    rf"|(?P<a_day>\d{{1,2}})(?:st|nd|rd|th)?\s+(?P<a_month>{_MONTH})(?:\s+(?P<a_year>\d{{4}}))?"
    rf"|(?P<b_month>{_MONTH})\s+(?P<b_day>\d{{1,2}})(?:st|nd|rd|th)?(?:\s+(?P<b_year>\d{{4}}))?"
    r")?"
)
_CLOCK = (
    r"(?P<hour>\d{1,2})(?:(?::(?P<minute>\d{2}))?(?::\d{2})?\s*(?P<half>am|pm)?)"
    r"|(?P<digits>\d{4})|(?P<named>noon|midnight)"
)
_DAY_FIRST = re.compile(rf"(?:{_DAY})(?:(?:\s+|t)(?:{_CLOCK}))?")
_CLOCK_FIRST = re.compile(rf"(?:{_CLOCK})\s+(?:{_DAY})")
_CLOCK_ALONE = re.compile(_CLOCK)
_NOTHING: dict[str, str | None] = dict.fromkeys(_DAY_FIRST.groupindex)
_LOST_ZERO = re.compile(r"(\d{1,2}):(\d)")


@dataclass(frozen=True)
class SaidDay:
    """A day as written by the user.

    Parameters
    ----------
    word
        "today", "tomorrow" or "yesterday"; "" for another form.
    weekday
        0 for Monday; None where none was given.
    year, month, day
        None where they were not given.
    """

    word: str = ""
    weekday: int | None = None
    year: int | None = None
    month: int | None = None
    day: int | None = None


@dataclass(frozen=True)
class SaidTime:
    """A clock time and its day; None where no day was given."""

    clock: time
    day: SaidDay | None


def read_time(text: str, field: str) -> SaidTime:
    """Return the day and clock time that a text names.

    Raises
    ------
    PlanError
        Where it has no time, or an hour, minute or day that does not exist; the message names the
        wrong part.

    Examples
    --------
    >>> read_time("Sat 5:30", "start").clock, read_time("noon", "start").day
    (datetime.time(5, 30), None)
    """
    said = _tidy(text)
    found = _CLOCK_ALONE.fullmatch(said) or _CLOCK_FIRST.fullmatch(said)
    found = found or _DAY_FIRST.fullmatch(said)
    parts = _NOTHING | found.groupdict() if found else _NOTHING
    day = _day(parts)
    if day is None and not _CLOCK_ALONE.fullmatch(said):
        raise PlanError(f"{text!r} {_fault(said)} {FORMS}", field=field)
    if not any(parts[name] for name in ("hour", "digits", "named")):
        raise PlanError(
            f'{text!r} names a day but no clock time. Add one, for example "{text.strip()} 06:00".',
            field=field,
        )
    return SaidTime(_clock(parts, day, text, field), day)


def is_clock_only(text: str) -> bool:
    """Return whether a time is a clock time alone, with no day."""
    return _CLOCK_ALONE.fullmatch(_tidy(text)) is not None


def is_day_only(text: str) -> bool:
    """Return whether a time is a day alone, with no clock time.

    Examples
    --------
    >>> is_day_only("sat"), is_day_only("28 Nov"), is_day_only("sat 6am"), is_day_only("now")
    (True, True, False, False)
    """
    found = _DAY_FIRST.fullmatch(_tidy(text))
    parts = _NOTHING | found.groupdict() if found else _NOTHING
    clock = any(parts[name] for name in ("hour", "digits", "named"))
    return not clock and _day(parts) is not None


def _tidy(text: str) -> str:
    said = re.sub(r"\b([ap])\.\s?m\b\.?", r"\1m", text.casefold())
    said = re.sub(r"\b(at|on|the|of|o'clock)(?=\s|$)|[,]|(?<=[a-z])\.", " ", said)
    return " ".join(said.split())


def _fault(said: str) -> str:
    """Return what is wrong with a text that has no known form."""
    if (found := _LOST_ZERO.search(said)) and not re.search(r"\d:\d\d", said):
        return (
            f"lacks a digit of the minutes: write {found[1]}:0{found[2]} or {found[1]}:{found[2]}0."
        )
    words = [word for word in re.findall(r"[^\W\d]+", said) if not _known(word)]
    return (
        f"is not a time: {words[0]!r} is not a word for a day or a time."
        if words
        else ("is not a time.")
    )


def _known(word: str) -> bool:
    names = rf"{_WEEKDAY}|{_MONTH}|today|tomorrow|yesterday|noon|midnight|am|pm|st|nd|rd|th|t"
    return re.fullmatch(names, word) is not None


def _day(parts: dict[str, str | None]) -> SaidDay | None:
    said = parts["weekday"]
    weekday = None if said is None else WEEKDAYS.index(said[:3])
    for form in ("iso", "us", "a", "b"):
        day, month = parts[f"{form}_day"], parts[f"{form}_month"]
        if day and month:
            year = parts[f"{form}_year"]
            number = int(month) if month.isdigit() else MONTHS.index(month[:3]) + 1
            return SaidDay("", weekday, int(year) if year else None, number, int(day))
    if parts["word"] or weekday is not None:
        return SaidDay(parts["word"] or "", weekday)
    return None


def _clock(parts: dict[str, str | None], day: SaidDay | None, text: str, field: str) -> time:
    if parts["named"] == "midnight" and day is not None:
        raise PlanError(
            f"{text!r} may mean the start or the end of that day. Write 00:00 or 23:59.",
            field=field,
        )
    if parts["named"]:
        return time(12 if parts["named"] == "noon" else 0)
    digits = parts["digits"]
    hour = int(digits[:2] if digits else parts["hour"] or 0)
    minute = int(digits[2:] if digits else parts["minute"] or 0)
    half = parts["half"]
    if hour > (12 if half else 23) or (half and hour == 0):
        raise PlanError(
            f"{text!r} has the hour {hour}, which does not exist"
            f"{f' with {half}' if half else ''}. {FORMS}",
            field=field,
        )
    if minute > 59:
        raise PlanError(f"{text!r} has the minute {minute}; the last is 59. {FORMS}", field=field)
    return time(hour % 12 + (12 if half == "pm" else 0) if half else hour, minute)

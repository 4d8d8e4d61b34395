"""Read the times of warnings, those without an offset or in the Buddhist calendar included."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta, timezone

from safety_check.model.clean_text import clean_text

# A local time without an offset lies between these; UTC+14 and UTC-12 are the outermost zones.
_FIRST_ZONE = timezone(timedelta(hours=14))
_LAST_ZONE = timezone(timedelta(hours=-12))

_BUDDHIST = re.compile(r"(2[5-9]\d\d)-")
_BUDDHIST_EPOCH = 543  # the Buddhist era of Thailand begins 543 years before the common era
_YEARS = range(2000, 2200)  # no other year can belong to a warning that anyone still sends


def earliest(text: str) -> datetime | None:
    """Return the earliest instant that a time can mean; None where it can't be read.

    Examples
    --------
    >>> earliest("2024-01-07T01:31:08-00:00").isoformat()
    '2024-01-07T01:31:08+00:00'
    >>> earliest("2024-01-07T14:00:00").isoformat()
    '2024-01-07T00:00:00+00:00'
    """
    return _read(text, _FIRST_ZONE)


def latest(text: str) -> datetime | None:
    """Return the latest instant that a time can mean; None where it can't be read.

    Examples
    --------
    >>> latest("2568-01-07T12:00:00").isoformat()
    '2025-01-08T00:00:00+00:00'
    """
    return _read(text, _LAST_ZONE)


def in_order(text: str) -> datetime | None:
    """Return a time for putting messages of one service in order; without an offset as UTC."""
    return _read(text, UTC)


def mail_time(text: str) -> datetime | None:
    """Return a time as RSS gives it (RFC 5322) or as Atom does (RFC 3339); None for any other.

    Examples
    --------
    >>> mail_time("Thu, 23 Feb 2023 08:36:12 +0000").isoformat()
    '2023-02-23T08:36:12+00:00'
    """
    from email.utils import parsedate_to_datetime

    try:
        found = parsedate_to_datetime(text)
    except (ValueError, TypeError, OverflowError, IndexError):
        return in_order(text)
    return in_order(found.isoformat())


def unread_time(name: str, text: str, found: datetime | None) -> tuple[str, ...]:
    """Return words for a time that was given and can't be read."""
    return (f"{name} {clean_text(text, 60)!r}",) if text.strip() and found is None else ()


def _read(text: str, zone: timezone) -> datetime | None:
    common = _BUDDHIST.sub(lambda year: f"{int(year[1]) - _BUDDHIST_EPOCH}-", text.strip(), count=1)
    try:
        found = datetime.fromisoformat(common)
        placed = found if found.tzinfo else found.replace(tzinfo=zone)
        universal = placed.astimezone(UTC)
    except (ValueError, OverflowError):
        return None
    return universal if universal.year in _YEARS else None

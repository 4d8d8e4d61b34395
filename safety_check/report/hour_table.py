"""The hours of a trip as a table that fits the width of the terminal."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from itertools import groupby
from zoneinfo import ZoneInfo

from safety_check.model.verdict import HourVerdict, Verdict
from safety_check.report.layout import Column, Layout
from safety_check.report.words import HOUR, HourText, hours_text, weekday
from safety_check.units import Preferences

Run = Sequence[HourVerdict]
ALL = ("hours", "verdict", "wind", "gusts", "from", "waves", "GO in")
FEWER = (ALL, ALL[:6], ("hours", "verdict", "wind", "gusts", "waves"))  # the widest first
LEFT = ("hours", "verdict", "from")


def add_hours(
    runs: Sequence[Run], verdict: Verdict, preferences: Preferences, layout: Layout
) -> None:
    """Add a table with a row for each run of hours; columns are left out where it is narrow.

    Parameters
    ----------
    runs
        Hours taken together, in order.
    verdict, preferences
        The verdict of these hours, and the units of the reader.
    layout
        The table is added to it.
    """
    rows = _rows(runs, verdict, preferences, short=False)
    short = _rows(runs, verdict, preferences, short=True)
    for names in FEWER:
        columns = [_column(name, preferences) for name in names]
        if layout.fits(columns, [[row[name] for name in names] for row in rows]):
            return layout.table(columns, [[row[name] for name in names] for row in rows])
    columns = [_column(name, None) for name in names]
    return layout.table(columns, [[row[name] for name in names] for row in short])


def alike(hours: Sequence[HourVerdict]) -> list[Run]:
    """Return hours as runs of the same verdict."""
    return [list(run) for _, run in groupby(hours, key=lambda hour: hour.severity)]


def _column(name: str, preferences: Preferences | None) -> Column:
    unit = {} if preferences is None else {"wind": preferences.wind, "waves": preferences.wave}
    title = f"{name}, {unit[name]}" if name in unit else name
    return Column(title, right=name not in LEFT)


def _rows(
    runs: Sequence[Run], verdict: Verdict, preferences: Preferences, short: bool
) -> list[dict[str, str]]:
    zone = ZoneInfo(verdict.plan.water.time_zone)
    rows, before = [], ""
    for run in runs:
        first, last = _edges(run, verdict)
        local, until = first.astimezone(zone), last.astimezone(zone)
        if before and before != weekday(local):
            rows.append(dict.fromkeys(ALL, "") | {"hours": weekday(local)})
        before = weekday(local)
        text = hours_text(run, preferences)
        rows.append(_row(_span(local, until, short), str(run[0].severity), text))
    return rows


def _row(hours: str, severity: str, text: HourText) -> dict[str, str]:
    figures = (text.wind, text.gusts, text.direction, text.waves, text.go)
    return dict(zip(ALL, (hours, severity, *figures), strict=True))


def _edges(run: Run, verdict: Verdict) -> tuple[datetime, datetime]:
    """Return from when to when a run is judged."""
    first, last = run[0].time, run[-1].time + HOUR
    start, until = verdict.plan.start, verdict.judged_until
    first = start if first < start < first + HOUR else first
    return first, (until if until and last - HOUR < until < last else last)


def _span(first: datetime, last: datetime, short: bool) -> str:
    """Return from when to when, without the minutes of whole hours where it must be short.

    Examples
    --------
    >>> _span(datetime(2026, 6, 13, 10), datetime(2026, 6, 13, 11, 30), short=True)
    '10-11:30'
    """
    written = [f"{moment:%H:%M}" for moment in (first, last)]
    return "-".join(part.removesuffix(":00") if short else part for part in written)

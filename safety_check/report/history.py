"""The history of checks for people and for programs, and an old check repeated."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any
from zoneinfo import ZoneInfo

from safety_check.model.clean_text import clean_text
from safety_check.model.history import CheckLine, FindingChange, RepeatedCheck
from safety_check.model.verdict import Finding, Limit, Severity
from safety_check.report.layout import terminal_width

INDENT = " " * 6  # beneath the number of a check


@dataclass(frozen=True)
class HistoryRow:
    """What is said of a check, in words.

    Parameters
    ----------
    number, severity
        Its number in the history, and its verdict.
    at, trip
        When it was made, and when the trip was to be, in the water's local time.
    place, craft, because
        Water, launch and the user's name of the plan; the craft; the reason.
    """

    number: int
    severity: Severity
    at: str
    trip: str
    place: str
    craft: str
    because: str


def row_of(check: CheckLine) -> HistoryRow:
    """Return what is said of a check."""
    zone = ZoneInfo(check.time_zone)
    at, start, end = (moment.astimezone(zone) for moment in (check.at, check.start, check.end))
    until = f"{end:%H:%M}" if end.date() == start.date() else f"{end:%a %d %b %H:%M}"
    name = f" ({clean_text(check.name)})" if check.name else ""
    return HistoryRow(
        number=check.id,
        severity=check.severity,
        at=f"{at:%Y-%m-%d %H:%M}",
        trip=f"{start:%a %d %b %H:%M} to {until}",
        place=f"{check.water}, {check.launch}{name}",
        craft=check.craft,
        because=check.because,
    )


def lines(checks: Iterable[CheckLine]) -> str:
    """Return for each check what was planned and found, and why; wrapped to the terminal."""
    return "\n".join(_two_parts(row_of(check)) for check in checks)


def _two_parts(row: HistoryRow) -> str:
    first = f"{row.number:>4}  {row.at}  {row.severity!s:8}  {row.place}"
    second = f"{row.trip}, {row.craft}. {row.because}".strip()
    return f"{_wrapped(first, '')}\n{_wrapped(second, INDENT)}"


def _wrapped(text: str, indent: str) -> str:
    return textwrap.fill(
        text,
        terminal_width(),
        initial_indent=indent,
        subsequent_indent=INDENT,
        break_on_hyphens=False,
    )


def as_json(check: CheckLine) -> dict[str, Any]:
    """Return a line of the history as plain values."""
    values = dict(vars(check))
    moments = {name: values[name].isoformat() for name in ("at", "start", "end")}
    return values | moments | {"severity": str(check.severity)}


# -- a repeated check --------------------------------------------------------------------------


def repeat(done: RepeatedCheck, program: str) -> str:
    """Return whether an old check gave the same verdict again, and what differs."""
    then = done.before.severity
    if done.same:
        said = [f"The same verdict, {then}, to the last digit."]
    elif then == done.again.severity:
        said = [f"The same verdict, {then}, with differences:"]
    else:
        said = [f"A different verdict: it was {then}, now it is {done.again.severity}."]
    if done.line.program != program:
        said.append(f"It was made by safety-check {done.line.program}; this is {program}.")
    said += [_change(change) for change in done.changes]
    if done.settings_changes:
        said.append(f"With today's settings: {done.today.severity}.")
        said += [_change(change) for change in done.settings_changes]
    width = terminal_width()
    return "\n".join(
        textwrap.fill(line, width, subsequent_indent="  ", break_on_hyphens=False) for line in said
    )


def repeat_as_json(done: RepeatedCheck, program: str) -> dict[str, Any]:
    """Return the same as plain values."""
    return {
        "id": done.line.id,
        "same": done.same,
        "then": str(done.before.severity),
        "again": str(done.again.severity),
        "today": str(done.today.severity),
        "program_then": done.line.program,
        "program": program,
        "changes": [_change(change) for change in done.changes],
        "settings_changes": [_change(change) for change in done.settings_changes],
    }


def _change(change: FindingChange) -> str:
    before, after = change.before, change.after
    if before is None or after is None:
        weighed = "no longer weighed" if after is None else "weighed only now"
        return f"- {change.hazard}: {weighed}. {_reason(before)}{_reason(after)}"
    if before.limit != after.limit:
        limits = f"its limit was {_bounds(before.limit)}; now it is {_bounds(after.limit)}"
        return f"- {change.hazard}: {before.severity} became {after.severity}; {limits}."
    if before.severity != after.severity:
        return f"- {change.hazard}: {before.severity} became {after.severity}. {after.reason}"
    return f"- {change.hazard}: it said: {before.reason} Now it says: {after.reason}"


def _reason(finding: Finding | None) -> str:
    return finding.reason if finding else ""


def _bounds(limit: Limit | None) -> str:
    if limit is None:
        return "none"
    marginal, no_go = (
        "never" if bound is None else f"{bound:g} {limit.unit}"
        for bound in (limit.marginal, limit.no_go)
    )
    return f"caution {marginal}, no-go {no_go} ({limit.basis}, since {limit.since})"

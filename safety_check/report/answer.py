"""The short report: the head, then hours and reasons, then what to take along."""

from __future__ import annotations

from collections.abc import Sequence

from safety_check.model.verdict import Severity, Verdict
from safety_check.report.alternatives import TITLE, alternative_lines
from safety_check.report.credits import credits_of
from safety_check.report.head import add_opening
from safety_check.report.hour_table import Run, add_hours, alike
from safety_check.report.layout import Layout
from safety_check.report.leave_signs import LEAVE_TITLE, leave_lines
from safety_check.report.moving_water import TITLE_OF_MOVEMENT, movement_lines
from safety_check.report.reasons import weighty_reasons
from safety_check.units import Preferences

BODY = 15  # lines of hours and reasons at most
ROWS = 7  # of the table
LAST = (
    "Local regulations, official warnings and your own judgment come first. Everything else this"
    " check knows: add --full."
)


def add_answer(verdict: Verdict, preferences: Preferences, layout: Layout) -> None:
    """Add the short report for a person to a layout."""
    told = add_opening(verdict, preferences, layout)
    add_alternatives(verdict, preferences, layout)
    begin = len(layout.lines)
    if any(hour.severity != Severity.UNKNOWN for hour in verdict.hours):
        layout.paragraph("")
        add_hours(_runs(verdict), verdict, preferences, layout)
    _add_reasons(verdict, layout, BODY - (len(layout.lines) - begin), told)
    _add_movement(verdict, preferences, layout)
    add_leave_signs(verdict, preferences, layout)
    if verdict.severity <= Severity.MARGINAL:
        layout.section("Before you launch")
        for text in verdict.called_for:
            layout.item(text)
    layout.paragraph("")
    layout.paragraph(LAST)
    if preferences.note:
        layout.paragraph(preferences.note)
    for credit in credits_of(verdict):
        layout.paragraph(credit)


def add_alternatives(verdict: Verdict, preferences: Preferences, layout: Layout) -> None:
    """Add what would make the trip better; nothing for a GO."""
    lines = alternative_lines(verdict, preferences)
    if lines:
        layout.section(TITLE[verdict.severity])
        for text in lines:
            layout.item(text)


def _add_movement(verdict: Verdict, preferences: Preferences, layout: Layout) -> None:
    """Add tide, current and river; nothing on still water."""
    lines = movement_lines(verdict, preferences)
    if lines:
        layout.section(TITLE_OF_MOVEMENT)
        for text in lines:
            layout.item(text)


def add_leave_signs(verdict: Verdict, preferences: Preferences, layout: Layout) -> None:
    """Add the signs that it is time to leave; nothing where the trip should not begin."""
    lines = leave_lines(verdict, preferences)
    if lines:
        layout.section(LEAVE_TITLE)
        for text in lines:
            layout.item(text)


def _runs(verdict: Verdict) -> Sequence[Run]:
    """Return the hours one by one where they are few, else those with the same verdict together.

    Where too little is known, the lines are needed to say what to do about it.
    """
    if len(verdict.hours) <= ROWS and verdict.severity != Severity.UNKNOWN:
        return [[hour] for hour in verdict.hours]
    runs = alike(verdict.hours)
    if len(runs) <= ROWS:
        return runs
    return [*runs[: ROWS - 1], [hour for run in runs[ROWS - 1 :] for hour in run]]


def _add_reasons(verdict: Verdict, layout: Layout, room: int, head: str) -> None:
    """Add the reasons that the head does not state in full, as far as there is room."""
    whole = bool(verdict.findings) and verdict.findings[0].short in head
    reasons = weighty_reasons(verdict, brief=True, leave_out=int(whole))
    room -= 2  # an empty line and the heading
    told = 0
    part = Layout(layout.width, layout.colour)
    for severity, text in reasons:
        trial = Layout(layout.width, layout.colour)
        trial.reason(severity, text)
        more = told + 1 < len(reasons)
        if len(part.lines) + len(trial.lines) + more > room:
            break
        part.lines += trial.lines
        told += 1
    if told < len(reasons) and len(part.lines) < room:
        part.item(f"{len(reasons) - told} more: add --full.")
    if part.lines:
        layout.section("Also" if whole else "Why")
        layout.lines += part.lines

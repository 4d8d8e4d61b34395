"""The whole verdict for a terminal: the answer first, then why, when, and its sources."""

from __future__ import annotations

from collections.abc import Iterable
from zoneinfo import ZoneInfo

from safety_check.model.local_clock import LocalClock
from safety_check.model.verdict import Severity, Unknown, Verdict
from safety_check.report import moving_water, official_warnings
from safety_check.report.advice import advice_paragraphs
from safety_check.report.answer import add_alternatives, add_leave_signs
from safety_check.report.head import add_opening
from safety_check.report.hour_limits import describe_limits
from safety_check.report.hour_table import add_hours
from safety_check.report.layout import Layout
from safety_check.report.local_rules import TITLE, local_rule_lines
from safety_check.report.reasons import weighty_reasons
from safety_check.report.words import SPREAD, course_text, go_share, origin, window
from safety_check.units import Preferences


def add_verdict(verdict: Verdict, preferences: Preferences, layout: Layout) -> None:
    """Add the full report of a verdict for a person to a layout."""
    zone = ZoneInfo(verdict.plan.water.time_zone)
    add_opening(verdict, preferences, layout)
    _add_reasons(verdict, layout)
    _add_warnings(verdict, layout)
    _add_hours(verdict, preferences, layout)
    _add_windows(verdict, zone, layout)
    add_alternatives(verdict, preferences, layout)
    add_leave_signs(verdict, preferences, layout)
    if rules := local_rule_lines(verdict, preferences):
        _add_items(TITLE, rules, layout)
    if movement := moving_water.movement_lines(verdict, preferences):
        _add_items(moving_water.TITLE_OF_MOVEMENT, movement, layout)
    for title, lines in advice_paragraphs(verdict, preferences):
        _add_items(title, lines, layout)
    if verdict.unknown:
        _add_items("Not known", map(unknown_text, verdict.unknown), layout)
    origins = dict.fromkeys(origin(source, verdict.at) for source in verdict.provenance)
    _add_items("Based on", list(origins) or ["No forecast at all."], layout)
    _add_items("Before you launch", verdict.cautions, layout)
    if preferences.note:
        layout.paragraph("")
        layout.paragraph(preferences.note)


def _add_items(title: str, items: Iterable[str], layout: Layout) -> None:
    layout.section(title)
    for text in items:
        layout.item(text)


def trip_text(verdict: Verdict) -> str:
    """Return the odds of the trip, and until when it is judged."""
    assert verdict.judged_until is not None
    go = go_share(verdict.trip_odds.get(Severity.GO, 0.0))
    until = LocalClock.of(verdict.plan).time(verdict.judged_until)
    minutes = (verdict.judged_until - verdict.plan.end).total_seconds() / 60
    return (
        f"The whole trip is GO in {go} of the forecasts. It is judged until {until},"
        f" {minutes:.0f} min after its end."
    )


def _add_reasons(verdict: Verdict, layout: Layout) -> None:
    layout.section("Why")
    for severity, text in weighty_reasons(verdict):
        layout.reason(severity, text)
    within = sum(finding.severity == Severity.GO for finding in verdict.findings)
    if within == len(verdict.findings):
        layout.item("No hazard that the program weighs exceeds a limit.")
    elif within:
        layout.item(f"{within} other hazards were weighed and stay within their limits.")


def _add_warnings(verdict: Verdict, layout: Layout) -> None:
    """Add the official warnings in the words of those who issued them."""
    told = official_warnings.warning_texts(verdict)
    if told:
        layout.section(official_warnings.TITLE)
    for warning in told:
        layout.item(warning.title)
        for line in (warning.about, *warning.text, warning.issued):
            layout.paragraph(line, "   ")


def _add_hours(verdict: Verdict, preferences: Preferences, layout: Layout) -> None:
    layout.section("Hour by hour")
    add_hours([[hour] for hour in verdict.hours], verdict, preferences, layout)
    lee = f"Lee: {verdict.lee}" if verdict.lee else ""
    clock = LocalClock.of(verdict.plan)
    limits = describe_limits(verdict.hours, preferences, clock)
    judged = trip_text(verdict) if verdict.judged_until else ""
    where = course_text(verdict.course, clock, preferences) if verdict.course else ""
    for text in (judged, where, SPREAD, *limits, *verdict.widening, verdict.disagreement, lee):
        if text:
            layout.paragraph(text, " ")


def _add_windows(verdict: Verdict, zone: ZoneInfo, layout: Layout) -> None:
    none = "None: no hour around the plan is better than UNKNOWN or NO-GO."
    found = [window(span, zone) for span in verdict.windows[:2]]
    _add_items("Best window around the plan", found or [none], layout)


def unknown_text(unknown: Unknown) -> str:
    """Return what is not known, why, and what to do about it."""
    return f"{unknown.what}: {unknown.why.rstrip('.')}. {unknown.remedy}".strip()

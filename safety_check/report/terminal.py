"""The verdict for a terminal: the answer first, then why, when, and what it rests on."""

from __future__ import annotations

import math
from collections.abc import Iterable
from zoneinfo import ZoneInfo

from safety_check.model.local_clock import LocalClock
from safety_check.model.verdict import Finding, Severity, Unknown, Verdict
from safety_check.report.advice import advice_paragraphs
from safety_check.report.hour_limits import describe_limits
from safety_check.report.layout import Column, Layout
from safety_check.report.words import (
    MEANS,
    SPREAD,
    assumed_reach,
    go_share,
    hour_text,
    origin,
    own_word,
    period,
    weekday,
    window,
)
from safety_check.rules.hazards import quantity_label
from safety_check.units import Preferences

FEW = 2  # reasons that something is not known; more of them share one line


def add_verdict(verdict: Verdict, preferences: Preferences, layout: Layout) -> None:
    """Add a verdict for a person to a layout."""
    zone = ZoneInfo(verdict.plan.water.time_zone)
    _add_head(verdict, preferences, zone, layout)
    _add_reasons(verdict, layout)
    _add_hours(verdict, preferences, zone, layout)
    _add_windows(verdict, zone, layout)
    for title, lines in advice_paragraphs(verdict, preferences):
        _add_items(title, lines, layout)
    if verdict.unknown:
        _add_items("Not known", map(unknown_text, verdict.unknown), layout)
    origins = [origin(source, verdict.at) for source in verdict.provenance]
    _add_items("Based on", origins or ["No forecast at all."], layout)
    _add_items("Before you launch", verdict.cautions, layout)


def _add_items(title: str, items: Iterable[str], layout: Layout) -> None:
    layout.section(title)
    for text in items:
        layout.item(text)


def _add_head(verdict: Verdict, preferences: Preferences, zone: ZoneInfo, layout: Layout) -> None:
    plan = verdict.plan
    when = period(plan.start.astimezone(zone), plan.end.astimezone(zone))
    layout.paragraph(f"{verdict.severity}: {MEANS[verdict.severity]}")
    layout.paragraph(
        f"{plan.water.name}, {plan.launch.name}; {plan.craft.label}; {when}"
        f" ({plan.water.time_zone})"
    )
    if word := own_word(verdict, zone):
        layout.paragraph(word)
    for sentence in verdict.loosened:
        layout.paragraph(sentence)
    assumed = assumed_reach(plan, preferences)
    if assumed:
        layout.paragraph(assumed)
    if verdict.judged_until is not None:
        layout.paragraph(trip_text(verdict))


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
    weighty = [finding for finding in verdict.findings if finding.severity > Severity.GO]
    missing = [finding for finding in weighty if _missing(finding)]
    grouped = missing if len(missing) > FEW else []
    for finding in weighty:
        if finding not in grouped:
            layout.reason(finding.severity, finding.reason)
    for severity in sorted({finding.severity for finding in grouped}, reverse=True):
        names = [quantity_label(each.quantity) for each in grouped if each.severity == severity]
        layout.reason(
            severity, f'Missing data (see "Not known" for what to do): {", ".join(names)}.'
        )
    within = len(verdict.findings) - len(weighty)
    if not weighty:
        layout.item("Nothing that is weighed here passes a limit.")
    elif within:
        layout.item(f"{within} other hazards were weighed and stay within their limits.")


def _missing(finding: Finding) -> bool:
    nobody_read_warnings = finding.hazard == "official_warning"
    return math.isnan(finding.value) and finding.limit is not None and not nobody_read_warnings


def _add_hours(verdict: Verdict, preferences: Preferences, zone: ZoneInfo, layout: Layout) -> None:
    layout.section("Hour by hour")
    columns = [
        Column("hour"),
        Column("verdict"),
        Column(f"wind, {preferences.wind}", right=True),
        Column("gusts", right=True),
        Column("from"),
        Column(f"waves, {preferences.wave}", right=True),
        Column("GO in", right=True),
    ]
    rows, before = [], ""
    for hour in verdict.hours:
        local, said = hour.time.astimezone(zone), hour_text(hour, preferences)
        new_day = f"{weekday(local)} " if before and before != weekday(local) else ""
        before = weekday(local)
        rows.append(
            [
                *(f"{new_day}{local:%H:%M}", str(hour.severity), said.wind, said.gusts),
                *(said.direction, said.waves, said.go),
            ]
        )
    layout.table(columns, rows)
    lee = f"Lee: {verdict.lee}" if verdict.lee else ""
    limits = describe_limits(verdict.hours, preferences, LocalClock.of(verdict.plan))
    for text in (SPREAD, *limits, *verdict.widening, verdict.disagreement, lee):
        if text:
            layout.paragraph(text, " ")


def _add_windows(verdict: Verdict, zone: ZoneInfo, layout: Layout) -> None:
    none = "None: no hour around the plan is better than UNKNOWN or NO-GO."
    found = [window(each, zone) for each in verdict.windows[:2]]
    _add_items("Best window around the plan", found or [none], layout)


def unknown_text(unknown: Unknown) -> str:
    """Return what is not known, why, and what to do about it."""
    return f"{unknown.what}: {unknown.why.rstrip('.')}. {unknown.remedy}".strip()

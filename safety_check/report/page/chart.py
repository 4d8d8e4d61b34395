"""The chart of the hours: positions of its lines, bands and words.

This module computes only positions on the paper: every number comes from the verdict.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import groupby
from zoneinfo import ZoneInfo

from safety_check.model.local_clock import LocalClock
from safety_check.model.verdict import HourVerdict, Severity, Verdict
from safety_check.report.moving_water import movement_lines
from safety_check.report.page.chart_axis import (
    clock_marks,
    dark_bars,
    day_bars,
    light_bars,
    tick_path,
)
from safety_check.report.page.chart_flow import flow_panels, flow_values
from safety_check.report.page.chart_panels import Sheet, panels
from safety_check.report.page.chart_paper import PAPERS, Mark, Paper
from safety_check.report.page.chart_parts import (
    HOUR,
    Axis,
    Band,
    Bar,
    Block,
    Chart,
    Foot,
    Head,
    Odds,
    key,
)
from safety_check.report.words import clock, go_share, weekday
from safety_check.units import Preferences

SHAPE = 14.0  # the width of a verdict's shape and a space
LEVEL_HEIGHT, WINDOW_HEIGHT = 20.0, 4.0


def build_charts(verdict: Verdict, preferences: Preferences, chosen: int = 0) -> tuple[Chart, ...]:
    """Return the drawing of a verdict's hours on each paper; the style sheet shows one of them.

    Parameters
    ----------
    verdict
        Every number comes from it.
    preferences
        The units that the user reads in.
    chosen
        The hour that is marked at first.
    """
    return tuple(build_chart(verdict, preferences, paper, chosen) for paper in PAPERS)


def build_chart(
    verdict: Verdict, preferences: Preferences, paper: Paper = PAPERS[0], chosen: int = 0
) -> Chart:
    """Return the drawing of a verdict's hours on one paper."""
    hours = verdict.around or verdict.hours
    axis = Axis(hours[0].time, hours[-1].time + HOUR, paper)
    zone, local = ZoneInfo(verdict.plan.water.time_zone), LocalClock.of(verdict.plan)
    starts = [hour.time for hour in hours]
    head = _head(verdict, hours, axis, local)
    midnights = tuple(bar.x for bar in day_bars(axis, zone))[1:]
    edges = (head.trip.x, round(head.trip.x + head.trip.width, 1))
    flow = flow_values(verdict.movement, starts, preferences)
    height = paper.panel if not flow else paper.least
    sheet = Sheet(axis, local, height, (*edges, *midnights))
    drawn = panels(hours, sheet, head.light.top + head.light.height, preferences)
    drawn += flow_panels(flow, starts, sheet, drawn[-1].bottom)
    odds = _odds(hours, sheet, drawn[-1].bottom)
    return Chart(
        paper=paper,
        head=head,
        panels=drawn,
        odds=odds,
        foot=_foot(axis, zone, odds.bottom),
        edges=edges,
        midnights=midnights,
        hours=tuple(axis.bar(start, start + HOUR) for start in starts),
        chosen=chosen,
        flow=" ".join(movement_lines(verdict, preferences)),
    )


# -- the rows above the panels -----------------------------------------------------------------


def _head(verdict: Verdict, hours: Sequence[HourVerdict], axis: Axis, local: LocalClock) -> Head:
    paper, zone = axis.paper, ZoneInfo(verdict.plan.water.time_zone)
    trip = _trip(verdict, axis, zone)
    said = tuple(f"{local.time(hour.time)} {hour.severity}" for hour in hours)
    at, trip_mark = _first_rows(said, trip, paper)
    top = round(trip_mark.y + 11, 1)
    below = round(top + LEVEL_HEIGHT + 2, 1)
    return Head(
        at=at,
        said=said,
        trip=trip,
        trip_mark=trip_mark,
        trip_top=round(top - 6, 1),
        levels=Band(top, LEVEL_HEIGHT, tuple(_levels(hours, axis))),
        windows=Band(
            below,
            WINDOW_HEIGHT,
            tuple(axis.bar(window.start, window.end) for window in verdict.windows),
        ),
        light=Band(below + WINDOW_HEIGHT + 2, paper.line, tuple(light_bars(axis, verdict, zone))),
        dark=tuple(dark_bars(axis, verdict)),
    )


def _trip(verdict: Verdict, axis: Axis, zone: ZoneInfo) -> Bar:
    start, end = (moment.astimezone(zone) for moment in (verdict.plan.start, verdict.plan.end))
    said = f"{clock(start)}-{clock(end)}"
    if start.date() != end.date():
        said = f"{weekday(start)} {clock(start)}-{weekday(end)} {clock(end)}"
    return axis.bar(start, end, f"planned trip {said}")


def _first_rows(said: Sequence[str], trip: Bar, paper: Paper) -> tuple[Mark, Mark]:
    """Return where the chosen hour and the trip are named: in one row where that has room."""
    baseline = round(paper.font, 1)
    longest = max(said, key=lambda text: paper.text_width(text, bold=True))
    name = Mark(trip.middle, baseline, trip.text).moved_within(paper, bold=True)
    ends = Mark(paper.width, baseline, longest, "end"), Mark(0.0, baseline, longest, "start")
    for at in ends:
        if not at.box(paper, bold=True).meets(name.box(paper, bold=True)):
            return at, name
    return ends[0], replace(name, y=round(baseline + paper.line, 1))


def _levels(hours: Sequence[HourVerdict], axis: Axis) -> Iterable[Bar]:
    """Return each run of hours at one severity, its word where there is room for it."""
    for level, run in groupby(hours, key=lambda hour: hour.severity):
        same = list(run)
        bar = axis.bar(same[0].time, same[-1].time + HOUR, level=key(level))
        room = axis.paper.text_width(str(level), bold=True) + SHAPE + 8
        word = str(level) if bar.width >= room else ""
        yield replace(bar, text=word, shape=bar.width >= SHAPE)


# -- below the panels --------------------------------------------------------------------------


def _odds(hours: Sequence[HourVerdict], sheet: Sheet, start: float) -> Odds:
    top, (title, at) = sheet.top(start), sheet.title(start, "Odds of each verdict", "Odds")
    bottom = round(top + sheet.paper.odds, 1)
    return Odds(
        title=title,
        at=at,
        values=tuple(f"GO {go_share(hour.odds.get(Severity.GO, 0.0))}" for hour in hours),
        top=top,
        bottom=bottom,
        blocks=tuple(_blocks(hours, sheet.axis, bottom)),
    )


def _blocks(hours: Sequence[HourVerdict], axis: Axis, bottom: float) -> Iterable[Block]:
    """Return the shares of each run of hours that have the same, the best at the bottom."""
    for odds, run in groupby(hours, key=lambda hour: hour.odds):
        same = list(run)
        span = axis.bar(same[0].time, same[-1].time + HOUR)
        y = bottom
        for level in Severity:
            height = axis.paper.odds * odds.get(level, 0.0)
            if height > 0:
                y -= height
                yield Block(span.x, round(y, 1), span.width, round(height, 1), key(level))


def _foot(axis: Axis, zone: ZoneInfo, top: float) -> Foot:
    baseline = round(top + 4 + axis.paper.font, 1)
    return Foot(
        ticks=tick_path(axis, zone, top),
        clock=tuple(clock_marks(axis, zone, baseline)),
        days=Band(baseline + 5, axis.paper.line, tuple(day_bars(axis, zone))),
    )

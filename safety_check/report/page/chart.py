"""The chart of the hours: positions of its lines, bands and words.

This module computes only positions on the paper: every number comes from the verdict.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from datetime import datetime
from itertools import groupby
from zoneinfo import ZoneInfo

from safety_check.model.verdict import HourVerdict, Severity, Verdict
from safety_check.report.moving_water import movement_lines
from safety_check.report.page.chart_flow import flow_panels
from safety_check.report.page.chart_panels import panels
from safety_check.report.page.chart_parts import (
    GAP,
    HOUR,
    LEFT,
    ODDS,
    RIGHT,
    WIDTH,
    Axis,
    Bar,
    Block,
    Chart,
    Mark,
    key,
)
from safety_check.report.words import clock, weekday
from safety_check.units import Preferences

ROOM_FOR_A_CLOCK = 32.0  # "06:00" and a space
ROOM_FOR_A_WORD = {Severity.NO_GO: 62.0, Severity.MARGINAL: 80.0, Severity.UNKNOWN: 80.0}
ROOM_FOR_A_SHAPE = 11.0
WIDE = 5.6  # average width of a letter of the chart


def build_chart(verdict: Verdict, preferences: Preferences) -> Chart:
    """Return the drawing of a verdict's hours, in the units that the user reads in."""
    hours = verdict.around or verdict.hours
    axis = Axis(hours[0].time, hours[-1].time + HOUR)
    zone = ZoneInfo(verdict.plan.water.time_zone)
    drawn = panels(hours, axis, preferences)
    starts, below = [hour.time for hour in hours], drawn[-1].bottom + GAP
    drawn += flow_panels(verdict.movement, starts, axis, below, preferences)
    odds_top = drawn[-1].bottom + GAP
    bottom = odds_top + ODDS
    trip = _trip(verdict, axis, zone)
    return Chart(
        width=WIDTH,
        height=bottom + 18,
        left=LEFT,
        right=WIDTH - RIGHT,
        bottom=bottom,
        trip=trip,
        trip_mark=_within(trip.middle, 11, trip.text),
        levels=tuple(_levels(hours, axis)),
        windows=tuple(axis.bar(window.start, window.end) for window in verdict.windows),
        dark=tuple(_dark(verdict, axis)),
        light=tuple(_light(axis, span, zone) for span in verdict.daylight),
        panels=drawn,
        odds_top=odds_top,
        odds=tuple(_odds(hours, axis, bottom)),
        clock=tuple(_clock(axis, zone, bottom)),
        hours=tuple(axis.bar(hour.time, hour.time + HOUR) for hour in hours),
        flow=" ".join(movement_lines(verdict, preferences)),
    )


# -- the rows above the panels -----------------------------------------------------------------


def _trip(verdict: Verdict, axis: Axis, zone: ZoneInfo) -> Bar:
    start, end = (moment.astimezone(zone) for moment in (verdict.plan.start, verdict.plan.end))
    said = f"{clock(start)}-{clock(end)}"
    if start.date() != end.date():
        said = f"{weekday(start)} {clock(start)}-{weekday(end)} {clock(end)}"
    return axis.bar(start, end, f"planned trip {said}")


def _within(x: float, y: float, text: str) -> Mark:
    """Return a word over its place, moved if needed so that it stays on the paper."""
    half = WIDE * len(text) / 2
    return Mark(round(min(max(x, half), WIDTH - half), 1), y, text)


def _levels(hours: Sequence[HourVerdict], axis: Axis) -> Iterable[Bar]:
    """Return each run of hours at one severity, its word where there is room for it."""
    for level, run in groupby(hours, key=lambda hour: hour.severity):
        same = list(run)
        bar = axis.bar(same[0].time, same[-1].time + HOUR, level=key(level))
        word = str(level) if bar.width >= ROOM_FOR_A_WORD.get(level, 40.0) else ""
        yield Bar(bar.x, bar.width, word, bar.level, bar.width >= ROOM_FOR_A_SHAPE)


def _light(axis: Axis, span: tuple[datetime, datetime], zone: ZoneInfo) -> Bar:
    start, end = (moment.astimezone(zone) for moment in span)
    bar = axis.bar(start, end)
    text = f"daylight {clock(start)}-{clock(end)}"
    return Bar(bar.x, bar.width, text if bar.width >= WIDE * len(text) else "")


def _dark(verdict: Verdict, axis: Axis) -> Iterable[Bar]:
    if not verdict.around:  # stored by an earlier version, without daylight
        return
    edges = [axis.start, *(edge for span in verdict.daylight for edge in span), axis.end]
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        if end > start:
            bar = axis.bar(start, end)
            yield Bar(bar.x, bar.width, "dark" if bar.width >= 30 else "")


def _odds(hours: Sequence[HourVerdict], axis: Axis, bottom: float) -> Iterable[Block]:
    """Return each hour's shares, the best at the bottom."""
    for hour in hours:
        span = axis.bar(hour.time, hour.time + HOUR)
        y = bottom
        for level in Severity:
            height = ODDS * hour.odds.get(level, 0.0)
            if height > 0:
                y -= height
                yield Block(span.x, round(y, 1), span.width, round(height, 1), key(level))


# -- the clock below ---------------------------------------------------------------------------


def _clock(axis: Axis, zone: ZoneInfo, bottom: float) -> Iterable[Mark]:
    """Return the hours of the day that have room, the weekday where a day begins."""
    span = (axis.end - axis.start) / HOUR
    room = (WIDTH - LEFT - RIGHT) / span
    every = next(hours for hours in (1, 2, 3, 6, 12, 24, 48) if hours * room >= ROOM_FOR_A_CLOCK)
    for number in range(math.ceil(span)):
        local = (axis.start + number * HOUR).astimezone(zone)
        if local.hour % every == 0:
            text = clock(local) if local.hour else weekday(local)
            yield Mark(axis.at(local), bottom + 13, text)

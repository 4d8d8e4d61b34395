"""The time axis of the chart: the clock, the days, and light and dark."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from safety_check.model.verdict import Verdict
from safety_check.report.page.chart_paper import Mark
from safety_check.report.page.chart_parts import HOUR, Axis, Bar
from safety_check.report.words import clock, day, weekday

# Hours from one figure to the next, and how the figure is written, the best first.
CLOCKS = (
    *((every, "%H:%M") for every in (2, 3)),
    *((every, "%H") for every in (3, 6, 12, 24)),
)
FREE = 5.0  # between two figures
CLOSEST_TICKS = 5.0


def clock_marks(axis: Axis, zone: ZoneInfo, y: float) -> Iterator[Mark]:
    """Yield the hours of the day, each two or three hours where that has room."""
    room = axis.paper.plot / axis.hours
    fits = (
        (every, form)
        for every, form in CLOCKS
        if every * room >= axis.paper.text_width(f"{axis.start:{form}}") + FREE * len(form) / 2
    )
    every, form = next(fits, CLOCKS[-1])
    for moment in _hours(axis):
        local = moment.astimezone(zone)
        if local.hour % every == 0:
            yield Mark(axis.at(moment), y, f"{local:{form}}")


def tick_path(axis: Axis, zone: ZoneInfo, bottom: float) -> str:
    """Return a small line at each hour, or at each third one where they would touch."""
    every = 1 if axis.paper.plot / axis.hours >= CLOSEST_TICKS else 3
    return "".join(
        f"M{axis.at(moment):g} {bottom:g}v4"
        for moment in _hours(axis)
        if moment.astimezone(zone).hour % every == 0
    )


def _hours(axis: Axis) -> Iterator[datetime]:
    for number in range(math.ceil(axis.hours)):
        yield axis.start + number * HOUR


def day_bars(axis: Axis, zone: ZoneInfo) -> Iterator[Bar]:
    """Yield each local day, named as its room allows."""
    date = axis.start.astimezone(zone).date()
    while True:
        first = datetime.combine(date, time(), zone)
        date += timedelta(days=1)
        last = datetime.combine(date, time(), zone)
        if first >= axis.end:
            return
        bar = axis.bar(max(first, axis.start), min(last, axis.end))
        yield bar.named(axis.paper, day(first), weekday(first))


def light_bars(axis: Axis, verdict: Verdict, zone: ZoneInfo) -> Iterable[Bar]:
    """Return each stretch of daylight, with its times where they have room."""
    for start, end in verdict.daylight:
        times = f"{clock(start.astimezone(zone))}-{clock(end.astimezone(zone))}"
        yield axis.bar(start, end).named(axis.paper, f"daylight {times}", times, "light")


def dark_bars(axis: Axis, verdict: Verdict) -> Iterable[Bar]:
    """Return each stretch without daylight."""
    if not verdict.around:  # stored by an earlier version, without daylight
        return
    edges = [axis.start, *(edge for span in verdict.daylight for edge in span), axis.end]
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        if end > start:
            yield axis.bar(start, end).named(axis.paper, "dark")

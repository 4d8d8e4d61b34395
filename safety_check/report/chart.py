"""The hours as a drawing: where each line, band and word of it stands.

Nothing is worked out here but places on the paper: every number comes from the verdict.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import groupby
from zoneinfo import ZoneInfo

from safety_check.model.verdict import HourVerdict, Severity, Verdict
from safety_check.report.words import GUST, WAVE, WIND, clock, weekday
from safety_check.units import LENGTH, SPEED, Preferences

WIDTH = 336.0  # as wide as a phone of 360 px leaves, so that one unit is one pixel there
LEFT, RIGHT = 30.0, 4.0  # for the figures of the scale; for the last line's width
PANEL, ODDS, GAP = 62.0, 34.0, 24.0  # the panels, and the line of words above each
TOP = 80.0  # of the first panel: trip, verdict and light stand above
HOUR = timedelta(hours=1)
ROUND = (1.0, 2.0, 5.0, 10.0)  # steps of a scale that read easily
MOST_STEPS = 4
ROOM_FOR_A_CLOCK = 32.0  # "06:00" and a space
ROOM_FOR_A_WORD = {Severity.NO_GO: 62.0, Severity.MARGINAL: 80.0, Severity.UNKNOWN: 80.0}
ROOM_FOR_A_SHAPE = 11.0
WIDE = 5.6  # of a letter of the chart, on the mean


@dataclass(frozen=True)
class Mark:
    """A word or figure at a place; `anchor` as SVG has it."""

    x: float
    y: float
    text: str
    anchor: str = "middle"


@dataclass(frozen=True)
class Bar:
    """A stretch of the time axis, with what it is called."""

    x: float
    width: float
    text: str = ""
    level: str = ""
    shape: bool = False

    @property
    def middle(self) -> float:
        """Where its word or shape stands."""
        return round(self.x + self.width / 2, 1)


@dataclass(frozen=True)
class Block:
    """The share of the forecasts at one severity in one hour."""

    x: float
    y: float
    width: float
    height: float
    level: str


@dataclass(frozen=True)
class Panel:
    """One quantity over the hours.

    Parameters
    ----------
    title
        Quantity and unit.
    top, bottom
        Where it begins and ends on the paper.
    ticks
        The figures of its scale.
    spread, middle
        Paths: between the low and the high side of the forecasts; their middle.
    caution, no_go
        Paths of the bounds that held.
    marks
        What the bounds are called.
    unknown
        Stretches of which nothing is known.
    """

    title: str
    top: float
    bottom: float
    ticks: tuple[Mark, ...]
    spread: str
    middle: str
    caution: str
    no_go: str
    marks: tuple[Mark, ...]
    unknown: tuple[Bar, ...]


@dataclass(frozen=True)
class Chart:
    """The whole drawing; stretches and places in its own units."""

    width: float
    height: float
    left: float
    right: float
    bottom: float
    trip: Bar
    trip_mark: Mark
    levels: tuple[Bar, ...]
    windows: tuple[Bar, ...]
    dark: tuple[Bar, ...]
    light: tuple[Bar, ...]
    panels: tuple[Panel, ...]
    odds_top: float
    odds: tuple[Block, ...]
    clock: tuple[Mark, ...]
    hours: tuple[Bar, ...]


@dataclass(frozen=True)
class Axis:
    """From an instant to a place across the paper."""

    start: datetime
    end: datetime

    def at(self, moment: datetime) -> float:
        """Return where an instant stands; one beyond the axis stands at its end."""
        share = (moment - self.start) / (self.end - self.start)
        return round(LEFT + min(max(share, 0.0), 1.0) * (WIDTH - LEFT - RIGHT), 1)

    def bar(self, start: datetime, end: datetime, text: str = "", level: str = "") -> Bar:
        """Return the stretch from one instant to another."""
        x = self.at(start)
        return Bar(x, round(self.at(end) - x, 1), text, level)


def chart(verdict: Verdict, preferences: Preferences) -> Chart:
    """Return the drawing of a verdict's hours, in the units that the user reads in."""
    hours = verdict.around or verdict.hours
    axis = Axis(hours[0].time, hours[-1].time + HOUR)
    zone = ZoneInfo(verdict.plan.water.time_zone)
    panels = _panels(hours, axis, preferences)
    odds_top = panels[-1].bottom + GAP
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
        windows=tuple(axis.bar(each.start, each.end) for each in verdict.windows),
        dark=tuple(_dark(verdict, axis)),
        light=tuple(_light(axis, span, zone) for span in verdict.daylight),
        panels=panels,
        odds_top=odds_top,
        odds=tuple(_odds(hours, axis, bottom)),
        clock=tuple(_clock(axis, zone, bottom)),
        hours=tuple(axis.bar(each.time, each.time + HOUR) for each in hours),
    )


# -- the rows above the panels -----------------------------------------------------------------


def _trip(verdict: Verdict, axis: Axis, zone: ZoneInfo) -> Bar:
    start, end = (each.astimezone(zone) for each in (verdict.plan.start, verdict.plan.end))
    return axis.bar(start, end, f"planned trip {clock(start)}-{clock(end)}")


def _within(x: float, y: float, text: str) -> Mark:
    """Return a word over its place, moved so far that it stays on the paper."""
    half = WIDE * len(text) / 2
    return Mark(round(min(max(x, half), WIDTH - half), 1), y, text)


def _levels(hours: Sequence[HourVerdict], axis: Axis) -> Iterable[Bar]:
    """Return each run of hours at one severity, its word where there is room for it."""
    for level, run in groupby(hours, key=lambda hour: hour.severity):
        same = list(run)
        bar = axis.bar(same[0].time, same[-1].time + HOUR, level=key(level))
        word = str(level) if bar.width >= ROOM_FOR_A_WORD.get(level, 40.0) else ""
        yield Bar(bar.x, bar.width, word, bar.level, bar.width >= ROOM_FOR_A_SHAPE)


def key(severity: Severity) -> str:
    """Return a severity as the style sheet and the shapes call it."""
    return str(severity).casefold()


def _light(axis: Axis, span: tuple[datetime, datetime], zone: ZoneInfo) -> Bar:
    start, end = (each.astimezone(zone) for each in span)
    bar = axis.bar(start, end)
    text = f"daylight {clock(start)}-{clock(end)}"
    return Bar(bar.x, bar.width, text if bar.width >= WIDE * len(text) else "")


def _dark(verdict: Verdict, axis: Axis) -> Iterable[Bar]:
    edges = [axis.start, *(each for span in verdict.daylight for each in span), axis.end]
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        if end > start:
            bar = axis.bar(start, end)
            yield Bar(bar.x, bar.width, "dark" if bar.width >= 30 else "")


# -- panels ------------------------------------------------------------------------------------


def _panels(
    hours: Sequence[HourVerdict], axis: Axis, preferences: Preferences
) -> tuple[Panel, ...]:
    wind, wave = (
        (SPEED[preferences.wind], preferences.wind),
        (
            LENGTH[preferences.wave],
            preferences.wave,
        ),
    )
    shown = [("Wind", WIND, wind), ("Gusts", GUST, wind), ("Waves", WAVE, wave)]
    return tuple(
        _panel(f"{name}, {unit}", quantity, factor, hours, axis, TOP + number * (PANEL + GAP))
        for number, (name, quantity, (factor, unit)) in enumerate(shown)
    )


def _panel(
    title: str,
    quantity: str,
    factor: float,
    hours: Sequence[HourVerdict],
    axis: Axis,
    top: float,
) -> Panel:
    spans = [axis.bar(each.time, each.time + HOUR) for each in hours]
    low, middle, high = (
        [each.shown[f"{quantity}{side}"] / factor for each in hours]
        for side in ("_low", "", "_high")
    )
    caution, no_go = (
        [each.bounds.get(quantity, (math.nan, math.nan))[at] / factor for each in hours]
        for at in (0, 1)
    )
    scale = Scale.over([*high, *caution, *no_go], top)
    return Panel(
        title=title,
        top=top,
        bottom=top + PANEL,
        ticks=scale.ticks(),
        spread=_band(spans, scale.all(low), scale.all(high)),
        middle=_steps(spans, scale.all(middle)),
        caution=_steps(spans, scale.all(caution)),
        no_go=_steps(spans, scale.all(no_go)),
        marks=tuple(_names(scale, caution, no_go)),
        unknown=tuple(
            span for span, value in zip(spans, high, strict=True) if not math.isfinite(value)
        ),
    )


@dataclass(frozen=True)
class Scale:
    """From a value to a height on the paper."""

    step: float
    greatest: float
    top: float

    @classmethod
    def over(cls, values: Iterable[float], top: float) -> Scale:
        """Return a scale from nothing to above the greatest of the known values."""
        greatest = max((each for each in values if math.isfinite(each)), default=1.0)
        greatest = max(greatest, 1e-3) * 1.08
        power = 10.0 ** math.floor(math.log10(greatest / MOST_STEPS))
        step = next(power * each for each in ROUND if power * each * MOST_STEPS >= greatest)
        return cls(step, greatest, top)

    def y(self, value: float) -> float:
        """Return where a value stands; what is not known or never reached stands nowhere."""
        if not math.isfinite(value):
            return math.nan
        return round(self.top + PANEL * (1 - value / self.greatest), 1)

    def all(self, values: Iterable[float]) -> list[float]:
        """Return where each value stands."""
        return [self.y(each) for each in values]

    def ticks(self) -> tuple[Mark, ...]:
        """Return the figures of the scale."""
        decimals = max(0, -math.floor(math.log10(self.step) + 1e-9))
        return tuple(
            Mark(LEFT - 4, self.y(at * self.step), f"{at * self.step:.{decimals}f}", "end")
            for at in range(int(self.greatest / self.step) + 1)
        )


def _runs(ys: Sequence[float]) -> Iterable[range]:
    """Return each run of places that stand somewhere."""
    for known, run in groupby(range(len(ys)), key=lambda at: not math.isnan(ys[at])):
        if known:
            same = list(run)
            yield range(same[0], same[-1] + 1)


def _steps(spans: Sequence[Bar], ys: Sequence[float]) -> str:
    """Return a path that holds each hour's height for the whole hour."""
    return "".join("M" + _along(spans, ys, run)[1:] for run in _runs(ys))


def _along(spans: Sequence[Bar], ys: Sequence[float], run: Iterable[int]) -> str:
    return "".join(f"L{spans[at].x:g} {ys[at]:g}H{spans[at].x + spans[at].width:g}" for at in run)


def _band(spans: Sequence[Bar], low: Sequence[float], high: Sequence[float]) -> str:
    """Return the outline between two lines of steps."""
    path = ""
    both = [a + b for a, b in zip(low, high, strict=True)]
    for run in _runs(both):
        back = "".join(
            f"L{spans[at].x + spans[at].width:g} {low[at]:g}H{spans[at].x:g}"
            for at in reversed(run)
        )
        path += f"M{_along(spans, high, run)[1:]}{back}Z"
    return path


def _names(scale: Scale, caution: Sequence[float], no_go: Sequence[float]) -> Iterable[Mark]:
    """Return what the bounds are called, caution at the left, no-go at the right end."""
    if math.isfinite(caution[0]):
        yield Mark(LEFT + 3, scale.y(caution[0]) - 2.5, f"caution {_figure(caution[0])}", "start")
    if math.isfinite(no_go[-1]):
        at = WIDTH - RIGHT - 3
        yield Mark(at, scale.y(no_go[-1]) - 2.5, f"no-go {_figure(no_go[-1])}", "end")


def _figure(value: float) -> str:
    return f"{value:.0f}" if value >= 3 else f"{value:.1f}"


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
    every = next(each for each in (1, 2, 3, 6, 12, 24, 48) if each * room >= ROOM_FOR_A_CLOCK)
    for number in range(math.ceil(span)):
        local = (axis.start + number * HOUR).astimezone(zone)
        if local.hour % every == 0:
            text = clock(local) if local.hour else weekday(local)
            yield Mark(axis.at(local), bottom + 13, text)

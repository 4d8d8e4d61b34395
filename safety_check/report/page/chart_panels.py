"""One quantity over the hours: its scale, its steps, the spread and the bounds."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from safety_check.model.local_clock import LocalClock
from safety_check.model.verdict import HourVerdict
from safety_check.report.hour_limits import LEVELS, bounds_of, limit_steps, limit_text
from safety_check.report.page.chart_limits import (
    LimitStep,
    boxes_along,
    boxes_between,
    grid_path,
    place_labels,
    rows_of,
)
from safety_check.report.page.chart_paper import ASCENT, DESCENT, Box, Mark, Paper
from safety_check.report.page.chart_parts import HOUR, Axis, Bar, Panel
from safety_check.report.words import GUST, WAVE, WIND, hour_text
from safety_check.units import LENGTH, SPEED, Preferences

ROUND = (1.0, 2.0, 5.0, 10.0)  # steps of a scale that read easily
MOST_STEPS = 4


@dataclass(frozen=True)
class Sheet:
    """What every panel of a drawing shares.

    Parameters
    ----------
    axis, clock
        The time axis, and the water's local time.
    height
        Of a panel.
    edges
        Where a vertical line crosses every panel.
    """

    axis: Axis
    clock: LocalClock
    height: float
    edges: tuple[float, ...]

    @property
    def paper(self) -> Paper:
        """The drawing."""
        return self.axis.paper

    def top(self, start: float, rows: int = 0) -> float:
        """Return where a panel begins whose words begin at a height, with some more rows."""
        beside = self.paper.titles == "beside"
        return round(start + self.paper.line * (rows + 1 - beside) + self.paper.gap, 1)

    def title(self, start: float, *texts: str) -> tuple[Mark, Mark]:
        """Return the title of a panel, the first text that has room, and its value's place."""
        paper = self.paper
        first = round(start + 5 + paper.font, 1)
        if paper.titles == "above":
            return Mark(0.0, first, texts[0], "start"), Mark(paper.width, first, "", "end")
        room = paper.left - 38
        text = next((text for text in texts if paper.text_width(text, True) <= room), texts[-1])
        first = round(first + 5, 1)
        return Mark(0.0, first, text, "start"), Mark(0.0, round(first + paper.line, 1), "", "start")

    def edge_boxes(self, top: float) -> list[Box]:
        """Return the room of the vertical lines in a panel."""
        return [Box(x - 2, top, 4, self.height) for x in self.edges]


@dataclass(frozen=True)
class PanelQuantity:
    """What a panel shows: its title, the quantity's name, its unit in SI, each hour in words."""

    title: str
    quantity: str
    factor: float
    values: tuple[str, ...]


def panels(
    hours: Sequence[HourVerdict], sheet: Sheet, top: float, preferences: Preferences
) -> tuple[Panel, ...]:
    """Return wind, gusts and waves one above the other, in the units that the user reads in."""
    preferences = replace(preferences, wind=preferences.pace)  # forces are no even scale
    wind, wave = preferences.wind, preferences.wave
    texts = [hour_text(hour, preferences) for hour in hours]
    shown = [
        (f"Wind, {wind}", WIND, SPEED[wind], [f"{text.direction} {text.wind}" for text in texts]),
        (f"Gusts, {wind}", GUST, SPEED[wind], [text.gusts for text in texts]),
        (f"Waves, {wave}", WAVE, LENGTH[wave], [text.waves for text in texts]),
    ]
    found: list[Panel] = []
    for title, quantity, factor, values in shown:
        what = PanelQuantity(title, quantity, factor, tuple(values))
        found.append(_panel(what, preferences, hours, sheet, top))
        top = found[-1].bottom
    return tuple(found)


def _panel(
    shown: PanelQuantity,
    preferences: Preferences,
    hours: Sequence[HourVerdict],
    sheet: Sheet,
    top: float,
) -> Panel:
    """Return a panel whose line of words begins at a height, with room for steps above it."""
    drawn = _drawn(shown, preferences, hours, sheet, top)
    if drawn.steps:
        return _drawn(shown, preferences, hours, sheet, top, len(drawn.steps))
    return drawn


def _drawn(
    shown: PanelQuantity,
    preferences: Preferences,
    hours: Sequence[HourVerdict],
    sheet: Sheet,
    start: float,
    rows: int = 0,
) -> Panel:
    axis, paper = sheet.axis, sheet.paper
    top, (title, at) = sheet.top(start, rows), sheet.title(start, shown.title)
    spans = [axis.bar(hour.time, hour.time + HOUR) for hour in hours]
    low, middle, high, caution, no_go = _values(hours, shown)
    scale = Scale.over(high, [*caution, *no_go], top, sheet.height, paper)
    lines = [scale.all(values) for values in (middle, low, high, caution, no_go)]
    unknown = unknown_spans(spans, high)
    taken = [box for line in lines for box in boxes_along(spans, line)]
    taken += [*boxes_between(spans, lines[1], lines[2]), *sheet.edge_boxes(top)]
    taken += [Box(span.x, top, span.width, sheet.height) for span in unknown]
    room = Box(paper.left, top - 3, paper.plot, sheet.height + 3)
    steps = _steps(hours, shown, preferences, sheet, scale)
    marks, homeless = place_labels(steps, taken, room, paper)
    return Panel(
        title=title,
        at=at,
        values=shown.values,
        top=top,
        bottom=top + sheet.height,
        ticks=scale.ticks(),
        grid=scale.grid(marks),
        spread=_band(spans, lines[1], lines[2]),
        middle=step_path(spans, lines[0]),
        caution=step_path(spans, lines[3]),
        no_go=step_path(spans, lines[4]),
        marks=marks,
        steps=_rows_above(rows_of(homeless, paper), top, paper),
        unknown=unknown,
        taken=tuple(taken),
    )


def _values(hours: Sequence[HourVerdict], shown: PanelQuantity) -> list[list[float]]:
    """Return low end, median, high end, caution and no-go of each hour in the panel's unit."""
    forecast = (
        [hour.shown[f"{shown.quantity}{side}"] for hour in hours] for side in ("_low", "", "_high")
    )
    limits = ([bounds_of(hour, shown.quantity)[at] for hour in hours] for at in (0, 1))
    return [[value / shown.factor for value in line] for line in (*forecast, *limits)]


def _rows_above(texts: Sequence[str], top: float, paper: Paper) -> tuple[Mark, ...]:
    """Return lines of text above a panel, the last one next to it."""
    return tuple(
        Mark(paper.left, round(top - 4 - paper.line * row, 1), text, "start")
        for row, text in enumerate(reversed(texts))
    )


def unknown_spans(spans: Sequence[Bar], values: Sequence[float]) -> tuple[Bar, ...]:
    """Return the hours of which nothing is known."""
    return tuple(
        span for span, value in zip(spans, values, strict=True) if not math.isfinite(value)
    )


@dataclass(frozen=True)
class Scale:
    """Converts a value to a height on the paper."""

    step: float
    greatest: float
    top: float
    height: float
    paper: Paper

    @classmethod
    def over(
        cls,
        values: Iterable[float],
        bounds: Iterable[float],
        top: float,
        height: float,
        paper: Paper,
    ) -> Scale:
        """Return a scale from nothing to above the known values, with room over the bounds."""
        room = height / (height - paper.font - 6)
        known = [1.08 * value for value in values if math.isfinite(value)]
        known += [room * value for value in bounds if math.isfinite(value)]
        greatest = max(max(known, default=1.0), 1e-3)
        most = min(MOST_STEPS, max(1, int(height / (1.15 * paper.font))))
        power = 10.0 ** math.floor(math.log10(greatest / most))
        step = next(power * multiple for multiple in ROUND if power * multiple * most >= greatest)
        return cls(step, max(greatest, 1.15 * step), top, height, paper)

    def y(self, value: float) -> float:
        """Return the height of a value on the paper; NaN where it is unknown or never reached."""
        if not math.isfinite(value):
            return math.nan
        return round(self.top + self.height * (1 - value / self.greatest), 1)

    def all(self, values: Iterable[float]) -> list[float]:
        """Return the height of each value on the paper."""
        return [self.y(value) for value in values]

    def values(self) -> list[float]:
        """Return where the scale has a line: not so high that its figure meets what is above."""
        highest = self.top + (ASCENT + DESCENT) / 2 * self.paper.font - self.paper.overshoot
        every = (at * self.step for at in range(int(self.greatest / self.step) + 1))
        return [value for value in every if self.y(value) >= highest]

    def ticks(self) -> tuple[Mark, ...]:
        """Return the figures of the scale."""
        decimals = max(0, -math.floor(math.log10(self.step) + 1e-9))
        x, middle = self.paper.left - 4, 0.34 * self.paper.font
        return tuple(
            Mark(x, round(self.y(value) + middle, 1), f"{value:.{decimals}f}", "end")
            for value in self.values()
        )

    def grid(self, labels: Sequence[Mark]) -> str:
        """Return the path of its lines, which leave out some labels."""
        boxes = [label.box(self.paper) for label in labels]
        return grid_path(self.all(self.values()), boxes, self.paper)


def _runs(ys: Sequence[float]) -> Iterable[range]:
    """Return each run of known values."""
    for known, run in groupby(range(len(ys)), key=lambda at: not math.isnan(ys[at])):
        if known:
            same = list(run)
            yield range(same[0], same[-1] + 1)


def step_path(spans: Sequence[Bar], ys: Sequence[float]) -> str:
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


def _steps(
    hours: Sequence[HourVerdict],
    shown: PanelQuantity,
    preferences: Preferences,
    sheet: Sheet,
    scale: Scale,
) -> Iterable[LimitStep]:
    """Yield each step of a limit, with its figures."""
    for run in limit_steps(hours, shown.quantity):
        caution, no_go = (
            (scale.y(bound / shown.factor), f"{level} {figure.split()[0]}")
            if math.isfinite(bound)
            else None
            for bound, level in zip(bounds_of(run[0], shown.quantity), LEVELS, strict=True)
            for figure in [limit_text(bound, shown.quantity, preferences)]
        )
        yield LimitStep(
            span=sheet.axis.bar(run[0].time, run[-1].time + HOUR),
            no_go=no_go,
            caution=caution,
            causes=run[0].lowered_by.get(shown.quantity, ()),
            since="" if len(run) == len(hours) else f"{sheet.clock.time(run[0].time)} ",
        )

"""One quantity over the hours: its scale, its steps, the spread and the bounds."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from safety_check.model.verdict import HourVerdict
from safety_check.report.hour_limits import LEVELS, bounds_of, limit_steps, limit_text
from safety_check.report.page.chart_parts import (
    GAP,
    HOUR,
    LEFT,
    PANEL,
    TOP,
    Axis,
    Bar,
    Mark,
    Panel,
)
from safety_check.report.words import GUST, WAVE, WIND
from safety_check.units import LENGTH, SPEED, Preferences

ROUND = (1.0, 2.0, 5.0, 10.0)  # steps of a scale that read easily
MOST_STEPS = 4
LETTER = 5.2  # average width of a letter of a label


def panels(hours: Sequence[HourVerdict], axis: Axis, preferences: Preferences) -> tuple[Panel, ...]:
    """Return wind, gusts and waves one above the other, in the units that the user reads in."""
    preferences = replace(preferences, wind=preferences.pace)  # forces are no even scale
    wind = SPEED[preferences.wind], preferences.wind
    wave = LENGTH[preferences.wave], preferences.wave
    shown = [("Wind", WIND, wind), ("Gusts", GUST, wind), ("Waves", WAVE, wave)]
    return tuple(
        _panel(
            PanelQuantity(f"{name}, {unit}", quantity, factor),
            preferences,
            hours,
            axis,
            TOP + number * (PANEL + GAP),
        )
        for number, (name, quantity, (factor, unit)) in enumerate(shown)
    )


@dataclass(frozen=True)
class PanelQuantity:
    """What a panel shows: its title, the quantity's name, and its unit in SI."""

    title: str
    quantity: str
    factor: float


def _panel(
    shown: PanelQuantity,
    preferences: Preferences,
    hours: Sequence[HourVerdict],
    axis: Axis,
    top: float,
) -> Panel:
    quantity, factor = shown.quantity, shown.factor
    spans = [axis.bar(hour.time, hour.time + HOUR) for hour in hours]
    low, middle, high = (
        [hour.shown[f"{quantity}{side}"] / factor for hour in hours]
        for side in ("_low", "", "_high")
    )
    caution, no_go = ([bounds_of(hour, quantity)[at] / factor for hour in hours] for at in (0, 1))
    scale = Scale.over([*high, *caution, *no_go], top)
    return Panel(
        title=shown.title,
        top=top,
        bottom=top + PANEL,
        ticks=scale.ticks(),
        spread=_band(spans, scale.all(low), scale.all(high)),
        middle=step_path(spans, scale.all(middle)),
        caution=step_path(spans, scale.all(caution)),
        no_go=step_path(spans, scale.all(no_go)),
        marks=tuple(_limit_marks(hours, quantity, preferences, axis, scale, factor)),
        unknown=tuple(
            span for span, value in zip(spans, high, strict=True) if not math.isfinite(value)
        ),
    )


@dataclass(frozen=True)
class Scale:
    """Converts a value to a height on the paper."""

    step: float
    greatest: float
    top: float

    @classmethod
    def over(cls, values: Iterable[float], top: float) -> Scale:
        """Return a scale from nothing to above the greatest of the known values."""
        greatest = max((value for value in values if math.isfinite(value)), default=1.0)
        greatest = max(greatest, 1e-3) * 1.08
        power = 10.0 ** math.floor(math.log10(greatest / MOST_STEPS))
        step = next(
            power * multiple for multiple in ROUND if power * multiple * MOST_STEPS >= greatest
        )
        return cls(step, greatest, top)

    def y(self, value: float) -> float:
        """Return the height of a value on the paper; NaN where it is unknown or never reached."""
        if not math.isfinite(value):
            return math.nan
        return round(self.top + PANEL * (1 - value / self.greatest), 1)

    def all(self, values: Iterable[float]) -> list[float]:
        """Return the height of each value on the paper."""
        return [self.y(value) for value in values]

    def ticks(self) -> tuple[Mark, ...]:
        """Return the figures of the scale."""
        decimals = max(0, -math.floor(math.log10(self.step) + 1e-9))
        return tuple(
            Mark(LEFT - 4, self.y(at * self.step), f"{at * self.step:.{decimals}f}", "end")
            for at in range(int(self.greatest / self.step) + 1)
        )


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


def _limit_marks(
    hours: Sequence[HourVerdict],
    quantity: str,
    preferences: Preferences,
    axis: Axis,
    scale: Scale,
    factor: float,
) -> Iterable[Mark]:
    """Return the figure of each step of a limit: the first and the last, and what has room."""
    steps = list(limit_steps(hours, quantity))
    for number, run in enumerate(steps):
        span = axis.bar(run[0].time, run[-1].time + HOUR)
        for bound, level in zip(bounds_of(run[0], quantity), LEVELS, strict=True):
            if not math.isfinite(bound):
                continue
            text = f"{level} {limit_text(bound, quantity, preferences).split()[0]}"
            end = level == "no-go"
            outer = number == (len(steps) - 1 if end else 0)
            if outer or span.width >= LETTER * len(text):
                x = span.x + span.width - 3 if end else span.x + 3
                y = scale.y(bound / factor) - 2.5
                yield Mark(round(x, 1), y, text, "end" if end else "start")

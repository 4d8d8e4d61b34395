"""One quantity over the hours: its scale, its steps, the spread and the bounds."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

from safety_check.model.verdict import HourVerdict
from safety_check.report.page.chart_parts import (
    GAP,
    HOUR,
    LEFT,
    PANEL,
    RIGHT,
    TOP,
    WIDTH,
    Axis,
    Bar,
    Mark,
    Panel,
)
from safety_check.report.words import GUST, WAVE, WIND
from safety_check.units import LENGTH, SPEED, Preferences

ROUND = (1.0, 2.0, 5.0, 10.0)  # steps of a scale that read easily
MOST_STEPS = 4


def panels(hours: Sequence[HourVerdict], axis: Axis, preferences: Preferences) -> tuple[Panel, ...]:
    """Return wind, gusts and waves one above the other, in the units that the user reads in."""
    wind = SPEED[preferences.wind], preferences.wind
    wave = LENGTH[preferences.wave], preferences.wave
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

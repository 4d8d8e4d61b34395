"""The limits on wind, gusts and waves hour by hour, in words: each step with its cause."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from datetime import timedelta
from itertools import groupby

from safety_check.model.local_clock import LocalClock
from safety_check.model.verdict import HourVerdict
from safety_check.report.words import GUST, WAVE, WIND
from safety_check.units import Preferences, show_limit

NAMES = {WIND: "Wind", GUST: "Gusts", WAVE: "Waves"}
LEVELS = ("caution", "no-go")
HOUR = timedelta(hours=1)
Bounds = tuple[float, float]


def limit_text(value: float, quantity: str, preferences: Preferences) -> str:
    """Return a limit in the user's unit, never rounded to the permissive side."""
    if quantity == WAVE:
        return show_limit(value, "length", preferences.wave)
    return show_limit(value, "speed", preferences.wind)


def describe_limits(
    hours: Sequence[HourVerdict], preferences: Preferences, clock: LocalClock
) -> list[str]:
    """Return a sentence for each quantity whose limit changes or is lowered within some hours."""
    said = []
    for quantity, name in NAMES.items():
        steps = list(limit_steps(hours, quantity))
        if len(steps) > 1 or any(run[0].lowered_by.get(quantity) for run in steps):
            texts = [_step(run, quantity, preferences, clock) for run in steps]
            said.append(f"{name.removesuffix('s')} limits: {'; '.join(texts)}.")
    return said


def limit_steps(hours: Sequence[HourVerdict], quantity: str) -> Iterable[list[HourVerdict]]:
    """Yield each run of hours in which a quantity has the same bounds for the same reasons."""
    known = [hour for hour in hours if any(map(math.isfinite, bounds_of(hour, quantity)))]
    for _, run in groupby(
        known, key=lambda hour: (bounds_of(hour, quantity), hour.lowered_by.get(quantity))
    ):
        yield list(run)


def bounds_of(hour: HourVerdict, quantity: str) -> Bounds:
    """Return the caution and no-go bound of an hour; NaN where none is known."""
    return hour.bounds.get(quantity, (math.nan, math.nan))


def _step(
    run: Sequence[HourVerdict], quantity: str, preferences: Preferences, clock: LocalClock
) -> str:
    bounds = zip(LEVELS, bounds_of(run[0], quantity), strict=True)
    levels = [
        f"{level} from {limit_text(bound, quantity, preferences)}"
        for level, bound in bounds
        if math.isfinite(bound)
    ]
    causes = run[0].lowered_by.get(quantity)
    why = f" (lowered: {', '.join(causes)})" if causes else ""
    return f"{clock.span(run[0].time, run[-1].time + HOUR)} {', '.join(levels)}{why}"

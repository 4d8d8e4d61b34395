"""The estimated range of the water's temperature as a band beside its limits."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from safety_check.model.verdict import Verdict
from safety_check.report.words import estimated_water
from safety_check.units import Preferences, show

WIDTH, EDGE = 320.0, 30.0  # of the drawing, and free at its two sides, where labels end
QUANTITY = "water_temperature"


@dataclass(frozen=True)
class Mark:
    """A line across the band: where it is, and what it says."""

    x: float
    text: str


@dataclass(frozen=True)
class WaterBand:
    """What the template draws.

    Parameters
    ----------
    said
        The sentence that the drawing shows.
    left, right
        Where the range begins and ends.
    ends
        Its two ends as labels.
    limits
        Where caution and no-go begin.
    """

    said: str
    left: float
    right: float
    ends: tuple[Mark, Mark]
    limits: tuple[Mark, ...]


def draw_water_band(verdict: Verdict, preferences: Preferences) -> WaterBand | None:
    """Return the band of an estimated water temperature; None where it was measured."""
    water = verdict.water
    if water is None or water.warmest is None:
        return None
    limits = tuple(_limits(verdict))
    values = [water.value, water.warmest, *(value for value, _ in limits)]
    low, high = min(values) - 1, max(values) + 1

    def place(kelvin: float) -> float:
        return EDGE + (WIDTH - 2 * EDGE) * (kelvin - low) / (high - low)

    def mark(kelvin: float, word: str = "") -> Mark:
        shown = show(kelvin, "temperature", preferences.temperature)
        return Mark(round(place(kelvin), 1), f"{word} {shown}".strip())

    cold, warm = mark(water.value), mark(water.warmest)
    said = estimated_water(water, preferences)[0]
    marks = tuple(mark(value, word) for value, word in limits)
    return WaterBand(said, cold.x, warm.x, (cold, warm), marks)


def _limits(verdict: Verdict) -> Iterator[tuple[float, str]]:
    """Yield where caution and no-go begin for what is worn. [K]."""
    for finding in verdict.findings:
        if finding.quantity == QUANTITY and finding.limit is not None:
            if finding.limit.marginal is not None:
                yield finding.limit.marginal, "caution"
            if finding.limit.no_go is not None:
                yield finding.limit.no_go, "no-go"

"""The estimated range of the water's temperature as a band beside its limits."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from safety_check.model.verdict import Verdict
from safety_check.report.words import estimated_water
from safety_check.units import Preferences, show

WIDTH, EDGE = 316.0, 30.0  # of the drawing, and free at its two sides, where labels end
LETTER = 8.0  # average width of a letter of a label
QUANTITY = "water_temperature"


@dataclass(frozen=True)
class Mark:
    """A line across the band: where it is, what it says, and where the middle of that is."""

    x: float
    text: str
    middle: float


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
        """Return a place: like every bar, the band has what is worse at the right."""
        return EDGE + (WIDTH - 2 * EDGE) * (high - kelvin) / (high - low)

    def mark(kelvin: float, word: str = "") -> Mark:
        shown = show(kelvin, "temperature", preferences.temperature)
        text = f"{word} {shown}".strip()
        half = LETTER * len(text) / 2
        middle = min(max(place(kelvin), half), WIDTH - half)
        return Mark(round(place(kelvin), 1), text, round(middle, 1))

    cold, warm = mark(water.value), mark(water.warmest)
    said = estimated_water(water, preferences)[0]
    marks = tuple(mark(value, word) for value, word in limits)
    return WaterBand(said, warm.x, cold.x, (cold, warm), marks)


def _limits(verdict: Verdict) -> Iterator[tuple[float, str]]:
    """Yield where caution and no-go begin for what is worn. [K]."""
    for finding in verdict.findings:
        if finding.quantity == QUANTITY and finding.limit is not None:
            if finding.limit.marginal is not None:
                yield finding.limit.marginal, "caution"
            if finding.limit.no_go is not None:
                yield finding.limit.no_go, "no-go"

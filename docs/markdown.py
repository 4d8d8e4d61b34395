"""How a printed page is written: paragraphs, tables, and numbers in SI and US units."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from safety_check.units import FOOT, MILE, MILE_PER_HOUR, ZERO_CELSIUS

WIDTH = 80
INCH = FOOT / 12
INCH_OF_MERCURY = 3386.389  # Pa, the conventional inch of mercury at 0 °C


def wrapped(text: str, indent: str = "") -> str:
    """Return a paragraph in lines of 80 columns, all but the first indented."""
    return (
        textwrap.fill(
            text,
            WIDTH,
            subsequent_indent=indent,
            break_long_words=False,
            break_on_hyphens=False,
        )
        + "\n"
    )


def table(columns: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """Return a Markdown table."""
    lines = [columns, ["---"] * len(columns), *rows]
    return "".join(
        f"| {' | '.join(str(cell).replace('|', chr(92) + '|') for cell in line)} |\n"
        for line in lines
    )


def bound(value: float | None, unit: str, worse: str = "higher") -> str:
    """Return a bound in SI, and as a reader in the US knows it, never rounded to allow more.

    Parameters
    ----------
    value, unit
        In SI; None where there is no bound.
    worse
        "higher" rounds down, "lower" rounds up: the direction of danger.

    Examples
    --------
    >>> bound(8.0, "m s-1"), bound(288.75, "K", "lower"), bound(None, "m")
    ('8 m/s (17.8 mph)', '288.75 K (15.6 °C, 61 °F)', '–')
    """
    if value is None:
        return "–"
    symbol, others = READ.get(unit, (unit, ()))
    shown = f"{value:g} {symbol}".strip()
    also = [other.shown(value, worse) for other in others if other.least <= value < other.greatest]
    return f"{shown} ({', '.join(also)})" if also else shown


@dataclass(frozen=True)
class Also:
    """Another unit of a bound: factor, zero, decimals, name, and for which SI values."""

    factor: float
    decimals: int
    name: str
    zero: float = 0.0
    least: float = -math.inf
    greatest: float = math.inf

    def shown(self, value: float, worse: str) -> str:
        """Return a value in this unit, rounded to the safe side."""
        scaled = (value * self.factor + self.zero) * 10**self.decimals
        # What comes out whole stays whole, despite binary fractions.
        whole = math.floor(scaled + 1e-7) if worse == "higher" else math.ceil(scaled - 1e-7)
        return f"{whole / 10**self.decimals:.{self.decimals}f} {self.name}"


READ: dict[str, tuple[str, tuple[Also, ...]]] = {
    "1": ("", ()),
    "m s-1": ("m/s", (Also(1 / MILE_PER_HOUR, 1, "mph"),)),
    "m": ("m", (Also(1 / FOOT, 2, "ft", greatest=100.0), Also(1 / MILE, 2, "mi", least=100.0))),
    "K": ("K", (Also(1, 1, "°C", -ZERO_CELSIUS), Also(1.8, 0, "°F", 32 - 1.8 * ZERO_CELSIUS))),
    "degC": ("°C", (Also(1.8, 0, "°F", 64.0),)),  # the sum of two temperatures
    "degree": ("°", ()),
    "s": ("s", (Also(1 / 60, 1, "min"),)),
    "kg m-2": ("mm", (Also(1 / 1000 / INCH, 2, "in"),)),
    "Pa": ("Pa", (Also(1 / 100, 1, "hPa"), Also(1 / INCH_OF_MERCURY, 2, "inHg"))),
    "J kg-1": ("J/kg", ()),
}

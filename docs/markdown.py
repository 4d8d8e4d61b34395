"""How a printed page is written: paragraphs, tables, and numbers in SI and US units."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterable, Sequence

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


def bound(value: float | None, unit: str) -> str:
    """Return a bound in SI, and as a reader in the US knows it.

    Examples
    --------
    >>> bound(8.0, "m s-1"), bound(288.75, "K"), bound(None, "m")
    ('8 m/s (17.9 mph)', '288.75 K (15.6 °C, 60 °F)', '–')
    """
    if value is None:
        return "–"
    symbol, also = READ.get(unit, (unit, None))
    shown = f"{value:g} {symbol}".strip()
    return f"{shown} ({also(value)})" if also else shown


def _length(metres: float) -> str:
    return f"{metres / FOOT:.3g} ft" if metres < 100 else f"{metres / MILE:.2f} mi"


def _temperature(kelvin: float) -> str:
    celsius = kelvin - ZERO_CELSIUS
    return f"{celsius:.1f} °C, {celsius * 1.8 + 32:.0f} °F"


READ: dict[str, tuple[str, Callable[[float], str] | None]] = {
    "1": ("", None),
    "m s-1": ("m/s", lambda speed: f"{speed / MILE_PER_HOUR:.1f} mph"),
    "m": ("m", _length),
    "K": ("K", _temperature),
    "degC": ("°C", lambda two: f"{two * 1.8 + 64:.0f} °F"),  # the sum of two temperatures
    "degree": ("°", None),
    "s": ("s", lambda seconds: f"{seconds / 60:g} min"),
    "kg m-2": ("mm", lambda rain: f"{rain / 1000 / INCH:.2f} in"),
    "Pa": ("Pa", lambda fall: f"{fall / 100:g} hPa, {fall / INCH_OF_MERCURY:.2f} inHg"),
    "J kg-1": ("J/kg", None),
}

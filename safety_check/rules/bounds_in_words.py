"""The limits of quantities without a unit of the user's, never rounded to the permissive side."""

from __future__ import annotations

import math
from collections.abc import Callable

from safety_check.units import KNOT

FIGURES = {  # how values are shown: factor to what is shown, step, and the words around the number
    "energy": (1.0, 1.0, "{:.10g} J/kg"),
    "rain": (1.0, 0.1, "{:.10g} mm"),
    "share": (100.0, 0.1, "{:.10g} %"),
    "part": (100.0, 0.1, "{:.10g} %"),
    "times": (1.0, 0.1, "{:.1f} ×"),
    "turn": (1.0, 1.0, "{:.10g}°"),
    "pressure": (0.01, 0.1, "{:.10g} hPa"),
    "current": (1.0 / KNOT, 0.05, "{:.10g} kt"),
    "percentile": (100.0, 0.1, "{:.10g} %"),
}
EVENTS = {"before_sunset": "sunset", "before_dusk": "dusk"}


def describe_bound(value: float, shown_as: str, worse: str, temperature: str) -> str | None:
    """Return a limit in words and units; None where its hazard shows no number.

    Parameters
    ----------
    value
        A finite bound.
    shown_as
        How its hazard shows values.
    worse
        "higher" rounds down, "lower" rounds up: the limit is then reached no later.
    temperature
        The user's unit.

    Examples
    --------
    >>> describe_bound(-0.833, "angle", "lower", "F")
    '0.8° below the horizon'
    >>> describe_bound(0.0, "before_dusk", "lower", "F")
    'dusk'
    >>> describe_bound(0.1555, "share", "higher", "F")
    '15.5 %'
    """
    if shown_as in FIGURES:
        factor, step, words = FIGURES[shown_as]
        return words.format(_safe(value * factor, step, worse))
    others: dict[str, Callable[[], str]] = {
        "angle": lambda: _sun(_safe(value, 0.1, worse)),
        "temperature_sum": lambda: _sum(value, worse, temperature),
    }
    if shown_as in EVENTS:
        return _before(_safe(value / 60, 1.0, worse), EVENTS[shown_as])
    return others[shown_as]() if shown_as in others else None


def _safe(number: float, step: float, worse: str) -> float:
    """Return a number in whole steps; one that was typed comes back as typed."""
    steps = number / step
    whole = math.floor(steps + 1e-7) if worse == "higher" else math.ceil(steps - 1e-7)
    return round(whole * step, 10)


def _sun(degrees: float) -> str:
    return f"{abs(degrees):g}° {'below' if degrees < 0 else 'above'} the horizon"


def _sum(celsius: float, worse: str, unit: str) -> str:
    """Return the sum of two temperatures, each in the user's unit."""
    number = celsius * 1.8 + 64 if unit == "F" else celsius
    return f"{_safe(number, 0.5, worse):g} °{'F' if unit == 'F' else 'C'}"


def _before(minutes: float, event: str) -> str:
    if minutes == 0:
        return event
    return f"{abs(minutes):g} min {'before' if minutes > 0 else 'after'} {event}"

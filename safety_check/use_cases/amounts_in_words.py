"""Parse winds, waves and lengths of time as people say them: ranges, words, hours."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

import numpy as np

from safety_check import units
from safety_check.errors import PlanError
from safety_check.physics.wind import beaufort_lower_edge

HIGHEST_BEAUFORT = 12
MOST_HOURS = 1000  # more is a typing error
FLAT = ("flat", "none", "calm")
_TO = re.compile(r"\s*(?:-|–|—|\bto\b)\s*")
_UP_TO = re.compile(r"(?:up to|under|less than|about|around)\s+")
_CLOCK_LENGTH = re.compile(r"(\d{1,2}):([0-5]\d)(?:\s*h(?:ours?)?)?")
_NUMBER = re.compile(r"[\d./\s]+")


@dataclass(frozen=True)
class Span:
    """The lowest and highest value that a text means, SI; equal where it names one number."""

    low: float
    high: float


def parse_span(text: str, kind: str, field: str) -> Span:
    """Return the values that a text means: "10-14 mph", "10 to 14 mph", "up to 14 mph".

    Parameters
    ----------
    text, kind, field
        As for `units.parse`; the unit may be given once, at the end.

    Raises
    ------
    PlanError
        Where an end cannot be read, or the second is lower than the first.

    Examples
    --------
    >>> parse_span("1-2 m", "length", "waves")
    Span(low=1.0, high=2.0)
    >>> parse_span("3-4 Bft", "wind", "--wind")
    Span(low=3.4, high=7.9)
    """
    said = _UP_TO.sub("", text.strip().casefold())
    low, *high = _TO.split(said, maxsplit=1) if _TO.search(said, 1) else [said]
    least = "wind limit" if kind == "wind" else kind  # a force in Bft begins at its lowest wind
    if not (high and low):
        return Span(units.parse(said, least, field), units.parse(said, kind, field))
    upper = units.parse(high[0], kind, field)
    unit = re.sub(r"^[\d./\s]+", "", high[0])
    lower = units.parse(f"{low} {unit}" if _NUMBER.fullmatch(low) else low, least, field)
    if lower > upper:
        raise PlanError(
            f"{text!r} begins above its end. Write the lower number first.", field=field
        )
    return Span(lower, upper)


def parse_wind(text: str, field: str) -> Span:
    """Return the winds that a text means: "10-14 mph", "calm", "light breeze". [m s⁻¹].

    A word stands for a Beaufort number, from its lowest wind to the lowest of the next.

    Examples
    --------
    >>> parse_wind("light breeze", "--wind")
    Span(low=1.6, high=3.4)
    """
    if any(letter.isdigit() for letter in text):
        return parse_span(text, "wind", field)
    from safety_check.use_cases.suggest_limits import beaufort_number  # only for words

    force = beaufort_number(text, field)
    edges = beaufort_lower_edge(np.array([force, min(force + 1, HIGHEST_BEAUFORT)], float))
    return Span(float(edges[0]), float(edges[1]))


def parse_height(text: str, field: str) -> Span:
    """Return the wave heights that a text means: "1-2 ft", "flat". [m]."""
    return Span(0.0, 0.0) if text.strip().casefold() in FLAT else parse_span(text, "length", field)


def parse_hours(text: str | float, field: str) -> float:
    """Return a length of time in hours: "4", "4h", "2 1/2", "4:30", "90 min".

    Raises
    ------
    PlanError
        Where it is not a length of time.

    Examples
    --------
    >>> [parse_hours(text, "--hours") for text in ("4h", "4:30", "90 min", 5.0)]
    [4.0, 4.5, 1.5, 5.0]
    """
    hours = _hours(text.strip().casefold()) if isinstance(text, str) else float(text)
    if not abs(hours) < MOST_HOURS:
        raise PlanError(
            f'{text!r} is not a length of time. Write for example 5, "4h", "2 1/2",'
            ' "4:30" or "90 min".',
            field=field,
        )
    return hours


def _hours(said: str) -> float:
    """Return the hours that a text means; NaN where it is not a length of time."""
    found = _CLOCK_LENGTH.fullmatch(said)
    if found:
        return int(found[1]) + int(found[2]) / 60
    with_unit = f"{said} h" if re.search(r"\d\.?\s*$", said) else said
    try:
        return units.parse(with_unit, "duration", "") / units.HOUR
    except PlanError:
        return math.nan


def met_wind(text: str) -> tuple[Span, float, int | None]:
    """Return the span, the wind to compare with forecasts, and the Beaufort number if in words."""
    span = parse_wind(text, "--wind")
    if any(letter.isdigit() for letter in text):
        return span, span.high, None
    from safety_check.use_cases.suggest_limits import beaufort_number, middle_of  # only for words

    force = beaufort_number(text)
    return span, middle_of(force), force

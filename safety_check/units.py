"""Parse units as people write them, and print those they prefer.

Inside the program everything is SI. Every factor here is exact by definition:
the international yard and pound agreement of 1959 (1 ft = 0.3048 m), the
international nautical mile (1852 m, 1929), 0 °C = 273.15 K.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction

from safety_check.beaufort import force_of, highest_wind, lowest_wind
from safety_check.errors import PlanError

FOOT = 0.3048
MILE = 1609.344
NAUTICAL_MILE = 1852.0
HOUR = 3600.0
KNOT = NAUTICAL_MILE / HOUR
MILE_PER_HOUR = MILE / HOUR
KILOMETRE_PER_HOUR = 1000.0 / HOUR
ZERO_CELSIUS = 273.15

SPEED = {
    "m/s": 1.0,
    "km/h": KILOMETRE_PER_HOUR,
    "mph": MILE_PER_HOUR,
    "kt": KNOT,
}
LENGTH = {
    "m": 1.0,
    "km": 1000.0,
    "ft": FOOT,
    "in": FOOT / 12,
    "yd": 3 * FOOT,
    "mi": MILE,
    "nmi": NAUTICAL_MILE,
}
BEAUFORT = "Bft"
FLOW = {"m3/s": 1.0, "cfs": FOOT**3}
DURATION = {"s": 1.0, "min": 60.0, "h": HOUR}
TEMPERATURE = ("F", "C", "K")

KINDS: dict[str, tuple[str, ...]] = {
    "speed": tuple(SPEED),
    "wind": (*SPEED, BEAUFORT),
    "wind limit": (*SPEED, BEAUFORT),
    "length": tuple(LENGTH),
    "duration": tuple(DURATION),
    "flow": tuple(FLOW),
    "temperature": TEMPERATURE,
}
_FACTORS = {
    "speed": SPEED,
    "wind": SPEED,
    "wind limit": SPEED,
    "length": LENGTH,
    "duration": DURATION,
    "flow": FLOW,
}
_SPELLINGS = {
    "mi/h": "mph", "mp/h": "mph", "miles/h": "mph", "kmh": "km/h", "kph": "km/h", "kmph": "km/h",
    "kn": "kt", "kts": "kt", "knot": "kt", "knots": "kt", "ms": "m/s", "mps": "m/s",
    "m s-1": "m/s", "bft": BEAUFORT, "bf": BEAUFORT, "beaufort": BEAUFORT,
    "metre": "m", "metres": "m", "meter": "m", "meters": "m", "foot": "ft",
    "feet": "ft", "'": "ft", "inch": "in", "inches": "in", '"': "in", "yard": "yd",
    "yards": "yd", "mile": "mi", "miles": "mi", "nm": "nmi", "sec": "s", "second": "s",
    "seconds": "s", "minute": "min", "minutes": "min", "hr": "h", "hrs": "h", "hour": "h",
    "hours": "h", "°f": "F", "degf": "F", "deg f": "F", "f": "F", "fahrenheit": "F", "°c": "C",
    "degc": "C", "deg c": "C", "c": "C", "celsius": "C", "k": "K", "kelvin": "K",
}  # fmt: skip
LONGEST_QUANTITY = 60  # characters; a longer number is a typing error or an attack
_NUMBER = re.compile(
    r"\s*(?P<sign>[-+−])?(?:(?P<whole>\d+)\s+)?(?:(?P<top>\d+)/(?P<bottom>\d+)|(?P<plain>\d+\.?\d*|\.\d+))"
)


PACES = {"mi": "mph", "km": "km/h", "nmi": "kt"}  # by the unit of distance


@dataclass(frozen=True)
class Preferences:
    """The units that a user reads.

    Parameters
    ----------
    wind, wave, distance, temperature
        Names as `parse` takes them.
    note
        Which of them follow the country of the water, and how to change that; empty where none
        does, or where they are those of the program.
    """

    wind: str = "mph"
    wave: str = "ft"
    distance: str = "mi"
    temperature: str = "F"
    note: str = ""

    @property
    def pace(self) -> str:
        """The unit for the speed of a craft, for differences of wind, and for charts."""
        return PACES[self.distance] if self.wind == BEAUFORT else self.wind

    @property
    def small_distance(self) -> str:
        """The unit for short distances."""
        return {"mi": "yd", "nmi": "yd", "km": "m"}.get(self.distance, self.distance)


def parse(text: str, kind: str, field: str) -> float:
    """Return a quantity in SI as a person writes it: "12 mph", "3/4 mi", "58 F".

    Parameters
    ----------
    text
        Number and unit; the number may be a fraction, "1 1/2" included.
    kind
        "speed", "wind" or "wind limit" [m s⁻¹], "length" [m], "duration" [s], "flow"
        [m³ s⁻¹] or "temperature" [K]. Only the winds may be in Bft: a wind is the highest of its
        force, a limit begins at the lowest.
    field
        What it is for, named in the error.

    Raises
    ------
    PlanError
        Where the number or the unit is missing or not of that kind, and where the
        value is impossible (negative, or below absolute zero).

    Examples
    --------
    >>> parse("10 mph", "speed", "wind")
    4.4704
    >>> parse("3/4 mi", "length", "reach")
    1207.008
    >>> round(parse("58F", "temperature", "water"), 2)
    287.59
    >>> parse("4 Bft", "wind", "wind"), parse("4 Bft", "wind limit", "no_go")
    (7.9, 5.5)
    """
    number, unit = _split(text, kind, field)
    if unit == BEAUFORT:
        return _wind_of_force(number, kind, text, field)
    value = _in_si(number, unit, kind)
    if kind == "temperature" and value < 0:
        raise PlanError(f"{text!r} is below absolute zero. Check the number and unit.", field=field)
    if kind != "temperature" and value < 0:
        raise PlanError(
            f"{text!r} is negative, and a {_noun(kind)} cannot be. Remove the sign.", field=field
        )
    return value


def _split(text: str, kind: str, field: str) -> tuple[float, str]:
    takes = ", ".join(KINDS[kind])
    if len(text) > LONGEST_QUANTITY:
        raise PlanError(
            f"{text[:20]!r} … has {len(text)} characters, too many for a number with a"
            f' unit. Write for example "{EXAMPLES[kind]}"; the units are {takes}.',
            field=field,
        )
    found = _NUMBER.match(text)
    if not found or (found["whole"] and found["plain"]) or found["bottom"] == "0":
        raise PlanError(
            f"{text!r} is not a number with a unit. Write for example"
            f' "{EXAMPLES[kind]}"; the units are {takes}.',
            field=field,
        )
    written = text[found.end() :].strip()
    if not written:
        raise PlanError(
            f'{text!r} has no unit. Add one of {takes}, for example "{EXAMPLES[kind]}".',
            field=field,
        )
    unit = _SPELLINGS.get(written.lower(), written if written in KINDS[kind] else written.lower())
    if unit not in KINDS[kind]:
        raise PlanError(
            f"{written!r} in {text!r} is not a known unit of {_noun(kind)}. Use one of {takes}.",
            field=field,
        )
    return _number(found), unit


def _noun(kind: str) -> str:
    return "speed" if _FACTORS.get(kind) is SPEED else kind


def _number(found: re.Match[str]) -> float:
    number = Fraction(found["whole"] or 0)
    number += Fraction(int(found["top"]), int(found["bottom"])) if found["top"] else 0
    number += Fraction(found["plain"]) if found["plain"] else 0
    return float(-number if found["sign"] in ("-", "−") else number)


EXAMPLES = {
    "speed": "12 mph",
    "wind": "12 mph",
    "wind limit": "12 mph",
    "length": "3/4 mi",
    "duration": "45 min",
    "temperature": "58 F",
    "flow": "450 cfs",
}


def _in_si(number: float, unit: str, kind: str) -> float:
    if kind == "temperature":
        return kelvin(number, unit)
    return number * _FACTORS[kind][unit]


def _wind_of_force(number: float, kind: str, text: str, field: str) -> float:
    if number not in range(13):
        raise PlanError(
            f"{text!r} is not a force. Bft are whole numbers from 0 to 12.", field=field
        )
    force = int(number)
    return lowest_wind(force) if kind == "wind limit" else highest_wind(force)


def kelvin(number: float, unit: str) -> float:
    """Return a temperature in kelvin from "F", "C" or "K".

    Examples
    --------
    >>> kelvin(32.0, "F")
    273.15
    """
    if unit == "F":
        return (number - 32) / 1.8 + ZERO_CELSIUS
    return number + ZERO_CELSIUS if unit == "C" else number


def show(value: float, kind: str, unit: str) -> str:
    """Return an SI value for people, rounded to a useful precision.

    Parameters
    ----------
    value
        In SI; NaN prints as "unknown".
    kind
        As in `parse`.
    unit
        One of the units of that kind.

    Examples
    --------
    >>> show(6.7056, "speed", "mph"), show(0.3, "length", "ft"), show(287.594, "temperature", "F")
    ('15 mph', '1.0 ft', '58 °F')
    >>> show(float("nan"), "speed", "mph"), show(6.7, "speed", "Bft")
    ('unknown', '4 Bft')
    """
    if math.isnan(value):
        return "unknown"
    if kind == "temperature":
        shown = in_unit(value, kind, unit)
        return f"{shown:.0f} {'' if unit == 'K' else '°'}{unit}"
    if unit == BEAUFORT:
        return f"{force_of(round(value, 6))} {BEAUFORT}"
    shown = value / _FACTORS[kind][unit]
    decimals = _DECIMALS.get(unit, 0 if shown >= 10 else 1)
    if unit in _FINE_BELOW_ONE and shown < 1:
        return f"{shown:.2f}".removesuffix("0") + f" {unit}"
    return f"{shown:.{decimals}f} {unit}"


_DECIMALS = {"mph": 0, "km/h": 0, "kt": 0, "min": 0, "s": 0, "ft": 1, "in": 0, "yd": 0}
_FINE_BELOW_ONE = ("m", "km", "mi", "nmi")  # where a tenth would hide too much


def show_limit(value: float, kind: str, unit: str, worse: str = "higher") -> str:
    """Return a limit for people, never rounded to the permissive side.

    Parameters
    ----------
    value
        In SI; NaN prints as "unknown".
    kind, unit
        As in `show`.
    worse
        "higher" rounds down, "lower" rounds up: the direction of danger.

    Examples
    --------
    >>> show_limit(8.0, "speed", "mph"), show_limit(0.45, "length", "m")
    ('17.8 mph', '0.45 m')
    >>> show_limit(0.3, "length", "ft"), show_limit(288.3, "temperature", "C", "lower")
    ('0.95 ft', '15.5 °C')
    >>> show_limit(6.9, "speed", "Bft")
    '4 Bft (6.9 m/s)'
    """
    if math.isnan(value):
        return "unknown"
    if math.isinf(value):
        return "never reached"
    if unit == BEAUFORT:
        exact = show_limit(value, kind, "m/s", worse)
        return f"{force_of(float(exact.split()[0]))} {BEAUFORT} ({exact})"
    number = in_unit(value, kind, unit)
    step = _LIMIT_STEP.get(unit, 0.5 if kind == "temperature" else 0.1)
    steps = number / step
    # A value that the user typed in this unit comes back as typed, despite binary fractions.
    whole = math.floor(steps + 1e-7) if worse == "higher" else math.ceil(steps - 1e-7)
    degree = "°" if kind == "temperature" and unit != "K" else ""
    return f"{whole * step:.10g} {degree}{unit}"


def show_pace(speed: float, unit: str) -> str:
    """Return the speed of a craft, to a tenth: whole numbers are too coarse for a paddler's.

    Examples
    --------
    >>> show_pace(1.207, "mph"), show_pace(1.207, "m/s")
    ('2.7 mph', '1.2 m/s')
    """
    return f"{in_unit(speed, 'speed', unit):.1f} {unit}"


def show_radius(metres: float, unit: str) -> str:
    """Return a distance for searchers, never rounded down.

    Examples
    --------
    >>> show_radius(402.336, "mi"), show_radius(410.0, "mi")
    ('0.25 mi', '0.3 mi')
    """
    return show_limit(metres, "length", unit, "lower")


def in_unit(value: float, kind: str, unit: str) -> float:
    """Return an SI value as a number of some unit.

    Examples
    --------
    >>> in_unit(0.9144, "length", "ft"), in_unit(273.15, "temperature", "F")
    (3.0, 32.0)
    """
    if kind == "temperature":
        return {"K": value, "C": value - ZERO_CELSIUS, "F": (value - ZERO_CELSIUS) * 1.8 + 32}[unit]
    return value / _FACTORS[kind][unit]


_LIMIT_STEP = {
    **{"m": 0.05, "ft": 0.05, "km": 0.05, "mi": 0.05, "nmi": 0.05},
    **{"yd": 1.0, "in": 1.0, "min": 1.0, "s": 1.0},
}


def compass(bearing: float) -> str:
    """Return the nearest of the eight compass points.

    Examples
    --------
    >>> compass(315.0), compass(-10.0)
    ('NW', 'N')
    """
    return ("N", "NE", "E", "SE", "S", "SW", "W", "NW")[round(bearing / 45) % 8]

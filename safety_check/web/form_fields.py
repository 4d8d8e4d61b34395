"""Numbers of a form with their units: two controls there, one text for the program."""

from __future__ import annotations

import re
from collections.abc import Mapping

from safety_check.units import Preferences

UNIT = "_unit"  # what follows the name of the number
LONG = ("mi", "km", "nmi")
SHORT = ("yd", "m", "ft")
UNITS = {  # what a form offers for each kind of number
    "wind": ("mph", "km/h", "kt", "m/s", "Bft"),
    "pace": ("mph", "km/h", "kt", "m/s"),
    "wave": ("ft", "m"),
    "distance": (*LONG, *SHORT),
    "temperature": ("F", "C"),
}
_PARTS = re.compile(r"\s*([-+−\d./\s–—]*\d[\d./\s]*)\s*(\D*?)\s*")


def with_units(form: Mapping[str, str]) -> dict[str, str]:
    """Return the fields of a form, each number joined with its unit.

    A number that was typed with a unit, or as a word, is left as it is.

    Examples
    --------
    >>> with_units({"reach": "2", "reach_unit": "km", "start": "now"})
    {'reach': '2 km', 'start': 'now'}
    >>> with_units({"reach": "2 mi", "reach_unit": "km"}), with_units({"reach_unit": "km"})
    ({'reach': '2 mi'}, {})
    """
    return {
        name: _joined(text, form.get(f"{name}{UNIT}", ""))
        for name, text in form.items()
        if not name.endswith(UNIT)
    }


def _joined(text: str, unit: str) -> str:
    bare = bool(text.strip()) and not any(letter.isalpha() or letter in "°'\"" for letter in text)
    return f"{text.strip()} {unit}".strip() if bare else text


def parted(name: str, text: str, unit: str) -> dict[str, str]:
    """Return the two values of a field for a text such as "2 km"; `unit` where it has none.

    Examples
    --------
    >>> parted("reach", "2 km", "mi"), parted("reach", "", "mi")
    ({'reach': '2', 'reach_unit': 'km'}, {'reach': '', 'reach_unit': 'mi'})
    >>> parted("wind", "whitecaps", "mph")
    {'wind': 'whitecaps', 'wind_unit': 'mph'}
    """
    found = _PARTS.fullmatch(text)
    known = found is not None and found[2] in {one for kind in UNITS.values() for one in kind}
    number, written = (found[1].strip(), found[2]) if found and known else (text, unit)
    return {name: number, f"{name}{UNIT}": written}


def own_units(prefer: Preferences) -> dict[str, str]:
    """Return the unit that a form proposes for each kind of number.

    Examples
    --------
    >>> own_units(Preferences())["shore"], own_units(Preferences(distance="km"))["shore"]
    ('yd', 'm')
    """
    return {
        "wind": prefer.wind,
        "pace": prefer.pace,
        "wave": prefer.wave,
        "distance": prefer.distance,
        "shore": prefer.small_distance,
        "temperature": prefer.temperature,
    }

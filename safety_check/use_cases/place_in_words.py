"""Read a place on Earth as people write it: "43.201, -72.105" or "43.201 N, 72.105 W"."""

from __future__ import annotations

import re

from safety_check.errors import PlanError
from safety_check.model.place import is_on_earth

LONGEST = 60  # characters; more is no place
_PART = re.compile(r"\s*([-+−]?\d+\.?\d*|[-+−]?\.\d+)\s*°?\s*([NSEW]?)\s*", re.IGNORECASE)
SIGN = {"": 1.0, "N": 1.0, "E": 1.0, "S": -1.0, "W": -1.0}


def read_position(said: str) -> tuple[float, float] | None:
    """Return latitude and longitude; None where the text is not a place on Earth.

    A minus sign beside a letter is not read: "-72.105 W" may mean either side of Greenwich.

    Examples
    --------
    >>> read_position("43.201, -72.105"), read_position("43.201 N, 72.105° W")
    ((43.201, -72.105), (43.201, -72.105))
    >>> read_position("north, south"), read_position("99, 0"), read_position("1, 2, 3")
    (None, None, None)
    """
    parts = [_PART.fullmatch(part) for part in said[: LONGEST + 1].split(",")]
    if len(said) > LONGEST or len(parts) != 2 or None in parts:
        return None
    latitude, longitude = (
        SIGN[part[2].upper()] * float(part[1].replace("−", "-")) for part in parts if part
    )
    letters = [part[2].upper() for part in parts if part]
    crossed = letters[0] in ("E", "W") or letters[1] in ("N", "S")
    doubled = any(part[2] and part[1].startswith(("-", "−")) for part in parts if part)
    known = is_on_earth(latitude, longitude) and not (crossed or doubled)
    return (latitude, longitude) if known else None


def require_position(said: str, field: str) -> tuple[float, float]:
    """Return latitude and longitude; PlanError where the text is not a place on Earth."""
    found = read_position(said)
    if found is None:
        raise PlanError(
            f"{said[:LONGEST]!r} is not a place. Write latitude and longitude in degrees, latitude"
            " first: 43.201, -72.105",
            field=field,
        )
    return found

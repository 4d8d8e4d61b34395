"""Parse a direction as people write it."""

from __future__ import annotations

import re

from safety_check.errors import PlanError

POINTS = (
    "n", "nne", "ne", "ene", "e", "ese", "se", "sse",
    "s", "ssw", "sw", "wsw", "w", "wnw", "nw", "nnw",
)  # fmt: skip
UNIT = re.compile(r"\s*(°|deg\.?|degrees?)$")


def parse_direction(text: str, field: str) -> float:
    """Return a direction in degrees true from text: "NW", "north-west", "315 degrees".

    Raises
    ------
    PlanError
        Where it is not a direction.

    Examples
    --------
    >>> [parse_direction(text, "--from") for text in ("NW", "south-south-west", "45")]
    [315.0, 202.5, 45.0]
    """
    said = UNIT.sub("", text.strip().casefold())
    for word in ("north", "south", "east", "west"):
        said = said.replace(word, word[0])
    point = "".join(character for character in said if character not in " -")
    if point in POINTS:
        return 360.0 / len(POINTS) * POINTS.index(point)
    try:
        degrees = float(said)
    except ValueError:
        degrees = -1.0
    if 0 <= degrees <= 360:
        return degrees % 360
    raise PlanError(
        f"{text!r} is not a direction. Write a point of the compass, N, NNE, NE … NNW, or"
        " degrees from 0 to 360.",
        field=field,
    )

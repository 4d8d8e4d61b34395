"""The scale of wave heights: where the bands of colour begin, and their colours.

The bands follow the craft's own limits, so that a colour means the same on every map: the two
lightest lie below caution, the two darkest at the no-go limit and above.

References
----------
.. [CIE1976] CIE 15, Colorimetry: L*a*b* (from memory, not read). The bands are twelve steps of L*
   apart, so that each looks as much darker than the one before as the next.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from safety_check.model.wave_map import WaveMap
from safety_check.units import LENGTH, Preferences, show_limit

WIDTH = 336.0  # one unit is about one pixel on a phone of 360
MARGIN = 6.0

# Our own: L* 91, 79, 67, 55, 43 and 31, from a pale to a deep blue.
COLOURS = ("#c9ebf2", "#94ccdd", "#5fadcd", "#328cbb", "#116aa4", "#034a87")
LEVELS = {  # where no limit is known: round figures of our own, in the user's unit
    "ft": (0.5, 1.0, 1.5, 2.0, 3.0),
    "m": (0.15, 0.3, 0.45, 0.6, 0.9),
}
WHAT_IT_IS = (
    "Significant wave height: the mean of the highest third of the waves. A single wave can be"
    " nearly twice as high. Not for navigation: the map shows no depths, rocks or marks."
)


@dataclass(frozen=True)
class LimitLine:
    """How the line of a limit is drawn, and its word."""

    word: str
    width: float
    dashes: str


LIMITS = (LimitLine("caution", 1.6, "5 3"), LimitLine("no-go", 2.4, "none"))


def levels(lake: WaveMap, unit: str) -> tuple[float, ...]:
    """Return the heights that separate the bands. [m].

    Half of the height where caution starts, that height, the middle between it and the no-go
    limit, that limit, and half as much again; steps of the same kind where only one of the
    limits is known.
    """
    caution, no_go = lake.caution, lake.no_go
    if math.isfinite(caution):
        bound = no_go if math.isfinite(no_go) else 2 * caution
        return caution / 2, caution, (caution + bound) / 2, bound, 1.5 * bound
    if math.isfinite(no_go):
        return no_go / 4, no_go / 2, 0.75 * no_go, no_go, 1.5 * no_go
    return tuple(level * LENGTH[unit] for level in LEVELS[unit])


def limits_of(lake: WaveMap) -> list[tuple[LimitLine, float]]:
    """Return the craft's limits on a map, and how each is drawn."""
    both = zip(LIMITS, (lake.caution, lake.no_go), strict=True)
    return [(line, bound) for line, bound in both if math.isfinite(bound)]


def figure(height: float, preferences: Preferences) -> str:
    """Return a height as a figure in the user's unit, without the unit.

    Examples
    --------
    >>> figure(0.3048, Preferences()), figure(0.2, Preferences(wave="m"))
    ('1', '0.2')
    """
    return show_limit(height, "length", preferences.wave).rsplit(" ", 1)[0]

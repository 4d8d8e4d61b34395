"""Words for infinite values, and for distances that are not known."""

from __future__ import annotations

import math

from safety_check.units import show, show_limit

SHORTEST_SWIM = 10.0  # m; a shorter one says nothing in miles or kilometres
LITTLE, MUCH = "less than can be measured", "more than can be measured"
NO_HEADWAY = (
    "From the farthest point you make no headway towards the launch {hour}, so the way home never"
    " ends; {limit} of the trip time."
)
WORDS = {
    "part": ("0 %", "more than all"),
    "times": ("0.0 ×", "far beyond"),
    "spare": ("long after", "long before"),
    "before_sunset": ("long after sunset", "in full daylight"),
    "before_dusk": ("long after dusk", "in full daylight"),
    "flag": ("no", "yes"),
    "declared": ("not declared", "declared"),
    "warning": ("none", "no-go"),
    "angle": ("the sun is far below the horizon", "the sun is far above the horizon"),
}


def describe_endless(value: float, shown_as: str) -> str:
    """Return an infinite value in words.

    Examples
    --------
    >>> describe_endless(float("inf"), "times"), describe_endless(float("-inf"), "before_dusk")
    ('far beyond', 'long after dusk')
    """
    little, much = WORDS.get(shown_as, (LITTLE, MUCH))
    return much if value > 0 else little


def describe_far(metres: float, unit: str) -> str:
    """Return how far something is, for the place after "up to".

    Examples
    --------
    >>> describe_far(1609.344, "mi"), describe_far(float("nan"), "mi")
    ('1.0 mi', 'an unknown distance')
    """
    return show(metres, "length", unit) if math.isfinite(metres) else "an unknown distance"


def possible_swim(metres: float, share: float) -> float:
    """Return how far one could swim. [m]; NaN where it is not known.

    Parameters
    ----------
    metres
        To the shore. [m]
    share
        How many times as far that is as one could swim.

    Examples
    --------
    >>> possible_swim(3000.0, 2.0), possible_swim(3000.0, 0.0)
    (1500.0, nan)
    """
    return metres / share if share > 0 else math.nan


def describe_swim(metres: float, share: float, unit: str) -> str:
    """Return how far one could swim, for the place after "could swim".

    Parameters
    ----------
    metres, share
        As in `possible_swim`.
    unit
        The user's unit of distance.

    Examples
    --------
    >>> describe_swim(3218.688, 2.0, "mi"), describe_swim(3218.688, float("inf"), "mi")
    ('1.0 mi', 'hardly any distance')
    """
    swim = possible_swim(metres, share)
    if not math.isfinite(swim):
        return "an unknown distance"
    return show(swim, "length", unit) if swim >= SHORTEST_SWIM else "hardly any distance"


def describe_swim_limit(bound: float, swim: float, unit: str) -> str:
    """Return the limit on the distance to the shore, never rounded to the permissive side.

    Parameters
    ----------
    bound
        How many times as far the shore may be as one could swim.
    swim
        How far one could swim. [m]
    unit
        The user's unit of distance.

    Examples
    --------
    >>> describe_swim_limit(2.0, 1609.344, "mi"), describe_swim_limit(2.0, float("nan"), "mi")
    ('2 mi', '2.0 × what you could swim')
    """
    if math.isfinite(swim) and swim >= SHORTEST_SWIM:
        return show_limit(bound * swim, "length", unit)
    return f"{bound:.1f} × what you could swim"

"""Say in words how wind and current meet: "Ebb of 2.0 kt against SW 12 mph"."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from safety_check.units import compass, show

if TYPE_CHECKING:
    from safety_check.conditions.conditions import Conditions
    from safety_check.rules.reasons import ReasonContext

AGAINST_CURRENT = ("wind_against_current", "waves_break_on_current")
WIND, FROM = "wind_speed", "wind_from_direction"
STEEPNESS = "wave_steepness_ratio_on_current"
WAVES, STILL = "wave_height_on_current", "sea_surface_wave_significant_height"
NEAR_TWICE, NEAR_HALF_AGAIN, SAME = 0.2, 0.1, 1.05  # how near a ratio is named by a round one


def describe_against(context: ReasonContext, conditions: Conditions, member: int, hour: int) -> str:
    """Return how wind and current meet in an hour of a forecast, and what waves become of it.

    Parameters
    ----------
    context
        With the flow of each hour in words, and the units of the reader.
    conditions
        Of the hours.
    member, hour
        Which forecast and hour.
    """
    wind, blows, steeper, high, still = (
        _value(conditions, name, member, hour) for name in (WIND, FROM, STEEPNESS, WAVES, STILL)
    )
    flow = context.flow[hour] or "current"
    met = f"{flow[0].upper()}{flow[1:]} against {compass(blows) if blows >= 0 else 'wind of'}"
    if wind >= 0:
        met += f" {show(wind, 'speed', context.preferences.wind)}"
    higher = high / still if still > 0 else math.nan
    if not (math.isfinite(higher) and math.isfinite(steeper)):
        return met
    return f"{met}, waves {times(higher)} as high and {times(steeper)} as steep"


def _value(conditions: Conditions, name: str, member: int, hour: int) -> float:
    values = conditions.quantities.get(name, np.full((1, 1), np.nan))
    shape = (len(conditions.models), len(conditions.time))
    return float(np.broadcast_to(values, shape)[member, hour])


def times(ratio: float) -> str:
    """Return a ratio in words.

    Examples
    --------
    >>> times(1.5), times(2.1), times(1.2), times(1.0)
    ('half again', 'twice', '1.2 times', 'just')
    """
    if abs(ratio - 2) <= NEAR_TWICE:
        return "twice"
    if abs(ratio - 1.5) <= NEAR_HALF_AGAIN:
        return "half again"
    return "just" if ratio < SAME else f"{ratio:.1f} times"

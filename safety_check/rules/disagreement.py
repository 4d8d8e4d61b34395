"""How much the models differ about the wind in one hour, in words."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from safety_check.arrays import BoolArray, FloatArray, median
from safety_check.units import show

# Forecasts form two groups where the gap between them is wider than either group, and at least
# this wide: about half a Beaufort number at the speeds that matter here (judgement).
GAP = 1.25  # m/s
NUMBERS = (
    *("no", "one", "two", "three", "four", "five", "six"),
    *("seven", "eight", "nine", "ten", "eleven", "twelve"),
)


def worst_hour(wind: FloatArray, worst: BoolArray) -> int:
    """Return which of some hours is the windiest in any forecast.

    Parameters
    ----------
    wind : array (member, hour)
        NaN where it is not known. [m s⁻¹]
    worst : array (hour,)
        True for the hours to choose from; there is at least one.
    """
    known = np.where(np.isnan(wind), -1.0, wind).max(axis=0)
    return int(np.argmax(np.where(worst, known, -2.0)))


def describe_disagreement(models: Sequence[str], wind: FloatArray, when: str, unit: str) -> str:
    """Return what each model says: "at 10:00 three models say 9-11 mph, one says 17".

    Parameters
    ----------
    models
        For each member, the model that it belongs to. For an ensemble the median of its
        members counts; it is unknown where one of them is.
    wind : array (member,)
        In the hour. [m s⁻¹]
    when
        The hour in words.
    unit
        The user's unit of wind speed.

    Returns
    -------
    str
        Empty where there are fewer than two models, or none of them gives a value.

    Examples
    --------
    >>> winds = np.array([4.1, 7.6, 4.9, 4.5])
    >>> describe_disagreement(["a", "b", "c", "d"], winds, "at 10:00", "mph")
    'At 10:00 three models say 9-11 mph, one says 17.'
    >>> describe_disagreement(["a", "b", "c"], np.array([4.0, np.nan, 4.1]), "at 10:00", "mph")
    'At 10:00 two models say 9 mph, one gives no value.'
    """
    middles = _middles(models, wind)
    known = np.sort(middles[np.isfinite(middles)])
    if middles.size < 2 or not known.size:
        return ""
    groups = sorted(_groups(known), key=len, reverse=True)
    parts = [_said(groups[0], " model", unit), *(_said(group, "", unit) for group in groups[1:])]
    parts[1:] = [part.removesuffix(f" {unit}") for part in parts[1:]]
    silent = middles.size - known.size
    if silent:
        parts.append(f"{_number(silent)} {'gives' if silent == 1 else 'give'} no value")
    text = f"{when} {', '.join(parts)}."
    return text[0].upper() + text[1:]


def _middles(models: Sequence[str], wind: FloatArray) -> FloatArray:
    of = np.array(models)
    return np.array([median(wind[of == model]) for model in dict.fromkeys(models)])


def _groups(known: FloatArray) -> list[FloatArray]:
    """Return ascending values as one group, or as two where there is a wide gap."""
    gaps = np.diff(known)
    if not gaps.size:
        return [known]
    at = int(np.argmax(gaps)) + 1
    low, high = known[:at], known[at:]
    apart = gaps.max() >= GAP and gaps.max() > max(np.ptp(low), np.ptp(high))
    return [low, high] if apart else [known]


def _said(group: FloatArray, noun: str, unit: str) -> str:
    low, high = (show(float(speed), "speed", unit) for speed in (group[0], group[-1]))
    span = high if low == high else f"{low.split()[0]}-{high}"
    one = len(group) == 1
    return f"{_number(len(group))}{noun if one or not noun else noun + 's'} say{'s' * one} {span}"


def _number(count: int) -> str:
    return NUMBERS[count] if count < len(NUMBERS) else str(count)

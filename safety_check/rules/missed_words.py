"""Sentences about a forecast that missed an observation."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, tzinfo

import numpy as np

from safety_check.model.missed_forecast import MissedForecast
from safety_check.model.weather import OWN_EYES, Observation
from safety_check.physics.wind import beaufort
from safety_check.units import BEAUFORT, Preferences, show

NOUNS = {"wind_speed": "wind", "wind_speed_of_gust": "gusts"}


def describe_missed_forecasts(
    misses: Sequence[MissedForecast], prefer: Preferences, zone: tzinfo
) -> str:
    """Return what was observed, what was forecast for that time, and when a newer run is due."""
    if not misses:
        return ""
    missed, *others = misses
    expected, highest = (
        show(value, "speed", prefer.wind) for value in (missed.expected, missed.highest)
    )
    observed = _observed(missed.observation, prefer, zone)
    if show(missed.observation.value, "speed", prefer.wind) == highest:  # the same when rounded
        highest = f"almost {highest}"
    else:
        highest = f"at most {highest}"
    few = {0: "", 1: " One more observation was missed."}
    more = few.get(len(others), f" {len(others)} more observations were missed.")
    return (
        f"{observed}, but {_forecasts(missed)} said"
        f" {expected} and, with their usual error, {highest}.{more}"
        f" {_next_run(missed, zone)}"
    )


def describe_amount(observation: Observation, prefer: Preferences) -> str:
    """Return how much wind was observed: what was seen, and the least that it means.

    Examples
    --------
    >>> from datetime import UTC, datetime
    >>> from safety_check.model.weather import Provenance
    >>> now = datetime(2026, 6, 12, 20, tzinfo=UTC)
    >>> eyes = Provenance(OWN_EYES, "", "", now, now, recorded=False)
    >>> seen = Observation("wind_speed", 5.5, now, OWN_EYES, 0.0, eyes, sign="whitecaps")
    >>> describe_amount(seen, Preferences(wind="mph"))
    'whitecaps: 12 mph or more (Beaufort 4)'
    """
    amount = show(observation.value, "speed", prefer.wind)
    if observation.sign:
        return least_wind(observation.sign, observation.value, prefer.wind)
    return f"{NOUNS[observation.quantity]} of {amount}"


def least_wind(sign: str, wind_speed: float, unit: str) -> str:
    """Return what was seen with the least wind that it means.

    Examples
    --------
    >>> least_wind("whitecaps", 5.5, "mph")
    'whitecaps: 12 mph or more (Beaufort 4)'
    >>> least_wind("whitecaps", 5.5, "Bft")
    'whitecaps: 4 Bft or more'
    """
    least = f"{sign}: {show(wind_speed, 'speed', unit)} or more"
    number = int(beaufort(np.array(wind_speed)))
    return least if unit == BEAUFORT else f"{least} (Beaufort {number})"


def _observed(observation: Observation, prefer: Preferences, zone: tzinfo) -> str:
    when = _clock(observation.time, zone)
    what = describe_amount(observation, prefer)
    if observation.station == OWN_EYES:
        return f"On {when} you saw {what}"
    return f"On {when} station {observation.station} reported {what}"


def _forecasts(missed: MissedForecast) -> str:
    if not missed.forecasts:
        return "the forecasts"
    return " and ".join(missed.forecasts)


def _next_run(missed: MissedForecast, zone: tzinfo) -> str:
    if missed.next_run is None:
        return "Get a newer forecast, and check again."
    due = _clock(missed.next_run, zone)
    return f"The next run ({missed.next_run_of}) is due about {due}; check again then."


def _clock(moment: datetime, zone: tzinfo) -> str:
    return f"{moment.astimezone(zone):%a %H:%M}"

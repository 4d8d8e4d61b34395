"""Suggest limits from logged trips, described in numbers or in words."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from datetime import date
from functools import cache

import numpy as np

from safety_check.errors import PlanError
from safety_check.model.trip import Suggestion, Trip
from safety_check.model.verdict import Limit
from safety_check.physics.wind import beaufort_lower_edge
from safety_check.settings import toml_file
from safety_check.settings.folders import shipped_file
from safety_check.settings.sourced import Basis
from safety_check.settings.spelling import suggest_spelling
from safety_check.settings.toml_file import Strict

# -- words for wind and comfort -------------------------------------------------------------------


class Look(Strict):
    """One [[look]] of trips.toml: words for a Beaufort number."""

    beaufort: int
    words: list[str]
    basis: Basis
    source: str
    checked: date


class Feeling(Strict):
    """One [[comfort]] of trips.toml: words for a level of comfort."""

    level: int
    words: list[str]


class Suggest(Strict):
    """[suggest] of trips.toml: how many trips support a limit."""

    least_trips: int
    least_uneasy: int
    least_at_ease: int
    uneasy_to: int
    afraid_to: int
    at_ease_from: int
    basis: Basis
    source: str
    since: date
    checked: date


class TripsFile(Strict):
    """trips.toml."""

    look: list[Look]
    comfort: list[Feeling]
    suggest: Suggest


@cache
def load_trip_words() -> TripsFile:
    """Return the meaning of words, and how many trips support a limit."""
    return toml_file.read(shipped_file("trips.toml"), TripsFile)


def beaufort_number(words: str, field: str = "the wind") -> int:
    """Return the Beaufort number for a described look of the water.

    Raises
    ------
    PlanError
        For words that are not listed, with those that are.

    Examples
    --------
    >>> beaufort_number("glassy"), beaufort_number("Scattered  Whitecaps")
    (0, 3)
    """
    looks = {word: entry.beaufort for entry in load_trip_words().look for word in entry.words}
    return _meaning(words, looks, field, 'or a speed with a unit, such as "12 mph"')


def comfort_level(words: str) -> int:
    """Return the comfort, 1 to 5, for a number or a word.

    Examples
    --------
    >>> comfort_level("4"), comfort_level("uneasy")
    (4, 2)
    """
    levels = {word: entry.level for entry in load_trip_words().comfort for word in entry.words}
    numbers = {str(level): level for level in sorted(set(levels.values()))}
    return _meaning(words, numbers | levels, "comfort", "from 1 (afraid) to 5 (at ease)")


def _meaning(words: str, known: Mapping[str, int], what: str, otherwise: str) -> int:
    said = " ".join(words.casefold().split())
    if said not in known:
        raise PlanError(
            f"{words!r} is not known here.{suggest_spelling(said, list(known))}"
            f" Write one of {', '.join(known)}; {otherwise}.",
            field=what,
        )
    return known[said]


def middle_of(beaufort: int) -> float:
    """Return the wind in the middle of a Beaufort number. [m s⁻¹].

    Examples
    --------
    >>> round(middle_of(4), 2)
    6.75
    """
    low, high = beaufort_lower_edge(np.array([beaufort, beaufort + 1.0]))
    return float(low + high) / 2


# -- limits that the log supports ------------------------------------------------------------


MET = {
    "wind_speed": "wind_speed",
    "wind_speed_of_gust": "wind_speed_of_gust",
    "sea_surface_wave_significant_height": "wave_height",
}


def rate_trips(trips: Iterable[Trip], quantity: str) -> list[Trip]:
    """Return the trips that report both a quantity and a comfort, in order of the quantity."""
    told = [
        trip
        for trip in trips
        if trip.went and trip.comfort is not None and not math.isnan(value_met(trip, quantity))
    ]
    return sorted(told, key=lambda trip: value_met(trip, quantity))


def value_met(trip: Trip, quantity: str) -> float:
    """Return the value a trip reported, the least that its words mean; NaN if not reported."""
    least = float(getattr(trip, f"{MET[quantity]}_least"))
    if not math.isnan(least):
        return least
    if quantity == "wind_speed" and trip.beaufort is not None:
        return float(beaufort_lower_edge(np.array(float(trip.beaufort))))
    return float(getattr(trip, MET[quantity]))


def suggest(
    trips: Iterable[Trip], limits: Mapping[str, Limit], rule: Suggest
) -> tuple[Suggestion, ...]:
    """Return the bounds that a craft's logged trips support.

    Parameters
    ----------
    trips
        Of one craft.
    limits
        The limits that hold for it now.
    rule
        How many trips support a limit.

    Notes
    -----
    Tighter: the bound falls to the wind or wave in which at least `least_uneasy` trips were
    already uneasy (afraid, for no-go). Looser: only the caution rises, up to the value of
    `least_at_ease` comfortable trips, but never to that of an uneasy one or to the no-go bound.
    It is only a suggestion, which the user may apply.
    """
    found = []
    for quantity in MET:
        told = rate_trips(trips := tuple(trips), quantity)
        if quantity in limits and len(told) >= rule.least_trips:
            found += _for(quantity, told, limits[quantity], rule)
    return tuple(found)


def _for(quantity: str, told: list[Trip], limit: Limit, rule: Suggest) -> list[Suggestion]:
    tighter = [
        suggestion
        for level, bound, comfort in (
            ("marginal", _least(limit.marginal, limit.no_go), rule.uneasy_to),
            ("no_go", limit.no_go, rule.afraid_to),
        )
        if (suggestion := _tighter(quantity, level, told, bound, comfort, rule)) is not None
    ]
    looser = None if tighter else _looser(quantity, told, limit, rule)
    return tighter + ([looser] if looser else [])


def _tighter(
    quantity: str, level: str, told: list[Trip], now: float | None, comfort: int, rule: Suggest
) -> Suggestion | None:
    below = [
        trip
        for trip in told
        if (trip.comfort or 0) <= comfort and (now is None or value_met(trip, quantity) < now)
    ]
    if len(below) < rule.least_uneasy:
        return None
    bound = value_met(below[rule.least_uneasy - 1], quantity)
    return Suggestion(quantity, level, bound, now, True, *_with_values(below, quantity))


def _looser(quantity: str, told: list[Trip], limit: Limit, rule: Suggest) -> Suggestion | None:
    now = limit.marginal
    if now is None:
        return None
    uneasy = [value_met(trip, quantity) for trip in told if (trip.comfort or 0) <= rule.uneasy_to]
    ceiling = min([*uneasy, math.inf if limit.no_go is None else limit.no_go])
    above = [
        trip
        for trip in told
        if (trip.comfort or 0) >= rule.at_ease_from and now < value_met(trip, quantity) < ceiling
    ]
    if len(above) < rule.least_at_ease:
        return None
    bound = value_met(above[-rule.least_at_ease], quantity)
    return Suggestion(quantity, "marginal", bound, now, False, *_with_values(above, quantity))


def _least(*bounds: float | None) -> float | None:
    return min((bound for bound in bounds if bound is not None), default=None)


def _with_values(trips: list[Trip], quantity: str) -> tuple[tuple[Trip, ...], tuple[float, ...]]:
    return tuple(trips), tuple(value_met(trip, quantity) for trip in trips)

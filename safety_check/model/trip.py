"""Logged trips, and the limits that they suggest."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from safety_check.model.verdict import Limit


@dataclass(frozen=True)
class Trip:
    """One logged trip, or one that was called off.

    Parameters
    ----------
    id
        Its number in the history; 0 until it is saved.
    logged, start
        When it was written down; when it began or would have. UTC.
    water, launch, craft
        Names.
    time_zone
        The water's.
    went
        False where it was called off.
    wind_speed, wind_speed_of_gust
        As experienced [m s⁻¹]; NaN where it was not given.
    wave_height
        As experienced [m]; NaN where it was not given.
    beaufort
        The number that the paddler's words stand for; None where the wind was given
        as a speed. The speed above is then the middle of that number.
    comfort
        From 1 (afraid) to 5 (at ease); None where it was not given.
    notes
        The paddler's own.
    check
        The check that it followed, by its number in the history.
    wind_speed_least, wind_speed_of_gust_least, wave_height_least
        The lower end of a range such as "10-14 mph", whose upper end is the value above;
        NaN where one number was given.
    water_temperature
        As measured [K]; NaN where it was not given.
    wind_from_direction
        As experienced [deg true]; NaN where it was not given.
    track
        Speed and course of each steady minute of its track, such as "1.21@275 1.15@93"
        [m s⁻¹, deg true]; empty where none was given. No places are stored.
    ended
        When it ended; None where it was not given. UTC.
    """

    id: int
    logged: datetime
    start: datetime
    water: str
    launch: str
    time_zone: str
    craft: str
    went: bool
    wind_speed: float = float("nan")
    wind_speed_of_gust: float = float("nan")
    wave_height: float = float("nan")
    beaufort: int | None = None
    comfort: int | None = None
    notes: str = ""
    check: int | None = None
    wind_speed_least: float = float("nan")
    wind_speed_of_gust_least: float = float("nan")
    wave_height_least: float = float("nan")
    water_temperature: float = float("nan")
    wind_from_direction: float = float("nan")
    track: str = ""
    ended: datetime | None = None


@dataclass(frozen=True)
class Suggestion:
    """A limit that the logged trips suggest.

    Parameters
    ----------
    quantity, level
        What it bounds; "marginal" or "no_go".
    bound, now
        The bound as proposed and as it holds, SI; `now` is None where that level is never
        reached.
    tighter
        True where it permits less than now.
    trips, met
        The trips that support it, and the value of each of them, SI.
    """

    quantity: str
    level: str
    bound: float
    now: float | None
    tighter: bool
    trips: tuple[Trip, ...]
    met: tuple[float, ...]


@dataclass(frozen=True)
class OwnLimit:
    """A limit as the user set it, each bound as it was typed; None where it was not."""

    marginal: str | None
    no_go: str | None
    loosen: bool


@dataclass(frozen=True)
class SuggestedLimits:
    """The limits that the trip log of one craft suggests.

    Parameters
    ----------
    craft
        Its name.
    rated_trips
        Quantity → how many of its trips give both that quantity and a comfort.
    least_trips
        With fewer of them nothing is suggested for that quantity.
    found
        The suggestions.
    defaults, own
        Quantity → the default limit, and what the user has set.
    """

    craft: str
    rated_trips: Mapping[str, int]
    least_trips: int
    found: tuple[Suggestion, ...]
    defaults: Mapping[str, Limit]
    own: Mapping[str, OwnLimit]

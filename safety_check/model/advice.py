"""Information beside the verdict: return trip, fishing, drift, cold water."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime

from safety_check.arrays import FloatArray, TimeArray


@dataclass(frozen=True)
class Leg:
    """One leg of a way home.

    Parameters
    ----------
    course
        [deg true]
    length
        [m]
    speed
        Made good in the slowest hour of the trip [m s⁻¹]; zero or less for no headway.
    """

    course: float
    length: float
    speed: float


@dataclass(frozen=True)
class GettingHome:
    """The way home that takes longest.

    Parameters
    ----------
    route
        Whether a route was given; without one all places within reach count.
    place
        Where it begins. [m east and north of the launch]
    hour
        The hour of the trip in which it takes longest.
    time, hard, calm
        From then at cruise effort, working hard, and at a cruise in calm air [s];
        infinite without headway, NaN where it is not known.
    turn_back
        Latest time to turn back; None where even the launch is too late, or it is not known.
    home_by
        What turning back then is in time for.
    home_by_for
        "end" of the plan, "dark", or "worse" weather.
    stands_still
        Wind in which the craft makes no way. [m s⁻¹]
    legs
        Back along the route, or the one straight way.
    """

    route: bool
    place: tuple[float, float]
    hour: datetime
    time: float
    hard: float
    calm: float
    turn_back: datetime | None
    home_by: datetime
    home_by_for: str
    stands_still: float
    legs: tuple[Leg, ...]


@dataclass(frozen=True)
class Pass:
    """Trolling on one heading.

    Parameters
    ----------
    heading
        "up", "across" or "down" the wind.
    effort : array (hour,)
        Over the cruise's own, in the windiest of the forecasts that count [1]; infinite
        where it takes more thrust than there is, zero or less where the wind alone drives.
    works
        For each hour "easy", "hard", "no", "too fast" or "unknown".
    """

    heading: str
    effort: FloatArray
    works: tuple[str, ...]


@dataclass(frozen=True)
class Fishing:
    """Trolling and drifting in this wind; for information only.

    Parameters
    ----------
    slow, fast
        The speeds that are trolled at. [m s⁻¹]
    time : array (hour,)
        Of the trip, UTC.
    passes
        Up, across and down the wind.
    drift : array (hour,)
        Of the stopped craft. [m s⁻¹]
    """

    slow: float
    fast: float
    time: TimeArray
    passes: tuple[Pass, ...]
    drift: FloatArray


@dataclass(frozen=True)
class Drift:
    """Where the wind takes a craft that can't be paddled, or a swimmer.

    Parameters
    ----------
    what
        "craft" or "swimmer".
    begins
        When.
    place
        Where: the place with the longest way home. [m east and north of the launch]
    speed
        At first, median of the ensemble. [m s⁻¹]
    within
        How long it is followed. [s]
    share
        Of the members that reach a shore in that time; NaN where no shoreline is known.
    time
        Until a shore is reached, median of the ensemble [s]; infinite where no shore is reached.
    shore
        Where, in that member [m east and north of the launch]; NaN where none is reached.
    ends
        The place where that member is then, at a shore or after the whole time [m east and north
        of the launch]; NaN where it is not known.
    """

    what: str
    begins: datetime
    place: tuple[float, float]
    speed: float
    within: float
    share: float
    time: float
    shore: tuple[float, float]
    ends: tuple[float, float] = (math.nan, math.nan)


@dataclass(frozen=True)
class AdriftWind:
    """The wind, and the current, from which the drift of any hour is computed.

    Parameters
    ----------
    place
        Where it begins: the place with the longest way home. [m east and north of the launch]
    speed, direction : arrays (member, hour + 1)
        Of members that represent all, at the instants that bound the hours. [m s⁻¹, deg true from]
    weights : array (member,)
        Sum 1.
    current : array (hour + 1, sample, 2)
        Where the water flows to, east and north [m s⁻¹]; None on still water.
    """

    place: tuple[float, float]
    speed: FloatArray
    direction: FloatArray
    weights: FloatArray
    current: FloatArray | None = None


@dataclass(frozen=True)
class InTheWater:
    """Effects of the water on a swimmer; for information only.

    Parameters
    ----------
    temperature
        [K]
    shock
        How much of the full cold shock. [1]
    least, most
        Time to exhaustion or unconsciousness, afloat in calm water. [s]
    swim
        How far a swimmer gets in this water; nobody should plan on it. [m]
    from_shore
        How far the shore is at most. [m]
    wear
        The least immersion clothing with which this water is within its limits; "more"
        where none is enough, "unknown" where the temperature is.
    """

    temperature: float
    shock: float
    least: float
    most: float
    swim: float
    from_shore: float
    wear: str


@dataclass(frozen=True)
class Advice:
    """All information beside the verdict.

    Parameters
    ----------
    off_the_water_by
        The first hour that is worse than that of the launch; None where none is.
    worse
        What that hour is, as a severity's name; empty where none is.
    because
        The hazards that make it so.
    getting_home, fishing, drifts, in_the_water
        What they say; the drifts from the windiest hour of the trip.
    adrift
        What the drifts of the other hours follow from.
    """

    off_the_water_by: datetime | None
    worse: str
    because: tuple[str, ...]
    getting_home: GettingHome
    fishing: Fishing
    drifts: tuple[Drift, ...]
    in_the_water: InTheWater
    adrift: AdriftWind | None = None

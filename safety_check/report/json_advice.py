"""Return, fishing, drift and cold water as JSON; SI and UTC, null is not known."""

from __future__ import annotations

import math
from datetime import datetime
from typing import Literal

from pydantic import BaseModel, ConfigDict

from safety_check.model import advice


class Part(BaseModel):
    """A part of the report: no key but its own."""

    model_config = ConfigDict(extra="forbid")


class Point(Part):
    """Metres east and north of the launch; null where there is none."""

    east: float | None
    north: float | None


class LegHome(Part):
    """One leg: course in degrees true, length in m, speed of its slowest hour in m/s."""

    course: float
    length: float
    speed: float | None


class WayHome(Part):
    """The way home that takes longest; times in s, null where there is no headway."""

    route: bool
    begins_at: Point
    hour: datetime
    time: float | None
    time_working_hard: float | None
    time_in_calm: float | None
    turn_back: datetime | None
    home_by: datetime
    home_by_for: Literal["end", "dark", "worse"]
    stands_still_in: float | None
    legs: list[LegHome]


class Heading(Part):
    """Trolling on one heading; effort relative to cruising for each hour of the trip."""

    heading: Literal["up", "across", "down"]
    effort: list[float | None]
    works: list[Literal["easy", "hard", "no", "too fast", "unknown"]]


class Trolling(Part):
    """Trolling and drifting in this wind, hour by hour; speeds in m/s."""

    slow: float
    fast: float
    headings: list[Heading]
    drift: list[float | None]


class Adrift(Part):
    """Where the wind takes a craft or a swimmer; `time` in s, null for no shore in time."""

    what: Literal["craft", "swimmer"]
    begins: datetime
    begins_at: Point
    speed: float | None
    within: float
    share: float | None
    time: float | None
    shore: Point


class Immersion(Part):
    """What the water does to a swimmer; times in s, null for not known or without end."""

    temperature: float | None
    shock: float | None
    exhausted_after: float | None
    exhausted_by: float | None
    swim: float | None
    from_shore: float | None
    wear: Literal["none", "wetsuit", "drysuit", "more", "unknown"]


class Advice(Part):
    """Information beside the verdict; it does not change the verdict."""

    off_the_water_by: datetime | None
    worse: str
    because: list[str]
    getting_home: WayHome
    fishing: Trolling
    adrift: list[Adrift]
    in_the_water: Immersion


def advice_part(told: advice.Advice) -> Advice:
    """Return the advice as a part of the report."""
    return Advice(
        off_the_water_by=told.off_the_water_by,
        worse=told.worse,
        because=list(told.because),
        getting_home=_way_home(told.getting_home),
        fishing=_trolling(told.fishing),
        adrift=[_adrift(drift) for drift in told.drifts],
        in_the_water=_immersion(told.in_the_water),
    )


def _way_home(home: advice.GettingHome) -> WayHome:
    return WayHome(
        route=home.route,
        begins_at=_point(*home.place),
        hour=home.hour,
        time=number_or_none(home.time),
        time_working_hard=number_or_none(home.hard),
        time_in_calm=number_or_none(home.calm),
        turn_back=home.turn_back,
        home_by=home.home_by,
        home_by_for=home.home_by_for,
        stands_still_in=number_or_none(home.stands_still),
        legs=[
            LegHome(course=leg.course, length=leg.length, speed=number_or_none(leg.speed))
            for leg in home.legs
        ],
    )


def _trolling(fishing: advice.Fishing) -> Trolling:
    return Trolling(
        slow=fishing.slow,
        fast=fishing.fast,
        headings=[
            Heading(
                heading=course.heading,
                effort=[number_or_none(float(effort)) for effort in course.effort],
                works=list(course.works),
            )
            for course in fishing.passes
        ],
        drift=[number_or_none(float(distance)) for distance in fishing.drift],
    )


def _adrift(drift: advice.Drift) -> Adrift:
    return Adrift(
        what=drift.what,
        begins=drift.begins,
        begins_at=_point(*drift.place),
        speed=number_or_none(drift.speed),
        within=drift.within,
        share=number_or_none(drift.share),
        time=number_or_none(drift.time),
        shore=_point(*drift.shore),
    )


def _immersion(water: advice.InTheWater) -> Immersion:
    return Immersion(
        temperature=number_or_none(water.temperature),
        shock=number_or_none(water.shock),
        exhausted_after=number_or_none(water.least),
        exhausted_by=number_or_none(water.most),
        swim=number_or_none(water.swim),
        from_shore=number_or_none(water.from_shore),
        wear=water.wear,
    )


def _point(east: float, north: float) -> Point:
    return Point(east=number_or_none(east), north=number_or_none(north))


def number_or_none(value: float) -> float | None:
    """Return a number as JSON can hold it: null where it is not known or not finite."""
    return value if math.isfinite(value) else None

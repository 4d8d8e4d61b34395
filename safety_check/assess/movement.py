"""Tell of tide, current and river around a trip. Nothing here is imported for still water."""

from __future__ import annotations

from datetime import datetime

import numpy as np

from safety_check.arrays import TimeArray, to_datetime64, to_utc
from safety_check.conditions import moving_water, river, tide_hours
from safety_check.conditions.case import Case
from safety_check.conditions.ensemble import HOUR
from safety_check.model.moving_water import CurrentKind, MovingWater
from safety_check.model.water_movement import Movement, Turn
from safety_check.rules.weighed_hours import WeighedHours
from safety_check.settings.moving_water import load_moving_water

STEP = np.timedelta64(600, "s")
SLACK, FLOOD, EBB = "slack", "flood", "ebb"
WORDS = {CurrentKind.SLACK: SLACK, CurrentKind.FLOOD: FLOOD, CurrentKind.EBB: EBB}


def describe_movement(case: Case, moving: MovingWater, weighed: WeighedHours) -> Movement:
    """Return what a report tells of the movement of a water around a trip.

    Parameters
    ----------
    case, moving
        The inputs of the check, and what is known of the movement.
    weighed
        The hours around the trip, and the way home.
    """
    hours = weighed.conditions.time
    height, current = _height(moving, hours), _current(moving, hours)
    return Movement(
        turns=list_turns(moving, to_utc(hours[0]), to_utc(hours[-1] + HOUR)),
        against=_against(case, moving, weighed),
        wet=_wet(case, moving, hours),
        height=height,
        current=current,
        river=_river(case, moving),
        origin=_origin(moving),
    )


def list_turns(moving: MovingWater, first: datetime, last: datetime) -> tuple[Turn, ...]:
    """Return the events of tide and current between two times, in order."""
    tides = [
        Turn(event.time, "high water" if event.high else "low water", event.height)
        for tide in moving.tides[:1]
        for event in tide.events
    ]
    currents = [
        Turn(event.time, WORDS[event.kind], event.speed)
        for prediction in ([] if moving.entered is not None else moving.currents[:1])
        for event in prediction.events
    ]
    shown = [turn for turn in (*tides, *currents) if first <= turn.time <= last]
    return tuple(sorted(shown, key=lambda turn: turn.time))


def _height(moving: MovingWater, hours: TimeArray) -> tuple[float, ...]:
    if not moving.tides:
        return ()
    return tuple(float(height) for height in moving_water.tide_at(moving.tides[0], hours))


def _current(moving: MovingWater, hours: TimeArray) -> tuple[float, ...]:
    flow = moving_water.choose_flow(moving)
    if flow is None:
        return ()
    current = moving_water.current_at(flow.current, tide_hours.instants(hours))
    return tuple(float(speed) for speed in np.hypot(*np.moveaxis(current, -1, 0)).max(axis=1))


def _against(case: Case, moving: MovingWater, weighed: WeighedHours) -> datetime | None:
    """Return when the current first sets against a leg of the longest way home."""
    flow, plan = moving_water.choose_flow(moving), case.plan
    if flow is None:
        return None
    start, end = to_datetime64(plan.start), to_datetime64(plan.end)
    courses = weighed.conditions.way.longest.courses
    found = [moving_water.first_against(flow.current, course, start, end) for course in courses]
    known = [time for time in found if not np.isnat(time)]
    return to_utc(min(known)) if known else None


def _wet(
    case: Case, moving: MovingWater, hours: TimeArray
) -> tuple[tuple[datetime, datetime], ...] | None:
    """Return when the launch has water within the shown hours, to ten minutes."""
    dries = case.plan.launch.dries
    if dries is None:
        return None
    time = np.arange(hours[0], hours[-1] + HOUR + STEP, STEP)
    tide = moving.tides[0] if moving.tides else None
    wet = tide_hours.least_depth(tide, time[:, None], dries) > 0
    edges = np.flatnonzero(np.diff(np.concatenate([[False], wet, [False]])))
    return tuple(
        (to_utc(time[first]), to_utc(time[after - 1]))
        for first, after in zip(edges[::2], edges[1::2], strict=True)
    )


def _river(case: Case, moving: MovingWater) -> tuple[tuple[str, float], ...]:
    reading = river.current_reading(moving, case.briefing.at, load_moving_water().river)
    if reading is None:
        return ()
    percentile = float("nan") if reading.percentile is None else reading.percentile[1]
    return (
        ("stage", reading.stage),
        ("discharge", reading.discharge),
        ("rise", reading.rise),
        ("percentile", percentile),
    )


def _origin(moving: MovingWater) -> tuple[str, ...]:
    """Return the stations of the predictions; nothing for what the user entered."""
    tides, currents = moving.tides[:1], moving.currents[:1]
    stations = [*(tide.station for tide in tides), *(one.station for one in currents)]
    named = [station.label for station in stations if station.distance is not None]
    return tuple(dict.fromkeys(named))

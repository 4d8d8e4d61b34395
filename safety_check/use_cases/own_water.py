"""Add to a briefing what the user says of tide, current, river and dam."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import TypeVar

import numpy as np

from safety_check.arrays import to_datetime64
from safety_check.errors import PlanError
from safety_check.model.moving_water import (
    CurrentEvent,
    CurrentKind,
    CurrentPrediction,
    CurrentSeries,
    MovingWater,
    PredictionStation,
    RiverReading,
    TideEvent,
    TidePrediction,
)
from safety_check.model.plan import Plan
from safety_check.model.weather import OWN_EYES, Briefing, Provenance, SourceFailure
from safety_check.settings.moving_water import load_moving_water
from safety_check.use_cases.moving_words import (
    CurrentWords,
    TimeFrame,
    read_current,
    read_gauge,
    read_releases,
    read_tides,
)
from safety_check.use_cases.plan_request import MOVEMENT, PlanRequest

OWN = PredictionStation("", "as you entered it", None, official=False)
AROUND = timedelta(days=2)  # before the start and after the end of a trip
Item = TypeVar("Item", TidePrediction, CurrentPrediction, RiverReading)
WORDS_FOR = {  # what the user says instead of a service
    "current": "sea_water_speed",
    "high_water": "water_surface_height_above_reference_datum",
}
OTHER = {CurrentKind.EBB: CurrentKind.FLOOD, CurrentKind.FLOOD: CurrentKind.EBB}


def add_own_water(briefing: Briefing, asked: PlanRequest, plan: Plan) -> Briefing:
    """Return a briefing with what the user says of the movement of the water.

    What is said counts before what a service says, and stays until it is said anew.

    Raises
    ------
    PlanError
        Where it can't be read, or where the water is still by the user's own word.
    """
    if not asked.says_movement:
        return briefing
    if not plan.water.moves:
        raise PlanError(
            f"currents, tides, gauges and releases are of water that moves, and {plan.water.name}"
            " is not said to. Leave this empty, or say first that the water is tidal or flowing.",
            field=next(name for name in MOVEMENT if getattr(asked, name)),
            remedy=f'To say so: safety-check water set "{plan.water.name}" --kind tidal (or'
            " flowing, or both).",
        )
    frame = TimeFrame(plan.water.time_zone, plan.start)
    moving = briefing.moving or MovingWater()
    origin = Provenance(OWN_EYES, "", "", briefing.at, briefing.at, recorded=False)
    if asked.current is not None:
        said = read_current(asked.current, frame, plan.water.tidal)
        moving = _with_current(moving, said, plan, origin)
    if asked.high_water is not None:
        events = tuple(
            TideEvent(one.time, one.height, one.high) for one in read_tides(asked.high_water, frame)
        )
        tide = TidePrediction(events, "your tide table", OWN, origin)
        moving = replace(moving, tides=(tide, *_others(moving.tides)))
    if asked.gauge is not None:
        gauge = read_gauge(asked.gauge)
        reading = RiverReading(OWN, briefing.at, origin, gauge.stage, gauge.discharge, gauge.rise)
        moving = replace(moving, rivers=(reading, *_others(moving.rivers)))
    if asked.release is not None:
        moving = replace(moving, releases=read_releases(asked.release, frame))
    told = {WORDS_FOR[name] for name in WORDS_FOR if getattr(asked, name) is not None}
    silences = tuple(_without_cost(failure, told) for failure in briefing.silences)
    return replace(briefing, moving=moving, silences=silences)


def _without_cost(failure: SourceFailure, told: set[str]) -> SourceFailure:
    """Return a failure that does not count where it only left unknown what the user says."""
    known = bool(failure.wanted) and told.issuperset(failure.wanted)
    return replace(failure, applies=False) if known else failure


def _others(items: Sequence[Item]) -> tuple[Item, ...]:
    """Return what services said, without what the user entered before."""
    return tuple(one for one in items if one.station != OWN)


def _own(items: Sequence[Item]) -> tuple[Item, ...]:
    return tuple(one for one in items if one.station == OWN)


def _with_current(
    moving: MovingWater, said: CurrentWords, plan: Plan, origin: Provenance
) -> MovingWater:
    others = _others(moving.currents)
    if not said.slacks:
        return replace(moving, entered=_steady(said, plan), currents=others)
    if said.name:
        named = _predicted(said, CurrentKind(said.name), origin)
        return replace(moving, entered=None, currents=(named, *others))
    from safety_check.conditions.moving_water import predicted_series

    series = predicted_series(_predicted(said, CurrentKind.FLOOD, origin))
    return replace(moving, entered=series, currents=others)


def _steady(said: CurrentWords, plan: Plan) -> CurrentSeries:
    """Return a current that does not turn, around the trip."""
    first, last = (to_datetime64(one) for one in (plan.start - AROUND, plan.end + AROUND))
    towards = np.radians(said.towards) if said.speed > 0 else 0.0
    east, north = said.speed * np.sin(towards), said.speed * np.cos(towards)
    return CurrentSeries(np.array([first, last]), np.full(2, east), np.full(2, north))


def _predicted(said: CurrentWords, first: CurrentKind, origin: Provenance) -> CurrentPrediction:
    """Return an entered current as events: full speed between its slacks, and around them.

    It turns at each slack. Half a tide before the first slack and after the last it is not known.
    """
    kinds = [first]
    events: list[CurrentEvent] = []
    quarter = timedelta(seconds=load_moving_water().current.quarter)
    begins = said.slacks[0]
    for before in (2 * quarter, quarter):
        events.append(CurrentEvent(begins - before, first, said.speed))
    for slack, after in zip(said.slacks, [*said.slacks[1:], None], strict=True):
        events.append(CurrentEvent(slack, CurrentKind.SLACK, 0.0))
        kinds.append(OTHER[kinds[-1]])
        events += _full_speed(slack, after, kinds[-1], said.speed, quarter)
    flood, ebb = said.towards, (said.towards + 180) % 360
    if first is CurrentKind.EBB:
        flood, ebb = ebb, flood
    return CurrentPrediction(tuple(events), flood, ebb, None, OWN, origin)


def _full_speed(
    slack: datetime, after: datetime | None, kind: CurrentKind, speed: float, quarter: timedelta
) -> list[CurrentEvent]:
    if after is not None:
        return [CurrentEvent(slack + (after - slack) / 2, kind, speed)]
    return [
        CurrentEvent(slack + quarter, kind, speed),
        CurrentEvent(slack + 2 * quarter, kind, speed),
    ]


def keep_own_water(fresh: MovingWater | None, stored: MovingWater | None) -> MovingWater | None:
    """Return the movement of a new briefing, completed with an earlier one.

    What the user entered then still counts, and what services answered where none answered now.
    """
    if fresh is None or stored is None:
        return fresh or stored
    said_now = fresh.entered is not None or _own(fresh.currents)
    return replace(
        fresh,
        tides=_completed(fresh.tides, stored.tides),
        currents=fresh.currents if said_now else _completed(fresh.currents, stored.currents),
        rivers=_completed(fresh.rivers, stored.rivers),
        hints=fresh.hints or stored.hints,
        entered=fresh.entered if said_now else stored.entered,
        releases=stored.releases if fresh.releases is None else fresh.releases,
    )


def _completed(fresh: tuple[Item, ...], stored: tuple[Item, ...]) -> tuple[Item, ...]:
    if _own(fresh):
        return fresh
    return _own(stored) + fresh or stored

"""Tide, current and river in words and as JSON."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from datetime import datetime, tzinfo
from itertools import groupby

from pydantic import BaseModel, ConfigDict

from safety_check.model.local_clock import LocalClock
from safety_check.model.verdict import Verdict
from safety_check.model.water_movement import Movement, Turn
from safety_check.units import FOOT, KNOT, Preferences, show

TITLE_OF_MOVEMENT = "Tide, current and river"
HEIGHTS = ("high water", "low water")
SLACK = "slack"


def movement_lines(verdict: Verdict, preferences: Preferences) -> list[str]:
    """Return what is known of the movement of the water; nothing on still water."""
    made = verdict.movement
    if made is None:
        return []
    clock = LocalClock.of(verdict.plan)
    tide = [_turn(turn, clock, preferences) for turn in made.turns if turn.what in HEIGHTS]
    current = [_turn(turn, clock, preferences) for turn in made.turns if turn.what not in HEIGHTS]
    lines = [f"Tide: {', '.join(tide)}."] if tide else []
    lines += [f"Current: {', '.join(current)}."] if current else []
    lines += _strongest(made) if made.current and not current else []
    if made.against is not None:
        lines.append(f"From {clock.time(made.against)} on the current sets against the way home.")
    return [*lines, *_wet(made, clock), *_river(made, preferences), *_origin(made)]


def turns_by_day(turns: Sequence[Turn], zone: tzinfo, preferences: Preferences) -> Iterator[str]:
    """Yield the turns of tide and current, a line for each local day that has any."""
    for day, events in groupby(turns, key=lambda turn: turn.time.astimezone(zone).date()):
        said = (_turn(turn, LocalClock(zone, day), preferences) for turn in events)
        yield f"Tide and current, {day:%a} {day.day} {day:%b}: {', '.join(said)}."


def _turn(turn: Turn, clock: LocalClock, preferences: Preferences) -> str:
    said = f"{turn.what} {clock.time(turn.time)}"
    if turn.what == SLACK or math.isnan(turn.value):
        return said
    if turn.what in HEIGHTS:
        return f"{said} ({_signed(turn.value, preferences)})"
    return f"{said} ({turn.value / KNOT:.1f} kt)"


def _signed(height: float, preferences: Preferences) -> str:
    return f"{'-' if height < 0 else ''}{show(abs(height), 'length', preferences.wave)}"


def _strongest(made: Movement) -> list[str]:
    known = [speed for speed in made.current if not math.isnan(speed)]
    return [f"Current: up to {max(known) / KNOT:.1f} kt, as you entered it."] if known else []


def _wet(made: Movement, clock: LocalClock) -> list[str]:
    if made.wet is None:
        return []
    if not made.wet:
        return ["The launch has no water in these hours, or the tide is not known."]
    spans = ", ".join(f"{clock.time(first)}-{clock.time(last)}" for first, last in made.wet)
    return [f"The launch has water: {spans}."]


def _river(made: Movement, preferences: Preferences) -> list[str]:
    known = {name: value for name, value in made.river if not math.isnan(value)}
    parts = []
    if "stage" in known:
        parts.append(f"stage {show(known['stage'], 'length', preferences.wave)}")
    if "discharge" in known:
        flow = known["discharge"]
        metric = preferences.distance != "mi"
        parts.append(f"{flow:.1f} m³/s" if metric else f"{flow / FOOT**3:,.0f} cfs")
    if "rise" in known:
        rise = known["rise"]
        parts.append("rising" if rise > 0 else "falling" if rise < 0 else "steady")
    if "percentile" in known:
        parts.append(f"at most {100 * known['percentile']:.0f} % of the days of this season lower")
    return [f"River: {', '.join(parts)}."] if parts else []


def _origin(made: Movement) -> list[str]:
    if not made.origin:
        return []
    places = " and ".join(made.origin)
    return [
        f"Predicted for {places}: wind, air pressure and rivers change it. Slack is not high or"
        " low water."
    ]


class TurnItem(BaseModel):
    """An event of tide or current; `value` in m or m/s, null is not known."""

    model_config = ConfigDict(extra="forbid")

    time: datetime
    what: str
    value: float | None


class MovementItem(BaseModel):
    """Tide and current around the trip; `wet` is when a launch that dries has water."""

    model_config = ConfigDict(extra="forbid")

    turns: list[TurnItem]
    against: datetime | None
    wet: list[tuple[datetime, datetime]] | None
    origin: list[str]


def turns_part(turns: Sequence[Turn]) -> list[TurnItem]:
    """Return the events of tide and current as JSON has them."""
    values = [None if math.isnan(turn.value) else turn.value for turn in turns]
    return [
        TurnItem(time=turn.time, what=turn.what, value=value)
        for turn, value in zip(turns, values, strict=True)
    ]


def movement_part(verdict: Verdict) -> MovementItem | None:
    """Return the movement of the water as JSON has it; null on still water."""
    made = verdict.movement
    if made is None:
        return None
    return MovementItem(
        turns=turns_part(made.turns),
        against=made.against,
        wet=None if made.wet is None else list(made.wet),
        origin=list(made.origin),
    )

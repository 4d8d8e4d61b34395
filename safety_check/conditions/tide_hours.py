"""What tide, current and dam mean for each hour of a trip, beside the current itself.

Nothing here is imported for still water.
"""

from __future__ import annotations

from datetime import datetime

import numpy as np

from safety_check.arrays import FloatArray, TimeArray, to_datetime64
from safety_check.conditions.ensemble import HOUR
from safety_check.conditions.moving_water import SAMPLES, current_at, tide_at
from safety_check.model.moving_water import (
    CurrentKind,
    CurrentPrediction,
    MovingWater,
    TidePrediction,
)
from safety_check.physics.tide import speed_of_current
from safety_check.settings.moving_water import CurrentRule, DamRule, TideRule

TIDE_KNOWN = "tide_known"
EBB = "ebb_at_bar"
DEPTH = "water_over_launch"
RELEASE = "dam_release"
NONE_ASKED, ANNOUNCED = 1.0, 3.0  # levels of a release, as limits.toml bounds them
SECOND = np.timedelta64(1, "s")


def instants(hours: TimeArray) -> TimeArray:
    """Return some instants of each hour, both ends among them, (hour, sample)."""
    share = np.linspace(0.0, 1.0, SAMPLES) * (HOUR / SECOND)
    time: TimeArray = hours[:, None] + np.rint(share).astype("timedelta64[s]")
    return time


def tide_known(moving: MovingWater, hours: TimeArray, rule: TideRule) -> FloatArray:
    """Return 1 in each hour in which high and low water are known, else NaN; (1, hour)."""
    events = [to_datetime64(event.time) for tide in moving.tides[:1] for event in tide.events]
    if not events:
        return np.full((1, len(hours)), np.nan)
    apart = np.abs(hours[:, None] - np.array(events)) / SECOND
    return np.where(apart.min(axis=1) <= rule.holds, 1.0, np.nan)[None, :]


def ebb_at_bar(moving: MovingWater, hours: TimeArray, rule: CurrentRule) -> FloatArray:
    """Return 1 in each hour in which the ebb runs or may run, 0 where it does not; (1, hour).

    NaN where that is not known: a current that the user entered without a name may be the ebb.
    With a tide but no current, a falling tide counts as ebb, and a rising one proves nothing.
    """
    time = instants(hours)
    if moving.entered is not None:
        speed = np.hypot(*np.moveaxis(current_at(moving.entered, time), -1, 0))
        ebb = np.where(speed <= rule.weak, 0.0, np.nan)
    elif moving.currents:
        signed = signed_speed(moving.currents[0], time)
        ebb = np.where(np.isnan(signed), np.nan, (signed < -rule.weak).astype(float))
    elif moving.tides:
        falls = np.diff(tide_at(moving.tides[0], time), axis=1) < 0
        ebb = np.where(falls, 1.0, np.nan)
    else:
        ebb = np.full(time.shape, np.nan)
    runs = (ebb == 1).any(axis=1)
    return np.where(runs, 1.0, np.where(np.isnan(ebb).any(axis=1), np.nan, 0.0))[None, :]


def signed_speed(prediction: CurrentPrediction, time: TimeArray) -> FloatArray:
    """Return a predicted current, positive on the flood [m s⁻¹]; NaN where it is not known."""
    signs = {CurrentKind.SLACK: 0.0, CurrentKind.FLOOD: 1.0, CurrentKind.EBB: -1.0}
    times = np.array([to_datetime64(event.time) for event in prediction.events])
    speeds = np.array([signs[event.kind] * event.speed for event in prediction.events])
    return speed_of_current(_seconds(time), _seconds(times), speeds)


def _seconds(time: TimeArray) -> FloatArray:
    return time.astype("datetime64[s]").astype(np.int64).astype(float)


def least_depth(tide: TidePrediction | None, time: TimeArray, dries: float) -> FloatArray:
    """Return the least water over a launch over the last axis of some instants [m].

    0 where it is dry, NaN where the tide is not known.
    """
    if tide is None:
        return np.full(time.shape[:-1], np.nan)
    least: FloatArray = np.maximum(tide_at(tide, time).min(axis=-1) - dries, 0.0)
    return least


def dam_release(
    releases: tuple[datetime, ...] | None, hours: TimeArray, rule: DamRule
) -> FloatArray:
    """Return the level of a release from the dam in each hour, (1, hour).

    Parameters
    ----------
    releases
        When they begin, as the operator said; empty for none, None where nobody asked.
    hours : array (hour,)
        Start of each hour, UTC.
    rule
        How long before a release its danger begins. From then on every hour counts.
    """
    if releases is None:
        return np.full((1, len(hours)), NONE_ASKED)
    if not releases:
        return np.zeros((1, len(hours)))
    first = to_datetime64(min(releases)) - np.timedelta64(round(rule.before), "s")
    return np.where(hours + HOUR > first, ANNOUNCED, 0.0)[None, :]

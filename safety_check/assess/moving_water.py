"""Weigh the movement of a water: its tide, current, river and dam, hour by hour.

Nothing here is imported for still water.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np

from safety_check.arrays import FloatArray, TimeArray, to_datetime64
from safety_check.conditions import moving_water, river, tide_hours
from safety_check.conditions.case import Case
from safety_check.conditions.conditions import Conditions
from safety_check.conditions.ensemble import HOUR
from safety_check.model.moving_water import MovingWater
from safety_check.rules.limits import Limits
from safety_check.settings.moving_water import load_moving_water
from safety_check.units import KNOT

JUST_WET = 1e-3  # m; a launch that dries in the middle of a trip is a caution
OF_THE_CURRENT = (
    moving_water.SPEED,
    moving_water.SHARE_OF_CRUISE,
    moving_water.AGAINST,
    moving_water.BREAKING_HEIGHT,
)


def add_movement(
    case: Case, moving: MovingWater, conditions: Conditions, limits: Limits
) -> Conditions:
    """Return the conditions of whole hours with what the movement of the water means for them.

    Parameters
    ----------
    case, moving
        The inputs of the check, and what is known of the movement.
    conditions
        Of whole hours.
    limits
        The user's own decide whether a river's own gauge is weighed.
    """
    hours, plan, table = conditions.time, case.plan, load_moving_water()
    added: dict[str, FloatArray] = {}
    if plan.water.tidal:
        unknown = np.full((1, len(hours)), np.nan)
        added |= {name: unknown for name in OF_THE_CURRENT if name not in conditions.quantities}
        added[tide_hours.TIDE_KNOWN] = tide_hours.tide_known(moving, hours, table.tide)
        if plan.water.bar:
            added[tide_hours.EBB] = tide_hours.ebb_at_bar(moving, hours, table.current)
    if plan.launch.dries is not None:
        depth = _depth(moving, tide_hours.instants(hours), plan.launch.dries)
        added[tide_hours.DEPTH] = depth[None, :]
    if plan.water.flowing:
        own = river.OwnGauge(
            _own(limits, river.STAGE), _own(limits, river.DISCHARGE), _ranks(limits)
        )
        added |= river.river_quantities(moving, hours, case.briefing.at, own, table.river)
    if plan.water.dam:
        added[tide_hours.RELEASE] = tide_hours.dam_release(moving.releases, hours, table.dam)
    return replace(conditions, quantities={**conditions.quantities, **added})


def _own(limits: Limits, quantity: str) -> bool:
    return limits.limits[quantity].basis == "personal"


def _ranks(limits: Limits) -> tuple[float, ...]:
    """Return every bound on the percentile of a river."""
    weighed = (limits.limits[name] for name in (river.PERCENTILE, river.RISING))
    bounds = (bound for limit in weighed for bound in (limit.marginal, limit.no_go))
    return tuple(bound for bound in bounds if bound is not None)


def _depth(moving: MovingWater, time: TimeArray, dries: float) -> FloatArray:
    return tide_hours.least_depth(moving.tides[0] if moving.tides else None, time, dries)


def spare_middle(
    case: Case, moving: MovingWater, conditions: Conditions, margin: float
) -> Conditions:
    """Return the conditions of a trip whose launch needs water at its start and at its end.

    Between them a launch that falls dry is a caution: you can't come back early.

    Parameters
    ----------
    case, moving
        As for `add_movement`.
    conditions
        Of the trip.
    margin
        For how long after its end the trip is judged. [s]
    """
    plan, hours = case.plan, conditions.time
    if plan.launch.dries is None:
        return conditions
    depth = np.maximum(conditions.quantities[tide_hours.DEPTH][0], JUST_WET)
    ends = ((plan.start, timedelta()), (plan.end, timedelta(seconds=margin)))
    for moment, lasts in ends:
        steps = np.linspace(0, lasts.total_seconds(), 7).round().astype("timedelta64[s]")
        times = to_datetime64(moment) + steps
        there = _depth(moving, times[None, :], plan.launch.dries)
        hour = (hours <= times[-1]) & (hours + HOUR > times[0])
        depth = np.where(hour, np.minimum(depth, there), depth)
    quantities = {**conditions.quantities, tide_hours.DEPTH: depth[None, :]}
    return replace(conditions, quantities=quantities)


def describe_flow(moving: MovingWater, hours: TimeArray) -> tuple[str, ...]:
    """Return how the water flows in each hour at its strongest: "ebb of 2.0 kt"; or nothing."""
    flow = moving_water.choose_flow(moving)
    if flow is None:
        return ("",) * len(hours)
    time = tide_hours.instants(hours)
    current = moving_water.current_at(flow.current, time)
    speed = np.hypot(current[..., 0], current[..., 1])
    signed = np.full(time.shape, np.nan)
    if moving.entered is None and moving.currents:
        signed = tide_hours.signed_speed(moving.currents[0], time)
    return tuple(_in_words(speed[hour], signed[hour]) for hour in range(len(hours)))


def _in_words(speed: FloatArray, signed: FloatArray) -> str:
    if not np.isfinite(speed).all():
        return ""
    at = int(np.argmax(speed))
    name = "current" if np.isnan(signed[at]) else "ebb" if signed[at] < 0 else "flood"
    return f"{name} of {speed[at] / KNOT:.1f} kt"

"""Add the wind of the user's own rules for a place; a rule never takes wind away."""

from __future__ import annotations

from dataclasses import replace
from zoneinfo import ZoneInfo

import numpy as np

from safety_check.arrays import BoolArray, TimeArray, to_utc
from safety_check.conditions.ensemble import FROM, GUST, WIND, Ensemble
from safety_check.conditions.hour_parts import LEAD_IN
from safety_check.model.place import LocalRule, Water

DAY, HOUR = 24 * 60, 60  # minutes
FULL_CIRCLE = 360.0


def add_local_wind(members: Ensemble, water: Water) -> Ensemble:
    """Return the members with the wind that the rules of a water add, as the last step.

    Parameters
    ----------
    members
        The forecasts, corrected and raised to the observations.
    water
        Whose rules, and its time zone.
    """
    if not water.rules:
        return members
    quantities, added = dict(members.quantities), {}
    for rule in water.rules:
        holds = _hours(rule, members.time, water.time_zone) & _directions(rule, members)
        more = np.where(holds, rule.wind_added, 0.0)
        added[rule.name] = more
        for name in (WIND, GUST):
            quantities[name] = quantities[name] + more
    return replace(members, quantities=quantities, local=added)


def _hours(rule: LocalRule, time: TimeArray, zone: str) -> BoolArray:
    """Return at which instants a rule holds: those at both ends of every hour that it touches."""
    if rule.hours is None:
        return np.ones(len(time), dtype=bool)
    local = [to_utc(moment).astimezone(ZoneInfo(zone)) for moment in time]
    minute = np.array([moment.hour * 60 + moment.minute for moment in local])
    first, last = rule.hours
    after = (minute - first + HOUR - 1) % DAY  # since an hour before it begins
    return after <= (last - first) % DAY + 2 * HOUR - 2


def _directions(rule: LocalRule, members: Ensemble) -> BoolArray:
    """Return where the wind blows from a rule's sector; an unknown direction counts as one."""
    direction = members.quantities[FROM]
    if rule.sector is None:
        return np.ones(direction.shape, dtype=bool)
    first, last = rule.sector
    width = (last - first) % FULL_CIRCLE

    holds = np.isnan(direction) | ((direction - first) % FULL_CIRCLE <= width)
    for seen in members.seen.get(FROM, ()):
        if (seen.value - first) % FULL_CIRCLE <= width:
            holds = holds | (seen.weight(members.time) > 0)
    return holds


def rules_that_add(members: Ensemble, member: int, hour: int) -> dict[str, float]:
    """Return what each rule adds to a member's wind in an hour, of the rules that do. [m s⁻¹]."""
    at = slice(LEAD_IN + hour, LEAD_IN + hour + 2)
    found = {name: float(more[member, at].max()) for name, more in members.local.items()}
    return {name: more for name, more in found.items() if more > 0}

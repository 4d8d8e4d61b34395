"""Advice that goes with a verdict: getting home, fishing, drifting, being in the water."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta

import numpy as np

from safety_check.arrays import FloatArray, IntArray, to_utc
from safety_check.conditions.adrift import drifts_from, represent
from safety_check.conditions.case import Case
from safety_check.conditions.conditions import Conditions
from safety_check.conditions.drift import SWIMMER
from safety_check.conditions.return_paths import Legs
from safety_check.conditions.return_trip import ReturnTrip, ground_speed, latest_turn_back, time_of
from safety_check.model.advice import (
    AdriftWind,
    Advice,
    Drift,
    Fishing,
    GettingHome,
    InTheWater,
    Leg,
    Pass,
)
from safety_check.model.craft import Craft
from safety_check.model.plan import Plan
from safety_check.model.verdict import Limit, Severity
from safety_check.physics.drive import HARD_HOUR, hard
from safety_check.physics.immersion import cold_shock, exhaustion_time
from safety_check.physics.leeway import Leeway, stopped_speed
from safety_check.physics.paddling import headway_wind, speed_made_good
from safety_check.physics.passage import HOUR
from safety_check.physics.swim import MEASURED_SWIM, swimming_time
from safety_check.physics.trolling import effort_to_hold
from safety_check.rules.engine import Weighing
from safety_check.rules.homeward import without_return
from safety_check.rules.limits import Limits
from safety_check.rules.reached import weighted_low_quantile, weighted_quantile
from safety_check.rules.rulebook import Rulebook
from safety_check.rules.weighed_hours import WeighedHours

HEADINGS = {"up": 0.0, "across": 90.0, "down": 180.0}
WEAR = ("none", "wetsuit", "drysuit")
EASY = 1 + 1e-9  # at the cruise speed the effort is that of a cruise, but for rounding


def build_advice(
    case: Case, weighed: WeighedHours, trip: IntArray, best_possible: Severity, rulebook: Rulebook
) -> Advice:
    """Return what to know beside the verdict.

    Parameters
    ----------
    case, weighed
        What was asked, what it will be like, how it was weighed.
    trip : array (hour,)
        Indices of the hours of the trip.
    best_possible
        The best severity an hour can have, given the sources that did not answer.
    rulebook
        The limits and tables in use.
    """
    plan, tolerance = case.plan, weighed.tolerance
    conditions, weighing, limits = weighed.conditions, weighed.weighing, weighed.context.limits
    hours = np.maximum(without_return(weighing, tolerance), best_possible)
    worse = np.flatnonzero(hours[trip[0] + 1 :] > hours[trip[0]]) + trip[0] + 1
    first = int(worse[0]) if worse.size else None
    adrift = _adrift(conditions)
    return Advice(
        off_the_water_by=None if first is None else to_utc(weighing.time[first]),
        worse="" if first is None else str(Severity(int(hours[first]))),
        because=() if first is None else _because(weighing, first, int(hours[first])),
        getting_home=_getting_home(plan, conditions, trip, first, limits, tolerance.share),
        fishing=_fishing(plan.craft, conditions, trip, tolerance.share, rulebook.leeways),
        drifts=_drifts(plan, conditions, trip, adrift, rulebook.leeways),
        in_the_water=in_the_water(weighed.water_temperature, conditions, rulebook),
        adrift=adrift,
    )


def _because(weighing: Weighing, hour: int, severity: int) -> tuple[str, ...]:
    return tuple(
        weighed.hazard.name for weighed in weighing.hazards if int(weighed.hours[hour]) == severity
    )


# -- getting home ------------------------------------------------------------------------------


def _getting_home(
    plan: Plan,
    conditions: Conditions,
    trip: IntArray,
    worse: int | None,
    limits: Limits,
    tolerance: float,
) -> GettingHome:
    way, weights = conditions.way, conditions.weights
    home_by, why = _home_by(plan, conditions, trip, worse, limits)
    began = to_utc(conditions.time[trip[0]])
    late = latest_turn_back(way, int(trip[0]), (home_by - began).total_seconds())
    latest = weighted_low_quantile(late, weights, tolerance)
    turned = began + timedelta(seconds=latest) if np.isfinite(latest) else None
    working = _working_hard(way)
    return GettingHome(
        route=way.ways.route is not None,
        place=(float(way.longest.start[0]), float(way.longest.start[1])),
        hour=to_utc(conditions.time[way.hour]),
        time=weighted_quantile(way.time[:, way.hour], weights, tolerance),
        hard=weighted_quantile(working[:, way.hour], weights, tolerance),
        calm=_calm(way),
        turn_back=turned if turned is not None and turned >= plan.start else None,
        home_by=home_by,
        home_by_for=why,
        stands_still=headway_wind(way.drive),
        legs=_legs(way, trip, weights, tolerance),
    )


def _home_by(
    plan: Plan, conditions: Conditions, trip: IntArray, worse: int | None, limits: Limits
) -> tuple[datetime, str]:
    """Return when to be home, and for what: the plan's end, the dark, or worse weather."""
    deadlines = [(plan.end, "end")]
    dark = _dark(plan, conditions, trip, limits)
    if dark is not None:
        deadlines.append((dark, "dark"))
    if worse is not None:
        deadlines.append((to_utc(conditions.time[worse]), "worse"))
    return min(deadlines, key=lambda deadline: deadline[0])


def _dark(plan: Plan, conditions: Conditions, trip: IntArray, limits: Limits) -> datetime | None:
    """Return when it is too dark, by the limit on the light left at home; None for never."""
    lit = "time_to_dusk" if plan.paddler.light else "time_to_dark"
    limit = limits.limits.get(f"{lit}_once_home")
    if limit is not None and limit.marginal is None:
        return None
    spare = limit.marginal if limit is not None and limit.marginal else 0.0
    left = conditions.quantities[lit][0, trip]
    # The light of an hour is that of its darker end; in the dark it is minus the time since.
    light = np.flatnonzero((left > -HOUR) & np.isfinite(left))
    if not light.size:
        return None
    hour = int(light[0])
    ends = min(to_utc(conditions.time[trip[hour]]) + timedelta(hours=1), plan.end)
    return ends + timedelta(seconds=float(left[hour]) - spare)


def _working_hard(way: ReturnTrip) -> FloatArray:
    """Return the time home by the longest way at the effort of a hard hour."""
    legs = way.longest
    return time_of(ground_speed(way.winds, legs.courses, hard(way.drive)) / legs.lengths)


def _calm(way: ReturnTrip) -> float:
    still = np.zeros(1)
    return float(way.longest.lengths.sum() / speed_made_good(still, still, still, way.drive)[0])


def _legs(
    way: ReturnTrip, trip: IntArray, weights: FloatArray, tolerance: float
) -> tuple[Leg, ...]:
    """Return the legs, each with the slowest that it goes in the hours of the trip."""
    legs: Legs = way.ways.route or way.longest
    speed = ground_speed(way.winds, legs.courses, way.drive)[:, trip]
    slowest = speed.min(axis=1)
    return tuple(
        Leg(
            float(course), float(length), weighted_low_quantile(slowest[:, leg], weights, tolerance)
        )
        for leg, (course, length) in enumerate(zip(legs.courses, legs.lengths, strict=True))
    )


# -- fishing -----------------------------------------------------------------------------------


def _fishing(
    craft: Craft,
    conditions: Conditions,
    trip: IntArray,
    tolerance: float,
    leeways: Mapping[str, Leeway],
) -> Fishing:
    """Return whether trolling is possible in the windiest of the forecasts that count."""
    values = conditions.quantities["wind_speed"]
    wind = np.array(
        [weighted_quantile(values[:, hour], conditions.weights, tolerance) for hour in trip]
    )
    return Fishing(
        slow=craft.troll[0],
        fast=craft.troll[1],
        time=conditions.time[trip],
        passes=tuple(_pass(heading, craft.troll, wind, conditions.way) for heading in HEADINGS),
        drift=stopped_speed(wind, leeways[craft.leeway]),
    )


def _pass(heading: str, troll: tuple[float, float], wind: FloatArray, way: ReturnTrip) -> Pass:
    course = np.full(wind.shape, HEADINGS[heading])
    ahead = np.zeros(wind.shape)
    slow, fast = (effort_to_hold(speed, wind, ahead, course, way.drive) for speed in troll)
    works = np.select(
        [np.isnan(fast), slow <= 0, fast <= EASY, fast <= HARD_HOUR],
        ["unknown", "too fast", "easy", "hard"],
        default="no",
    )
    return Pass(heading, fast, tuple(str(work) for work in works))


# -- adrift, and in the water --------------------------------------------------------------------


def _drifts(
    plan: Plan,
    conditions: Conditions,
    trip: IntArray,
    adrift: AdriftWind,
    leeways: Mapping[str, Leeway],
) -> tuple[Drift, ...]:
    """Return the drifts from the windiest hour of the trip."""
    wind = np.broadcast_to(conditions.quantities["wind_speed"], conditions.way.time.shape)[:, trip]
    strength = conditions.weights @ np.where(np.isnan(wind), np.inf, wind)
    hour = int(trip[np.argmax(strength)])
    kinds = {"craft": leeways[plan.craft.leeway], "swimmer": leeways[SWIMMER]}
    return drifts_from(to_utc(conditions.time[hour]), hour, adrift, conditions.water, kinds)


def _adrift(conditions: Conditions) -> AdriftWind:
    way = conditions.way
    east, north = way.longest.start.tolist()
    winds = way.winds
    whole = AdriftWind(
        (east, north), winds.speed, winds.direction, conditions.weights, winds.current
    )
    return represent(whole)


def in_the_water(coldest: float, conditions: Conditions, rulebook: Rulebook) -> InTheWater:
    """Return what the water, at the coldest that counts [K], does to a swimmer on this trip."""
    temperature = np.asarray(coldest)
    least, most = exhaustion_time(temperature)
    speed = rulebook.coefficients.swim.speed
    return InTheWater(
        temperature=float(temperature),
        shock=float(cold_shock(temperature)),
        least=float(least),
        most=float(most),
        swim=float(np.minimum(MEASURED_SWIM, speed * swimming_time(temperature))),
        from_shore=float(np.max(conditions.water.distance_from_shore)),
        wear=wear_for(float(temperature), rulebook.limits),
    )


def wear_for(temperature: float, defaults: Mapping[tuple[str, str], Limit]) -> str:
    """Return the least immersion clothing with which water is within its limits.

    Parameters
    ----------
    temperature
        Of the water. [K]
    defaults
        (quantity, applies_to) → the default limit.
    """
    if np.isnan(temperature):
        return "unknown"
    for worn in WEAR:
        bound = defaults["water_temperature", f"wearing {worn}"].marginal
        if bound is not None and temperature > bound:
            return worn
    return "more"

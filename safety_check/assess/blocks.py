"""Cases of one shape weighed together, by the functions that weigh one case."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from safety_check.arrays import FloatArray, IntArray, TimeArray
from safety_check.assess.missed_forecast import hours_held
from safety_check.assess.water_reading import water_of_hours
from safety_check.assess.weighing import (
    ForecastHours,
    forecast_growth_of,
    forecast_hours,
    limits_of_case,
    weigh_by_itself,
)
from safety_check.conditions.case import Case
from safety_check.conditions.conditions import (
    Conditions,
    duration,
    form_inputs,
    home_winds,
    hour_quantities,
)
from safety_check.conditions.course import anywhere, farthest_in_trip, farthest_on_return
from safety_check.conditions.ensemble import FROM, HOUR, SEA
from safety_check.conditions.hour_parts import hours_of, return_hours, trip_parts, whole_hours
from safety_check.conditions.light import light, light_of_trip
from safety_check.conditions.return_paths import ReturnPaths, find_return_paths
from safety_check.conditions.return_trip import return_along
from safety_check.conditions.sites import (
    stack_members,
    stack_parts,
    stack_paths,
    stack_quantities,
    stack_waters,
)
from safety_check.model.place import OpenWater
from safety_check.physics.odds import Tolerance
from safety_check.rules.engine import Weighing
from safety_check.rules.homeward import with_return
from safety_check.rules.limits import Limits
from safety_check.rules.rulebook import Rulebook
from safety_check.rules.unknowns import best_possible
from safety_check.rules.warnings import warnings_known, warnings_over
from safety_check.settings.propulsion import derive_drive
from safety_check.waters.route import along_route


@dataclass(frozen=True)
class Site:
    """One case with what is prepared for it alone.

    Parameters
    ----------
    case
        The inputs of its check.
    hours : array (hour,)
        Start of each hour, UTC.
    given
        Its forecasts for these hours.
    water, ways
        The open water along its route or within its reach, and the ways home from it.
    coldest, warmest : array (hour,)
        Temperature of the water [K]; the warm end is None where it is not estimated.
    trip : array (trip hour,)
        Which hours its trip touches.
    added
        Quantities that the forecasts do not give: warnings, missed forecasts, their growth.
    """

    case: Case
    hours: TimeArray
    given: ForecastHours
    water: OpenWater
    ways: ReturnPaths
    coldest: FloatArray
    warmest: FloatArray | None
    trip: IntArray
    added: dict[str, FloatArray]


def prepare_site(case: Case, hours: TimeArray, rulebook: Rulebook) -> Site:
    """Return a case with what is prepared for it alone."""
    given, briefing = forecast_hours(case, hours, rulebook), case.briefing
    coldest, warmest = water_of_hours(case, hours)
    water = along_route(case.plan, case.water)
    known = warnings_known(briefing, case.trust.greatest_age)
    added = {
        "official_warning": warnings_over(briefing.alerts, hours, rulebook.alerts, known).level,
        "forecast_missed": hours_held(given.forecast.missed, hours, case.past.lost),
        **forecast_growth_of(given.forecast, case.past),
    }
    trip = hours_of(case.plan, hours, rulebook.course.margin)
    ways = find_return_paths(case.plan, water)
    return Site(case, hours, given, water, ways, coldest, warmest, trip, added)


def stackable(site: Site) -> bool:
    """Return whether a site can be weighed together with others.

    Not on water that moves, not with observed waves or wind directions, and not where the way home
    follows a route.
    """
    seen = site.given.members.seen
    return not (
        site.case.plan.water.moves
        or site.ways.back is not None
        or any(seen.get(name) for name in (FROM, SEA))
    )


def shape_of(site: Site) -> Hashable:
    """Return what the sites of a block must have in common."""
    case, members = site.case, site.given.members
    plan, own = case.plan, case.settings.user.limit
    return (
        *(len(site.hours), members.models, tuple(site.trip.tolist()), tuple(site.added)),
        *(tuple(members.weights.tolist()), tuple(tuple(row) for row in members.lacking.values())),
        *(site.given.calibration is None, site.warmest is None, tuple(site.water.bearings)),
        *(plan.craft, plan.paddler, plan.night, id(case.settings), id(case.trust)),
        plan.water.name if any(table.water for table in own) else "",
    )


@dataclass(frozen=True)
class Block:
    """Cases of one shape, weighed as whole hours.

    Parameters
    ----------
    sites
        The cases.
    conditions
        Of whole hours, arrays (site, member, hour).
    limits, tolerance
        What holds for all of them.
    without_return : array (site, member, hour)
        Severity of each whole hour, the way home from it not counted.
    weighing
        The whole hours with the way home from them.
    held : array (site,)
        The best severity possible, given the sources that did not answer.
    """

    sites: Sequence[Site]
    conditions: Conditions
    limits: Limits
    tolerance: Tolerance
    without_return: IntArray
    weighing: Weighing
    held: IntArray


def weigh_block(sites: Sequence[Site], rulebook: Rulebook) -> Block:
    """Return the whole hours of many sites weighed together.

    Parameters
    ----------
    sites
        All of one `shape_of`.
    rulebook
        The limits and tables that hold.
    """
    case, widened = sites[0].case, sites[0].given.calibration is not None
    conditions = conditions_of(sites, rulebook)
    limits = limits_of_case(case, rulebook)
    tolerance = rulebook.tolerance(case.settings.user.odds, widened=widened)
    by_itself = weigh_by_itself(conditions, limits, tolerance, rulebook)
    alone = by_itself.members
    return Block(
        sites=sites,
        conditions=conditions,
        limits=limits,
        tolerance=tolerance,
        without_return=alone,
        weighing=with_return(by_itself, conditions, limits, tolerance, alone),
        held=np.array([int(best_possible(site.case.briefing)) for site in sites]),
    )


def conditions_of(sites: Sequence[Site], rulebook: Rulebook) -> Conditions:
    """Return the conditions of many sites in whole hours, arrays (site, member, hour)."""
    plan, count = sites[0].case.plan, len(sites[0].hours)
    members = stack_members([site.given.members for site in sites])
    water = stack_waters([site.water for site in sites])
    ways = stack_paths([site.ways for site in sites])
    way = return_along(ways, derive_drive(plan.craft), home_winds(members), sites[0].trip)
    lasts = np.array([duration(site.case.plan) for site in sites])
    coldest = np.stack([site.coldest for site in sites])
    inputs = form_inputs(plan, members, water, way, coldest, rulebook.coefficients)
    inputs = replace(inputs, lasts=lasts)
    warm = [site.warmest for site in sites if site.warmest is not None]
    if warm:
        inputs = replace(inputs, warmest_water=np.stack(warm))
    lights = stack_quantities(
        [light(one.case.plan.launch, one.hours, one.hours + HOUR) for one in sites]
    )
    added = stack_quantities([site.added for site in sites])
    quantities = hour_quantities(inputs, whole_hours(count), lights, anywhere(count))
    return Conditions(
        time=np.stack([site.hours for site in sites]),
        models=members.models,
        weights=members.weights,
        quantities={**quantities, **added},
        lacking=members.lacking,
        places={},
        water=water,
        way=way,
        inputs=inputs,
    )


def weigh_block_trips(block: Block, rulebook: Rulebook) -> Weighing:
    """Return the hours of each plan weighed from its start to its last judged minute."""
    margin, course = rulebook.course.margin, rulebook.course
    trips = [(site.case.plan, site.hours) for site in block.sites]
    conditions = block.conditions.in_parts(
        stack_parts([trip_parts(plan, hours, margin) for plan, hours in trips]),
        stack_quantities([light_of_trip(plan, hours, margin) for plan, hours in trips]),
        np.stack([farthest_in_trip(plan, hours, course) for plan, hours in trips]),
    )
    return _weigh_parts(block, conditions, rulebook)


def weigh_block_returns(block: Block, rulebook: Rulebook) -> Weighing:
    """Return each hour weighed as the margin after a return at its first instant."""
    plan, count = block.sites[0].case.plan, len(block.sites[0].hours)
    conditions = block.conditions.in_parts(
        return_hours(count, rulebook.course.margin),
        stack_quantities(
            [light(site.case.plan.launch, site.hours, site.hours) for site in block.sites]
        ),
        farthest_on_return(plan, count, rulebook.course),
    )
    return _weigh_parts(block, conditions, rulebook)


def _weigh_parts(block: Block, conditions: Conditions, rulebook: Rulebook) -> Weighing:
    by_itself = weigh_by_itself(conditions, block.limits, block.tolerance, rulebook)
    return with_return(by_itself, conditions, block.limits, block.tolerance, block.without_return)

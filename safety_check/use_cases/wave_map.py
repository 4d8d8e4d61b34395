"""Make wave maps for one wind, or for the hours of a trip."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from safety_check.arrays import BoolArray
from safety_check.assess.verdict import WAVES, reason_context
from safety_check.conditions.adrift import drifts_from
from safety_check.conditions.drift import SWIMMER, load_leeways
from safety_check.conditions.lee import Lee, Winds, find_lee
from safety_check.conditions.wave_map import (
    grid_near_trip,
    grid_of_trip,
    grid_of_water,
    map_at_hour,
    map_under_wind,
    thinner,
)
from safety_check.errors import PlanError
from safety_check.model.advice import Drift
from safety_check.model.place import OpenWater, Water
from safety_check.model.plan import Plan
from safety_check.model.verdict import Shelter, Verdict
from safety_check.model.wave_map import MapGrid, TripMaps, WaveMap
from safety_check.model.weather import Provenance
from safety_check.settings.settings import Settings
from safety_check.use_cases.check import load_briefing
from safety_check.use_cases.judge import judge_plan
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.use_cases.planning import make_plan
from safety_check.use_cases.times_in_words import parse_time
from safety_check.waters.files import launch_named
from safety_check.waters.near_water import trip_water
from safety_check.waters.route import along_route

MOST_MAPS = 50  # about 8 kB each on a page; of more hours only those of the trip are drawn
MOST_WHOLE, OF_A_LONG_PLAN = 26, 8  # of the whole water beside them, so that a page stays small
FEWEST = 500  # places of a whole water beside the map of the trip: an overview
STRONGEST = 60.0  # m/s; the growth law does not cover stronger wind


@dataclass(frozen=True)
class MapResult:
    """A map and the text beside it.

    Parameters
    ----------
    chosen
        What is shown.
    hours
        All hours of the trip; the chosen one alone where one wind was asked about.
    lee
        Where the lee is, in words; empty where there is no wave limit.
    provenance
        The origin of the weather data on the map; empty where one wind was asked about.
    plan
        The trip; None where one wind was asked about.
    """

    chosen: WaveMap
    hours: tuple[WaveMap, ...]
    lee: str
    provenance: tuple[Provenance, ...] = ()
    plan: Plan | None = None


def map_wind(
    water: Water,
    settings: Settings,
    wind_speed: float,
    wind_from_direction: float,
    launch: str | None = None,
    craft: str | None = None,
) -> MapResult:
    """Return the map of a steady wind.

    Parameters
    ----------
    water, settings
        The water, and the user's settings.
    wind_speed, wind_from_direction
        [m s⁻¹, deg true]
    launch
        The lee is searched from here; None draws all launches of the water.
    craft
        The craft whose limits are drawn; None for the user's own, if it is clear which that is.
    """
    if wind_speed > STRONGEST:
        raise PlanError(
            f"--wind {wind_speed:.0f} m/s: the wave model does not cover that. Check the number and"
            " the unit."
        )
    launches = [] if launch is None else [launch_named(water, launch)]
    paper = grid_of_water(water, settings.folders.cache, launches)
    caution, no_go = _limits(water, settings, craft)
    shown = map_under_wind(paper, wind_speed, wind_from_direction, caution, no_go)
    found = _lee(shown) if np.isfinite(caution) else None
    prefer = settings.at_water(water).preferences
    return MapResult(shown, (shown,), found.words(prefer) if found else "")


def _limits(water: Water, settings: Settings, craft: str | None) -> tuple[float, float]:
    """Return the caution and no-go heights; infinite where there is none."""
    own = settings.user
    if craft is None and own.default_craft is None and len(own.craft) != 1:
        return np.inf, np.inf
    kind = settings.craft(settings.craft_name(craft))
    limit = reason_context(settings, kind, settings.paddler, water=water).limits.limits.get(WAVES)
    marginal, no_go = (limit.marginal, limit.no_go) if limit else (None, None)
    return (np.inf if marginal is None else marginal), (np.inf if no_go is None else no_go)


def _lee(shown: WaveMap) -> Lee:
    """Return where the lee of one steady wind is."""
    speed, direction = np.array([[[shown.wind_speed]], [[shown.wind_from_direction]]])
    return find_lee(
        shown.grid.whole, Winds(speed, direction, np.ones(1)), shown.caution, tolerance=0.5
    )


def map_trip(
    asked: PlanRequest, settings: Settings, forecast: Path | None = None, at: str | None = None
) -> MapResult:
    """Return the maps of a trip as it is asked for.

    Parameters
    ----------
    asked, settings, forecast
        As for a check; nothing is stored.
    at
        Which hour of the trip is shown, in words; None for the one with the highest waves.
    """
    plan, now = make_plan(asked, settings, datetime.now(UTC))
    settings = settings.at(plan.launch)
    water = trip_water(plan, settings.folders.cache)
    briefing = load_briefing(plan, asked, settings, now, forecast, water)
    verdict = judge_plan(plan, briefing, water, settings)
    hours = _map_hours(verdict, water, settings)
    if not hours:
        # raises the error that explains why there is no shape to draw
        grid_of_water(plan.water, settings.folders.cache)
    return MapResult(_chosen(hours, verdict, at), hours, verdict.lee, verdict.provenance, plan)


def map_verdict(verdict: Verdict, settings: Settings, high: bool = True) -> tuple[WaveMap, ...]:
    """Return a map for each hour of a trip; none where its water has no shoreline.

    Parameters
    ----------
    verdict, settings
        As they are reported.
    high
        True for the high end of the forecasts, false for their median.
    """
    if not verdict.plan.water.shoreline:
        return ()
    water = trip_water(verdict.plan, settings.folders.cache)
    return _map_hours(verdict, water, settings, high)


def _map_hours(
    verdict: Verdict, water: OpenWater, settings: Settings, high: bool = True
) -> tuple[WaveMap, ...]:
    plan = verdict.plan
    if not plan.water.shoreline:
        return ()
    reach = along_route(plan, water)
    paper = grid_of_trip(plan, settings.folders.cache)
    return tuple(map_at_hour(paper, hour, reach, high) for hour in verdict.hours)


def map_hours_around(verdict: Verdict, settings: Settings) -> TripMaps:
    """Return maps of each hour around a trip, or of the trip alone where those are too many.

    Parameters
    ----------
    verdict, settings
        As they are reported.
    """
    plan = verdict.plan
    if not plan.water.shoreline:
        return TripMaps()
    shown = 0 < len(verdict.around) <= MOST_MAPS
    hours = verdict.around if shown else verdict.hours
    water = trip_water(plan, settings.folders.cache)
    reach = along_route(plan, water)
    shelter = verdict.shelter or Shelter(np.zeros(0, dtype=bool))
    trip = {hour.time for hour in verdict.hours}
    close = grid_near_trip(plan, reach, settings.folders.cache)
    close = _with_lee(close, shelter.whole if water.near is None else shelter.near)
    near = tuple(
        replace(
            map_at_hour(close, hour, reach),
            drifts=_drifts(verdict, hour.time, water),
            in_trip=hour.time in trip,
        )
        for hour in hours
    )
    if water.near is None:
        return TripMaps(near)
    wide = grid_near_trip(plan, replace(reach, near=None), settings.folders.cache)
    wide = thinner(_with_lee(wide, shelter.whole), FEWEST)
    few = hours if len(hours) <= MOST_WHOLE else verdict.hours[:OF_A_LONG_PLAN]
    whole = tuple(
        replace(map_at_hour(wide, hour, reach), in_trip=hour.time in trip) for hour in few
    )
    return TripMaps(near, whole)


def _with_lee(grid: MapGrid, sheltered: BoolArray | None) -> MapGrid:
    """Return a grid with the lee on it; without, where a verdict was made on other places."""
    fits = sheltered is not None and len(sheltered) == len(grid.whole.points)
    return replace(grid, sheltered=sheltered) if fits else grid


def _drifts(verdict: Verdict, time: datetime, water: OpenWater) -> tuple[Drift, ...]:
    """Return where a craft and a swimmer drift from an hour on."""
    adrift = verdict.advice.adrift if verdict.advice else None
    times = [hour.time for hour in verdict.around or verdict.hours]
    at = times.index(time)
    if adrift is None or at >= adrift.speed.shape[1] - 1:
        return ()  # a verdict of an older version
    table = load_leeways()
    kinds = {"craft": table[verdict.plan.craft.leeway], "swimmer": table[SWIMMER]}
    return drifts_from(time, at, adrift, water, kinds)


def _chosen(hours: Sequence[WaveMap], verdict: Verdict, at: str | None) -> WaveMap:
    if at is None:
        heights = [float(hour.height.max()) for hour in hours]
        return hours[int(np.argmax(np.where(np.isnan(heights), -1.0, heights)))]
    plan = verdict.plan
    moment = parse_time(at, plan.water.time_zone, plan.start - timedelta(hours=1), "--at")
    for hour in hours:
        assert hour.time is not None
        if hour.time <= moment < hour.time + timedelta(hours=1):
            return hour
    raise PlanError(
        f"--at {at!r}: the trip has no such hour. Give one between --start and its end."
    )

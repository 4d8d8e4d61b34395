"""Briefing and plan become conditions: the only place where weather meets physics."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial

import numpy as np

from safety_check.arrays import BoolArray, FloatArray, TimeArray, to_datetime64
from safety_check.conditions import drift, fronts, return_trip
from safety_check.conditions.ensemble import (
    AS_FORECAST,
    FROM,
    HOUR,
    SEA,
    Ensemble,
    raise_by_observation,
)
from safety_check.conditions.return_trip import ReturnTrip
from safety_check.conditions.storms import CAPE, usable_energy
from safety_check.model.place import Launch, OpenWater
from safety_check.model.plan import Plan
from safety_check.physics.daylight import (
    CIVIL_TWILIGHT,
    HORIZON,
    crossings,
    solar_elevation,
    time_to_dark,
)
from safety_check.physics.exposure import heat_index, wind_chill
from safety_check.physics.growth_through_hours import sea_through_hours
from safety_check.physics.off_wind import largest_sea
from safety_check.units import ZERO_CELSIUS
from safety_check.waters.route import along_route

LEAD_IN = 24  # hours before the first one that the sea may still remember
THUNDER = (95, 96, 99)  # WMO code table 4677, as far as the forecast service uses it
FOG = (45, 48)
WEATHER_CODES = (
    *(0, 1, 2, 3, 45, 48, 51, 53, 55, 56, 57, 61, 63, 65, 66, 67),
    *(71, 73, 75, 77, 80, 81, 82, 85, 86, 95, 96, 99),
)
COOL = 299.0  # K; saturated air at 79 °F has a heat index of 81 °F, far under any caution


@dataclass(frozen=True)
class Conditions:
    """Every quantity that the rules weigh, by member and hour.

    Parameters
    ----------
    time : array (hour,)
        Start of each hour, UTC.
    models
        For each member, the model that it belongs to.
    weights : array (member,)
        Sum 1; each model counts once.
    quantities
        Name → array that broadcasts to (member, hour), SI; NaN where it is not known.
    lacking
        Forecast variable → array (member,): True where that member's model never gives it by
        design, so that its absence is no loss.
    places
        Name → metres east and north of the launch where the worst value of the worst hour is.
    water
        The open water that the trip may reach.
    way
        The way home from it.
    """

    time: TimeArray
    models: tuple[str, ...]
    weights: FloatArray
    quantities: Mapping[str, FloatArray]
    lacking: Mapping[str, BoolArray]
    places: Mapping[str, tuple[float, float]]
    water: OpenWater
    way: ReturnTrip


def hour_ends(hours: TimeArray) -> TimeArray:
    """Return the whole hours that bound the hours of a span, and those of the lead-in."""
    return np.arange(hours[0] - LEAD_IN * HOUR, hours[-1] + 2 * HOUR, HOUR)


def build_conditions(
    plan: Plan,
    hours: TimeArray,
    members: Ensemble,
    water: OpenWater,
    water_temperature: float,
) -> Conditions:
    """Return what it will be like on this water, for every member and hour.

    Parameters
    ----------
    plan
        Who goes where and when.
    hours : array (hour,)
        Start of each hour to compute; may reach beyond the trip.
    members
        The forecasts on `instants(hours)`.
    water
        The open water around the launch.
    water_temperature
        NaN where it is not known. [K]

    Notes
    -----
    Within an hour the worse of its two ends counts. A gust is the highest of the hour
    that ends at its instant, so it is read at the end; a gust below the wind is raised to it.
    """
    said, water = members.quantities, along_route(plan, water)
    wind = max_of_hour_ends(said["wind_speed"])
    air = min_of_hour_ends(said["air_temperature"])
    rain = said["precipitation_amount"][:, LEAD_IN + 1 :]
    thunder = max_of_hour_ends(_thunder(said["weather_code"]))
    height, place = _waves(members, water)
    offshore, downwind = (
        max_of_hour_ends(worst_over_directions(members, partial(of, water=water)))
        for of in (drift.offshore_share, drift.downwind_water)
    )
    far, lights, shape = np.max(water.distance_from_shore), _light(plan, hours), np.zeros((1, 1))
    readiness = _readiness(plan)
    speed, direction = (said[name][:, LEAD_IN:] for name in ("wind_speed", FROM))
    way = return_trip.find_return_trip(plan, hours, water, speed, direction, members.weights)
    quantities = {
        "wind_speed": wind,
        AS_FORECAST: max_of_hour_ends(said[AS_FORECAST]),
        "wind_speed_of_gust": np.maximum(said["wind_speed_of_gust"][:, LEAD_IN + 1 :], wind),
        "wind_from_direction": said["wind_from_direction"][:, LEAD_IN:-1],
        "sea_surface_wave_significant_height": height,
        "thunderstorm": thunder,
        "visibility_in_air": min_of_hour_ends(said["visibility_in_air"]),
        "fog": max_of_hour_ends(_fog(said["weather_code"])),
        "sea_forecast_complete": min_of_hour_ends(_sea_complete(said[SEA])),
        "precipitation_amount": rain,
        "wind_chill_temperature": wind_chill(air, wind),
        "heat_index": max_of_hour_ends(_heat(said["air_temperature"], said["relative_humidity"])),
        CAPE: usable_energy(max_of_hour_ends(said[CAPE]), rain, thunder),
        "water_temperature": shape + water_temperature,
        "sum_of_air_and_water_temperature": air + water_temperature - 2 * ZERO_CELSIUS,
        "open_water_downwind": downwind,
        "forecast_in_date": np.where(members.stale, np.nan, 1.0)[:, None],
        "forecast_complete": min_of_hour_ends(np.where(members.complete, 1.0, np.nan)[None, :]),
        **readiness,
        **lights,
        **return_trip.quantities(plan, way, wind, lights),
        **drift.quantities(
            wind, offshore, downwind, float(far), water_temperature, readiness["alone"]
        ),
        **fronts.quantities(members, LEAD_IN),
    }
    return Conditions(
        time=hours,
        models=members.models,
        weights=members.weights,
        quantities=quantities,
        lacking=members.lacking,
        places={"sea_surface_wave_significant_height": place},
        water=water,
        way=way,
    )


def max_of_hour_ends(values: FloatArray) -> FloatArray:
    """Return the higher of the values at the two ends of each hour, from hour ends to hours."""
    return np.maximum(values[:, LEAD_IN:-1], values[:, LEAD_IN + 1 :])


def min_of_hour_ends(values: FloatArray) -> FloatArray:
    """Return the lower of the values at the two ends of each hour, from hour ends to hours."""
    return np.minimum(values[:, LEAD_IN:-1], values[:, LEAD_IN + 1 :])


# -- weather ---------------------------------------------------------------------------------


def _thunder(code: FloatArray) -> FloatArray:
    """Return 1 for thunder, 0 for any other known code; an unknown code is not fair weather."""
    known = np.where(np.isin(code, WEATHER_CODES), 0.0, np.nan)
    return np.where(np.isin(code, THUNDER), 1.0, known)


def _heat(air: FloatArray, humidity: FloatArray) -> FloatArray:
    """Return the heat index; in cool air, where no humidity reaches a caution, the dampest."""
    damp = np.where(np.isnan(humidity) & (air < COOL), 1.0, humidity)
    return heat_index(air, damp)


def _fog(code: FloatArray) -> FloatArray:
    """Return 1 for fog, 0 for any other known code; an unknown code is not clear weather."""
    known = np.where(np.isin(code, WEATHER_CODES), 0.0, np.nan)
    return np.where(np.isin(code, FOG), 1.0, known)


# -- the sea on this water -------------------------------------------------------------------


def _waves(members: Ensemble, water: OpenWater) -> tuple[FloatArray, tuple[float, float]]:
    """Return the highest significant wave that the trip may meet, and where it stands."""
    wind, envelope = members.quantities["wind_speed"], water.fetch.max(axis=1)

    def sea(direction: FloatArray) -> FloatArray:
        return sea_through_hours(wind, direction, water.bearings, envelope, water.depth).height

    own = worst_over_directions(members, sea)
    height = np.maximum(own, _forecast_sea(members.quantities[SEA]))
    for seen in members.seen.get(SEA, ()):
        height = raise_by_observation(members.time, height, seen)
    return max_of_hour_ends(height), _highest_place(wind, members.quantities[FROM], own, water)


def worst_over_directions(members: Ensemble, of: Callable[[FloatArray], FloatArray]) -> FloatArray:
    """Return what the wind's direction makes of a quantity: as forecast, or worse as seen."""
    direction = members.quantities[FROM]
    value = of(direction)
    for seen in members.seen.get(FROM, ()):
        weight = seen.weight(members.time)
        other = of(np.where(weight > 0, seen.value, direction))
        value = np.where(other > value, value + (other - value) * weight, value)
    return value


def _sea_complete(height: FloatArray) -> FloatArray:
    """Return 1 where every forecast that gives waves at all gives them, and NaN elsewhere."""
    gives = np.isfinite(height).any(axis=1, keepdims=True)
    gap = (gives & ~np.isfinite(height)).any(axis=0, keepdims=True)
    return np.where(gap, np.nan, 1.0)


def _forecast_sea(height: FloatArray) -> FloatArray:
    """Return the highest sea that any wave model gives at an instant, or flat: it only adds."""
    highest: FloatArray = np.where(np.isfinite(height), height, 0.0).max(axis=0)
    return highest


def _highest_place(
    wind: FloatArray, direction: FloatArray, height: FloatArray, water: OpenWater
) -> tuple[float, float]:
    """Return the worst point in the worst hour of the worst member."""
    shown = np.where(np.isfinite(height), height, -1.0)[:, LEAD_IN:]
    member, hour = np.unravel_index(int(np.argmax(shown)), shown.shape)
    if shown[member, hour] <= 0:
        return 0.0, 0.0
    at_worst = member, hour + LEAD_IN
    sea = largest_sea(wind[at_worst], direction[at_worst], water.radials, water.depth)
    at = int(np.argmax(np.where(np.isfinite(sea.height), sea.height, -1.0)))
    return float(water.points[at, 0]), float(water.points[at, 1])


# -- the paddler and the light ---------------------------------------------------------------


def _readiness(plan: Plan) -> dict[str, FloatArray]:
    paddler = plan.paddler
    jacket = {None: np.nan, "worn": 1.0}.get(paddler.life_jacket, 0.0)
    alone = {None: np.nan, "alone": 1.0}.get(paddler.company, 0.0)
    one = np.ones((1, 1))
    return {
        "life_jacket_worn": one * jacket,
        "load_over_capacity": one * float(paddler.within_capacity is False),
        "alone": one * alone,
        "company_declared": one * (np.nan if paddler.company is None else 1.0),
    }


def _light(plan: Plan, hours: TimeArray) -> dict[str, FloatArray]:
    """Return the darker end of each hour, cut to the trip where the trip cuts it."""
    start, end = to_datetime64(plan.start), to_datetime64(plan.end)
    first = np.where((hours <= start) & (start < hours + HOUR), start, hours)
    last = np.where((hours <= end) & (end < hours + HOUR), end, hours + HOUR)
    return light(plan.launch, first, last)


def light(launch: Launch, first: TimeArray, last: TimeArray) -> dict[str, FloatArray]:
    """Return the darker end of each span of time, from its first to its last instant."""
    place = (launch.latitude, launch.longitude)
    height = np.minimum(solar_elevation(*place, first), solar_elevation(*place, last))
    dark, dusk = (
        np.minimum(*(time_to_dark(*place, each, altitude) for each in (first, last)))
        for altitude in (HORIZON, CIVIL_TWILIGHT)
    )
    return {
        "solar_elevation_angle": height[None, :],
        "time_to_dark": dark[None, :],
        "time_to_dusk": dusk[None, :],
    }


def daylight(launch: Launch, hours: TimeArray) -> list[tuple[np.datetime64, np.datetime64]]:
    """Return each span from sunrise to sunset, cut to the hours and their ends."""
    start, end = hours[0], hours[-1] + HOUR
    rises, sets = crossings(launch.latitude, launch.longitude, start, end, HORIZON)
    edges = np.sort(np.concatenate([rises, sets, [start, end]]))
    middles = edges[:-1] + (edges[1:] - edges[:-1]) // 2
    up = solar_elevation(launch.latitude, launch.longitude, middles) > HORIZON
    return [(a, b) for a, b, light in zip(edges[:-1], edges[1:], up, strict=True) if light]

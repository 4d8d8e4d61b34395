"""Turn briefing and plan into conditions: the only place that combines weather and physics."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from safety_check.arrays import BoolArray, FloatArray, TimeArray
from safety_check.conditions import drift, fronts, return_trip
from safety_check.conditions.coefficients import Coefficients
from safety_check.conditions.course import anywhere, farthest_from_shore
from safety_check.conditions.ensemble import (
    AS_FORECAST,
    FROM,
    GUST,
    HOUR,
    SEA,
    WIND,
    Ensemble,
)
from safety_check.conditions.hour_parts import (
    LEAD_IN,
    HourParts,
    max_of_parts,
    min_of_parts,
    whole_hours,
)
from safety_check.conditions.light import light
from safety_check.conditions.return_trip import HomeWinds, ReturnTrip
from safety_check.conditions.sea_met import (
    highest_place,
    sea_complete,
    waves_of_wind,
    waves_within,
    with_other_seas,
    worst_over_directions,
)
from safety_check.conditions.storms import CAPE, usable_energy
from safety_check.conditions.weather_met import FOG, THUNDER, heat_felt, weather_met
from safety_check.model.craft import Paddler
from safety_check.model.place import OpenWater
from safety_check.model.plan import Plan
from safety_check.physics.exposure import wind_chill
from safety_check.units import ZERO_CELSIUS
from safety_check.waters.route import along_route

if TYPE_CHECKING:
    from safety_check.conditions.moving_water import SeaOnCurrent

AT_WARM_END = "_at_warm_end"  # of an estimated water temperature; ends the quantity's name


@dataclass(frozen=True)
class Conditions:
    """Every quantity that the rules weigh, by member and hour.

    Parameters
    ----------
    time : array (..., hour)
        Start of each hour, UTC; sites may stand before the hours, in each array.
    models
        For each member, the model that it belongs to.
    weights : array (member,)
        Sum 1; each model counts once.
    quantities
        Name → array that broadcasts to (..., member, hour), SI; NaN where it is not known.
    lacking
        Forecast variable → array (member,): True where that member's model never gives it by
        design, so that its absence does not count as missing data.
    places
        Name → metres east and north of the launch where the worst value of the worst hour is.
    water
        The open water that the trip may reach.
    way
        The way home from it.
    inputs
        What the quantities are formed from; None where they were given.
    """

    time: TimeArray
    models: tuple[str, ...]
    weights: FloatArray
    quantities: Mapping[str, FloatArray]
    lacking: Mapping[str, BoolArray]
    places: Mapping[str, tuple[float, float]]
    water: OpenWater
    way: ReturnTrip
    inputs: Inputs | None = None

    @property
    def shape(self) -> tuple[int, ...]:
        """How many sites, members and hours there are: (..., member, hour)."""
        return (*self.time.shape[:-1], len(self.models), self.time.shape[-1])

    def in_parts(
        self, parts: HourParts, lights: Mapping[str, FloatArray], within: FloatArray
    ) -> Conditions:
        """Return the conditions in other parts of the same hours.

        Parameters
        ----------
        parts
            Which part of each hour is judged.
        lights
            From `light`, for those parts.
        within : array (hour,)
            How far from the launch the trip can be in those parts; infinite for anywhere. [m]
        """
        assert self.inputs is not None
        changed = hour_quantities(self.inputs, parts, lights, within)
        return replace(self, quantities={**self.quantities, **changed})

    def with_water(self, coldest: FloatArray, warmest: FloatArray | None = None) -> Conditions:
        """Return the conditions of the same hours on water of another temperature.

        Parameters
        ----------
        coldest, warmest : array (hour,)
            The ends of its range; without the second the first is its temperature. [K]
        """
        assert self.inputs is not None
        inputs = replace(self.inputs, water_temperature=coldest, warmest_water=warmest)
        kept = {
            name: value for name, value in self.quantities.items() if not name.endswith(AT_WARM_END)
        }
        return replace(self, inputs=inputs, quantities=kept).with_plan(inputs.plan)

    def warm_end(self, hour: int) -> float | None:
        """Return the warm end of an estimated water temperature in an hour; None without one."""
        warmest = None if self.inputs is None else self.inputs.warmest_water
        return None if warmest is None else float(warmest[hour])

    def with_plan(self, plan: Plan) -> Conditions:
        """Return the conditions of the same hours on the same water for another plan.

        The route and the water must be the same; times, craft and paddler may differ.
        """
        assert self.inputs is not None
        way = self.way
        if plan.craft != self.inputs.plan.craft:
            winds = home_winds(self.inputs.members)
            way = return_trip.find_return_trip(plan, self.time, self.water, winds)
        inputs = replace(self.inputs, plan=plan, way=way, lasts=np.asarray(duration(plan)))
        lights = light(plan.launch, self.time, self.time + HOUR)
        changed = hour_quantities(
            inputs, whole_hours(len(self.time)), lights, anywhere(len(self.time))
        )
        return replace(self, quantities={**self.quantities, **changed}, way=way, inputs=inputs)


@dataclass(frozen=True)
class Inputs:
    """What the conditions of an hour are formed from, whichever part of it is judged.

    Parameters
    ----------
    plan, members, water, way
        Who goes where, the forecasts, the open water, and the way home. Of the plans of many sites
        the first, for its craft and paddler.
    height, downwind : array (..., member, instant)
        Significant wave height, and open water downwind of the launch. [m]
    raised : array (..., member, instant)
        Significant height of the waves that the wind raises on this water. [m]
    offshore : array (..., member, instant)
        How far the wind blows off the shore. [1]
    lasts : array (...)
        How long the trip is. [s]
    water_temperature : array (..., hour)
        NaN where it is not known; the cold end where it is estimated. [K]
    coefficients
        How dangers are graded.
    warmest_water : array (hour,)
        The warm end of an estimated water temperature; None where it is not estimated. [K]
    on_current
        The sea that meets the current; None on still water.
    """

    plan: Plan
    members: Ensemble
    water: OpenWater
    way: ReturnTrip
    height: FloatArray
    raised: FloatArray
    offshore: FloatArray
    downwind: FloatArray
    lasts: FloatArray
    water_temperature: FloatArray
    coefficients: Coefficients
    warmest_water: FloatArray | None = None
    on_current: SeaOnCurrent | None = None


def build_conditions(
    plan: Plan,
    hours: TimeArray,
    members: Ensemble,
    water: OpenWater,
    water_temperature: FloatArray,
    coefficients: Coefficients,
) -> Conditions:
    """Return the conditions on this water in whole hours, for every member.

    Parameters
    ----------
    plan
        Who goes where and when.
    hours : array (hour,)
        Start of each hour to compute; may reach beyond the trip.
    members
        The forecasts on `hour_ends(hours)`.
    water
        The open water around the launch.
    water_temperature : array (hour,)
        NaN where it is not known. [K]
    coefficients
        How dangers are graded.
    """
    water = along_route(plan, water)
    way = return_trip.find_return_trip(plan, hours, water, home_winds(members))
    inputs = form_inputs(plan, members, water, way, water_temperature, coefficients)
    place = highest_place(members, inputs.raised, water)
    if members.flow is not None:
        from safety_check.conditions.moving_water import sea_on_current  # not for still water

        inputs = replace(inputs, on_current=sea_on_current(members, water))
    lights = light(plan.launch, hours, hours + HOUR)
    return Conditions(
        time=hours,
        models=members.models,
        weights=members.weights,
        quantities=hour_quantities(inputs, whole_hours(len(hours)), lights, anywhere(len(hours))),
        lacking=members.lacking,
        places={"sea_surface_wave_significant_height": place},
        water=water,
        way=way,
        inputs=inputs,
    )


def duration(plan: Plan) -> float:
    """Return how long a trip lasts. [s]."""
    return (plan.end - plan.start).total_seconds()


def form_inputs(
    plan: Plan,
    members: Ensemble,
    water: OpenWater,
    way: ReturnTrip,
    water_temperature: FloatArray,
    coefficients: Coefficients,
) -> Inputs:
    """Return what the conditions are formed from, at one site or many, on still water.

    Parameters
    ----------
    plan, members, water, way, water_temperature, coefficients
        As in `Inputs`; the trip lasts as long as this plan.
    """
    offshore, downwind = (
        worst_over_directions(members, of)
        for of in (
            partial(drift.offshore_share, water=water, coefficients=coefficients),
            partial(drift.downwind_water, water=water),
        )
    )
    raised = waves_of_wind(members, water.fetch.max(axis=-1), water)
    return Inputs(
        plan=plan,
        members=members,
        water=water,
        way=way,
        height=with_other_seas(members, raised),
        raised=raised,
        offshore=offshore,
        downwind=downwind,
        lasts=np.asarray(duration(plan)),
        water_temperature=water_temperature,
        coefficients=coefficients,
    )


def home_winds(members: Ensemble) -> HomeWinds:
    """Return the winds from the first hour on, with directions and waves that are observed."""
    time, current = members.time[LEAD_IN:], None
    if members.flow is not None:
        from safety_check.conditions.moving_water import through_hours  # not for still water

        current = through_hours(members.flow.current, time)
    return HomeWinds(
        speed=members.quantities[WIND][..., LEAD_IN:],
        direction=members.quantities[FROM][..., LEAD_IN:],
        weights=members.weights,
        observed=tuple((one.value, one.weight(time)) for one in members.seen.get(FROM, ())),
        waves=tuple((one.value, one.weight(time)) for one in members.seen.get(SEA, ())),
        current=current,
    )


def hour_quantities(
    inputs: Inputs, parts: HourParts, lights: Mapping[str, FloatArray], within: FloatArray
) -> dict[str, FloatArray]:
    """Return every quantity that the rules weigh, by member and hour.

    Parameters
    ----------
    inputs
        What the hours are formed from.
    parts
        Which part of each hour is judged.
    lights
        From `light`, for those parts.
    within : array (..., hour)
        How far from the launch the trip can be in those parts; infinite for anywhere. [m]

    Notes
    -----
    Within a part the worse of its two ends counts. A gust is the highest of the hour that
    ends at its instant, and the rows of both ends count; a gust below the wind is raised to
    it. A yes-or-no quantity such as thunder counts in the whole hour, even if only a part of the
    hour is judged.
    """
    members = inputs.members
    values, whole = members.quantities, whole_hours(parts.first.shape[-1])
    wind, air = max_of_parts(values[WIND], parts), min_of_parts(values["air_temperature"], parts)
    offshore, downwind = (max_of_parts(one, parts) for one in (inputs.offshore, inputs.downwind))
    by_rain = inputs.coefficients.grades[CAPE, "precipitation_amount"]
    rain = values["precipitation_amount"][..., LEAD_IN + 1 :]
    thunder = max_of_parts(weather_met(values["weather_code"], THUNDER), whole)
    complete = np.where(members.complete, 1.0, np.nan)[..., None, :]
    heat = heat_felt(values["air_temperature"], values["relative_humidity"])
    return {
        WIND: wind,
        AS_FORECAST: max_of_parts(values[AS_FORECAST], parts),
        GUST: np.maximum(max_of_parts(values[GUST], parts), wind),
        FROM: values[FROM][..., LEAD_IN:-1],
        SEA: waves_within(members, inputs.water, inputs.height, parts, within),
        "thunderstorm": thunder,
        "visibility_in_air": min_of_parts(values["visibility_in_air"], parts),
        "fog": max_of_parts(weather_met(values["weather_code"], FOG), whole),
        "sea_forecast_complete": min_of_parts(sea_complete(values[SEA]), whole),
        "precipitation_amount": rain,
        "wind_chill_temperature": wind_chill(air, wind),
        "heat_index": max_of_parts(heat, parts),
        CAPE: usable_energy(max_of_parts(values[CAPE], parts), rain, thunder, by_rain),
        "open_water_downwind": downwind,
        "forecast_in_date": np.where(members.stale, np.nan, 1.0)[..., None],
        "forecast_complete": min_of_parts(complete, whole),
        **_readiness(inputs.plan.paddler),
        **lights,
        **return_trip.quantities(inputs.lasts, inputs.way, within, wind, lights),
        **_of_water(inputs, within, air, (wind, offshore, downwind)),
        **fronts.quantities(members, LEAD_IN),
        **_of_current(inputs, parts, within),
    }


def _of_current(inputs: Inputs, parts: HourParts, within: FloatArray) -> dict[str, FloatArray]:
    """Return what the current decides; nothing on still water."""
    if inputs.on_current is None:
        return {}
    from safety_check.conditions import moving_water  # not for still water

    return moving_water.quantities(inputs, parts, within)


def _of_water(
    inputs: Inputs,
    within: FloatArray,
    air: FloatArray,
    winds: tuple[FloatArray, FloatArray, FloatArray],
) -> dict[str, FloatArray]:
    """Return what the water's temperature decides, also at the warm end of an estimate.

    Parameters
    ----------
    inputs, within
        As for `hour_quantities`.
    air : array (member, hour)
        The colder end of each hour. [K]
    winds : arrays (member, hour)
        Wind, offshore share and open water downwind. [m s⁻¹, 1, m]
    """
    far, swim = farthest_from_shore(inputs.water, within), inputs.coefficients.swim
    wind, offshore, downwind = winds
    found = {}
    for temperature, end in ((inputs.water_temperature, ""), (inputs.warmest_water, AT_WARM_END)):
        if temperature is None:
            continue
        swimmer = drift.Swimmer(far, temperature, inputs.plan.paddler, swim)
        at_end = {
            "water_temperature": temperature[..., None, :],
            "sum_of_air_and_water_temperature": air + temperature[..., None, :] - 2 * ZERO_CELSIUS,
            **drift.quantities(wind, offshore, downwind, swimmer, inputs.coefficients),
        }
        found.update({f"{name}{end}": value for name, value in at_end.items()})
    return found


# -- the paddler -----------------------------------------------------------------------------


def _readiness(paddler: Paddler) -> dict[str, FloatArray]:
    jacket = {None: np.nan, "worn": 1.0}.get(paddler.life_jacket, 0.0)
    alone = {None: np.nan, "alone": 1.0}.get(paddler.company, 0.0)
    one = np.ones((1, 1))
    return {
        "life_jacket_worn": one * jacket,
        "load_over_capacity": one * float(paddler.within_capacity is False),
        "alone": one * alone,
        "company_declared": one * (np.nan if paddler.company is None else 1.0),
    }

"""Estimate a water's temperature from the air, where the user allows it and nobody measured."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np

from safety_check.errors import SafetyCheckError
from safety_check.model.place import FetchTable, Water
from safety_check.model.plan import Plan
from safety_check.model.water_estimate import EXCLUSIONS, DailyAir, EstimateBasis, WaterEstimate
from safety_check.model.weather import OWN_EYES
from safety_check.settings.settings import Settings
from safety_check.store.air_days import place_of
from safety_check.store.store import Store

if TYPE_CHECKING:
    from safety_check.conditions.lake_estimate import LakeSite

WATER = "water_temperature"
AROUND = timedelta(days=1)  # the hours that a check weighs reach to the end of its local day
EARTH = 111_195.0  # m for a degree of latitude


def store_air(plan: Plan, at: datetime, settings: Settings) -> tuple[str, ...]:
    """Ask for the air temperatures that an estimate needs and store them; return what went wrong.

    Asks only where the water's temperature can be estimated and was not entered.
    """
    if plan.water.estimate is None or plan.water_temperature is not None:
        return ()
    from safety_check.conditions.lake_estimate import out_of_range
    from safety_check.conditions.lake_model import load_lake_model

    if out_of_range(lake_site(plan, plan.water.estimate), load_lake_model()):
        return ()
    from safety_check.sources.open_meteo.daily_air import gather_air, lasting

    place = place_of(plan.launch.latitude, plan.launch.longitude)
    try:
        with Store.open(settings.folders.data) as store:
            known = store.lasting_days(place)
        here = (plan.launch.latitude, plan.launch.longitude)
        found, failures = gather_air(here, at, known, settings)
        with Store.open(settings.folders.data) as store:
            for air in found:
                store.save_air(place, air, lasting(air, at.date()))
    except SafetyCheckError as trouble:
        return (f"The air temperatures of the last year are not stored. {trouble}",)
    return tuple(
        f"{failure.source}, for the water temperature: {failure.reason}" for failure in failures
    )


def estimate_from_store(store: Store, plan: Plan, at: datetime) -> WaterEstimate | None:
    """Return the ranges of a water's temperature around a plan; None where none is allowed.

    Parameters
    ----------
    store
        Has the air of the last months, and what was logged at this water.
    plan, at
        Where and when, and the clock of the check.
    """
    basis = plan.water.estimate
    if basis is None:
        return None
    from safety_check.conditions.lake_estimate import estimate_water, out_of_range, unknown_water
    from safety_check.conditions.lake_model import load_lake_model

    site, model = lake_site(plan, basis), load_lake_model()
    if why_not := out_of_range(site, model):
        return unknown_water(why_not)
    air = _as_of(store.air(place_of(plan.launch.latitude, plan.launch.longitude)), at)
    if not air.day.size:
        return unknown_water("the air temperature of the last twelve months is not known in full")
    days = (_day(min(plan.start, at)), _day(plan.end) + AROUND)
    logged = [
        (_day(reading.time), reading.value)
        for reading in store.observations(plan.water.name, None, WATER)
        if reading.station == OWN_EYES and reading.time <= at and math.isfinite(reading.value)
    ]
    return estimate_water(air, site, days, logged, model)


def lake_site(plan: Plan, basis: EstimateBasis) -> LakeSite:
    """Return where a plan's water lies and how large it is, for an estimate."""
    from safety_check.conditions.lake_estimate import LakeSite

    area, length = size_of(plan.water)
    water = plan.water
    return LakeSite(
        plan.launch.latitude, basis, water.elevation, area, length, _unlike_a_lake(water)
    )


def _unlike_a_lake(water: Water) -> str:
    """Return why a water is no lake, as its movement tells; empty where it is one."""
    reasons = ((water.dam, EXCLUSIONS["dam"]), (water.tidal, EXCLUSIONS["sea"]),
               (water.flowing, "it flows, and the estimate is for lakes"))  # fmt: skip
    return next((reason for holds, reason in reasons if holds), "")


def _day(moment: datetime) -> date:
    return moment.astimezone(UTC).date()


def _as_of(air: DailyAir, at: datetime) -> DailyAir:
    """Return stored air as it counts at the time of a check.

    Days to come count as at least so many days ahead; what was received before it is recorded.
    """
    beyond = (air.day - np.datetime64(at.date())).astype("timedelta64[D]").astype(np.int64)
    origins = tuple(replace(origin, recorded=origin.fetched < at) for origin in air.provenance)
    ahead = np.maximum(air.ahead, np.maximum(beyond, 0))
    return DailyAir(air.day, air.temperature, ahead, origins)


def size_of(water: Water) -> tuple[float, float]:
    """Return the area within the outer shores [m²] and the longest way across [m], roughly.

    Islands are counted as water, which errs towards a larger lake, and so towards the colder
    answer. Without a shoreline the open water around the launch counts; NaN without that too.
    """
    if not water.shoreline:
        return _size_by_fetch(water.fetch_table)
    every = np.concatenate(water.shoreline)
    east = EARTH * math.cos(math.radians(float(every[:, 1].mean())))
    corners = [ring * (east, EARTH) for ring in water.shoreline]
    area = max(abs(_area(ring)) for ring in corners)
    extent = np.ptp(np.concatenate(corners), axis=0)
    return area, float(np.hypot(*extent))


def _size_by_fetch(table: FetchTable | None) -> tuple[float, float]:
    """Return the size of the open water around a launch: wedges, and twice the longest fetch."""
    if table is None:
        return math.nan, math.nan
    return float(math.pi * np.mean(table.fetch**2)), 2 * float(table.fetch.max())


def _area(ring: np.ndarray) -> float:
    """Return the area of a closed ring by the shoelace formula, from its own first corner."""
    x, y = (ring - ring[0]).T
    return float(np.sum(x[:-1] * y[1:] - x[1:] * y[:-1]) / 2)

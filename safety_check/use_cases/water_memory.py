"""Store measured water temperatures, and find them again."""

from __future__ import annotations

from datetime import datetime, timedelta

from safety_check.conditions.trust import Trust
from safety_check.errors import PlanError, SafetyCheckError
from safety_check.model.plan import Plan
from safety_check.model.weather import OWN_EYES, Observation, Provenance
from safety_check.settings.settings import Settings
from safety_check.store.schema import SHORT_PATIENCE
from safety_check.store.store import Store
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.use_cases.trust import load_trust
from safety_check.waters import files

WATER = "water_temperature"


def own_measurement(value: float, at: datetime) -> Observation:
    """Return a water temperature that the user measured. [K]."""
    origin = Provenance(OWN_EYES, "", "", at, at, recorded=False)
    return Observation(WATER, value, at, OWN_EYES, 0.0, origin)


def store_measurement(plan: Plan, at: datetime, settings: Settings) -> tuple[str, ...]:
    """Store the water temperature that was entered with a plan; return what went wrong."""
    if plan.water_temperature is None:
        return ()
    try:
        with Store.open(settings.folders.data, SHORT_PATIENCE) as store:
            seen = own_measurement(plan.water_temperature, at)
            store.save_observation(plan.water.name, plan.launch.name, seen)
    except SafetyCheckError as trouble:
        return (f"The water temperature is not stored. {trouble}",)
    return ()


def stored_measurements(
    store: Store, water: str, launch: str, at: datetime, trust: Trust
) -> tuple[Observation, ...]:
    """Return the stored water temperatures that may be used at a launch.

    Measurements by the user count for the whole water; those of stations only for launches near
    the station.
    """
    since = at - timedelta(seconds=trust.water_memory.greatest_age)
    own = [
        reading
        for reading in store.observations(water, None, WATER, since)
        if reading.station == OWN_EYES
    ]
    stations = [
        reading
        for reading in store.observations(water, launch, WATER, since)
        if reading.station != OWN_EYES
        and reading.distance is not None
        and reading.distance <= trust.water_distance
    ]
    return (*own, *stations)


def needs_water_temperature(asked: PlanRequest, settings: Settings, at: datetime) -> bool:
    """Return whether no temperature of a plan's water was entered or is remembered."""
    if asked.water_temperature is not None or asked.water is None:
        return False
    try:
        water = files.load(asked.water, settings.folders.waters)
        launch = files.launch_named(water, asked.launch)
        with Store.open(settings.folders.data, SHORT_PATIENCE) as store:
            return not stored_measurements(store, water.name, launch.name, at, load_trust())
    except PlanError:  # the check itself reports it
        return False
    except SafetyCheckError:
        return True

"""What the shore contact must know, and when to raise the alarm; nothing is sent."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import cache
from typing import Literal

import numpy as np

from safety_check.arrays import to_datetime64
from safety_check.errors import PlanError
from safety_check.model.craft import Paddler
from safety_check.model.plan import Plan
from safety_check.model.verdict import Severity, Verdict
from safety_check.physics.daylight import HORIZON, crossings, solar_elevation
from safety_check.physics.immersion import exhaustion_time
from safety_check.rules.engine import severity
from safety_check.settings import toml_file
from safety_check.settings.folders import shipped_file
from safety_check.settings.limits import load_default_limits
from safety_check.settings.sourced import Basis
from safety_check.settings.toml_file import Strict
from safety_check.settings.user_file import ContactTable

CLOTHING = ("none", "wetsuit", "drysuit")
WATER = "water_temperature"
FROM, WIND = "wind_from_direction", "wind_speed_high"
LATEST_ALARM = timedelta(hours=12)
NEAR_NIGHT = timedelta(hours=1)


@dataclass(frozen=True)
class Gear:
    """One thing to take; `ready` is None where nothing has been declared about it."""

    what: str
    ready: bool | None


@dataclass(frozen=True)
class FloatPlan:
    """A float plan.

    Parameters
    ----------
    plan, contact
        The trip, and who goes and who waits.
    alarm
        When to raise the alarm. UTC
    sunset
        The first after the launch; None where the sun does not set within two days. UTC
    water_temperature
        NaN where it is not known. [K]
    clothing
        Immersion clothing → the verdict on this water temperature when wearing it.
    exhaustion
        Least and most published time to exhaustion in such water [s]; NaN, or infinite.
    gear
        What to take.
    numbers, coast
        The numbers and channels to call.
    verdict
        Of the last check of this trip; None without one.
    downwind
        Where a drifting craft goes in the strongest wind that is forecast [deg true]; None
        where that is not known.
    note
        The user's own words.
    """

    plan: Plan
    contact: ContactTable
    alarm: datetime
    sunset: datetime | None
    water_temperature: float
    clothing: tuple[tuple[str, Severity], ...]
    exhaustion: tuple[float, float]
    gear: tuple[Gear, ...]
    numbers: str
    coast: str
    verdict: Verdict | None = None
    downwind: float | None = None
    note: str = ""


def build_float_plan(
    plan: Plan,
    contact: ContactTable,
    verdict: Verdict | None = None,
    alarm_after: timedelta | None = None,
    note: str = "",
) -> FloatPlan:
    """Return the float plan of a trip.

    Parameters
    ----------
    plan, contact, note
        The trip, who goes and who waits, the user's own words.
    verdict
        Of the last check of this trip, which knows wind and water.
    alarm_after
        The user's own time past the return; by config without.
    """
    temperature = _temperature(plan, verdict)
    clothing = tuple((garment, allows(garment, temperature)) for garment in CLOTHING)
    least, most = (float(time) for time in exhaustion_time(np.array(temperature)))
    return FloatPlan(
        plan=plan,
        contact=contact,
        alarm=alarm(plan, clothing[0][1] >= Severity.UNKNOWN, alarm_after),
        sunset=first_sunset(plan, plan.start),
        water_temperature=temperature,
        clothing=clothing,
        exhaustion=(least, most),
        gear=_gear(plan, clothing[0][1] > Severity.GO),
        numbers=_file().call.numbers,
        coast=_file().call.coast,
        verdict=verdict,
        downwind=_downwind(verdict),
        note=note,
    )


def _temperature(plan: Plan, verdict: Verdict | None) -> float:
    if plan.water_temperature is not None:
        return plan.water_temperature
    findings = verdict.findings if verdict else ()
    return next((finding.value for finding in findings if finding.quantity == WATER), float("nan"))


def allows(clothing: str, temperature: float) -> Severity:
    """Return the verdict on a water temperature for some immersion clothing.

    Examples
    --------
    >>> [str(allows(garment, 284.0)) for garment in CLOTHING]
    ['NO-GO', 'MARGINAL', 'GO']
    """
    limit = load_default_limits()[WATER, f"wearing {clothing}"]
    no_go = -np.inf if limit.no_go is None else limit.no_go
    marginal = no_go if limit.marginal is None else limit.marginal
    found = severity(np.array(temperature), np.array(marginal), np.array(no_go), limit.worse)
    return Severity(int(found))


# -- when --------------------------------------------------------------------------------------


def alarm(plan: Plan, cold: bool, own: timedelta | None = None) -> datetime:
    """Return when to raise the alarm.

    Parameters
    ----------
    plan
        Its end is the time of return.
    cold
        True where the water is too cold to go without immersion clothing, or its temperature is
        not known.
    own
        The user's own time past the return.

    Raises
    ------
    PlanError
        For a time that is not valid, or so long that help would come too late.
    """
    if own is not None:
        if not timedelta(0) <= own <= LATEST_ALARM:
            raise PlanError("--alarm-after: give how long past the return, from 0 min to 12 h.")
        return plan.end + own
    table = _file().alarm
    usual = plan.end + timedelta(seconds=table.cold_after if cold else table.after)
    least = plan.end + timedelta(seconds=table.least)
    sunset = first_sunset(plan, plan.end) or usual
    return min(usual, max(least, sunset))


def first_sunset(plan: Plan, after: datetime) -> datetime | None:
    """Return the first sunset at the launch within two days of a time."""
    start = to_datetime64(after)
    place = (plan.launch.latitude, plan.launch.longitude)
    _, sets = crossings(*place, start, start + np.timedelta64(48, "h"), HORIZON)
    return sets[0].item().replace(tzinfo=UTC) if sets.size else None


def _near_night(plan: Plan) -> bool:
    moments = (plan.start - NEAR_NIGHT, plan.start, plan.end, plan.end + NEAR_NIGHT)
    times = np.array([to_datetime64(moment) for moment in moments])
    light = solar_elevation(plan.launch.latitude, plan.launch.longitude, times)
    return bool((light < HORIZON).any())


# -- what and where -----------------------------------------------------------------------------


def _gear(plan: Plan, cold: bool) -> tuple[Gear, ...]:
    wanted = {"always": True, "cold": cold, "dark": _near_night(plan)}
    return tuple(
        Gear(item.what, _ready(item, plan.paddler)) for item in _file().gear if wanted[item.when]
    )


def _ready(gear: GearTable, paddler: Paddler) -> bool | None:
    declared = getattr(paddler, gear.asks) if gear.asks else None
    if declared is None:
        return None
    return declared is True or declared == gear.answer


def _downwind(verdict: Verdict | None) -> float | None:
    """Return where the strongest wind of the trip blows to."""
    hours = [hour for hour in verdict.hours if hour.shown[WIND] >= 0] if verdict else []
    if not hours:
        return None
    towards = (max(hours, key=lambda hour: hour.shown[WIND]).shown[FROM] + 180) % 360
    return towards if towards >= 0 else None


# -- config ------------------------------------------------------------------------------------


class Told(Strict):
    """The origin of a table of float_plan.toml."""

    basis: Basis
    source: str
    since: date
    checked: date


class AlarmTable(Told):
    """[alarm] of float_plan.toml."""

    after: float
    cold_after: float
    least: float


class CallTable(Told):
    """[call] of float_plan.toml."""

    numbers: str
    coast: str


class GearTable(Strict):
    """One [[gear]] of float_plan.toml."""

    what: str
    when: Literal["always", "cold", "dark"]
    asks: Literal["", "life_jacket", "means_to_call", "sound_signal", "self_rescue", "light"] = ""
    answer: str = ""


class FloatPlanFile(Strict):
    """float_plan.toml."""

    alarm: AlarmTable
    call: CallTable
    gear: list[GearTable]


@cache
def _file() -> FloatPlanFile:
    return toml_file.read(shipped_file("float_plan.toml"), FloatPlanFile)

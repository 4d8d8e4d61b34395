"""Turn a request into a plan that can be checked."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from safety_check.errors import PlanError
from safety_check.model.craft import Paddler
from safety_check.model.place import Water
from safety_check.model.plan import Plan
from safety_check.settings.propulsion import derive_drive
from safety_check.settings.settings import Settings
from safety_check.settings.user_file import PADDLER_CHOICES, require_choice
from safety_check.units import parse
from safety_check.use_cases.amounts_in_words import parse_hours
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.use_cases.saved_plans import fill_from_saved
from safety_check.use_cases.times_in_words import is_clock_only, parse_time
from safety_check.waters import files
from safety_check.waters.nearness import say_if_by_sea
from safety_check.waters.route import parse_route, project_route

LONGEST_TRIP = timedelta(hours=48)
GRACE = timedelta(hours=1)
SAME_MINUTE = timedelta(minutes=1)
GREATEST_REACH = 50_000.0  # m
DEFAULT_REACH = "1 mi"
COLDEST, WARMEST = 271.15, 313.15  # K; of open water; the lower is where sea water freezes


def make_plan(asked: PlanRequest, settings: Settings, clock: datetime) -> tuple[Plan, datetime]:
    """Return the requested plan and the time of the check.

    Parameters
    ----------
    asked
        In the user's words.
    settings
        Waters, craft and paddler.
    clock
        Now; `asked.as_of` overrides it.
    """
    asked = fill_from_saved(asked, settings)
    if asked.water is None:
        raise PlanError(
            "which water? Name one that you have added.",
            field="water",
            remedy="To see yours: safety-check water list. To add one with its shoreline:"
            ' safety-check water add "Orvel Lake" --find "Orvel Lake, Minnesota". Or try the'
            " bundled scenario: safety-check check --sample",
        )
    water = files.load(asked.water, settings.folders.waters)
    return make_plan_on(water, asked, settings, clock)


def make_plan_on(
    water: Water, asked: PlanRequest, settings: Settings, clock: datetime
) -> tuple[Plan, datetime]:
    """Return the plan on a known water, and the time of the check."""
    zone = water.time_zone
    now = parse_time(asked.as_of, zone, clock, "--as-of") if asked.as_of else clock
    if asked.start is None:
        raise PlanError(
            'when? Say when the trip starts, such as "tomorrow 06:00".', field="--start"
        )
    start = parse_time(asked.start, zone, now, "--start")
    launch = files.launch_named(water, asked.launch)
    plan = Plan(
        water=say_if_by_sea(water, launch, settings.folders.cache),
        launch=launch,
        craft=settings.craft(settings.craft_name(asked.craft)),
        paddler=_paddler(asked, settings),
        start=start,
        end=_end(asked, start, zone, now),
        reach=_sound_reach(parse(asked.reach or DEFAULT_REACH, "length", "--reach")),
        water_temperature=water_temperature(asked.water_temperature),
        night=asked.night,
        from_shore=_from_shore(asked.from_shore),
        reach_assumed=asked.reach is None and asked.route is None,
    )
    require_sound_plan(plan, now)
    return _with_route(plan, asked), now


def _with_route(plan: Plan, asked: PlanRequest) -> Plan:
    """Return the plan with its route, whose farthest point is then its reach."""
    if asked.route is None:
        return plan
    if asked.reach is not None or asked.from_shore is not None:
        raise PlanError(
            "this already says where the trip goes. Leave out --reach and --from-shore, or leave"
            " out the route.",
            field="--route",
        )
    route = parse_route(asked.route, plan.water, plan.launch)
    far = np.hypot(*project_route(route, plan.launch).T)
    return replace(plan, route=route, reach=_sound_reach(float(far.max())))


def _sound_reach(reach: float) -> float:
    if not 0 < reach <= GREATEST_REACH:
        raise PlanError(
            f"{reach:g} m: give how far from the launch the trip goes, more than 0 and"
            f" up to {GREATEST_REACH / 1000:.0f} km.",
            field="--reach",
        )
    return reach


def _from_shore(text: str | None) -> float:
    return math.inf if text is None else parse(text, "length", "--from-shore")


def _paddler(asked: PlanRequest, settings: Settings) -> Paddler:
    said = {
        key: getattr(asked, key)
        for key in ("life_jacket", "wearing", "company", "light")
        if getattr(asked, key) is not None
    }
    for name in PADDLER_CHOICES:
        if name in said:
            require_choice(name, said[name])
    return replace(settings.paddler, **said)


def _end(asked: PlanRequest, start: datetime, zone: str, now: datetime) -> datetime:
    lasts = None if asked.hours is None else parse_hours(asked.hours, "--hours")
    if asked.end is None:
        if lasts is None:
            raise PlanError(
                "how long? Say how many hours, such as 5.",
                field="--hours",
                remedy="--end says it too.",
            )
        return start + timedelta(hours=lasts)
    end = parse_time(asked.end, zone, start if is_clock_only(asked.end) else now, "--end")
    if lasts is not None and abs(start + timedelta(hours=lasts) - end) >= SAME_MINUTE:
        raise PlanError(
            f"{asked.hours} and the end {asked.end!r} disagree: from {asked.start!r} to"
            f" {asked.end!r} are {(end - start).total_seconds() / 3600:.3g} hours. Leave one out.",
            field="--hours",
        )
    return end


def water_temperature(text: str | None) -> float | None:
    """Return the value of --water-temp; refuse one that open water cannot have. [K]."""
    if text is None:
        return None
    value = parse(text, "temperature", "--water-temp")
    if not COLDEST <= value <= WARMEST:
        raise PlanError(
            f"{text!r}: open water is between -2 °C (28 °F) and 40 °C (104 °F)."
            " Check the number and the unit.",
            field="--water-temp",
        )
    return value


def require_sound_plan(plan: Plan, now: datetime) -> None:
    """Raise PlanError where a plan can't be checked.

    Raises
    ------
    PlanError
        For an end before the start, a start in the past, or lengths out of range.
    """
    start, end, water = plan.start, plan.end, plan.water
    if end <= start:
        raise PlanError(
            f"the end {_said(end, water)} is not after the start {_said(start, water)}. Give a"
            " length of more than 0, or a later end.",
            field="--hours",
        )
    if end - start > LONGEST_TRIP:
        raise PlanError(
            f"a trip of {(end - start).total_seconds() / 3600:.0f} hours is more than"
            f" {LONGEST_TRIP.total_seconds() / 3600:.0f}. Check each day separately.",
            field="--hours",
        )
    if start < now - GRACE:
        raise PlanError(
            f"{_said(start, water)} is in the past; it is now {_said(now, water)}. Give a later"
            " time.",
            field="--start",
            remedy="To evaluate an old file on its day, use --as-of.",
        )
    derive_drive(plan.craft)  # refuses a craft that nobody could push so fast


def _said(moment: datetime, water: Water) -> str:
    return f"{moment.astimezone(ZoneInfo(water.time_zone)):%Y-%m-%d %H:%M}"

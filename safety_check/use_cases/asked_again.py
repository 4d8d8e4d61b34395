"""Ask for the trip of a stored check again: its request, in words."""

from __future__ import annotations

import math
from dataclasses import fields, replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from safety_check.errors import SafetyCheckError
from safety_check.model.plan import Plan
from safety_check.model.verdict import Verdict
from safety_check.model.weather import OWN_WORD
from safety_check.units import parse
from safety_check.use_cases.plan_request import PlanRequest

if TYPE_CHECKING:
    from safety_check.store.rows import StoredCheck
    from safety_check.use_cases.recheck import MovementRequest

OF_ITS_TIME = ("as_of", "warnings", "read_at", "saved_plan")  # mean nothing another time
OF_ITS_DAY = ("current", "high_water", "gauge", "release")  # mean another day's water later
YES = "yes"
QUARTER = timedelta(minutes=15)
SAME = 0.02  # K; a temperature in words and in kelvin differ by rounding


def words_of(asked: PlanRequest | MovementRequest) -> dict[str, str]:
    """Return what a request says, by field; what means nothing at another time is left out.

    Examples
    --------
    >>> words_of(PlanRequest(water="Orvel Lake", hours=5.0, light=True, read_at="20:10"))
    {'water': 'Orvel Lake', 'hours': '5', 'light': 'yes'}
    """
    said = {field.name: getattr(asked, field.name) for field in fields(asked)}
    return {
        name: _word(value)
        for name, value in said.items()
        if name not in OF_ITS_TIME and value is not None and (value is not False or name == "light")
    }


def _word(value: str | float | bool) -> str:
    if isinstance(value, bool):
        return YES if value else "no"
    return value if isinstance(value, str) else f"{value:g}"


def request_again(kept: StoredCheck) -> PlanRequest:
    """Return a request for the trip of a stored check.

    What the user said is used as it was said. In a check of an older version the words are
    missing, so what its plan does not hold stays empty: what was said of the movement of the
    water, and of the paddler for this trip alone.
    """
    plan, words = kept.plan, kept.words
    zone = ZoneInfo(plan.water.time_zone)
    return PlanRequest(
        water=plan.water.name,
        launch=plan.launch.name,
        craft=plan.craft.name,
        start=f"{plan.start.astimezone(zone):%Y-%m-%dT%H:%M}",
        hours=f"{(plan.end - plan.start).total_seconds() / 3600:g}",
        reach=_reach(plan, words.get("reach")),
        from_shore=words.get("from_shore") or _metres(plan.from_shore),
        water_temperature=_temperature(plan, words.get("water_temperature")),
        night=plan.night,
        light={YES: True, "no": False}.get(words.get("light", "")),
        read_at=read_at(kept.verdict),
        life_jacket=words.get("life_jacket"),
        wearing=words.get("wearing"),
        company=words.get("company"),
        current=words.get("current"),
        high_water=words.get("high_water"),
        gauge=words.get("gauge"),
        release=words.get("release"),
    )


def next_request(asked: PlanRequest, plan: Plan, now: datetime) -> PlanRequest:
    """Return the request for a plan, or for the next such trip where that one has begun.

    What was said for its own day is left out of a later one.
    """
    if plan.start > now:
        return asked
    zone = ZoneInfo(plan.water.time_zone)
    clock = plan.start.astimezone(zone).time()
    start = datetime.combine(now.astimezone(zone).date(), clock, zone)
    start = start if start > now else start + timedelta(days=1)
    anew = dict.fromkeys((*OF_ITS_DAY, "water_temperature", "read_at"))
    hours = math.ceil((plan.end - plan.start) / QUARTER) / 4  # a trip under way is checked in part
    return replace(asked, start=f"{start:%Y-%m-%dT%H:%M}", hours=f"{hours:g}", **anew)  # type: ignore[arg-type]


def read_at(verdict: Verdict) -> str | None:
    """Return when the user read the official warnings, with the date; None where they did not."""
    read = [source.fetched for source in verdict.provenance if source.source == OWN_WORD]
    if not read:
        return None
    return f"{max(read).astimezone(ZoneInfo(verdict.plan.water.time_zone)):%Y-%m-%dT%H:%M}"


def _reach(plan: Plan, words: str | None) -> str | None:
    """Return the reach in words; of a route, how far out it goes."""
    if plan.reach_assumed:
        return None
    return words or _metres(plan.reach)


def _temperature(plan: Plan, words: str | None) -> str | None:
    """Return the water temperature in words, unless another one was measured since."""
    value = plan.water_temperature
    if value is None:
        return None
    try:
        same = words is not None and abs(parse(words, "temperature", "") - value) < SAME
    except SafetyCheckError:
        same = False
    return words if same else f"{value - 273.15:.1f} C"


def _metres(length: float) -> str | None:
    return f"{length:.0f} m" if math.isfinite(length) else None

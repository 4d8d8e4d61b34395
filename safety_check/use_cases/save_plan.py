"""Save a trip under a name, and remove it again."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

from safety_check.arrays import FloatArray
from safety_check.errors import PlanError
from safety_check.model.craft import Paddler
from safety_check.model.plan import Plan
from safety_check.settings.edit import edit_settings
from safety_check.settings.settings import Settings
from safety_check.settings.spelling import suggest_spelling
from safety_check.settings.user_file import SavedPlan
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.use_cases.planning import make_plan
from safety_check.use_cases.saved_plans import find_saved_plan, require_clock_time
from safety_check.waters import files
from safety_check.waters.geojson import LONGEST_NAME, describe

PADDLER = ("life_jacket", "wearing", "company", "light")


def save_plan(name: str, asked: PlanRequest, settings: Settings) -> bool:
    """Save a trip under a name; return whether it replaced one.

    Parameters
    ----------
    name
        Its name, which no water may have.
    asked
        What to store. It is checked as a whole before anything is written.
    settings
        For whom.
    """
    _require_free(name, settings)
    if find_saved_plan(asked.water, settings):
        raise PlanError(f"plan save {name!r}: {asked.water!r} is a saved plan. Name its water.")
    if asked.start is not None:
        require_clock_time(asked.start)
    plan, _ = make_plan(_any_time(asked), settings, datetime.now(UTC))
    route = None if plan.route is None else _route_in_words(plan.route)
    kept = replace(asked, water=plan.water.name, launch=plan.launch.name, route=route)
    return _store(name, kept)


def save_trip(name: str, plan: Plan, settings: Settings) -> bool:
    """Save the trip of a check under a name; return whether it replaced one.

    What equals the paddler's settings is not stored with it.
    """
    _require_free(name, settings)
    own = {field: getattr(plan.paddler, field) for field in PADDLER}
    usual: Paddler = settings.paddler
    kept = PlanRequest(
        water=plan.water.name,
        launch=plan.launch.name,
        craft=plan.craft.name,
        start=f"{plan.start.astimezone(ZoneInfo(plan.water.time_zone)):%H:%M}",
        hours=f"{(plan.end - plan.start).total_seconds() / 3600:g}",
        reach=None if plan.reach_assumed or plan.route is not None else _metres(plan.reach),
        from_shore=_metres(plan.from_shore) if math.isfinite(plan.from_shore) else None,
        route=None if plan.route is None else _route_in_words(plan.route),
        night=plan.night,
        **{field: value for field, value in own.items() if value != getattr(usual, field)},
    )
    return _store(name, kept)


def remove_plan(name: str) -> str:
    """Remove a saved plan; return its name as it was spelled."""
    wanted = name.strip().casefold()
    removed: list[str] = []

    def edit(document: Any) -> None:
        plans = document.get("plan", {})
        found = next((one for one in plans if one.casefold() == wanted), None)
        if found is None:
            known = list(plans)
            listed = (
                f" Saved plans: {', '.join(known)}." if known else " No plan has been saved yet."
            )
            raise PlanError(f"no plan is saved as {name!r}.{suggest_spelling(name, known)}{listed}")
        del plans[found]
        removed.append(found)

    edit_settings(edit)
    return removed[0]


def _require_free(name: str, settings: Settings) -> None:
    if describe(name, LONGEST_NAME) != name or not any(letter.isalnum() for letter in name):
        raise PlanError(
            f"plan save {name[: 2 * LONGEST_NAME]!r}: this is not a valid name. Use one line of at"
            f" most {LONGEST_NAME} printable characters, with a letter or digit."
        )
    if files.known(name, settings.folders.waters):
        raise PlanError(
            f"plan save {name!r}: a water has this name, and check could not tell which you mean."
            f' Choose another, such as "{name} morning".'
        )


def _any_time(asked: PlanRequest) -> PlanRequest:
    """Return a request with times where it has none, so that the rest of it can be checked."""
    hours = asked.hours or (None if asked.end else "1")
    return replace(asked, start=asked.start or "now", hours=hours)


def _store(name: str, kept: PlanRequest) -> bool:
    table = {
        field: value
        for field in SavedPlan.model_fields
        if (value := getattr(kept, field)) not in (None, False)
        or (field in PADDLER and value is not None)
    }
    table |= {"hours": str(kept.hours)} if kept.hours is not None else {}
    replaced: list[str] = []

    def edit(document: Any) -> None:
        plans = document.setdefault("plan", {})
        replaced.extend(one for one in plans if one.casefold() == name.casefold())
        for one in replaced:
            del plans[one]
        plans[name] = table

    edit_settings(edit)
    return bool(replaced)


def _metres(length: float) -> str:
    return f"{length:.0f} m"


def _route_in_words(route: FloatArray) -> str:
    return "; ".join(f"{latitude:.6f},{longitude:.6f}" for longitude, latitude in route)

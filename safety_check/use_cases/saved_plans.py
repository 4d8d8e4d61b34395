"""Complete a request from a trip that the user saved under a name."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from safety_check.errors import PlanError
from safety_check.settings.settings import Settings
from safety_check.settings.user_file import SavedPlan
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.use_cases.time_grammar import is_clock_only, is_day_only
from safety_check.waters import files

WHERE = ("reach", "from_shore")  # what a route says instead


def find_saved_plan(name: str | None, settings: Settings) -> str | None:
    """Return the name of a saved plan as it is spelled in the settings; None where it is none.

    Raises
    ------
    PlanError
        Where a water has that name too: then nobody knows which of them is meant.
    """
    wanted = (name or "").strip().casefold()
    found = next((one for one in settings.user.plan if one.casefold() == wanted), None)
    if found is not None and files.known(found, settings.folders.waters):
        raise PlanError(
            f"{found!r} names both a water and a saved plan. Remove the saved plan (safety-check"
            f" plan remove {found!r}) and save it under another name."
        )
    return found


def require_free_name(name: str, settings: Settings) -> None:
    """Refuse a name for a water that a saved plan has."""
    wanted = name.strip().casefold()
    if any(one.casefold() == wanted for one in settings.user.plan):
        raise PlanError(
            f"{name!r}: a saved plan has this name, and a check could not tell which you mean."
            " Choose another, or remove the plan first.",
            field="name",
            remedy=f"To remove it: safety-check plan remove {name!r}",
        )


def describe_what_names(water: str, settings: Settings) -> tuple[str, ...]:
    """Return a line for the limits and one for the saved plans that name a water."""
    named = files.slug(water)
    limits = [
        one
        for one in settings.user.limit
        if one.water is not None and files.slug(one.water) == named
    ]
    plans = [name for name, one in settings.user.plan.items() if files.slug(one.water) == named]
    lines = []
    if limits:
        lines.append(
            f"Your own limits for it ({len(limits)}) stay in settings.toml, and hold again if you"
            f" add a water of this name. To drop them: safety-check limits reset --water {water!r}"
        )
    lines += [
        f"The saved plan {plan!r} has no water now. To remove it: safety-check plan remove {plan!r}"
        for plan in plans
    ]
    return tuple(lines)


def fill_from_saved(asked: PlanRequest, settings: Settings) -> PlanRequest:
    """Return a request completed by the saved plan that it names; the request takes precedence.

    Parameters
    ----------
    asked, settings
        What is asked for; a request that names no saved plan is returned as it is.
    """
    name = find_saved_plan(asked.water, settings)
    if name is None:
        return asked
    saved = settings.user.plan[name]
    given = {field: value for field, value in vars(asked).items() if value not in (None, False, "")}
    given["start"] = _start(asked.start, saved)
    completed = _not_replaced(saved, asked) | given
    return replace(asked, **completed | {"water": saved.water, "saved_plan": name})


def _not_replaced(saved: SavedPlan, asked: PlanRequest) -> dict[str, Any]:
    """Return what a saved plan says, without what the request says in another way."""
    other_ways: set[str] = set()
    if asked.route is not None:
        other_ways |= {*WHERE}
    if asked.reach is not None or asked.from_shore is not None:
        other_ways.add("route")
    if asked.end is not None:
        other_ways.add("hours")
    return {name: value for name, value in saved.model_dump().items() if name not in other_ways}


def _start(asked: str | None, saved: SavedPlan) -> str | None:
    """Return when the trip starts; a day alone takes the usual clock time of the plan."""
    if asked is None or saved.start is None or not is_day_only(asked):
        return asked or saved.start
    return f"{asked} {saved.start}"


def require_clock_time(start: str) -> None:
    """Refuse a usual start that names a day: it would soon be past."""
    if not is_clock_only(start):
        raise PlanError(
            f"--start {start!r}: a saved plan stores only the usual clock time, such as 06:00. Give"
            " the day with the check: --start sat"
        )

"""Compare the coming days at one or more waters."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from safety_check.assess.outlook import build_outlook
from safety_check.conditions.case import Case
from safety_check.errors import PlanError
from safety_check.model.outlook import Outlook
from safety_check.rules.trips import LONGEST
from safety_check.settings.settings import Settings
from safety_check.use_cases.amounts_in_words import parse_hours
from safety_check.use_cases.check import load_briefing
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.use_cases.planning import make_plan
from safety_check.use_cases.record import recall_case
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.saved_plans import fill_from_saved, find_saved_plan
from safety_check.use_cases.trust import load_trust
from safety_check.use_cases.water_estimate import store_air
from safety_check.use_cases.water_memory import store_measurement
from safety_check.waters import files
from safety_check.waters.open_water import open_water

USUAL_HOURS = "4"
MOST_DAYS = 16  # no service here forecasts farther ahead


@dataclass(frozen=True)
class OutlookRequest:
    """A requested outlook.

    Parameters
    ----------
    waters
        Names, each perhaps with ":launch", or saved plans.
    days
        How many local days, today included.
    hours
        Minimum trip length, such as "4" or "4h"; a part of an hour counts as a whole one. None
        for the longest of the saved plans, and else four.
    forecasts
        Saved forecasts: none asks the live services, one serves all waters, else one each.
    asked
        What applies to all of them: craft, reach, water temperature, paddler, time.
    """

    waters: tuple[str, ...]
    days: int
    hours: str | None
    forecasts: tuple[Path, ...]
    asked: PlanRequest


def whole_hours(said: float | str | None) -> int:
    """Return a minimum trip length in whole hours.

    Raises
    ------
    PlanError
        For a length that no outlook looks for.
    """
    hours = math.ceil(parse_hours(said or USUAL_HOURS, "--hours"))
    if not 1 <= hours <= LONGEST:
        raise PlanError(
            f"{said}: give the length of the trip, 1 to {LONGEST} hours.", field="--hours"
        )
    return hours


def compare_outlooks(
    ahead: OutlookRequest,
    settings: Settings,
    remark: Callable[[str], None],
    begins: Callable[[str], None] = lambda water: None,
) -> list[Outlook]:
    """Return the coming days at each water.

    Parameters
    ----------
    ahead, settings
        What is asked for, and for whom.
    remark
        Called with what the user should know about the history.
    begins
        Called with each water's name before it is asked for.
    """
    _require_sound(ahead)
    requests = [_request(name, ahead, settings) for name in ahead.waters]
    hours = max(whole_hours(asked.hours) for asked in requests)
    found = []
    for asked, forecast in zip(requests, _one_each(ahead), strict=True):
        begins(asked.saved_plan or asked.water or "")
        found.append(_outlook(asked, forecast, ahead.days, hours, settings, remark))
    return found


def _request(name: str, ahead: OutlookRequest, settings: Settings) -> PlanRequest:
    """Return what is asked of one water or saved plan."""
    water, launch = _place(name, settings)
    launch = launch or ahead.asked.launch
    asked = replace(ahead.asked, water=water, launch=launch, hours=ahead.hours)
    return fill_from_saved(asked, settings)


def _require_sound(ahead: OutlookRequest) -> None:
    if not 1 <= ahead.days <= MOST_DAYS:
        raise PlanError(f"{ahead.days}: give from 1 to {MOST_DAYS}.", field="--days")
    whole_hours(ahead.hours)
    if len(ahead.forecasts) not in (0, 1, len(ahead.waters)):
        raise PlanError(
            f"{len(ahead.forecasts)} files for {len(ahead.waters)} waters. Give one for"
            " all, or one for each in their order.",
            field="--forecast",
        )


def _one_each(ahead: OutlookRequest) -> Sequence[Path | None]:
    if len(ahead.forecasts) == len(ahead.waters):
        return ahead.forecasts
    return [ahead.forecasts[0] if ahead.forecasts else None] * len(ahead.waters)


def _outlook(
    asked: PlanRequest,
    forecast: Path | None,
    days: int,
    hours: int,
    settings: Settings,
    remark: Callable[[str], None],
) -> Outlook:
    asked = replace(asked, start="now", hours=1)
    plan, now = make_plan(asked, settings, datetime.now(UTC))
    settings = settings.at(plan.launch)
    plan = replace(plan, start=now, end=last_hour(now, days, plan.water.time_zone))
    open_around = open_water(plan, settings.folders.cache)
    briefing = load_briefing(plan, asked, settings, now, forecast, open_around)
    unheard = () if forecast else store_air(plan, now, settings)
    case, remarks = recall_case(Case(plan, briefing, open_around, settings, load_trust()))
    for text in (*remarks, *unheard, *store_measurement(plan, now, settings)):
        remark(text)
    return build_outlook(case, hours, load_rulebook())


def _place(name: str, settings: Settings) -> tuple[str, str | None]:
    """Return water and launch of "Orvel Lake:ramp"; a name may hold a colon itself."""
    whole = find_saved_plan(name, settings) or files.known(name, settings.folders.waters)
    water, colon, launch = name.rpartition(":")
    return (name, None) if whole or not colon else (water, launch.strip())


def last_hour(now: datetime, days: int, zone: str) -> datetime:
    """Return the start of the last hour of the last of some local days, today the first.

    Examples
    --------
    >>> evening = datetime(2026, 6, 13, 1, tzinfo=UTC)  # still the 12th in Chicago
    >>> last_hour(evening, 2, "America/Chicago").isoformat()
    '2026-06-14T04:00:00+00:00'
    """
    local = ZoneInfo(zone)
    last = now.astimezone(local).date() + timedelta(days=days - 1)
    return datetime(last.year, last.month, last.day, 23, tzinfo=local).astimezone(UTC)

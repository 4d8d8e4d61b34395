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
from safety_check.use_cases.planning import PlanRequest, make_plan
from safety_check.use_cases.record import recall_case
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.trust import load_trust
from safety_check.use_cases.water_memory import store_measurement
from safety_check.waters import files
from safety_check.waters.open_water import open_water

MOST_DAYS = 16  # no service here forecasts farther ahead


@dataclass(frozen=True)
class OutlookRequest:
    """A requested outlook.

    Parameters
    ----------
    waters
        Names, each perhaps with ":launch".
    days
        How many local days, today included.
    hours
        Minimum trip length, such as "4" or "4h"; a part of an hour counts as a whole one.
    forecasts
        Saved forecasts: none asks the live services, one serves all waters, else one each.
    asked
        What holds for all of them: craft, reach, water temperature, paddler, clock.
    """

    waters: tuple[str, ...]
    days: int
    hours: str
    forecasts: tuple[Path, ...]
    asked: PlanRequest

    @property
    def whole_hours(self) -> int:
        """The minimum trip length. [h]."""
        return math.ceil(parse_hours(self.hours, "--hours"))


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
    found = []
    for name, forecast in zip(ahead.waters, _one_each(ahead), strict=True):
        begins(name)
        found.append(_outlook(name, forecast, ahead, settings, remark))
    return found


def _require_sound(ahead: OutlookRequest) -> None:
    if not 1 <= ahead.days <= MOST_DAYS:
        raise PlanError(f"--days {ahead.days}: give from 1 to {MOST_DAYS}.")
    if not 1 <= ahead.whole_hours <= LONGEST:
        raise PlanError(
            f"--hours {ahead.hours}: give the length of the trip, 1 to {LONGEST} hours."
        )
    if len(ahead.forecasts) not in (0, 1, len(ahead.waters)):
        raise PlanError(
            f"--forecast: {len(ahead.forecasts)} files for {len(ahead.waters)} waters. Give one for"
            " all, or one for each in their order."
        )


def _one_each(ahead: OutlookRequest) -> Sequence[Path | None]:
    if len(ahead.forecasts) == len(ahead.waters):
        return ahead.forecasts
    return [ahead.forecasts[0] if ahead.forecasts else None] * len(ahead.waters)


def _outlook(
    name: str,
    forecast: Path | None,
    ahead: OutlookRequest,
    settings: Settings,
    remark: Callable[[str], None],
) -> Outlook:
    water, launch = _place(name, settings)
    asked = replace(
        ahead.asked, water=water, launch=launch or ahead.asked.launch, start="now", hours=1
    )
    plan, now = make_plan(asked, settings, datetime.now(UTC))
    plan = replace(plan, start=now, end=last_hour(now, ahead.days, plan.water.time_zone))
    open_around = open_water(plan, settings.folders.cache)
    briefing = load_briefing(plan, asked, settings, now, forecast, open_around)
    case, remarks = recall_case(Case(plan, briefing, open_around, settings, load_trust()))
    for text in (*remarks, *store_measurement(plan, now, settings)):
        remark(text)
    return build_outlook(case, ahead.whole_hours, load_rulebook())


def _place(name: str, settings: Settings) -> tuple[str, str | None]:
    """Return water and launch of "Heron Lake:ramp"; a water's own name may hold a colon."""
    whole = settings.folders.waters / f"{files.slug(name)}.geojson"
    water, colon, launch = name.rpartition(":")
    return (name, None) if whole.exists() or not colon else (water, launch.strip())


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

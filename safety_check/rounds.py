"""The round of use cases beside a check: which day, again at the launch, until the launch."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace
from datetime import UTC, datetime, timedelta
from datetime import time as clock_time
from pathlib import Path
from zoneinfo import ZoneInfo

from safety_check import assess, history, water_file, when
from safety_check.changes import Changes, changes
from safety_check.errors import PlanError
from safety_check.judge import judged
from safety_check.model.outlook import Outlook
from safety_check.model.plan import Plan
from safety_check.model.verdict import Verdict
from safety_check.model.weather import Briefing
from safety_check.open_water import open_water
from safety_check.outlook import LONGEST, outlook
from safety_check.planning import Asked, plan_from
from safety_check.recheck import Seen, completed, still_ahead, unasked, with_seen
from safety_check.settings import Settings
from safety_check.store import SavedCheck, Store

MOST_DAYS = 16  # no service here looks farther ahead
NOTHING_SEEN = Seen()

# -- again ---------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Again:
    """A re-check as it is asked for.

    Parameters
    ----------
    water, name
        Whose last check; None is the last of all.
    number
        This very check, whatever was checked after it.
    seen
        What the user sees.
    forecast
        A saved forecast; None asks the live services.
    offline
        Ask nobody: what the last check received must do.
    as_of
        The clock, where it is not now.
    """

    water: str | None = None
    name: str | None = None
    number: int | None = None
    seen: Seen = NOTHING_SEEN
    forecast: Path | None = None
    offline: bool = False
    as_of: str | None = None


@dataclass(frozen=True)
class Rechecked:
    """A verdict, what changed since the last one, and what the history says of both.

    Parameters
    ----------
    verdict, changes
        The answer, and what changed.
    number
        Of this check in the history; None where it could not be kept.
    remarks
        For standard error.
    """

    verdict: Verdict
    changes: Changes
    number: int | None = None
    remarks: tuple[str, ...] = ()


def last_check(
    water: str | None, name: str | None, settings: Settings, number: int | None = None
) -> SavedCheck:
    """Return the last check: of all, of a water, or of a named plan; or the one of a number.

    Raises
    ------
    PlanError
        Where there is none.
    """
    if number is not None:
        with Store.open(settings.folders.data) as store:
            return store.check(number)
    known = None if water is None else water_file.load(water, settings.folders.waters).name
    with Store.open(settings.folders.data) as store:
        last = store.last_check(name, known)
        damaged = " ".join(history.remarks_on(store))
    if last is None:
        whose = f" of {known}" if known else ""
        called = f" named {name!r}" if name else ""
        raise PlanError(
            f"the history has no check{whose}{called} yet. Make one with: safety-check check"
            f" {damaged}".rstrip()
        )
    return last


def rechecked(again: Again, settings: Settings, clock: datetime | None = None) -> Rechecked:
    """Return the verdict on the last plan as it stands now, and keep it.

    Parameters
    ----------
    again, settings
        What is asked for, and for whom.
    clock
        Now, where it is not the computer's own.
    """
    last = last_check(again.water, again.name, settings, again.number)
    zone = last.kept.plan.water.time_zone
    now = clock or datetime.now(UTC)
    if again.as_of is not None:
        now = when.parse(again.as_of, zone, now, "--as-of")
    plan = _declared(still_ahead(last.kept.plan, now), settings)
    told = _told_again(plan, again, last.kept.briefing, settings, now)
    plan_as_seen, told_and_seen = with_seen(plan, told, again.seen)
    alone = _alone(plan, told, settings) if again.seen.anything else None
    trust = assess.trust()
    done = history.checked(plan_as_seen, told_and_seen, settings, trust, last.line.name)
    since = changes(
        last.kept.verdict,
        done.verdict,
        alone or done.verdict,
        last.kept.briefing,
        told_and_seen,
    )
    return Rechecked(done.verdict, since, done.number, done.remarks)


def _declared(plan: Plan, settings: Settings) -> Plan:
    """Return a plan whose paddler has said since what was not declared then."""
    said = {
        each.name: getattr(settings.paddler, each.name)
        for each in fields(plan.paddler)
        if getattr(plan.paddler, each.name) is None
    }
    return replace(plan, paddler=replace(plan.paddler, **said))


def _told_again(
    plan: Plan, again: Again, stored: Briefing, settings: Settings, now: datetime
) -> Briefing:
    if again.offline:
        return unasked(stored, now, assess.trust().greatest_age)
    asked = Asked(as_of=again.as_of)
    return completed(assess.told(plan, asked, settings, now, again.forecast), stored)


def _alone(plan: Plan, told: Briefing, settings: Settings) -> Verdict:
    trust = assess.trust()
    past, _ = history.recalled(plan, told, settings, trust)
    return judged(plan, told, open_water(plan, settings.folders.cache), settings, trust, past)


class Watched:
    """A plan that is checked again and again, whatever else is checked meanwhile.

    Parameters
    ----------
    number
        Its last check.
    settings
        For whom.
    forecast
        A saved forecast, read anew each time; None asks the live services.
    """

    def __init__(self, number: int, settings: Settings, forecast: Path | None) -> None:
        self._number, self._settings, self._forecast = number, settings, forecast

    def again(self, now: datetime) -> Rechecked:
        """Return the verdict on the plan at a time."""
        asked = Again(number=self._number, forecast=self._forecast)
        done = rechecked(asked, self._settings, now)
        self._number = done.number or self._number
        return done


# -- the coming days ------------------------------------------------------------------------------


@dataclass(frozen=True)
class Ahead:
    """An outlook as it is asked for.

    Parameters
    ----------
    waters
        Names, each perhaps with ":launch".
    days
        How many local days, today included.
    hours
        The length of trip that is worth the drive. [h]
    forecasts
        Saved forecasts: none asks the live services, one serves all waters, else one each.
    asked
        What holds for all of them: craft, reach, water temperature, paddler, clock.
    """

    waters: tuple[str, ...]
    days: int
    hours: int
    forecasts: tuple[Path, ...]
    asked: Asked


def outlooks(
    ahead: Ahead,
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
        Called with what the user should know of the history.
    begins
        Called with each water's name before it is asked for.
    """
    _require_sound(ahead)
    found = []
    for name, forecast in zip(ahead.waters, _one_each(ahead), strict=True):
        begins(name)
        found.append(_outlook(name, forecast, ahead, settings, remark))
    return found


def _require_sound(ahead: Ahead) -> None:
    if not 1 <= ahead.days <= MOST_DAYS:
        raise PlanError(f"--days {ahead.days}: give from 1 to {MOST_DAYS}.")
    if not 1 <= ahead.hours <= LONGEST:
        raise PlanError(f"--hours {ahead.hours}: give the trip in whole hours, 1 to {LONGEST}.")
    if len(ahead.forecasts) not in (0, 1, len(ahead.waters)):
        raise PlanError(
            f"--forecast: {len(ahead.forecasts)} files for {len(ahead.waters)} waters. Give one for"
            " all, or one for each in their order."
        )


def _one_each(ahead: Ahead) -> Sequence[Path | None]:
    if len(ahead.forecasts) == len(ahead.waters):
        return ahead.forecasts
    return [ahead.forecasts[0] if ahead.forecasts else None] * len(ahead.waters)


def _outlook(
    name: str,
    forecast: Path | None,
    ahead: Ahead,
    settings: Settings,
    remark: Callable[[str], None],
) -> Outlook:
    water, launch = _place(name, settings)
    asked = replace(
        ahead.asked, water=water, launch=launch or ahead.asked.launch, start="now", hours=1
    )
    plan, now = plan_from(asked, settings, datetime.now(UTC))
    plan = replace(plan, start=now, end=last_hour(now, ahead.days, plan.water.time_zone))
    trust = assess.trust()
    briefing = assess.told(plan, asked, settings, now, forecast)
    past, remarks = history.recalled(plan, briefing, settings, trust)
    for each in remarks:
        remark(each)
    around = open_water(plan, settings.folders.cache)
    return outlook(plan, ahead.hours, briefing, around, settings, trust, past)


def _place(name: str, settings: Settings) -> tuple[str, str | None]:
    """Return water and launch of "Heron Lake:ramp"; a water's own name may hold a colon."""
    whole = settings.folders.waters / f"{water_file.slug(name)}.geojson"
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
    return datetime.combine(last, clock_time(23), tzinfo=local).astimezone(UTC)

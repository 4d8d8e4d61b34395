"""What a re-check without any service would judge, if something were seen at a time."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from safety_check.assess.quick_verdict import Between, QuickVerdict, SeaMemory, judge_quickly
from safety_check.conditions.case import Case
from safety_check.conditions.ensemble import FROM, GUST, WIND
from safety_check.model.plan import Plan
from safety_check.model.sight_table import WindClass
from safety_check.model.verdict import Severity
from safety_check.rules.rulebook import Rulebook
from safety_check.use_cases.launch_observation import WATER
from safety_check.use_cases.observed import add_values, offline_briefing, remaining_plan

HOUR = timedelta(hours=1)
NOT_LOOKED_AT = WindClass()
HOURS_ON = (0, 1, 3)  # after the start; by then there is a newer forecast to get


@dataclass(frozen=True)
class Sighting:
    """Something seen at the launch.

    Parameters
    ----------
    wind
        The class of wind.
    directions
        Where it comes from [deg true]; several stand for any of them.
    water
        Temperature of the water [K]; None where it was not measured.
    """

    wind: WindClass = NOT_LOOKED_AT
    directions: tuple[float, ...] = ()
    water: float | None = None


NOTHING = Sighting()


def times_of_sighting(plan: Plan, at: datetime) -> tuple[datetime, ...]:
    """Return when something may be seen: from an hour before the start to some hours after it.

    Parameters
    ----------
    plan, at
        The plan, and the time of its check.
    """
    first, base = max(at, plan.start - HOUR), max(at, plan.start)
    later = [base + number * HOUR for number in HOURS_ON]
    return tuple(dict.fromkeys([first, *(time for time in later if time < plan.end)]))


def case_when_seen(case: Case, at: datetime, seen: Sighting) -> Case:
    """Return what a re-check at a later time judges, without any service, if this is seen."""
    plan = remaining_plan(case.plan, at)
    briefing = offline_briefing(case.briefing, at, case.trust.greatest_age)
    for values in _values(seen):
        plan, briefing = add_values(plan, briefing, values, {WIND: seen.wind.sign})
    return replace(case, plan=plan, briefing=briefing)


def _values(seen: Sighting) -> Iterator[dict[str, float]]:
    read = {WIND: seen.wind.wind, GUST: seen.wind.gust, WATER: seen.water}
    yield {name: value for name, value in read.items() if value is not None}
    yield from ({FROM: direction} for direction in seen.directions)


class SightJudge:
    """Judges sightings of one case, each only once.

    Parameters
    ----------
    case, rulebook
        The check, and the limits that hold.
    least
        Its verdict: no sighting has a better one.
    """

    def __init__(self, case: Case, rulebook: Rulebook, least: Severity) -> None:
        self.case, self.least, self.judged = case, least, 0
        self._rulebook, self._sea, self._at = rulebook, SeaMemory(), case.briefing.at
        self._known: dict[tuple[datetime, Sighting], QuickVerdict] = {}

    def __call__(
        self, at: datetime, seen: Sighting = NOTHING, known: Between | None = None
    ) -> QuickVerdict:
        """Return the verdict if this is seen then.

        Parameters
        ----------
        at, seen
            When, and what.
        known
            What is known of it before; the answer is no better than its least.
        """
        before = self._known.get((at, seen))
        if before is not None:
            return before
        if at != self._at:
            self._sea.forget()  # every time has hours of its own
            self._at = at
        then, known = case_when_seen(self.case, at, seen), known or Between(self.least)
        found = judge_quickly(then, self._rulebook, known, self._sea)
        self.judged += 1
        if known.least == self.least or found.severity > known.least:
            self._known[at, seen] = found
        return found

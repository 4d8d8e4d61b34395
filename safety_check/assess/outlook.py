"""The coming days: each day's best window for a craft, found by search over start and length."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from safety_check.arrays import BoolArray, FloatArray, IntArray, TimeArray, hour_axis, to_utc
from safety_check.assess.verdict import describe_calibration_used
from safety_check.assess.warnings_reach import warnings_until
from safety_check.assess.water_reading import origins_of_estimate, read_water
from safety_check.assess.weighing import movement_of, weigh_hours, weigh_returns
from safety_check.conditions.case import Case
from safety_check.model.outlook import Day, Outlook
from safety_check.model.plan import Plan
from safety_check.model.verdict import Finding, Severity, Unknown, Window
from safety_check.model.water_movement import Turn
from safety_check.model.weather import Briefing
from safety_check.physics.daylight import HORIZON, solar_elevation
from safety_check.physics.odds import Tolerance
from safety_check.rules.engine import Weighing
from safety_check.rules.findings import build_finding, several_together
from safety_check.rules.hazard import Hazard
from safety_check.rules.loosened import describe_loosened
from safety_check.rules.ranking import rank_findings
from safety_check.rules.rulebook import Rulebook
from safety_check.rules.trips import LONGEST, can_reach, hazard_over_trip, judge_trips
from safety_check.rules.unknowns import best_possible, unknown_from_failure
from safety_check.rules.weighed_hours import WeighedHours


def best_first(outlooks: Iterable[Outlook]) -> list[Day]:
    """Return the days of several waters: best verdict, then best odds, longest, earliest."""
    days = [day for outlook in outlooks for day in outlook.days if day.severity is not None]
    return sorted(
        days,
        key=lambda day: (day.severity, -round(day.odds, 2), -_length(day), day.plan.start),
    )


def _length(day: Day) -> timedelta:
    return day.window.end - day.window.start if day.window else timedelta()


def build_outlook(case: Case, hours: int, rulebook: Rulebook) -> Outlook:
    """Return each day's best window.

    Parameters
    ----------
    case
        Its plan says who, where and in what; its start and end bound the outlook.
    hours
        The length of trip that is asked for, 1 to 24. [h]
    rulebook
        The limits and tables that hold.

    Notes
    -----
    All hours are weighed once. Trips begin and end on whole hours, in daylight; the hour
    of return counts with the light of its first instant, as it does in a check.
    """
    plan = case.plan
    weighed = weigh_hours(case, hour_axis(plan.start, plan.end), rulebook)
    returning = weigh_returns(case, weighed, rulebook)
    search = _search(plan, weighed, returning, best_possible(case.briefing), weighed.tolerance)
    until = warnings_until(case)
    days = tuple(search.best(day, hours) for day in np.unique(search.day))
    return Outlook(
        plan=plan,
        hours=hours,
        days=tuple(_complete(day, case, until) for day in days),
        unknown=_unknown(weighed, case.briefing),
        briefing=case.briefing,
        widening=describe_calibration_used(case, weighed),
        loosened=describe_loosened(weighed.context, weighed.tolerance.share),
        warnings_until=until,
        water=read_water(case),
        air=origins_of_estimate(case),
        turns=_turns(case),
    )


def _turns(case: Case) -> tuple[Turn, ...]:
    """Return the events of tide and current of all days; nothing on still water."""
    moving = movement_of(case)
    if moving is None:
        return ()
    from safety_check.assess.movement import list_turns  # not for still water

    return list_turns(moving, case.plan.start, case.plan.end)


def _complete(day: Day, case: Case, until: datetime | None) -> Day:
    """Return a day with the temperature of its water, and whether warnings reach to its end."""
    beyond = until is not None and day.plan.end > until
    if day.severity is None:
        return replace(day, beyond_warnings=beyond)
    return replace(day, beyond_warnings=beyond, water=read_water(replace(case, plan=day.plan)))


def _unknown(seen: WeighedHours, briefing: Briefing) -> tuple[Unknown, ...]:
    """Return what is not known in any hour, and which sources did not answer."""
    undeclared = seen.context.limits.undeclared
    never = tuple(
        _unknown_hazard(weighed.hazard, weighed.hazard.weighs in undeclared)
        for weighed in seen.weighing.hazards
        if (weighed.hours == Severity.UNKNOWN).all()
    )
    return never + tuple(map(unknown_from_failure, briefing.silences))


def _unknown_hazard(hazard: Hazard, undeclared: bool) -> Unknown:
    why = "your limit cannot be chosen" if undeclared else "not known"
    remedy = hazard.says_undeclared if undeclared else hazard.remedy
    return Unknown(hazard.quantity_label, why, remedy, Severity.UNKNOWN)


# -- the search --------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Search:
    """Every trip of whole hours: row `length - 1`, column its start.

    Parameters
    ----------
    plan
        Who, where and in what.
    seen, returning
        The hours weighed as hours under way and as hours of return.
    tolerance
        The shares of the forecasts that suffice to decide.
    day : array (hour,)
        The local day of each hour.
    possible, severity, go : array (length, hour)
        Whether a trip is in the daylight of one day and in the future; its verdict; the share of
        the forecasts in which it stays GO.
    """

    plan: Plan
    seen: WeighedHours
    returning: Weighing
    tolerance: Tolerance
    day: TimeArray
    possible: BoolArray
    severity: IntArray
    go: FloatArray

    def best(self, day: np.datetime64, hours: int) -> Day:
        """Return a day's best window, and the best trip of the asked length in it."""
        possible = self.possible & (self.day == day)
        asked = possible & (np.arange(1, LONGEST + 1) >= hours)[:, None]
        if not asked.any():
            return Day(_date(day), self.plan)
        severity = Severity(int(self.severity[asked].min()))
        good = asked & (self.severity <= severity)
        start, length = self._longest(good)
        best = self._best_start(good[hours - 1], start, start + length - hours, hours)
        proved = severity < Severity.UNKNOWN
        return Day(
            date=_date(day),
            plan=replace(self.plan, start=self._moment(best), end=self._moment(best + hours)),
            severity=severity,
            odds=float(self.go[hours - 1, best]),
            window=self._window(start, length, severity) if proved else None,
            why=self._why(best, hours, severity),
            ends=self._end(start + length, severity) if proved else None,
            shorter=self._shorter(possible, severity),
        )

    def _longest(self, good: BoolArray) -> tuple[int, int]:
        """Return start and length of the longest good trip; of several the best odds."""
        length = int(np.flatnonzero(good.any(axis=1))[-1]) + 1
        starts = np.flatnonzero(good[length - 1])
        return int(starts[np.argmax(self.go[length - 1, starts])]), length

    def _best_start(self, good: BoolArray, first: int, last: int, hours: int) -> int:
        """Return the start with the best odds, of a trip within a window."""
        starts = first + np.flatnonzero(good[first : last + 1])
        return int(starts[np.argmax(self.go[hours - 1, starts])])

    def _shorter(self, possible: BoolArray, severity: Severity) -> Window | None:
        """Return the longest trip with the best verdict, if that is better than at full length."""
        better = int(self.severity[possible].min())
        if better >= min(severity, Severity.UNKNOWN):
            return None
        start, length = self._longest(possible & (self.severity == better))
        return self._window(start, length, Severity(better))

    def _why(self, start: int, hours: int, severity: Severity) -> Finding | None:
        """Return the finding that decides a trip."""
        if severity == Severity.GO:
            return None
        under_way = np.arange(start, start + hours)
        return self._worst(self.seen.weighing, under_way, severity) or self._worst(
            self.returning, np.array([start + hours]), severity
        )

    def _end(self, end: int, severity: Severity) -> Finding | None:
        """Return what first makes a longer trip worse: in its last hour, or on the return."""
        worse = Severity(severity + 1)
        if not self.possible[0, end]:
            return None
        return self._worst(self.seen.weighing, np.array([end]), worse) or self._worst(
            self.returning, np.array([end + 1]), worse
        )

    def _worst(self, weighing: Weighing, hours: IntArray, at_least: Severity) -> Finding | None:
        """Return the worst finding over some hours, where it is bad enough."""
        context, conditions = self.seen.context, self.seen.conditions
        # Below `at_least` it does not matter how severe a hazard is.
        severities = [
            hazard_over_trip(hazard, weighing.weights, hours, self.tolerance)
            if can_reach(hazard, hours, at_least)
            else np.array(int(Severity.GO))
            for hazard in weighing.hazards
        ]
        found = [
            build_finding(hazard, weighing, hours, context, self.tolerance, conditions)
            for hazard, severity in zip(weighing.hazards, severities, strict=True)
            if severity >= at_least
        ]
        together = several_together(weighing, hours, self.tolerance, severities)
        found += [finding for finding in together if finding.severity >= at_least]
        return next(iter(rank_findings(found)), None)

    def _window(self, start: int, length: int, severity: Severity) -> Window:
        return Window(self._moment(start), self._moment(start + length), severity)

    def _moment(self, hour: int) -> datetime:
        return to_utc(self.seen.weighing.time[hour])


def _search(
    plan: Plan, seen: WeighedHours, returning: Weighing, held: Severity, tolerance: Tolerance
) -> _Search:
    time = seen.weighing.time
    day = local_days(plan, time)
    table = judge_trips(seen.weighing, returning, held, tolerance)
    return _Search(
        plan=plan,
        seen=seen,
        returning=returning,
        tolerance=tolerance,
        day=day,
        possible=trips_in_daylight(plan, time, day),
        severity=table.severity,
        go=table.go,
    )


def local_days(plan: Plan, time: TimeArray) -> TimeArray:
    """Return the day of each hour by the water's clock."""
    zone = ZoneInfo(plan.water.time_zone)
    return np.array([to_utc(hour).astimezone(zone).date() for hour in time], "datetime64[D]")


def trips_in_daylight(plan: Plan, time: TimeArray, day: TimeArray) -> BoolArray:
    """Return which trips are in the daylight of one local day and not in the past."""
    place = (plan.launch.latitude, plan.launch.longitude)
    light = solar_elevation(*place, time) >= HORIZON
    possible = np.zeros((LONGEST, len(time)), dtype=bool)
    so_far = light & (time >= np.datetime64(plan.start.astimezone(UTC).replace(tzinfo=None), "s"))
    for length in range(1, min(LONGEST, len(time) - 1) + 1):
        so_far = so_far[:-1] & light[length:] & (day[length:] == day[:-length])
        possible[length - 1, :-length] = so_far
    return possible


def _date(day: np.datetime64) -> date:
    return date.fromisoformat(str(day))

"""Every trip of one length that began in some past hours, judged as a check would judge it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np

from safety_check.arrays import FloatArray, IntArray, TimeArray, hour_axis, to_utc
from safety_check.assess.weighing import weigh_hours, weigh_parts, weigh_returns
from safety_check.conditions.case import Case
from safety_check.conditions.course import farthest_in_trip
from safety_check.conditions.ensemble import HOUR
from safety_check.conditions.hour_parts import HourParts, hours_of, return_hours, whole_hours
from safety_check.conditions.light import light
from safety_check.model.climate import NotCounted
from safety_check.model.plan import Plan
from safety_check.model.verdict import Severity
from safety_check.rules.engine import Weighing
from safety_check.rules.rulebook import Rulebook
from safety_check.rules.trips import LONGEST, judge_trips
from safety_check.rules.unknowns import best_possible
from safety_check.rules.weighed_hours import WeighedHours


@dataclass(frozen=True)
class Hindcast:
    """The verdicts on past trips of one length, each begun on a whole hour.

    Parameters
    ----------
    start : array (trip,)
        UTC, ascending.
    severity : array (trip,)
        The verdict.
    by_hazard
        Hazard → its severity over the trip (trip,).
    longest : array (trip,)
        The longest trip begun at that hour that is a GO. [h]
    not_counted
        What such a record can't show, so that no verdict counts it.
    """

    start: TimeArray
    severity: IntArray
    by_hazard: Mapping[str, IntArray]
    longest: IntArray
    not_counted: tuple[NotCounted, ...] = ()


@dataclass(frozen=True)
class Parts:
    """A part of each hour, and the light in it."""

    parts: HourParts
    lights: Mapping[str, FloatArray]


def judge_past(case: Case, hours: TimeArray, rulebook: Rulebook) -> Hindcast:
    """Return the verdicts on every trip that began in some past hours.

    Parameters
    ----------
    case
        Its plan begins on a whole hour and lasts whole hours; only its length, craft, paddler and
        course count. Its briefing holds what the weather was, as one forecast of one run.
    hours : array (hour,)
        Start of each hour, UTC, without a gap. Trips that reach beyond the last are left out.
    rulebook
        The limits that hold, and the hazards that such a record can show.

    Notes
    -----
    Each hour of each trip is judged as in a check of that trip: by how far from the launch it can
    have come by then, and the last one for the margin after its end. Only `longest` is judged
    with the whole reach in each hour, as an outlook does, so it is the same or shorter.
    """
    case = replace(case, plan=_begun_at(case.plan, to_utc(hours[0])))
    whole = weigh_hours(case, hours, rulebook)
    floor = int(best_possible(case.briefing))
    by_hour = _hours_of_trips(case, whole, rulebook)
    count = len(hours) - len(by_hour) + 1
    severity = np.maximum.reduce(
        [weighing.hours[at : at + count] for at, weighing in enumerate(by_hour)]
    )
    by_hazard = {
        one.hazard.name: np.maximum.reduce(
            [weighing.hazards[place].hours[at : at + count] for at, weighing in enumerate(by_hour)]
        )
        for place, one in enumerate(by_hour[0].hazards)
    }
    return Hindcast(
        start=hours[:count],
        severity=np.maximum(severity, floor),
        by_hazard=by_hazard,
        longest=_longest_go(case, whole, rulebook)[:count],
    )


def _begun_at(plan: Plan, start: datetime) -> Plan:
    return replace(plan, start=start, end=start + (plan.end - plan.start))


def _hours_of_trips(case: Case, whole: WeighedHours, rulebook: Rulebook) -> list[Weighing]:
    """Return all hours weighed as the first hour of a trip, as the second, … as the last.

    The last is the margin after the trip's end.
    """
    plan, margin, hours = case.plan, rulebook.course.margin, whole.conditions.time
    own = hour_axis(plan.start, plan.end + timedelta(seconds=margin))
    distances = farthest_in_trip(plan, own, rulebook.course)[hours_of(plan, own, margin)]
    under_way = Parts(whole_hours(len(hours)), light(plan.launch, hours, hours + HOUR))
    after_end = Parts(return_hours(len(hours), margin), light(plan.launch, hours, hours))
    *away, last = distances.tolist()
    weighed = {
        distance: _weigh_all(case, whole, under_way, distance, rulebook) for distance in {*away}
    }
    ends = _weigh_all(case, whole, after_end, last, rulebook)
    return [*(weighed[distance] for distance in away), ends]


def _weigh_all(
    case: Case, whole: WeighedHours, of_hours: Parts, within: float, rulebook: Rulebook
) -> Weighing:
    """Return the same part of all hours weighed, within a distance of the launch [m]."""
    everywhere = np.full(len(whole.conditions.time), within)
    conditions = whole.conditions.in_parts(of_hours.parts, of_hours.lights, everywhere)
    return weigh_parts(case, whole, conditions, rulebook)


def _longest_go(case: Case, whole: WeighedHours, rulebook: Rulebook) -> IntArray:
    """Return the length of the longest trip from each hour that is a GO. [h]."""
    returning = weigh_returns(case, whole, rulebook)
    table = judge_trips(whole.weighing, returning, best_possible(case.briefing), whole.tolerance)
    good = table.severity == Severity.GO
    longest: IntArray = np.where(good.any(axis=0), LONGEST - np.argmax(good[::-1], axis=0), 0)
    return longest

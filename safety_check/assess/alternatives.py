"""What would make a trip better: small changes to its plan, judged like the plan itself."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import timedelta
from itertools import islice
from zoneinfo import ZoneInfo

import numpy as np

from safety_check.arrays import to_datetime64, to_utc
from safety_check.assess.verdict import Assessment, judge_again, judge_in_brief
from safety_check.conditions.case import Case
from safety_check.errors import SafetyCheckError
from safety_check.model.plan import Plan
from safety_check.model.verdict import Alternative, Severity, Verdict
from safety_check.rules.ranking import MISSING_SOURCE, SEVERAL_TOGETHER
from safety_check.rules.rulebook import Rulebook

MOST = 5  # alternatives that are listed
MOST_JUDGED_AGAIN = 5  # of the changes that leave the water as it is
MOST_WATERS = 2  # each asks the services for its own forecast
MOST_JUDGED_ANEW = 2  # of those that go elsewhere on the water: they take most of the time

# The hazards that a change can help against. Other changes are not judged, which saves time;
# whether a change really helps is decided by judging it.
PLACE = frozenset(
    {
        *("capsize_by_waves", "offshore_wind", "too_far_to_swim"),
        *("slow_way_home", "dark_is_near", "dusk_before_home"),
    }
)
WIND = frozenset({"wind_too_strong", "gusts_too_strong"})
HELPS = {
    "from_shore": PLACE,
    "reach": PLACE,
    "launch": PLACE,
    "company": WIND | {"too_far_to_swim"},
    "wearing": frozenset({"cold_water", "cold_air_over_cold_water", "too_far_to_swim"}),
    "craft": WIND | PLACE | {"held_in_place"},
}
OF_THE_PADDLER = frozenset({"no_life_jacket", "overloaded", "company_not_declared"})
FOLLOWS = {"worse_before_home", SEVERAL_TOGETHER}  # from the other hazards


@dataclass(frozen=True)
class Change:
    """A change to a plan that its owner could make.

    Parameters
    ----------
    kind
        As in `Alternative`.
    cost
        How much it changes, to put those first that change least.
    option
        The options of `check` that make it.
    case
        Returns the case with the change.
    elsewhere
        Whether the water around the trip is another one.
    """

    kind: str
    cost: float
    option: str
    case: Callable[[], Case]
    elsewhere: bool = False


def find_alternatives(
    case: Case, made: Assessment, changes: Iterable[Change], rulebook: Rulebook
) -> tuple[Alternative, ...]:
    """Return the changes that give a better verdict: the best first, then those that change least.

    Of two changes of one kind with the same verdict only the smaller is listed.

    Parameters
    ----------
    case, made
        The plan as it is, and its verdict.
    changes
        The changes of place, craft and paddler; the changes of its times are found here.
    rulebook
        The limits and tables that hold.
    """
    verdict = made.verdict
    if verdict.severity == Severity.GO or MISSING_SOURCE in _deciding(verdict):
        return ()
    possible = [change for change in changes if _can_help(change, verdict)]
    again = [*_other_times(case, made), *(one for one in possible if not one.elsewhere)]
    waters = [one for one in possible if one.kind == "water"]
    anew = [one for one in possible if one.elsewhere and one.kind != "water"]
    tried = [
        *_least(again, MOST_JUDGED_AGAIN),
        *_least(anew, MOST_JUDGED_ANEW),
        *_least(waters, MOST_WATERS),
    ]
    found = [(change, one) for change in tried if (one := _judged(change, case, made, rulebook))]
    found.sort(key=lambda pair: (pair[1].severity, pair[0].cost))
    smallest = {(one.kind, one.plan.start, one.severity): id(one) for _, one in reversed(found)}
    return tuple(one for _, one in found if id(one) in smallest.values())[:MOST]


def _least(changes: Iterable[Change], most: int) -> list[Change]:
    return list(islice(sorted(changes, key=lambda change: change.cost), most))


def _deciding(verdict: Verdict) -> set[str]:
    return {finding.hazard for finding in verdict.findings if finding.severity == verdict.severity}


def _can_help(change: Change, verdict: Verdict) -> bool:
    if change.kind == "water":  # other weather, other waves; the paddler is the same
        return not _deciding(verdict) & OF_THE_PADDLER
    return _deciding(verdict) - FOLLOWS <= HELPS[change.kind]


def _judged(change: Change, case: Case, made: Assessment, rulebook: Rulebook) -> Alternative | None:
    """Return a change with its verdict; None where that is not better, or worse than MARGINAL."""
    try:
        changed = change.case()
        severity, reason = (
            judge_in_brief(changed, rulebook)
            if change.elsewhere
            else judge_again(changed, made.whole, rulebook)
        )
    except SafetyCheckError:
        # what cannot be judged, such as a craft with impossible figures, is not an alternative
        return None
    if severity >= made.verdict.severity or severity > Severity.MARGINAL:
        return None
    return Alternative(change.kind, changed.plan, severity, reason, change.option)


# -- earlier, later, shorter -------------------------------------------------------------------


def _other_times(case: Case, made: Assessment) -> Iterator[Change]:
    """Yield the trips of whole hours that look better and change least.

    Three are enough: one of the same length, one that begins with the plan, and the one that
    changes least of all. They are judged again.
    """
    hours, severity = made.whole.weighing.time, made.trips.severity
    longest = math.ceil((case.plan.end - case.plan.start).total_seconds() / 3600)
    now, begins = to_datetime64(case.briefing.at), to_datetime64(case.plan.start)
    later = (hours - begins) / np.timedelta64(1, "h")
    length = np.arange(1, len(severity) + 1)[:, None]
    cost = np.abs(later)[None, :] + np.maximum(longest - length, 0)
    allowed = (length <= longest) & (hours >= now)[None, :] & (severity < made.verdict.severity)
    best = np.where(allowed & (severity <= Severity.MARGINAL), severity, Severity.NO_GO).min()
    if best > Severity.MARGINAL:
        return
    good = np.where(allowed & (severity == best), cost, np.inf)
    whole = [good, np.where(length == longest, good, np.inf)]
    whole.append(np.where((later >= 0) & (later < 1), good, np.inf))
    chosen = {int(np.argmin(costs)) for costs in whole if np.isfinite(costs).any()}
    for at in sorted(chosen):
        row, column = divmod(at, severity.shape[1])
        yield _at_time(case, made, column, row + 1, float(cost[row, column]))


def _at_time(case: Case, made: Assessment, hour: int, length: int, cost: float) -> Change:
    start = to_utc(made.whole.weighing.time[hour])
    plan = replace(case.plan, start=start, end=start + timedelta(hours=length))
    return Change("time", cost, _times_in_words(plan), lambda: replace(case, plan=plan))


def _times_in_words(plan: Plan) -> str:
    local = plan.start.astimezone(ZoneInfo(plan.water.time_zone))
    hours = round((plan.end - plan.start).total_seconds() / 3600)
    return f'--start "{local:%Y-%m-%d %H:%M}" --hours {hours}'

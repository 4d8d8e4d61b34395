"""Judge many cases at once: verdicts as arrays, without prose."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from safety_check.arrays import FloatArray, IntArray, TimeArray, hour_axis
from safety_check.assess.weighing import assessment_hours, weigh_hours, weigh_returns, weigh_trip
from safety_check.conditions.case import Case
from safety_check.model.verdict_arrays import Decided, OutlookArrays, VerdictArrays
from safety_check.rules.deciding import decide_hours, decide_plan, hazard_names
from safety_check.rules.rulebook import Rulebook
from safety_check.rules.trips import judge_trips
from safety_check.rules.unknowns import best_possible

NO_TIME = np.datetime64("NaT", "s")


def judge_many(cases: Sequence[Case], rulebook: Rulebook) -> VerdictArrays:
    """Return the verdict on each case, as a check of it would give.

    Parameters
    ----------
    cases
        One for each site. They may differ in everything.
    rulebook
        The limits and tables that hold.

    Raises
    ------
    ValueError
        Where there is no case.
    """
    _require_cases(cases)
    names = hazard_names(rulebook.hazards)
    times, plans, hours = zip(*(_judge(case, rulebook, names) for case in cases), strict=True)
    return VerdictArrays(names, _filled(times, NO_TIME), _stacked(plans), _stacked(hours))


def _judge(
    case: Case, rulebook: Rulebook, names: tuple[str, ...]
) -> tuple[TimeArray, Decided, Decided]:
    around = assessment_hours(case.plan, case.briefing.at, rulebook.course.margin)
    weighed = weigh_trip(case, weigh_hours(case, around, rulebook), rulebook)
    held, weighing = np.array(best_possible(case.briefing)), weighed.weighing
    limits = weighed.context.limits.limits
    plan = decide_plan(weighing, weighed.trip, weighed.tolerance, held, limits, names)
    return around, plan, decide_hours(weighing, held, names)


def outlook_many(cases: Sequence[Case], rulebook: Rulebook) -> OutlookArrays:
    """Return every hour, and every trip of 1 to 24 whole hours, from each plan's start to its end.

    Parameters
    ----------
    cases
        One for each site. Its plan says who, where and in what; its start and end bound the hours.
    rulebook
        The limits and tables that hold.

    Raises
    ------
    ValueError
        Where there is no case.
    """
    _require_cases(cases)
    names = hazard_names(rulebook.hazards)
    times, hours, trips, go = zip(
        *(_look_out(case, rulebook, names) for case in cases), strict=True
    )
    return OutlookArrays(
        names,
        _filled(times, NO_TIME),
        _stacked(hours),
        _filled(trips, -1),
        _filled(go, np.nan),
    )


def _look_out(
    case: Case, rulebook: Rulebook, names: tuple[str, ...]
) -> tuple[TimeArray, Decided, IntArray, FloatArray]:
    hours = hour_axis(case.plan.start, case.plan.end)
    whole = weigh_hours(case, hours, rulebook)
    returning = weigh_returns(case, whole, rulebook)
    held = np.array(best_possible(case.briefing))
    table = judge_trips(whole.weighing, returning, held, whole.tolerance)
    return hours, decide_hours(whole.weighing, held, names), table.severity, table.go


def _require_cases(cases: Sequence[Case]) -> None:
    if not cases:
        raise ValueError("There is no case to judge.")


# -- sites of different lengths --------------------------------------------------------------------


def _stacked(parts: Sequence[Decided]) -> Decided:
    """Return what was decided at each site, as arrays with the sites first."""
    hourly = parts[0].severity.ndim > 0
    odds = _filled([np.moveaxis(one.odds, -1, 0) for one in parts], np.nan, hourly)
    return Decided(
        _filled([one.severity for one in parts], -1, hourly),
        _filled([one.decides for one in parts], -1, hourly),
        np.moveaxis(odds, 1, -1),
    )


def _filled(rows: Sequence[np.ndarray], nothing: object, hourly: bool = True) -> np.ndarray:
    """Return rows stacked along a new first axis; shorter ones are filled up with nothing."""
    if not hourly:
        return np.stack(rows)
    longest = max(row.shape[-1] for row in rows)
    filled = np.full((len(rows), *rows[0].shape[:-1], longest), nothing, rows[0].dtype)
    for site, row in enumerate(rows):
        filled[site, ..., : row.shape[-1]] = row
    return filled

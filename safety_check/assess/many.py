"""Judge many cases at once: verdicts as arrays, without prose."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Sequence

import numpy as np

from safety_check.arrays import TimeArray, hour_axis
from safety_check.assess.blocks import (
    Block,
    prepare_site,
    shape_of,
    stackable,
    weigh_block,
    weigh_block_returns,
    weigh_block_trips,
)
from safety_check.assess.weighing import assessment_hours, weigh_hours, weigh_returns, weigh_trip
from safety_check.conditions.case import Case
from safety_check.model.verdict_arrays import Decided, OutlookArrays, VerdictArrays
from safety_check.rules.deciding import decide_hours, decide_plan, hazard_names
from safety_check.rules.deciding_trips import decide_trips
from safety_check.rules.rulebook import Rulebook
from safety_check.rules.trips import judge_trips
from safety_check.rules.unknowns import best_possible

NO_TIME = np.datetime64("NaT", "s")
BLOCK = 64  # sites weighed together; more are hardly faster, and need more memory


def judge_many(cases: Sequence[Case], rulebook: Rulebook, block: int = BLOCK) -> VerdictArrays:
    """Return the verdict on each case, as a check of it would give, to the last bit.

    Parameters
    ----------
    cases
        One for each site. They may differ in everything. Those with the same craft, paddler,
        settings, models and hours are weighed together. Cases on water that moves, with observed
        waves or wind directions, or with a way home along a route are weighed one by one.
    rulebook
        The limits and tables that hold.
    block
        How many sites are weighed together at most, which bounds the memory.

    Raises
    ------
    ValueError
        Where there is no case.

    Notes
    -----
    What is prepared for a site alone, such as its forecasts on one time axis, its light and its
    ways home, is prepared site by site: it takes about a hundredth of the time.
    """
    names = hazard_names(rulebook.hazards)

    def hours_of_case(case: Case) -> TimeArray:
        return assessment_hours(case.plan, case.briefing.at, rulebook.course.margin)

    def of_block(weighed: Block) -> list[np.ndarray]:
        trip = weigh_block_trips(weighed, rulebook)
        at, limits = weighed.sites[0].trip, weighed.limits.limits
        plans = decide_plan(trip, at, weighed.tolerance, weighed.held, limits, names)
        hours = decide_hours(trip, weighed.held[:, None], names)
        return [*_by_plan(plans), *_by_hour(hours)]

    def of_case(case: Case, hours: TimeArray) -> list[np.ndarray]:
        weighed = weigh_trip(case, weigh_hours(case, hours, rulebook), rulebook)
        held, trip = np.array(int(best_possible(case.briefing))), weighed.weighing
        limits = weighed.context.limits.limits
        plan = decide_plan(trip, weighed.trip, weighed.tolerance, held, limits, names)
        return [*_by_plan(plan), *_by_hour(decide_hours(trip, held, names))]

    found = _all_sites(cases, rulebook, block, (hours_of_case, of_block, of_case))
    time, *rest = found
    plans = Decided(*(np.stack(one) for one in rest[:3]))
    return VerdictArrays(names, _filled(time, NO_TIME), plans, _decided(rest[3:]))


def outlook_many(cases: Sequence[Case], rulebook: Rulebook, block: int = BLOCK) -> OutlookArrays:
    """Return every hour, and every trip of 1 to 24 whole hours, from each plan's start to its end.

    Parameters
    ----------
    cases
        One for each site. Its plan says who, where and in what; its start and end bound the hours.
    rulebook, block
        As for `judge_many`.

    Raises
    ------
    ValueError
        Where there is no case.
    """
    names = hazard_names(rulebook.hazards)

    def hours_of_case(case: Case) -> TimeArray:
        return hour_axis(case.plan.start, case.plan.end)

    def of_block(weighed: Block) -> list[np.ndarray]:
        back = weigh_block_returns(weighed, rulebook)
        held = weighed.held[:, None]
        whole, share = weighed.weighing, weighed.tolerance
        table = judge_trips(whole, back, held, share)
        decides = decide_trips(whole, back, table, held, share, names)
        trips = (np.moveaxis(one, 1, 0) for one in (table.severity, decides, table.go))
        return [*_by_hour(decide_hours(whole, held, names)), *trips]

    def of_case(case: Case, hours: TimeArray) -> list[np.ndarray]:
        whole = weigh_hours(case, hours, rulebook)
        held = np.array(int(best_possible(case.briefing)))
        back, share = weigh_returns(case, whole, rulebook), whole.tolerance
        table = judge_trips(whole.weighing, back, held, share)
        decides = decide_trips(whole.weighing, back, table, held, share, names)
        by_hour = _by_hour(decide_hours(whole.weighing, held, names))
        return [*by_hour, table.severity, decides, table.go]

    found = _all_sites(cases, rulebook, block, (hours_of_case, of_block, of_case))
    time, *rest = found
    return OutlookArrays(
        hazards=names,
        time=_filled(time, NO_TIME),
        hours=_decided(rest[:3]),
        trips=_filled(rest[3], -1),
        decides=_filled(rest[4], -1),
        go=_filled(rest[5], np.nan),
    )


def _by_hour(decided: Decided) -> tuple[np.ndarray, ...]:
    """Return what was decided in each hour, with the hours as last axis."""
    return decided.severity, decided.decides, np.moveaxis(decided.odds, -1, -2)


def _by_plan(decided: Decided) -> tuple[np.ndarray, ...]:
    return decided.severity, decided.decides, decided.odds


# -- sites in blocks -------------------------------------------------------------------------------

Jobs = tuple[
    Callable[[Case], TimeArray],
    Callable[[Block], list[np.ndarray]],
    Callable[[Case, TimeArray], list[np.ndarray]],
]


def _all_sites(
    cases: Sequence[Case], rulebook: Rulebook, block: int, jobs: Jobs
) -> list[list[np.ndarray]]:
    """Return the hours of every case and what the jobs find, each a list by case."""
    if not cases:
        raise ValueError("There is no case to judge.")
    hours_of_case, of_block, of_case = jobs
    hours = [hours_of_case(case) for case in cases]
    found: list[list[np.ndarray]] = [[] for _ in cases]
    for some in _chunks(range(len(cases)), block):
        sites = {at: prepare_site(cases[at], hours[at], rulebook) for at in some}
        together: dict[Hashable, list[int]] = {}
        for at, site in sites.items():
            if stackable(site):
                together.setdefault(shape_of(site), []).append(at)
            else:
                found[at] = [hours[at], *of_case(cases[at], hours[at])]
        for group in together.values():
            arrays = of_block(weigh_block([sites[at] for at in group], rulebook))
            for row, at in enumerate(group):
                found[at] = [hours[at], *(array[row] for array in arrays)]
    return [list(one) for one in zip(*found, strict=True)]


def _chunks(numbers: range, most: int) -> Iterator[range]:
    for first in range(0, len(numbers), most):
        yield numbers[first : first + most]


# -- sites of different lengths --------------------------------------------------------------------


def _decided(parts: Sequence[Sequence[np.ndarray]]) -> Decided:
    """Return what was decided in each hour of each site, as arrays with the sites first."""
    severity, decides, odds = parts
    by_hour = np.moveaxis(_filled(odds, np.nan), 1, -1)
    return Decided(_filled(severity, -1), _filled(decides, -1), by_hour)


def _filled(rows: Sequence[np.ndarray], nothing: object) -> np.ndarray:
    """Return rows stacked along a new first axis; shorter ones are filled up with nothing."""
    longest = max(row.shape[-1] for row in rows)
    filled = np.full((len(rows), *rows[0].shape[:-1], longest), nothing, rows[0].dtype)
    for site, row in enumerate(rows):
        filled[site, ..., : row.shape[-1]] = row
    return filled

"""The best trip of each day at many launches, without prose."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

import numpy as np

from safety_check.arrays import to_utc
from safety_check.assess.many import BLOCK, outlook_many
from safety_check.assess.outlook import local_days, trips_in_daylight
from safety_check.conditions.case import Case
from safety_check.model.plan import Plan
from safety_check.model.verdict import Severity
from safety_check.model.verdict_arrays import OutlookArrays
from safety_check.rules.rulebook import Rulebook


@dataclass(frozen=True)
class BestTrip:
    """The best trip of one local day.

    Parameters
    ----------
    day
        By the water's clock.
    severity
        None where the day's light leaves no trip so long.
    start, end
        UTC; None likewise.
    go
        Share of the forecasts in which it stays GO. [1]
    decides
        The hazard that decides it; "several_together" where no hazard alone makes it so bad,
        "missing_source" where a source did not answer, empty where it is a GO.
    """

    day: date
    severity: Severity | None
    start: datetime | None = None
    end: datetime | None = None
    go: float = 0.0
    decides: str = ""


def best_trips(
    cases: Sequence[Case], length: int, rulebook: Rulebook, block: int = BLOCK
) -> Iterator[tuple[BestTrip, ...]]:
    """Yield the best trips of each launch, one for each day of its plan.

    Parameters
    ----------
    cases
        One for each launch. Its plan says who, where and in what; its start and end bound the days.
    length
        Of the trips, 1 to 24 whole hours. [h]
    rulebook
        The limits and tables that hold.
    block
        How many sites are weighed together at most.

    Notes
    -----
    A day's verdict is that of its best trip in daylight, as in an outlook; of several the one with
    the best odds, then the earliest.
    """
    found = outlook_many(cases, rulebook, block)
    for site, case in enumerate(cases):
        yield tuple(_of_site(found, site, case.plan, length))


def _of_site(found: OutlookArrays, site: int, plan: Plan, length: int) -> Iterator[BestTrip]:
    known = ~np.isnat(found.time[site])
    time = found.time[site][known]
    days = local_days(plan, time)
    possible = trips_in_daylight(plan, time, days)[length - 1]
    severity = found.trips[site, length - 1][known]
    decides = found.decides[site, length - 1][known]
    go = found.go[site, length - 1][known]
    for day in np.unique(days):
        starts = np.flatnonzero(possible & (days == day))
        if not starts.size:
            yield BestTrip(day.item(), None)
            continue
        best = starts[np.lexsort((starts, -go[starts], severity[starts]))[0]]
        start = to_utc(time[best])
        yield BestTrip(
            day=day.item(),
            severity=Severity(int(severity[best])),
            start=start,
            end=start + timedelta(hours=length),
            go=float(go[best]),
            decides=found.hazards[decides[best]] if severity[best] > Severity.GO else "",
        )

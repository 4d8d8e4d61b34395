"""The verdict on a case by bounds of the sea, where they already decide it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.assess.weighing import assessment_hours, weigh_hours, weigh_trip
from safety_check.conditions.case import Case
from safety_check.conditions.ensemble import SEA, SeaLaw
from safety_check.model.verdict import Severity
from safety_check.physics.growth_through_hours import height_through_hours
from safety_check.physics.sea_bounds import most_sea, no_sea
from safety_check.rules.findings import list_findings, severities_over_trip, severity_of_plan
from safety_check.rules.ranking import rank_findings
from safety_check.rules.rulebook import Rulebook
from safety_check.rules.weighed_hours import WeighedHours


@dataclass(frozen=True)
class QuickVerdict:
    """A verdict that is no better than a least one, and what decides it.

    Parameters
    ----------
    severity
        The verdict, or the least one where that is worse.
    reason
        A finding of that severity; empty where the least one is not exceeded.
    worse
        Hazard → its severity over the trip, where it is worse than GO; likewise.
    """

    severity: Severity
    reason: str = ""
    worse: Mapping[str, Severity] | None = None


class SeaMemory:
    """A law of the sea that computes each sea once, until it is told to forget them.

    Parameters
    ----------
    law
        As `height_through_hours`.
    """

    def __init__(self, law: SeaLaw = height_through_hours) -> None:
        self._law = law
        self._known: dict[tuple[object, ...], FloatArray] = {}

    def __call__(
        self,
        wind_speed: FloatArray,
        wind_from_direction: FloatArray,
        bearing: FloatArray,
        fetch: FloatArray,
        depth: float = np.inf,
    ) -> FloatArray:
        """Return the sea as the law gives it."""
        given = wind_speed, wind_from_direction, bearing, fetch
        key = (*(one.tobytes() for one in given), depth)
        if key not in self._known:
            self._known[key] = self._law(*given, depth)
        return self._known[key]

    def forget(self) -> None:
        """Forget every sea: they take memory."""
        self._known.clear()


@dataclass(frozen=True)
class Between:
    """What is known of a verdict before it is judged.

    Parameters
    ----------
    least, most
        It is no better and no worse than these.
    worse_expected
        Whether it is probably worse than the least; that only decides what is tried first.
    """

    least: Severity = Severity.GO
    most: Severity = Severity.NO_GO
    worse_expected: bool = False


def judge_quickly(
    case: Case, rulebook: Rulebook, known: Between, law: SeaLaw = height_through_hours
) -> QuickVerdict:
    """Return the verdict on a case, no better than the least one known.

    Parameters
    ----------
    case, rulebook
        What to judge, and the limits that hold.
    known
        What is known of the verdict before.
    law
        How the wind raises the sea, where the bounds do not decide.

    Notes
    -----
    The sea takes most of the time of a judgement, and more sea never makes a better verdict. So
    the case is judged with more sea than there can be, and with none; only where the two
    differ is the sea computed. Where waves were observed, or meet a current, the bounds may not
    hold, so the sea is computed at once.
    """
    observed = any(seen.quantity == SEA for seen in case.briefing.observations)
    if observed or case.plan.water.moves:
        return _told(case, _judged(case, rulebook, law), known.least)
    low = None
    if known.worse_expected:
        low = _judged(case, rulebook, no_sea)
        if low.severity >= known.most:
            return _told(case, low, known.least)
    high = _judged(case, rulebook, most_sea)
    if high.severity <= known.least or not high.waves:
        return _told(case, high, known.least)
    low = low or _judged(case, rulebook, no_sea)
    if low.severity == high.severity:
        return _told(case, low, known.least)
    return _told(case, _judged(case, rulebook, law), known.least)


@dataclass(frozen=True)
class _Judged:
    """A weighed trip, its verdict, and whether waves are worse than GO anywhere in it."""

    weighed: WeighedHours
    severity: Severity
    waves: bool


def _judged(case: Case, rulebook: Rulebook, law: SeaLaw) -> _Judged:
    hours = assessment_hours(case.plan, case.briefing.at, rulebook.course.margin)
    whole = weigh_hours(case, hours, rulebook, law)
    weighed = weigh_trip(case, whole, rulebook)
    waves = any(
        bool((one.members > Severity.GO).any())
        for part in (whole, weighed)
        for one in part.weighing.hazards
        if one.hazard.weighs == SEA
    )
    return _Judged(weighed, severity_of_plan(case, weighed), waves)


def _told(case: Case, judged: _Judged, least: Severity) -> QuickVerdict:
    if judged.severity <= least:
        return QuickVerdict(least)
    findings = rank_findings(list_findings(case, judged.weighed, judged.severity))
    found = severities_over_trip(judged.weighed)
    worse = {hazard: level for hazard, level in found.items() if level > Severity.GO}
    return QuickVerdict(judged.severity, findings[0].short, worse)

"""Judge everything that can be seen at the launch when the check is made, for a saved page."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime

import numpy as np

from safety_check.arrays import IntArray
from safety_check.assess.quick_verdict import Between, QuickVerdict
from safety_check.assess.sight_lattice import Lattice
from safety_check.conditions.case import Case
from safety_check.conditions.ensemble import good_until
from safety_check.model.sight_table import SightAnswer, SightHour, SightTable, WindClass
from safety_check.model.verdict import Severity, Verdict
from safety_check.rules.rulebook import Rulebook
from safety_check.settings.settings import Settings
from safety_check.store.schema import SHORT_PATIENCE
from safety_check.store.store import Store
from safety_check.use_cases.observed import mark_as_stored
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.sight_case import HOUR, Sighting, SightJudge, times_of_sighting
from safety_check.use_cases.sight_classes import (
    POINTS,
    at_least_as_bad,
    water_classes,
    wind_classes,
)
from safety_check.use_cases.trust import load_trust
from safety_check.waters.near_water import trip_water

MOST_JUDGED = 60  # most pages need fewer; see benchmarks/sight_table.py
NOT_JUDGED = "This page does not tell finer: it takes the worst that this can mean."
ANY = len(POINTS) + 1  # index of the direction that stands for any of them


def judge_sightings(
    case: Case,
    verdict: Verdict,
    rulebook: Rulebook | None = None,
    most_judged: int | None = MOST_JUDGED,
) -> SightTable:
    """Return the verdict on everything that can be seen, by the judgement of a re-check.

    Parameters
    ----------
    case, verdict
        The check, and its verdict.
    rulebook
        The limits that hold; None for those shipped.
    most_judged
        How many classes are judged at most; None for as many as it takes. A class that is still
        open then has the worst verdict that it can have.

    Notes
    -----
    Each answer is the verdict of `recheck --offline` with that observation at that time, or the
    verdict of the check where that is worse. More wind, colder water and a known direction never
    make a better verdict, so most classes follow from few that are judged.
    """
    until = [good_until(one, case.trust) for one in mark_as_stored(case.briefing).forecasts]
    known = [one for one in until if one is not None]
    good = min(known) if known and len(known) == len(until) else None
    directions = (None, *POINTS)
    if verdict.severity == Severity.NO_GO:
        return SightTable((WindClass(),), directions, (None,), (), (), good, 0)
    judge = SightJudge(case, rulebook or load_rulebook(), verdict.severity)
    at_start = max(case.plan.start, case.briefing.at)
    prefer = case.settings.preferences
    winds = wind_classes(judge, at_start, prefer)
    waters = water_classes(judge, at_start, prefer.temperature)
    table = SightTable(winds, directions, waters, (), (), good, 0)
    answers: dict[SightAnswer, int] = {}
    expected = _first_guess(table, judge, at_start)
    hours = []
    times = times_of_sighting(case.plan, case.briefing.at)
    for at in sorted(times, key=lambda time: abs(time - at_start)):
        settled, judged = _settled(at, table, judge, expected, most_judged)
        expected = settled.lowest
        hours.append(_hour(at, table, settled, judged, verdict, answers))
    hours.sort(key=lambda hour: hour.at)
    return replace(table, hours=tuple(hours), answers=tuple(answers), judged=judge.judged)


def sightings_of_stored(number: int, settings: Settings) -> SightTable | None:
    """Return the verdict on everything that can be seen, for a check of the history.

    None where the check is not there.
    """
    if number < 1:
        return None
    with Store.open(settings.folders.data, SHORT_PATIENCE) as store:
        kept = store.check(number).kept
    settings = replace(settings, user=kept.user)
    water = trip_water(kept.plan, settings.folders.cache)
    case = Case(kept.plan, kept.briefing, water, settings, load_trust(), kept.past)
    return judge_sightings(case, kept.verdict)


def _shape(table: SightTable) -> tuple[int, int, int]:
    return len(table.winds), ANY + 1, len(table.waters)


def _first_guess(table: SightTable, judge: SightJudge, at: datetime) -> IntArray:
    """Return the worse of the verdicts by wind and by water; the direction may change them."""
    winds = [judge(at, Sighting(wind)).severity for wind in table.winds]
    waters = [judge(at, Sighting(water=water)).severity for water in table.waters]
    guess: IntArray = np.maximum(np.array(winds)[:, None, None], np.array(waters))
    return np.broadcast_to(guess, _shape(table)).ravel()


def _settled(
    at: datetime, table: SightTable, judge: SightJudge, expected: IntArray, most: int | None
) -> tuple[Lattice, dict[int, QuickVerdict]]:
    """Return every class settled, and those that were judged for it."""
    entered = judge.case.plan.water_temperature is not None
    order = at_least_as_bad(table.winds, ANY + 1, table.waters, entered=entered)
    shape = _shape(table)
    wanted = np.zeros(shape, dtype=bool)
    wanted[:, :ANY] = True
    lattice, judged = Lattice(order, judge.least), {}
    while (place := lattice.next_to_judge(wanted.ravel(), expected)) is not None:
        if most is not None and judge.judged >= most:
            break  # what is still open counts as the worst that it can be
        wind, direction, water = (int(one) for one in np.unravel_index(place, shape))
        some = POINTS if direction == ANY else POINTS[max(direction - 1, 0) : direction]
        seen = Sighting(table.winds[wind], some, table.waters[water])
        least, worst = (Severity(int(ends[place])) for ends in (lattice.lowest, lattice.highest))
        known = Between(least, worst, bool(expected[place] > least))
        judged[place] = judge(at, seen, known)
        lattice.settle(place, judged[place].severity)
    return lattice, judged


def _hour(
    at: datetime,
    table: SightTable,
    settled: Lattice,
    judged: Mapping[int, QuickVerdict],
    verdict: Verdict,
    answers: dict[SightAnswer, int],
) -> SightHour:
    """Return all classes seen at one time; new answers are added."""
    before = {finding.hazard: finding.severity for finding in verdict.findings}
    shape = _shape(table)
    places = np.arange(np.prod(shape)).reshape(shape)[:, :ANY].ravel()
    indices = []
    for place in places.tolist():
        basis = settled.basis(place)
        answer = _answer(settled, place, judged.get(basis), before)
        of_wind = shape[1] * shape[2]
        answer = replace(answer, milder=bool(answer.reason) and basis // of_wind < place // of_wind)
        indices.append(answers.setdefault(answer, len(answers)))
    shown = next((hour.shown for hour in verdict.around if hour.time <= at < hour.time + HOUR), {})
    return SightHour(at, tuple(indices), shown)


def _answer(
    settled: Lattice, place: int, told: QuickVerdict | None, before: Mapping[str, Severity]
) -> SightAnswer:
    severity = Severity(int(settled.highest[place]))
    if severity > settled.lowest[place]:
        return SightAnswer(severity, NOT_JUDGED)
    if told is None:
        return SightAnswer(severity)
    changed = [
        (hazard, before.get(hazard, Severity.GO), now)
        for hazard, now in (told.worse or {}).items()
        if now > before.get(hazard, Severity.GO)
    ]
    worst_first = sorted(changed, key=lambda change: change[1] - change[2])
    return SightAnswer(severity, told.reason, tuple(worst_first))

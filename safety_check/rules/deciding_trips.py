"""Which hazard decides each trip of a table of trips."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from safety_check.arrays import FloatArray, IntArray
from safety_check.model.verdict import Severity
from safety_check.physics.odds import SLACK, Tolerance, select_hours, weight_of
from safety_check.rules.deciding import NOTHING
from safety_check.rules.engine import WeighedHazard, Weighing, strict_finding
from safety_check.rules.ranking import MISSING_SOURCE, SEVERAL_TOGETHER
from safety_check.rules.trips import TripTable, worst_by_length


def decide_trips(
    under_way: Weighing,
    returning: Weighing,
    table: TripTable,
    held: IntArray,
    tolerance: Tolerance,
    names: Sequence[str],
) -> IntArray:
    """Return the hazard that decides every trip of a table, (length, ..., hour).

    Of the hazards that alone make a trip what it is, the one that most of the forecasts reach at
    any of its hours decides; of equal ones the first in the list. Where there is none, a source
    that did not answer decides, or several hazards together. -1 where the trip is a GO, or runs
    beyond the last hour.

    Parameters
    ----------
    under_way, returning, tolerance
        As for `judge_trips`.
    table
        From `judge_trips`.
    held : array (..., 1)
        The best severity possible, given the sources that did not answer.
    names
        From `hazard_names`.

    Notes
    -----
    Hazards and lengths are looped over, of which there are few; sites, members and hours are not.
    Only trips whose severity some member of a hazard reaches are looked at.
    """
    together, missing = names.index(SEVERAL_TOGETHER), names.index(MISSING_SOURCE)
    decides = np.where(table.severity > np.maximum(held, Severity.GO), together, missing)
    decides[table.severity == Severity.GO] = NOTHING
    most = np.zeros(table.severity.shape)
    for away, back in zip(under_way.hazards, returning.hazards, strict=True):
        if away.hours.any() or away.members.any() or back.hours.any() or back.members.any():
            index = names.index(away.hazard.name)
            _let_decide((away, back, index), table, (decides, most), under_way.weights, tolerance)
    hours = table.severity.shape[-1]
    for at in range(len(decides)):
        decides[at, ..., max(hours - at - 1, 0) :] = NOTHING
    return decides


def _let_decide(
    hazard: tuple[WeighedHazard, WeighedHazard, int],
    table: TripTable,
    found: tuple[IntArray, FloatArray],
    weights: FloatArray,
    tolerance: Tolerance,
) -> None:
    """Enter a hazard where it decides, and the share of the forecasts that reach it."""
    away, back, index = hazard
    counted = weights[away.counted] if away.counted.any() else np.ones(1)
    by_length = zip(*map(worst_by_length, _findings(away), _findings(back)), strict=True)
    for at, (members, strict) in enumerate(by_length):
        starts = slice(0, members.shape[-1])
        severity = table.severity[at, ..., starts]
        decides, most = (one[at, ..., starts] for one in found)
        undecided = (severity > Severity.GO) & (most < 1)
        every = undecided & (members.min(axis=-2) >= severity)
        decides[every], most[every] = index, 1.0
        may = undecided & ~every & (members.max(axis=-2) >= severity)
        if not may.any():
            continue
        reach, strict_reach = (
            weight_of(select_hours(findings, may) >= severity[may], counted) / counted.sum()
            for findings in (members, strict)
        )
        alone = (reach >= tolerance.of_winds - SLACK) | (strict_reach >= tolerance.share - SLACK)
        makes = alone & (reach > most[may])
        most[may] = np.where(makes, np.minimum(reach, 1.0), most[may])
        decides[may] = np.where(makes, index, decides[may])


def _findings(hazard: WeighedHazard) -> tuple[IntArray, IntArray]:
    """Return the findings of the members that are counted, and the strict ones.

    Where no model gives the quantity, what that makes of each hour stands for one member.
    """
    if not hazard.counted.any():
        return hazard.hours[..., None, :], hazard.hours[..., None, :]
    members = hazard.members[..., hazard.counted, :]
    return members, strict_finding(hazard.hazard, members)

"""Random findings of wind and thunder, weighed by a plain loop over members and hours."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

import numpy as np

from safety_check.model.verdict import Severity
from safety_check.physics.odds import Tolerance
from safety_check.rules.engine import WeighedHazard, Weighing
from safety_check.rules.hazards import HAZARDS

GO, MARGINAL, UNKNOWN, NO_GO = Severity
WIND = next(one for one in HAZARDS if one.weighs == "wind_speed")
THUNDER = next(one for one in HAZARDS if one.weighs == "thunderstorm")
TOLERANCE = Tolerance(share=0.1, of_winds=0.2)
WEIGHTS = np.array([0.4, 0.3, 0.09, 0.07, 0.06, 0.05, 0.03])  # small ones decide only together
MEMBERS = len(WEIGHTS)
ALL = np.ones(MEMBERS, dtype=bool)
SOME = np.array([True, False, True, True, True, True, True])
HOURS = 30
STRICT = {GO: GO, MARGINAL: GO, UNKNOWN: UNKNOWN, NO_GO: MARGINAL}  # of widened winds


def reached(levels: Sequence[int], weights: Sequence[float], share: float) -> int:
    """Return the worst severity that at least a share of the weight reaches."""
    whole = sum(weights)
    for level in (NO_GO, UNKNOWN, MARGINAL):
        part = sum(w for one, w in zip(levels, weights, strict=True) if one >= level)
        if part / whole >= share - 1e-9:
            return level
    return GO


def decided(members: Sequence[int], strict: Sequence[int], weights: Sequence[float]) -> int:
    of_winds = reached(members, weights, TOLERANCE.of_winds)
    return max(of_winds, reached(strict, weights, TOLERANCE.share))


def strict_of(hazard: object, levels: Sequence[int]) -> list[int]:
    return [STRICT[Severity(one)] if hazard is WIND else one for one in levels]


def plain_hour(found: np.ndarray, counted: np.ndarray, hazard: object) -> list[int]:
    """Return the severity of a hazard in each hour."""
    weights = WEIGHTS[counted].tolist()
    hours = []
    for column in found[counted].T.tolist():
        hours.append(decided(column, strict_of(hazard, column), weights))
    return hours


def weighing_of(chance: np.random.Generator, calm: float) -> Weighing:
    """Return random findings of wind in all members and of thunder in all but one."""
    hazards = []
    for hazard, counted in ((WIND, ALL), (THUNDER, SOME)):
        bad = chance.random((MEMBERS, HOURS)) > calm
        found = np.where(bad, chance.integers(0, 4, (MEMBERS, HOURS)), 0).astype(np.int8)
        value = found + chance.integers(0, 3, found.shape) / 10  # worse where the finding is
        nothing = np.zeros(found.shape)
        hours = np.array(plain_hour(found, counted, hazard))
        hazards.append(WeighedHazard(hazard, value, nothing, nothing, found, counted, hours))
    wind, thunder = (np.where(one.counted[:, None], one.members, 0) for one in hazards)
    members = np.maximum(wind, thunder)
    strict = np.maximum(np.vectorize(lambda one: STRICT[Severity(one)])(wind), thunder)
    columns = zip(members.T.tolist(), strict.T.tolist(), strict=True)
    together = np.array([decided(*one, WEIGHTS.tolist()) for one in columns])
    hours = np.maximum.reduce([together, *(one.hours for one in hazards)])
    time = np.arange(HOURS).astype("datetime64[h]")
    return Weighing(time, WEIGHTS, tuple(hazards), members, strict.astype(np.int8), hours)


@cache
def weighings() -> list[tuple[Weighing, Weighing]]:
    chance = np.random.default_rng(20261127)
    return [
        (weighing_of(chance, calm), weighing_of(chance, calm))
        for calm in (0.3, 0.8, 0.9, 0.95, 0.97, 0.99)
        for _ in range(3)
    ]

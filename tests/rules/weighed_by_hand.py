"""Hazards whose severities are written out hour by hour: "GGMN" is a NO-GO in the fourth hour."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

import numpy as np

from safety_check.arrays import FloatArray, IntArray, TimeArray
from safety_check.model.verdict import Severity
from safety_check.rules.engine import WeighedHazard, Weighing, strict_finding
from safety_check.rules.hazard import Hazard
from safety_check.rules.hazards import HAZARDS
from tests import scenes

LETTERS = {"G": Severity.GO, "M": Severity.MARGINAL, "U": Severity.UNKNOWN, "N": Severity.NO_GO}
BOUNDS = (1.0, 3.0)  # where a value, which is the number of its severity, is caution and no-go


def hazard(name: str) -> Hazard:
    """Return the hazard of a name."""
    return next(one for one in HAZARDS if one.name == name)


def start_of(hour: int) -> datetime:
    """Return when an hour begins, the first of them at the usual start."""
    return scenes.START + timedelta(hours=hour)


def levels(*members: str) -> IntArray:
    """Return severities, a row for each member."""
    return np.array([[LETTERS[letter] for letter in hours] for hours in members], dtype=np.int8)


def weighed(
    name: str, *members: str, hours: str = "", counted: Sequence[bool] | None = None
) -> WeighedHazard:
    """Return a hazard with its severities; without `hours` those of the first member decide."""
    found = levels(*members)
    value = np.where(found == Severity.UNKNOWN, np.nan, found)
    marginal, no_go = (np.full(found.shape, bound) for bound in BOUNDS)
    of_hours = levels(hours)[0] if hours else found[0]
    every = np.ones(len(found), dtype=bool) if counted is None else np.array(counted)
    return WeighedHazard(hazard(name), value, marginal, no_go, found, every, of_hours)


def weighing(time: TimeArray, weights: FloatArray, *hazards: WeighedHazard) -> Weighing:
    """Return the hours weighed by some hazards, each hour as its worst hazard decides it."""
    members = np.maximum.reduce([one.members for one in hazards])
    strict = np.maximum.reduce([strict_finding(one.hazard, one.members) for one in hazards])
    hours = np.maximum.reduce([one.hours for one in hazards])
    return Weighing(time, weights, hazards, members, strict, hours)

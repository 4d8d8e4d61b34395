"""Fit the dressing of an ensemble to cases: files, least mean CRPS, stations."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from safety_check.arrays import BoolArray, FloatArray
from safety_check.physics.ensemble_calibration import (
    MEAN_DEVIATION,
    ErrorModel,
    ForecastPairs,
    LocalCorrection,
    Shrinkage,
    local_correction,
    mean_and_spread,
)

LEAD = np.zeros(1)  # a file tells one lead time at most: all its rows are at the only node
Corrections = Mapping[str, LocalCorrection | None]

# -- the files ---------------------------------------------------------------------------------


@dataclass(frozen=True)
class Cases:
    """Forecasts and what came of them.

    Parameters
    ----------
    place : array (row,)
        Name of the station.
    observed : array (row,)
        [m s⁻¹]
    members : array (member, row)
        [m s⁻¹]
    """

    place: NDArray[np.str_]
    observed: FloatArray
    members: FloatArray

    def rows(self, chosen: BoolArray) -> Cases:
        """Return some of the rows."""
        return Cases(self.place[chosen], self.observed[chosen], self.members[:, chosen])


def read(path: Path) -> Cases:
    """Return a file: columns `obs` and `ens_1`…, or `NAME.obs` and `NAME.model`….

    A row without a member's value is scored on the members that it has, stretched to the
    same number; a row without any, or without an observation, is left out.
    """
    with path.open(newline="", encoding="utf-8") as file:
        table = list(csv.DictReader(file))
    observed = next(name for name in table[0] if name == "obs" or name.endswith(".obs"))
    pattern = r"ens_\d+" if observed == "obs" else re.escape(observed[:-3]) + "(?!obs$).+"
    members = [name for name in table[0] if re.fullmatch(pattern, name)]
    place = "location" if "location" in table[0] else "station"
    table = [row for row in table if row[observed] and any(row[name] for name in members)]
    return Cases(
        np.array([row[place] for row in table]),
        np.array([float(row[observed]) for row in table]),
        np.array([_stretched([row[name] for name in members]) for row in table]).T,
    )


def _stretched(texts: Sequence[str]) -> FloatArray:
    known = np.array([float(text) for text in texts if text])
    if len(known) == len(texts):
        return known
    return quantiles(np.sort(known)[:, None], (np.arange(len(texts)) + 0.5) / len(texts))[:, 0]


def quantiles(ranked: FloatArray, level: FloatArray) -> FloatArray:
    """Quantiles between ranked members, the k-th of M being at level (k − ½) / M."""
    at = np.clip(level * len(ranked) - 0.5, 0, len(ranked) - 1)
    below = at.astype(int)
    part = (at - below)[:, None]
    above = np.minimum(below + 1, len(ranked) - 1)
    return np.asarray((1 - part) * ranked[below] + part * ranked[above])


# -- fitting: least mean CRPS ------------------------------------------------------------------


def crps_truncated_logistic(
    observed: FloatArray, location: FloatArray, scale: FloatArray
) -> FloatArray:
    """Continuous ranked probability score of a logistic distribution cut off below zero.

    Parameters
    ----------
    observed, location, scale : arrays of one shape
        None negative, scale positive. [one unit]

    Returns
    -------
    array
        ∫ (F(x) − 1{x ≥ observed})² dx, worked out by parts, in the same unit.

    Examples
    --------
    >>> crps_truncated_logistic(np.array(97.0), np.array(100.0), np.array(1.0)).round(4)
    np.float64(2.0972)
    """
    whole = np.logaddexp(0.0, location / scale)
    kept = 1 / (1 + np.exp(-location / scale))
    beyond = np.logaddexp(0.0, (location - observed) / scale)
    return np.asarray(observed + scale * ((whole / kept - 1) - 2 * (whole - beyond)) / kept)


def distribution(cases: Cases, dressing: ErrorModel) -> tuple[FloatArray, FloatArray]:
    """Return location and scale of every row."""
    mean, spread = mean_and_spread(cases.members, np.ones(len(cases.members)))
    return dressing.distribution(mean, spread, np.zeros_like(mean))


def fitted(cases: Cases) -> ErrorModel:
    """Return the coefficients with the least mean CRPS on some cases."""
    mean = cases.members.mean(axis=0)
    middle = mean.mean()

    def at(point: FloatArray) -> ErrorModel:
        level, slope, *rest = point  # the level in the middle hardly depends on the slope
        return at_one_lead([level - slope * middle, slope, *np.abs(rest)])

    def score(point: FloatArray) -> float:
        return float(
            crps_truncated_logistic(cases.observed, *distribution(cases, at(point))).mean()
        )

    slope = np.polyfit(mean, cases.observed, 1)[0]
    start = np.array([cases.observed.mean(), slope, 1.0, 0.1, 0.3])
    return at(least(score, start, np.array([0.5, 0.1, 0.3, 0.05, 0.2])))


def at_one_lead(values: Sequence[float]) -> ErrorModel:
    """Return a dressing from its coefficients at the only lead time."""
    return ErrorModel(LEAD, *(np.array([value]) for value in values))


def least(
    function: Callable[[FloatArray], float], start: FloatArray, step: FloatArray
) -> FloatArray:
    """Return where a function of a few numbers is least, by steps along the axes that halve."""
    point, value = start, function(start)
    steps = np.vstack([np.diag(step), -np.diag(step)])
    for _ in range(12):
        while True:
            values = [function(near) for near in point + steps]
            best = int(np.argmin(values))
            if not values[best] < value:
                break
            point, value = point + steps[best], values[best]
        steps = steps / 2
    return point


# -- stations ----------------------------------------------------------------------------------


def corrections(cases: Cases, dressing: ErrorModel, shrinkage: Shrinkage) -> Corrections:
    """Return what each station's own cases say about the dressing."""
    found = {}
    for place in np.unique(cases.place):
        own = cases.rows(cases.place == place)
        location, scale = distribution(own, dressing)
        lead = age = np.zeros_like(location)  # the files tell no dates
        pairs = ForecastPairs(location, scale, own.observed, lead, age)
        found[str(place)] = local_correction(pairs, LEAD, shrinkage)
    return found


def evidence(cases: Cases, dressing: ErrorModel) -> FloatArray:
    """Return what `Shrinkage` calls bias_pairs, tilt_squares and spread_pairs.

    Each is the variance within stations over that between them, which is what the stations'
    figures vary less what chance alone would make them vary.
    """
    rows = [
        _station(cases.rows(cases.place == place), dressing) for place in np.unique(cases.place)
    ]
    figures, within, chance = (np.array(column) for column in zip(*rows, strict=True))
    between = figures.var(axis=0, ddof=1) - chance.mean(axis=0)
    return np.where(between > 0, within.mean(axis=0) / np.abs(between), np.inf)


def _station(own: Cases, dressing: ErrorModel) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Bias, tilt and log spread; the variance of each within the station, and by chance."""
    location, scale = distribution(own, dressing)
    off, error = location - location.mean(), own.observed - location
    bias, tilt = error.mean(), off @ error / (off @ off)
    rest = error - bias - tilt * off
    width = np.log(np.abs(rest / scale).mean() / MEAN_DEVIATION)
    of_one_width = np.pi**2 / 3 / MEAN_DEVIATION**2 - 1  # a logistic |z| over its mean, squared
    within = np.array([rest.var(), rest.var(), of_one_width])
    return np.array([bias, tilt, width]), within, within / [len(off), off @ off, len(off)]

"""Fit the widening of forecasts to cases: files, least mean CRPS, stations."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from safety_check.arrays import BoolArray, FloatArray
from safety_check.conditions.error_models import ErrorModels
from safety_check.physics.ensemble_calibration import (
    MEAN_DEVIATION,
    ErrorModel,
    ForecastPairs,
    LocalCorrection,
    Shrinkage,
    local_correction,
    mean_and_spread,
    widened_value,
)

LEAD = np.zeros(1)  # a file has one lead time at most: all its rows are at the only node
LEVELS_OF_ONE, LEVELS_OF_SEVERAL = 15, 5  # quantiles of each run from which it is scored
Corrections = Mapping[str, LocalCorrection | None]

# -- the files ---------------------------------------------------------------------------------


@dataclass(frozen=True)
class Cases:
    """Forecasts and what was then observed.

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


def crps(values: FloatArray, weights: FloatArray, observed: FloatArray) -> FloatArray:
    """Continuous ranked probability score of weighted members.

    Parameters
    ----------
    values : array (member, row)
        [one unit]
    weights : array (member,)
        Sum 1. [1]
    observed : array (row,)
        In the same unit.

    Returns
    -------
    array (row,)
        ∫ (F(x) − 1{x ≥ observed})² dx, in the same unit.

    Examples
    --------
    >>> crps(np.array([[1.0], [3.0]]), np.array([0.5, 0.5]), np.array([2.0]))
    array([0.5])
    """
    order = np.argsort(values, axis=0)
    ranked, share = np.take_along_axis(values, order, axis=0), weights[order]
    below = np.cumsum(share, axis=0) - share
    among = (share * ranked * (2 * below + share - 1)).sum(axis=0)
    return np.asarray(weights @ np.abs(values - observed) - among)


def fitted(cases: Cases) -> ErrorModels:
    """Return the coefficients with the least mean CRPS: of each member alone, and of all."""
    size = len(cases.members)
    singles = cases.members.reshape(1, -1)
    return ErrorModels(
        one=_fitted(singles, np.tile(cases.observed, size), LEVELS_OF_ONE),
        several=_fitted(cases.members, cases.observed, LEVELS_OF_SEVERAL),
    )


def _fitted(runs: FloatArray, observed: FloatArray, levels: int) -> ErrorModel:
    level = np.tile((np.arange(levels) + 0.5) / levels, len(runs))
    member, weights = np.repeat(runs, levels, axis=0), np.full(len(level), 1 / len(level))
    lead, middle = np.zeros(len(observed)), float(runs.mean())

    def at(point: FloatArray) -> ErrorModel:
        height, slope, *rest = point  # the height in the middle hardly depends on the slope
        return at_one_lead([height - slope * middle, slope, *np.abs(rest)])

    def score(point: FloatArray) -> float:
        values = widened_value(member, level, lead, at(point))
        return float(crps(values, weights, observed).mean())

    slope = np.polyfit(runs.mean(axis=0), observed, 1)[0]
    start = np.array([observed.mean(), slope, 1.0, 0.1])
    return at(least(score, start, np.array([0.5, 0.1, 0.3, 0.05])))


def at_one_lead(values: Sequence[float]) -> ErrorModel:
    """Return an error model from its coefficients at the only lead time."""
    return ErrorModel(LEAD, *(np.array([value]) for value in values))


def least(
    function: Callable[[FloatArray], float], start: FloatArray, step: FloatArray
) -> FloatArray:
    """Return where a function of a few numbers is least, by ever smaller steps along the axes."""
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


def distribution(cases: Cases, model: ErrorModel) -> tuple[FloatArray, FloatArray]:
    """Return location and scale of every row, all its members together."""
    mean, spread = mean_and_spread(cases.members, np.ones(len(cases.members)))
    return model.of_mean(mean, spread, np.zeros_like(mean))


def corrections(cases: Cases, model: ErrorModel, shrinkage: Shrinkage) -> Corrections:
    """Return the correction of the widening that each station's own cases give."""
    found = {}
    for place in np.unique(cases.place):
        own = cases.rows(cases.place == place)
        location, scale = distribution(own, model)
        lead = age = np.zeros_like(location)  # the files have no dates
        pairs = ForecastPairs(location, scale, own.observed, lead, age)
        found[str(place)] = local_correction(pairs, LEAD, shrinkage)
    return found


def evidence(cases: Cases, model: ErrorModel) -> FloatArray:
    """Return what `Shrinkage` calls bias_pairs, tilt_squares and spread_pairs.

    Each is the variance within stations over that between them, which is what the stations'
    figures vary less what chance alone would make them vary.
    """
    rows = [_station(cases.rows(cases.place == place), model) for place in np.unique(cases.place)]
    figures, within, chance = (np.array(row) for row in zip(*rows, strict=True))
    between = figures.var(axis=0, ddof=1) - chance.mean(axis=0)
    return np.where(between > 0, within.mean(axis=0) / np.abs(between), np.inf)


def _station(own: Cases, model: ErrorModel) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Bias, tilt and log spread; the variance of each within the station, and by chance."""
    location, scale = distribution(own, model)
    off, error = location - location.mean(), own.observed - location
    bias, tilt = error.mean(), off @ error / (off @ off)
    rest = error - bias - tilt * off
    width = np.log(np.abs(rest / scale).mean() / MEAN_DEVIATION)
    of_one_width = np.pi**2 / 3 / MEAN_DEVIATION**2 - 1  # a logistic |z| over its mean, squared
    within = np.array([rest.var(), rest.var(), of_one_width])
    return np.array([bias, tilt, width]), within, within / [len(off), off @ off, len(off)]

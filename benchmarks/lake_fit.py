"""Fit the lake model on all lakes but one, and the margins needed for its errors."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import astuple, replace

import numpy as np

from benchmarks.lake_series import LakeSeries
from safety_check.arrays import BoolArray, FloatArray
from safety_check.conditions.lake_band import Band, find_band
from safety_check.conditions.lake_model import LakeModel
from safety_check.physics.lake_temperature import LakeCoefficients, surface_temperature

Errors = Mapping[str, tuple[float, float]]
"""Season → how far below and above the runs. [K]"""

SEASONS = {
    "Dec-Mar": (12, 1, 2, 3),
    "Apr-May": (4, 5),
    "Jun-Jul": (6, 7),
    "Aug-Sep": (8, 9),
    "Oct-Nov": (10, 11),
}
ROUNDS = 6
STEP = 0.02
TIE = 0.02
"""How strongly a coefficient is held at the start, against one lake's worth of data."""

FEWEST = 3  # lakes for a margin
ONE_SIDED_T = (6.31, 2.92, 2.35, 2.13, 2.02, 1.94, 1.89, 1.86, 1.83, 1.81, 1.80, 1.78, 1.77, 1.76)
"""Student's t at 95 %, one-sided, for 1, 2, … degrees of freedom (standard table)."""


def fit_coefficients(
    lakes: Sequence[LakeSeries], left_out: Sequence[str], start: LakeCoefficients
) -> list[LakeCoefficients]:
    """Return for each name the coefficients that the other lakes give.

    Gauss-Newton steps on a soft L1 loss, every lake weighted alike; all fits run side by side.
    """
    first, days = np.array(astuple(start)), max(len(lake.day) for lake in lakes)
    air, sun, water = (_stacked(lakes, name, days) for name in ("air", "sun", "water"))
    depth = np.array([lake.depth for lake in lakes])
    counts = np.array([[lake.name != name for lake in lakes] for name in left_out])
    best = np.tile(first, (len(left_out), 1))
    for _ in range(ROUNDS):
        tried = best[:, None, :] * (1 + STEP * np.vstack([np.zeros(8), np.eye(8)]))
        by = LakeCoefficients(*np.moveaxis(tried, -1, 0)[..., None])
        run = surface_temperature(air[:, None, None, :], sun[:, None, None, :], depth, by)
        for fold in range(len(left_out)):
            step = _step(run[:, fold], water, counts[fold], best[fold] / first - 1)
            best[fold] = best[fold] + first * step
    return [LakeCoefficients(*map(float, row)) for row in best]


def _step(run: FloatArray, water: FloatArray, counts: BoolArray, away: FloatArray) -> FloatArray:
    """Return the next step in shares of the start, from the runs (day, trial, lake)."""
    normal, target = TIE * np.eye(8), -TIE * away
    for lake in np.flatnonzero(counts):
        known = np.isfinite(water[:, lake])
        missed = (water[:, lake] - run[:, 0, lake])[known]
        slope = ((run[:, 1:, lake] - run[:, :1, lake]) / STEP)[known]
        weight = 1 / np.sqrt(1 + missed**2) / known.sum()
        normal = normal + slope.T @ (weight[:, None] * slope)
        target = target + slope.T @ (weight * missed)
    step: FloatArray = np.clip(np.linalg.solve(normal, target), -0.3, 0.3)
    return step


def _stacked(lakes: Sequence[LakeSeries], name: str, days: int) -> FloatArray:
    """Return a column of every lake (day, lake); days that it lacks have no water."""
    laid = np.full((days, len(lakes)), np.nan if name == "water" else 0.0)
    for number, lake in enumerate(lakes):
        values = getattr(lake, name)
        laid[: len(values), number] = (
            np.where(lake.usable, values, np.nan) if name == "water" else values
        )
    return laid


def runs_alone(lake: LakeSeries, model: LakeModel) -> Band:
    """Return the coldest and the warmest run of a lake, without any margin."""
    none = np.zeros_like(model.margins.cold_of_class)
    bare = replace(
        model.margins, cold=none[0], warm=none[0], cold_of_class=none, warm_of_class=none
    )
    return band_of(lake, replace(model, margins=bare))


def band_of(lake: LakeSeries, model: LakeModel) -> Band:
    """Return the band of a lake whose mean depth is known."""
    return find_band(lake.air, lake.sun, lake.month, np.array([lake.depth]), model)


def quantiles(lake: LakeSeries, coldest: FloatArray, warmest: FloatArray) -> Errors:
    """Return by season how far the water is below and above the runs, on one day in twenty."""
    found = {}
    for season, months in SEASONS.items():
        days = lake.usable & np.isin(lake.month, months)
        if days.sum() >= 60:
            below, above = (lake.water - end for end in (coldest, warmest))
            found[season] = (
                float(np.quantile(below[days], 0.05)),
                float(np.quantile(above[days], 0.95)),
            )
    return found


def margins(found: Sequence[Errors]) -> Errors:
    """Return by season the margins for one more lake: mean of the lakes, and t times spread.

    The bound of the next normal value after n: mean ± t (n − 1, 95 %) × s × √(1 + 1/n). The
    spread s is that of the season, at least that of all seasons together.
    """
    by_season = {
        season: np.array([lake[season] for lake in found if season in lake]) for season in SEASONS
    }
    known = {season: ends for season, ends in by_season.items() if len(ends) >= FEWEST}
    variance = {season: ends.var(axis=0, ddof=1) for season, ends in known.items()}
    of_all = np.mean(list(variance.values()), axis=0)
    found_margins = {}
    for season, ends in known.items():
        count = len(ends)
        student = ONE_SIDED_T[min(count - 1, len(ONE_SIDED_T)) - 1]
        spread = np.sqrt(np.maximum(variance[season], of_all))
        beyond = student * np.sqrt(1 + 1 / count) * spread
        cold, warm = ends.mean(axis=0) + np.array([-1, 1]) * beyond
        found_margins[season] = (float(cold), float(warm))
    return found_margins

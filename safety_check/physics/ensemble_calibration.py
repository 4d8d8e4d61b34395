"""Calibrate ensemble members by shift and spread, because raw ensembles are too narrow."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from safety_check.arrays import FloatArray, IntArray
from safety_check.physics.odds import SLACK

MEAN_DEVIATION = 2 * np.log(2)  # exact: mean distance of a logistic variable of scale 1 from 0


@dataclass(frozen=True)
class ErrorModel:
    """How the forecasts of a quantity are shifted and widened, by lead time.

    Between two lead times a coefficient runs straight; before the first it holds as there;
    beyond the last it is unknown.

    Parameters
    ----------
    lead_hours : array (lead,)
        Ascending. [h]
    shift, floor : array (lead,)
        What is added to the mean; the scale of a calm, certain forecast. [unit of the quantity]
    slope, relative, spread : array (lead,)
        Factor on the mean; parts of the mean and of the members' spread in the scale. [1]
    """

    lead_hours: FloatArray
    shift: FloatArray
    slope: FloatArray
    floor: FloatArray
    relative: FloatArray
    spread: FloatArray

    def distribution(
        self, mean: FloatArray, spread: FloatArray, lead_hours: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        """Location and scale of a logistic distribution cut off below zero.

        Parameters
        ----------
        mean, spread, lead_hours : array (hour,)
            From `mean_and_spread` [unit of the quantity]; from the forecast's issue [h].

        Returns
        -------
        two arrays (hour,)
            Location, not below 0, and scale [unit of the quantity]; NaN where an input is NaN.

        References
        ----------
        .. [Gneiting2005] Gneiting, Raftery, Westveld and Goldman, Mon. Wea. Rev. 133, 2005:
           mean and spread of an ensemble as regressors; from memory, not read.
        .. [SchulzLerch2022] Schulz and Lerch, Mon. Wea. Rev. 150, 2022: the truncated logistic
           for gusts; introduction and the authors' program read. Mean and spread adding up as
           squares in the scale are ours.
        """
        shift, slope, floor, part, width = (
            by_lead(lead_hours, self.lead_hours, coefficient)
            for coefficient in (self.shift, self.slope, self.floor, self.relative, self.spread)
        )
        scale = np.sqrt(floor**2 + (part * mean) ** 2 + (width * spread) ** 2)
        return np.maximum(shift + slope * mean, 0.0), scale


@dataclass(frozen=True)
class LocalCorrection:
    """What past forecasts at one water say about the next, by lead time.

    Parameters
    ----------
    lead_hours, centre, bias : array (lead,)
        Ascending [h]; usual forecast there, and how far above it the truth is. [unit]
    tilt, spread : array (lead,)
        Change of the bias with the forecast; the errors' scale over the calibrated one. [1]
    """

    lead_hours: FloatArray
    centre: FloatArray
    bias: FloatArray
    tilt: FloatArray
    spread: FloatArray

    def applied(
        self, location: FloatArray, scale: FloatArray, lead_hours: FloatArray, better: bool
    ) -> tuple[FloatArray, FloatArray]:
        """Location and scale as corrected; unless `better`, only upward and only wider."""
        centre, bias, tilt, spread = (
            by_lead(lead_hours, self.lead_hours, coefficient)
            for coefficient in (self.centre, self.bias, self.tilt, self.spread)
        )
        change = bias + tilt * (location - centre)
        if not better:
            change, spread = np.maximum(change, 0.0), np.maximum(spread, 1.0)
        return np.maximum(location + change, 0.0), scale * spread


@dataclass(frozen=True)
class Shrinkage:
    """How far a few pairs are trusted.

    Parameters
    ----------
    least_pairs
        With fewer nothing is corrected.
    bias_pairs, spread_pairs
        Pairs at which the water's own figure counts as much as no correction.
    tilt_squares
        The same for the tilt, as a sum of squares of the forecasts about their mean. [unit²]
    reach_hours, fade_days
        Difference in lead time [h], and age [d], at which a pair counts 1/e.
    """

    least_pairs: int
    bias_pairs: float
    spread_pairs: float
    tilt_squares: float
    reach_hours: float
    fade_days: float


def by_lead(lead_hours: FloatArray, nodes: FloatArray, values: FloatArray) -> FloatArray:
    """Coefficient at each lead time; NaN beyond the last node or where the lead is NaN."""
    return np.where(lead_hours <= nodes[-1], np.interp(lead_hours, nodes, values), np.nan)


def mean_and_spread(values: FloatArray, weights: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Weighted mean and standard deviation of the members, each (hour,) in their unit."""
    share = weights / weights.sum()
    mean = share @ values
    return mean, np.sqrt(share @ (values - mean) ** 2)


def split_heavy_members(weights: FloatArray, most: float) -> tuple[IntArray, FloatArray]:
    """Split members too heavy to show the tail of the odds into equal copies.

    Parameters
    ----------
    weights : array (member,)
        Sum 1. [1]
    most
        Weight that no copy exceeds. [1]

    Returns
    -------
    two arrays (copy,)
        The member that each is a copy of, ascending; its weight. [1]

    Examples
    --------
    >>> split_heavy_members(np.array([0.5, 0.25, 0.25]), 0.25)
    (array([0, 0, 1, 2]), array([0.25, 0.25, 0.25, 0.25]))
    """
    number = np.maximum(np.ceil(weights / most - SLACK).astype(np.int64), 1)
    member = np.repeat(np.arange(len(weights)), number)
    return member, (weights / number)[member]


def calibrate_members(
    values: FloatArray,
    weights: FloatArray,
    lead_hours: FloatArray,
    error_model: ErrorModel,
    correction: LocalCorrection | None = None,
    better: bool = False,
) -> FloatArray:
    """Members moved to the quantiles of the calibrated distribution, in their raw order.

    Parameters
    ----------
    values : array (member, hour)
        A quantity that is not below zero, in the error model's unit.
    weights : array (member,)
        Positive, of members that give the quantity; each no more than half the user's
        tolerance, or the tail of the odds is lost: see `split_heavy_members`. [1]
    lead_hours : array (hour,)
        Hours since the forecast was issued; what is past counts as 0. [h]
    error_model, correction
        For any water; for this one, where it is known.
    better
        Whether the correction may lower or narrow.

    Returns
    -------
    array (member, hour)
        Calibrated, so it may lie below the raw value: a verdict takes `never_better`. NaN in
        all members of an hour in which one is NaN, for what it did to mean and spread is
        unknown, and beyond the last lead time.

    References
    ----------
    .. [Schefzik2013] Schefzik, Thorarinsdottir and Gneiting, Statist. Sci. 28, 2013: ensemble
       copula coupling with quantiles (ECC-Q); abstract read.

    Examples
    --------
    >>> one, none = np.ones(1), np.zeros(1)
    >>> widening = ErrorModel(np.array([48.0]), none, one, one, none, none)
    >>> gusts = np.array([[9.0], [8.0], [7.0]])
    >>> calibrate_members(gusts, np.full(3, 1 / 3), np.array([6.0]), widening).round(1)
    array([[9.6],
           [8. ],
           [6.4]])
    """
    location, scale = error_model.distribution(*mean_and_spread(values, weights), lead_hours)
    if correction is not None:
        location, scale = correction.applied(location, scale, lead_hours, better)
    order = np.argsort(values, axis=0, kind="stable")
    below = np.cumsum(weights[order], axis=0) - weights[order] / 2
    level = np.empty_like(values)
    np.put_along_axis(level, order, below / weights.sum(), axis=0)
    return quantile(level, location, scale)


def quantile(level: FloatArray, location: FloatArray, scale: FloatArray) -> FloatArray:
    """Quantile of the logistic distribution cut off below zero, for a location not below 0.

    Examples
    --------
    >>> quantile(np.array([0.0, 0.5, 0.9]), np.array(2.0), np.array(1.0)).round(2)
    array([0.  , 2.24, 4.34])
    """
    above = (1 - level) / (1 + np.exp(-location / scale))
    return np.asarray(location + scale * np.log((1 - above) / above))


def never_better(raw: FloatArray, *calibrated: FloatArray) -> FloatArray:
    """Worst of a member's raw and calibrated values, for quantities that are worse when higher.

    No member falls, so no share of members at or above any bound does; since all are in one
    order of rank, that share is the largest of those of `raw` and each of `calibrated`.

    Examples
    --------
    >>> never_better(np.array([[3.0], [7.0]]), np.array([[2.0], [9.0]])).tolist()
    [[3.0], [9.0]]
    """
    return np.asarray(np.maximum.reduce([raw, *calibrated]))


@dataclass(frozen=True)
class ForecastPairs:
    """Past forecasts and what was observed then, all arrays (pair,).

    One pair for each trip and lead time: the hours of one day share one error. A NaN makes no
    pair.

    Parameters
    ----------
    location, scale
        The distribution that was forecast. [unit]
    observed
        What was observed. [unit]
    lead_hours
        How far ahead it was forecast. [h]
    age_days
        How long ago it was. [d]
    """

    location: FloatArray
    scale: FloatArray
    observed: FloatArray
    lead_hours: FloatArray
    age_days: FloatArray

    def known(self) -> ForecastPairs:
        """Return the pairs without a NaN."""
        columns = np.array([getattr(self, column.name) for column in fields(self)])
        return ForecastPairs(*columns[:, ~np.isnan(columns).any(axis=0)])


def local_correction(
    pairs: ForecastPairs, nodes: FloatArray, shrinkage: Shrinkage
) -> LocalCorrection | None:
    """Bias, tilt and spread of past forecasts at a water, shrunk to none where pairs are few.

    Parameters
    ----------
    pairs
        Past forecasts and what was observed then.
    nodes : array (lead,)
        Lead times to answer for, ascending. [h]
    shrinkage
        How far few pairs are trusted.

    Returns
    -------
    LocalCorrection or None
        None with fewer than the least pairs.

    References
    ----------
    .. [EfronMorris1975] Efron and Morris, J. Amer. Statist. Assoc. 70, 1975: empirical-Bayes
       shrinkage; from memory, not read. Weighing by nearness in lead time is ours.
    .. [Cui2012] Cui, Toth, Zhu and Hou, Wea. Forecasting 27, 2012: the decaying average, in
       which old errors fade; abstract read.
    """
    known = pairs.known()
    if len(known.location) < max(shrinkage.least_pairs, 1):
        return None
    location, error = known.location, known.observed - known.location
    apart = np.abs(nodes[:, None] - known.lead_hours) / shrinkage.reach_hours
    near = np.exp(-apart - known.age_days / shrinkage.fade_days)
    weight = near.sum(axis=1)
    centre = near @ location / weight
    off = location - centre[:, None]
    bias = near @ error / (weight + shrinkage.bias_pairs)
    tilt = (near * off) @ error / ((near * off**2).sum(axis=1) + shrinkage.tilt_squares)
    rest = np.abs(error - bias[:, None] - tilt[:, None] * off) / known.scale
    spread = (near * rest).sum(axis=1) / MEAN_DEVIATION + shrinkage.spread_pairs
    return LocalCorrection(nodes, centre, bias, tilt, spread / (weight + shrinkage.spread_pairs))

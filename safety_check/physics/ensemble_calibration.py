"""Widen each run of a forecast by the usual error of such runs, independently of the others."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from safety_check.arrays import FloatArray

MEAN_DEVIATION = 2 * np.log(2)  # exact: mean distance of a logistic variable of scale 1 from 0
STANDARD_DEVIATION = np.pi / np.sqrt(3)  # exact: of a logistic variable of scale 1
LOWEST_LEVEL = 0.05  # no part of a run stands for a lower quantile of its error
LOWEST_SCORE = float(np.log(LOWEST_LEVEL / (1 - LOWEST_LEVEL)))
LEAST_BELOW, LEAST_OF_MODEL = 2, 4  # parts below the tail: of a run, and of a model's runs


@dataclass(frozen=True)
class ErrorModel:
    """How far a run of a forecast is shifted and widened, by lead time.

    Between two lead times a coefficient is interpolated; before the first its value stays the
    same; beyond the last it is unknown.

    Parameters
    ----------
    lead_hours : array (lead,)
        Ascending. [h]
    shift, floor : array (lead,)
        What is added to the run; the scale of a calm run's error. [unit of the quantity]
    slope, relative : array (lead,)
        Factor on the run; its part in the scale of the error. [1]

    Raises
    ------
    ValueError
        Where a higher run could give a lower value at `LOWEST_LEVEL`.
    """

    lead_hours: FloatArray
    shift: FloatArray
    slope: FloatArray
    floor: FloatArray
    relative: FloatArray

    def __post_init__(self) -> None:
        """Check that a higher run never gives a lower value; see `widened_value`."""
        if not np.all(self.slope + LOWEST_SCORE * self.relative >= 0):
            raise ValueError(
                f"slope must be at least {-LOWEST_SCORE:.2f} times relative, or a higher wind"
                " could give lower odds"
            )

    def distribution(
        self, value: FloatArray, lead_hours: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        """Location and scale of the logistic distribution of the outcomes of a run.

        Parameters
        ----------
        value : array (..., hour)
            The value of the run. [unit of the quantity]
        lead_hours : array (hour,)
            From the forecast's issue. [h]

        Returns
        -------
        two arrays (..., hour)
            Location and scale [unit of the quantity]; NaN where an input is NaN.

        References
        ----------
        .. [BrockerSmith2008] Bröcker and Smith, Tellus A 60, 2008: each run of an ensemble
           dressed by a kernel whose centre is affine in the run; from memory, not read. That
           the scale grows with the run is our choice.
        .. [SchulzLerch2022] Schulz and Lerch, Mon. Wea. Rev. 150, 2022: the logistic for
           gusts; introduction and the authors' program read.
        """
        shift, slope, floor, part = (
            by_lead(lead_hours, self.lead_hours, coefficient)
            for coefficient in (self.shift, self.slope, self.floor, self.relative)
        )
        return shift + slope * value, np.sqrt(floor**2 + (part * value) ** 2)

    def of_mean(
        self, mean: FloatArray, spread: FloatArray, lead_hours: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        """Location and scale of the outcomes of several runs, from their mean and spread.

        The runs' own spread and the error of each add up as squares.
        """
        location, scale = self.distribution(mean, lead_hours)
        slope = by_lead(lead_hours, self.lead_hours, self.slope)
        return location, np.hypot(scale, slope * spread / STANDARD_DEVIATION)


@dataclass(frozen=True)
class LocalCorrection:
    """Errors of past forecasts at one water, used to correct the next, by lead time.

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
        self,
        location: FloatArray,
        scale: FloatArray,
        lead_hours: FloatArray,
        better: bool,
        least_tilt: FloatArray | float = -1.0,
    ) -> tuple[FloatArray, FloatArray]:
        """Location and scale as corrected; unless `better`, only upward and only wider.

        No tilt counts below the least: with a lower one a higher forecast would give a lower value.
        """
        centre, bias, tilt, spread = (
            by_lead(lead_hours, self.lead_hours, coefficient)
            for coefficient in (self.centre, self.bias, self.tilt, self.spread)
        )
        change = bias + np.maximum(tilt, least_tilt) * (location - centre)
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


@dataclass(frozen=True)
class Parts:
    """The parts that a run is split into, each standing for some of the outcomes of that run.

    Parameters
    ----------
    level : array (part,)
        The quantile of the run's error that the part stands for, ascending. [1]
    weight : array (part,)
        The share of the outcomes. Sum 1. [1]
    """

    level: FloatArray
    weight: FloatArray


def split_into_parts(share: float, runs: int) -> Parts:
    """Return the parts that each of a model's runs is split into.

    Parameters
    ----------
    share
        The share of the forecasts that suffices to decide. [1]
    runs
        The number of the model's runs. The fewer there are, the more parts stand below the two
        parts of the tail.

    Notes
    -----
    Each part stands for the middle of its share of the outcomes. The edges are such that one of
    them stands for exactly the quantile that a share of equal runs reaches.

    Examples
    --------
    >>> parts = split_into_parts(0.2, runs=30)
    >>> parts.level, parts.weight
    (array([0.175, 0.525, 0.8  , 0.95 ]), array([0.35, 0.35, 0.2 , 0.1 ]))
    """
    below = max(LEAST_BELOW, -(-LEAST_OF_MODEL // runs))
    edges = np.array([*np.linspace(0.0, 1 - 1.5 * share, below + 1), 1 - share / 2, 1.0])
    return Parts((edges[1:] + edges[:-1]) / 2, np.diff(edges))


def widened_value(
    value: FloatArray,
    level: FloatArray,
    lead_hours: FloatArray,
    error_model: ErrorModel,
    correction: LocalCorrection | None = None,
    better: bool = False,
) -> FloatArray:
    """Quantiles of the outcomes of each run, cut off at zero.

    Parameters
    ----------
    value : array (part, hour)
        The value of the run: a quantity not below zero, in the error model's unit.
    level : array (part,)
        Which quantile. Levels below `LOWEST_LEVEL` count as that. [1]
    lead_hours : array (hour,)
        Hours since the forecast was issued; a negative one counts as 0. [h]
    error_model, correction
        For any water; for this one, where it is known.
    better
        Whether the correction may lower and narrow.

    Returns
    -------
    array (part, hour)
        NaN where the value is not known, and beyond the last lead time.

    Notes
    -----
    A higher run never gives a lower value. With z the score of the level, the value grows with
    the run by slope + z · (change of the scale), and the scale changes by `relative` at most;
    so slope + z · relative ≥ 0 is required, and `ErrorModel` checks it for the lowest z.
    A correction's tilt is bounded likewise. More spread than usual counts above the median
    only: below it, it would lower the value.

    References
    ----------
    .. [Messner2014] Messner, Mayr, Wilks and Zeileis, Mon. Wea. Rev. 142, 2014: the logistic
       cut off at zero for wind, its scale not constant; abstract read.

    Examples
    --------
    >>> one, none = np.ones(1), np.zeros(1)
    >>> widening = ErrorModel(np.array([48.0]), none, one, one, none)
    >>> levels = np.array([0.1, 0.5, 0.9])
    >>> widened_value(np.full((3, 1), 8.0), levels, np.array([6.0]), widening).round(1)
    array([[ 5.8],
           [ 8. ],
           [10.2]])
    """
    score = np.log(np.maximum(level, LOWEST_LEVEL) / (1 - np.maximum(level, LOWEST_LEVEL)))[:, None]
    location, usual = error_model.distribution(value, lead_hours)
    scale = usual
    if correction is not None:
        slope, relative = (
            by_lead(lead_hours, error_model.lead_hours, coefficient)
            for coefficient in (error_model.slope, error_model.relative)
        )
        with np.errstate(divide="ignore", invalid="ignore"):
            least = np.where(slope > 0, -LOWEST_SCORE * relative / slope - 1, 0.0)
        location, scale = correction.applied(location, usual, lead_hours, better, least)
    scale = np.where(score < 0, np.minimum(scale, usual), scale)
    return np.asarray(np.maximum(location + score * scale, 0.0))


@dataclass(frozen=True)
class ForecastPairs:
    """Past forecasts and what was observed then, all arrays (pair,).

    One pair for each trip and lead time: the hours of one day share one error. A pair with a NaN
    is left out.

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
        Lead times at which the correction is wanted, ascending. [h]
    shrinkage
        How far few pairs are trusted.

    Returns
    -------
    LocalCorrection or None
        None with fewer than the least pairs.

    References
    ----------
    .. [EfronMorris1975] Efron and Morris, J. Amer. Statist. Assoc. 70, 1975: empirical-Bayes
       shrinkage; from memory, not read. Weighting by nearness in lead time is our choice.
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

"""Weights of ensemble members, and the severity that a share of them reaches."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from safety_check.arrays import BoolArray, FloatArray, IntArray

GO, MARGINAL, UNKNOWN, NO_GO = range(4)
"""Severities from best to worst, as whole numbers."""

SLACK = 1e-9  # weights are sums of floats, and exactly one in ten must count as one in ten


@dataclass(frozen=True)
class Tolerance:
    """The shares of the forecasts that suffice to decide.

    Parameters
    ----------
    share
        The share that decides; with a no-go by widened winds, the one that rules out `GO`. [1]
    of_winds
        The share that decides hazards computed from widened winds; not below `share`. [1]
    """

    share: float
    of_winds: float


def model_weights(models: Sequence[str], votes: Mapping[str, int] | None = None) -> FloatArray:
    """Weight of each member, so that every model has its votes: one, unless stated otherwise.

    Parameters
    ----------
    models
        For each member, the model that it belongs to.
    votes
        Model → its votes, where these are not one.

    Returns
    -------
    array (member,)
        Sum 1; a model's share is split evenly over its members. Empty without members. [1]

    Examples
    --------
    >>> model_weights(["gfs", "icon", "icon"])
    array([0.5 , 0.25, 0.25])
    >>> model_weights(["gfs", "ifs"], {"ifs": 3})
    array([0.25, 0.75])
    """
    size = Counter(models)
    own = {model: (votes or {}).get(model, 1) for model in size}
    total = sum(own.values())
    return np.array([own[model] / (total * size[model]) for model in models], dtype=float)


def weighted_share(severity: IntArray, weights: FloatArray, level: int) -> FloatArray:
    """Share of the weight at a severity or worse.

    Parameters
    ----------
    severity : array (..., member, hour)
        `GO`, `MARGINAL`, `UNKNOWN` or `NO_GO`; a member that is not known is `UNKNOWN`,
        which does not count as `GO`.
    weights : array (member,)
        Weight of each member; need not sum to 1. [1]
    level
        The least severity that counts.

    Returns
    -------
    array (..., hour)
        Between 0 and 1; NaN without any weight. [1]

    Examples
    --------
    >>> weighted_share(np.array([[GO, NO_GO], [UNKNOWN, GO]]), np.array([0.75, 0.25]), MARGINAL)
    array([0.25, 0.75])
    """
    total = weights.sum()
    if not total > 0:
        return np.full(without_members(severity), np.nan)
    return np.asarray(weight_of(severity >= level, weights) / total)


def weight_of(true: BoolArray, weights: FloatArray) -> FloatArray:
    """Weight of the members for which something is true.

    Parameters
    ----------
    true : array (..., member, hour)
        Whether it is.
    weights : array (member,)
        Weight of each member. [1]

    Returns
    -------
    array (..., hour)
        [1]

    Notes
    -----
    The members are added one after the other, not by a matrix product, whose rounding depends on
    where in the array an hour stands. So equal hours have equal weights, to the last bit. Of
    several hours only those are added up in which the members differ.

    Examples
    --------
    >>> weight_of(np.array([[True, False], [True, True]]), np.array([0.75, 0.25]))
    array([1.  , 0.25])
    """
    if not len(weights) or true.shape[-1] == 1:
        alone: FloatArray = (true * weights[:, None]).sum(axis=-2)
        return alone
    everything, every = weights.cumsum()[-1], true.all(axis=-2)
    total: FloatArray = np.where(every, everything, 0.0 * everything)
    mixed: BoolArray = np.logical_and(true.any(axis=-2), ~every)
    if mixed.any():
        shares = select_hours(true, mixed) * weights[:, None]
        in_pairs = shares.shape[-1] == 1  # the order in which numpy adds up a single column
        total[mixed] = shares.cumsum(axis=0)[-1] if in_pairs else shares.sum(axis=0)
    return total


def select_hours(members: np.ndarray, hours: BoolArray) -> np.ndarray:
    """Return some hours of all members.

    Parameters
    ----------
    members : array (..., member, hour)
        Any quantity.
    hours : array (..., hour)
        Which hours to return.

    Returns
    -------
    array (member, those hours)
        In the order of their places.

    Examples
    --------
    >>> select_hours(np.array([[1, 2, 3], [4, 5, 6]]), np.array([True, False, True]))
    array([[1, 3],
           [4, 6]])
    """
    return np.ascontiguousarray(np.moveaxis(members, -2, 0)[:, hours])


def severity_at_tolerance(severity: IntArray, weights: FloatArray, tolerance: float) -> IntArray:
    """Severity of each hour: the worst that enough of the weight reaches.

    Parameters
    ----------
    severity : array (..., member, hour)
        `GO`, `MARGINAL`, `UNKNOWN` or `NO_GO`.
    weights : array (member,)
        Weight of each member; need not sum to 1. [1]
    tolerance
        The share of the weight, at a level or worse, that suffices for that level. [1]

    Returns
    -------
    array (..., hour)
        `GO` only where less than the tolerance is worse than `GO`; `UNKNOWN` where the weights or
        the tolerance are not known.

    Examples
    --------
    One member in ten is no-go, which suffices; one in twenty does not.

    >>> one_of_ten = np.array([[NO_GO]] + 9 * [[GO]])
    >>> severity_at_tolerance(one_of_ten, np.full(10, 0.1), 0.1)
    array([3])
    >>> severity_at_tolerance(one_of_ten, np.array([0.05] + 9 * [0.95 / 9]), 0.1)
    array([0])
    """
    enough = tolerance - SLACK
    if not (0 < enough < 1 - SLACK and weights.sum() > 0):
        return _at_tolerance(severity, weights, enough)
    found: IntArray = severity.max(axis=-2)
    mixed = found > severity.min(axis=-2)  # where all members agree, no share has to be found
    if mixed.any():
        found[mixed] = _at_tolerance(select_hours(severity, mixed), weights, enough)
    return found


def _at_tolerance(severity: IntArray, weights: FloatArray, enough: float) -> IntArray:
    """Return the severity of each hour from the shares of the weight."""
    marginal, unknown, no_go = (
        weighted_share(severity, weights, level) for level in (MARGINAL, UNKNOWN, NO_GO)
    )
    proved = np.where(marginal < enough, GO, UNKNOWN)  # a share that is NaN proves nothing
    for share, level in ((marginal, MARGINAL), (unknown, UNKNOWN), (no_go, NO_GO)):
        proved[share >= enough] = level
    return proved.astype(severity.dtype)


def without_members(values: np.ndarray) -> tuple[int, ...]:
    """Shape of an array (..., member, hour) without its members."""
    return (*values.shape[:-2], values.shape[-1])

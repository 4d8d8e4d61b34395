"""The fewest false alarms that any threshold on some forecasts can have, chosen in hindsight.

Each score below is computed from the forecast of a row. A threshold on it says GO below and no GO
from there on. The thresholds, and the last score's coefficients too, are chosen on the rows that
they are tested on. An honest rule cannot know these rows, so it does no better with that score.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from benchmarks.widening import Cases
from safety_check.arrays import FloatArray

MISSES = (0.02, 0.05, 0.08, 0.1)  # of the cautions
MOST_MISSED = 0.05
AIMS = {"in company": 0.35, "alone": 0.45}  # false alarms at most
STEPS = 50  # of Newton's method, which needs about ten
RIDGE = 1e-3  # keeps the coefficients finite where a station's rows are told apart completely


def scores_of(cases: Cases, caution: float) -> dict[str, FloatArray]:
    """Return several scores of each row, higher for more wind, by the name to print."""
    members = cases.members
    return {
        "the ensemble's mean": members.mean(axis=0),
        "its third highest run": np.sort(members, axis=0)[-3],
        "its highest run": members.max(axis=0),
        "a line for each station, fitted in hindsight": hindsight_score(cases, caution),
    }


def hindsight_score(cases: Cases, caution: float) -> FloatArray:
    """Return a logistic regression's score, fitted to whether these rows reached the caution.

    Each station has its own straight line in the ensemble's mean.
    """
    own = (cases.place == np.unique(cases.place)[:, None]).astype(float)
    columns = np.concatenate([own, own * cases.members.mean(axis=0)])
    return logistic_score(columns, (cases.observed >= caution).astype(float))


def logistic_score(columns: FloatArray, came: FloatArray) -> FloatArray:
    """Return the log-odds of an event by a logistic regression, fitted by Newton's method.

    Parameters
    ----------
    columns : array (column, row)
        What the odds may depend on.
    came : array (row,)
        1 where the event came, else 0.

    Examples
    --------
    >>> one, event = np.ones((1, 4)), np.array([1.0, 0.0, 0.0, 0.0])
    >>> logistic_score(one, event).round(1)
    array([-1.1, -1.1, -1.1, -1.1])
    """
    size = np.abs(columns).max(axis=1, keepdims=True)
    scaled = columns / np.where(size > 0, size, 1.0)
    weight = np.zeros(len(scaled))
    for _ in range(STEPS):
        odds = 1 / (1 + np.exp(-(weight @ scaled)))
        slope = scaled @ (odds - came) + RIDGE * weight
        bend = (scaled * odds * (1 - odds)) @ scaled.T + RIDGE * np.eye(len(scaled))
        weight = weight - np.linalg.solve(bend, slope)
    return np.asarray(weight @ scaled)


def least_false_alarms(
    observed: FloatArray,
    value: FloatArray,
    bounds: tuple[float, float],
    missed: float = MOST_MISSED,
    no_go_missed: int | None = None,
) -> float:
    """Return the least share of false alarms of any threshold on a score.

    Parameters
    ----------
    observed, value : arrays (row,)
        The gusts, and the score of their forecasts.
    bounds
        Caution and no-go of the gusts.
    missed
        The share of the cautions that may be on a GO. [1]
    no_go_missed
        How many no-go may be on a GO; None asks for nothing more than `missed`.

    Examples
    --------
    The second of four rows passed the caution with a low forecast: to catch it costs two others.

    >>> gusts, score = np.array([9.0, 9.0, 2.0, 2.0]), np.array([9.0, 2.0, 3.0, 4.0])
    >>> least_false_alarms(gusts, score, (8.0, 12.0))
    1.0
    >>> least_false_alarms(gusts, score, (8.0, 12.0), missed=0.5)
    0.0
    """
    caution, no_go = (observed >= bound for bound in bounds)
    shares = [1.0]
    for threshold in np.append(np.unique(value), np.inf):
        go = value < threshold
        many = no_go_missed is not None and (go & no_go).sum() > no_go_missed
        if go[caution].mean() <= missed and not many:
            shares.append(float((~go)[~caution].mean()))
    return min(shares)


def report_best_reachable(cases: Cases, bounds: Mapping[str, tuple[float, float]]) -> None:
    """Print the trade-off that thresholds chosen in hindsight reach, and whether that is enough."""
    print("\nLeast false alarms of any threshold, chosen on the rows that it is tested on")
    least = "".join(f"{f'missed {missed:.0%}':>12}" for missed in MISSES)
    print(f"{'of the cautions at most':56}{least}   5%, no no-go")
    for company, bound in bounds.items():
        best = 1.0
        for name, value in scores_of(cases, bound[0]).items():
            found = [least_false_alarms(cases.observed, value, bound, most) for most in MISSES]
            both = least_false_alarms(cases.observed, value, bound, MOST_MISSED, 0)
            figures = "".join(f"{share:12.1%}" for share in found)
            print(f"{f'{company}: {name}':56}{figures}{both:15.1%}")
            best = min(best, both)
        within = "within reach" if best <= AIMS[company] else "out of reach"
        print(f"{company}: {best:.1%} at least, aim {AIMS[company]:.0%}: {within}")

"""What a threshold chosen in hindsight can reach, on rows whose answer is known by hand."""

from __future__ import annotations

import numpy as np
import pytest

from benchmarks.best_reachable import (
    AIMS,
    least_false_alarms,
    logistic_score,
    report_best_reachable,
    scores_of,
)
from benchmarks.limits_and_odds import COMPANY, limits_of, verdicts
from benchmarks.odds import ensemble_of, parted, widened
from benchmarks.widening import Cases
from safety_check.conditions.ensemble import GUST
from safety_check.conditions.error_models import load_error_models
from safety_check.model.verdict import Severity
from safety_check.physics.odds import Tolerance
from tests.recordings import shared_folder

BOUNDS = (8.0, 10.0)


def test_forecasts_that_rank_the_gusts_rightly_need_no_false_alarm():
    gusts = np.array([2.0, 5.0, 7.9, 8.0, 12.0])

    assert least_false_alarms(gusts, gusts**2, BOUNDS, 0.0, 0) == 0.0


def test_a_no_go_that_was_forecast_low_costs_what_lies_above_it():
    gusts = np.array([2.0, 3.0, 4.0, 5.0] + [9.0] * 19 + [12.0])
    score = np.array([1.0, 2.0, 3.0, 4.0] + [9.0] * 19 + [1.5])  # the no-go is forecast at 1.5

    assert least_false_alarms(gusts, score, BOUNDS, 0.05) == 0.0  # one of twenty may be missed
    assert least_false_alarms(gusts, score, BOUNDS, 0.05, 0) == 0.75  # unless it is a no-go


def test_a_logistic_regression_finds_the_log_odds_of_each_group():
    first = np.repeat([1.0, 0.0], 100)
    came = np.concatenate([np.arange(100) < 75, np.arange(100) < 20]).astype(float)

    score = logistic_score(np.array([first, 1 - first]), came)

    # By hand: 3 to 1 and 1 to 4; the ridge of a thousandth hardly moves a hundred rows.
    assert score[[0, 100]] == pytest.approx([np.log(3), np.log(0.25)], abs=1e-3)


def test_the_report_says_whether_an_aim_is_within_reach(capsys):
    gusts = np.linspace(1.0, 15.0, 57)
    perfect = Cases(np.repeat("a", 57), gusts, np.tile(gusts, (20, 1)))

    report_best_reachable(perfect, {company: BOUNDS for company in AIMS})

    said = capsys.readouterr().out
    assert said.count("within reach") == 2
    assert "out of reach" not in said


@pytest.fixture(scope="module")
def later():
    """The later rows of the recorded gusts."""
    path = shared_folder("datasets/verification") / "gust_ensemble_dwd_train.csv"
    return parted(path, path)[1]


@pytest.mark.parametrize("company", COMPANY)
def test_no_threshold_on_the_recorded_gusts_reaches_the_aim_for_false_alarms(later, company):
    bounds = limits_of(company)

    best = min(
        least_false_alarms(later.observed, value, bounds, 0.05, 0)
        for value in scores_of(later, bounds[0]).values()
    )

    assert best > AIMS[company]


@pytest.mark.parametrize("company", COMPANY)
def test_the_ensembles_false_alarms_are_near_the_fewest_of_any_threshold(later, company):
    bounds = limits_of(company)
    rows = widened(ensemble_of(later), later, load_error_models()[GUST], {})

    go = verdicts(rows, bounds, Tolerance(0.1, 0.2)) == Severity.GO

    false_alarms = (~go)[later.observed < bounds[0]].mean()
    mean = later.members.mean(axis=0)
    # The share was chosen on the earlier rows, the threshold in hindsight on these.
    assert false_alarms <= least_false_alarms(later.observed, mean, bounds, 0.05, 0) + 0.15

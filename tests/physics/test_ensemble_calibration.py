"""Dressed odds: the distribution, the members, and what is never made better."""

from __future__ import annotations

import tomllib
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from benchmarks import odds as benchmark
from benchmarks.emos import crps_truncated_logistic
from safety_check.physics.ensemble_calibration import (
    ErrorModel,
    LocalCorrection,
    by_lead,
    calibrate_members,
    mean_and_spread,
    never_better,
    quantile,
    split_heavy_members,
)
from safety_check.physics.odds import (
    GO,
    MARGINAL,
    NO_GO,
    model_weights,
    severity_at_tolerance,
    weighted_share,
)

CONFIG = tomllib.loads((Path(__file__).parents[2] / "config" / "odds.toml").read_text("utf-8"))
COEFFICIENTS = ("shift", "slope", "floor", "relative", "spread")
WINDS = ("wind_speed", "wind_speed_of_gust")


def shipped(quantity):
    """The coefficients of config/odds.toml for a quantity."""
    entries = [each for each in CONFIG["dressing"] if each["quantity"] == quantity]
    columns = {
        name: np.array([float(each[name]) for each in entries])
        for name in ("lead_hours", *COEFFICIENTS)
    }
    return ErrorModel(**columns)


def constant(shift=0.0, slope=1.0, floor=1.0, relative=0.0, spread=0.0):
    """A dressing that is the same at 0 and 100 hours."""
    values = (shift, slope, floor, relative, spread)
    return ErrorModel(np.array([0.0, 100.0]), *(np.full(2, each) for each in values))


GUSTS = shipped("wind_speed_of_gust")


@st.composite
def forecasts(draw):
    """Winds (member, hour), weights of the models, and lead times."""
    models = draw(st.lists(st.sampled_from("abc"), min_size=1, max_size=12))
    hours = draw(st.integers(1, 3))
    winds = draw(arrays(float, (len(models), hours), elements=st.floats(0, 40)))
    lead = draw(arrays(float, hours, elements=st.floats(-24, 384)))
    return winds, model_weights(models), lead


CORRECTIONS = st.builds(
    lambda bias, tilt, spread: LocalCorrection(
        np.array([0.0, 384.0]), np.full(2, 6.0), np.array(bias), np.full(2, tilt), np.array(spread)
    ),
    st.tuples(st.floats(-5, 5), st.floats(-5, 5)),
    st.floats(-0.5, 0.5),
    st.tuples(st.floats(0.3, 3), st.floats(0.3, 3)),
)

# -- the distribution --------------------------------------------------------------------------


def test_the_score_of_a_logistic_far_from_zero_matches_a_published_program():
    # R package scoringRules, tests/testthat/test-crps_logis.R (seen 2026-11-25): 2.0971747 for
    # an observation three scales below the location. Printed to seven decimals.
    score = crps_truncated_logistic(np.array(97.0), np.array(100.0), np.array(1.0))

    assert score == pytest.approx(2.0971747, abs=5e-8)


def test_the_score_of_a_half_logistic_matches_its_integral():
    # By hand: 4 ∫ S² dx from 0, with S = 1/(1+eˣ), is 4 (ln 2 - 1/2).
    score = crps_truncated_logistic(np.array(0.0), np.array(0.0), np.array(1.0))

    assert score == pytest.approx(4 * (np.log(2) - 0.5))


def test_the_median_of_a_half_logistic_is_the_logarithm_of_three():
    assert quantile(np.array(0.5), np.array(0.0), np.array(1.0)) == pytest.approx(np.log(3))


@given(st.floats(0, 20), st.floats(0.2, 5), st.floats(0, 30))
@settings(max_examples=30)
def test_score_and_quantiles_belong_to_one_distribution(location, scale, observed):
    level = (np.arange(4000) + 0.5) / 4000
    members = quantile(level, np.array(location), np.array(scale))[:, None]

    by_members = benchmark.scores(members, np.array([observed])).crps
    by_formula = crps_truncated_logistic(np.array([observed]), np.array(location), np.array(scale))

    # 4000 steps in place of a smooth curve cost about a step of the tail.
    assert by_members == pytest.approx(by_formula, abs=2e-3 * scale)


@given(st.floats(0, 20), st.floats(0.1, 5), st.floats(0.001, 0.999), st.floats(0.001, 0.999))
def test_a_higher_level_is_never_a_lower_wind_and_no_wind_is_below_zero(location, scale, one, two):
    low, high = quantile(np.sort([one, two]), np.array(location), np.array(scale))

    assert 0 <= low <= high


def test_mean_and_spread_are_weighted():
    mean, spread = mean_and_spread(np.array([[2.0], [8.0]]), np.array([2.0, 1.0]))

    # By hand: (2·2 + 8) / 3 = 4; √((2·2² + 4²) / 3) = √8.
    assert mean == pytest.approx([4.0])
    assert spread == pytest.approx([8**0.5])


def test_location_and_scale_follow_the_printed_form():
    dressing = constant(shift=1.0, slope=0.5, floor=3.0, relative=0.5, spread=2.0)

    location, scale = dressing.distribution(np.array([8.0]), np.array([6.0]), np.zeros(1))

    # By hand: 1 + 0.5·8 = 5; √(3² + 4² + 12²) = 13.
    assert location == pytest.approx([5.0])
    assert scale == pytest.approx([13.0])


def test_coefficients_run_straight_between_lead_times_and_are_unknown_beyond_the_last():
    lead = np.array([-6.0, 0.0, 12.0, 24.0, 24.5, np.nan])

    found = by_lead(lead, np.array([0.0, 24.0]), np.array([1.0, 3.0]))

    assert found[:4].tolist() == [1.0, 1.0, 2.0, 3.0]
    assert np.isnan(found[4:]).all()


# -- members -----------------------------------------------------------------------------------


def test_members_move_to_quantiles_in_their_raw_order():
    raw = np.array([[9.0], [5.0], [7.0]])

    after = calibrate_members(raw, np.full(3, 1 / 3), np.zeros(1), constant())

    # By hand: mean 7, scale 1; far above zero the quantile at p is 7 + ln(p / (1 - p)), at
    # 5/6, 1/6 and 1/2. What is cut off below zero is one part in a thousand.
    assert after == pytest.approx(7 + np.array([[np.log(5)], [-np.log(5)], [0.0]]), abs=0.01)


def test_a_heavy_member_stands_for_the_middle_of_its_share():
    after = calibrate_members(
        np.array([[90.0], [91.0]]), np.array([0.8, 0.2]), np.zeros(1), constant()
    )

    # By hand: mean 90.2; levels 0.4 and 0.9.
    assert after[:, 0] == pytest.approx(90.2 + np.log([0.4 / 0.6, 0.9 / 0.1]))


@given(forecasts())
def test_dressing_keeps_the_order_of_the_members(forecast):
    winds, weights, lead = forecast

    after = calibrate_members(winds, weights, lead, GUSTS)

    for hour in range(winds.shape[1]):
        order = np.argsort(winds[:, hour], kind="stable")
        assert (np.diff(after[order, hour]) > 0).all()


@given(forecasts(), st.data())
def test_a_lost_member_makes_its_hour_unknown_and_no_other(forecast, data):
    winds, weights, lead = forecast
    member = data.draw(st.integers(0, len(winds) - 1))
    hour = data.draw(st.integers(0, len(lead) - 1))
    lost = winds.copy()
    lost[member, hour] = np.nan

    after = calibrate_members(lost, weights, lead, GUSTS)

    others = np.arange(len(lead)) != hour
    assert np.isnan(after[:, hour]).all()
    assert (after[:, others] == calibrate_members(winds, weights, lead, GUSTS)[:, others]).all()


@pytest.mark.parametrize("lead", [384.5, np.nan])
def test_a_lead_time_without_coefficients_is_unknown(lead):
    assert np.isnan(
        calibrate_members(np.full((2, 1), 5.0), np.ones(2) / 2, np.array([lead]), GUSTS)
    ).all()


@given(st.lists(st.sampled_from("abcdef"), min_size=1, max_size=60), st.sampled_from([0.05, 0.01]))
def test_copies_keep_each_members_weight_and_exceed_no_limit(models, most):
    weights = model_weights(models)

    member, each = split_heavy_members(weights, most)

    assert np.bincount(member, each) == pytest.approx(weights)
    assert (each <= most * (1 + 1e-6)).all()
    assert (np.diff(member) >= 0).all()


def test_one_lone_forecast_shows_its_odds_once_it_is_copied():
    member, weights = split_heavy_members(np.ones(1), 0.05)
    raw = np.array([[7.0]])[member]

    after = calibrate_members(raw, weights, np.zeros(1), constant())
    severity = np.where(after >= 9.0, NO_GO, GO)

    # By hand: the nine-in-ten quantile lies ln 9 = 2.2 above 7 m/s, so one in ten reach 9.
    assert severity_at_tolerance(severity, weights, 0.1) == [NO_GO]
    assert severity_at_tolerance(np.where(raw >= 9.0, NO_GO, GO), weights, 0.1) == [GO]


# -- never better ------------------------------------------------------------------------------


def severities(winds, bounds):
    low, high = sorted(bounds)
    return np.select([winds >= high, winds >= low], [NO_GO, MARGINAL], GO)


BOUNDS = st.tuples(st.floats(0, 40), st.floats(0, 40))


@given(forecasts(), BOUNDS, st.floats(0.01, 0.5))
def test_dressing_makes_no_verdict_better(forecast, bounds, tolerance):
    winds, weights, lead = forecast

    after = never_better(winds, calibrate_members(winds, weights, lead, GUSTS))

    was = severity_at_tolerance(severities(winds, bounds), weights, tolerance)
    assert (severity_at_tolerance(severities(after, bounds), weights, tolerance) >= was).all()


@given(forecasts(), st.floats(0, 40))
def test_the_share_at_any_bound_is_the_larger_of_raw_and_dressed(forecast, bound):
    winds, weights, lead = forecast
    after = calibrate_members(winds, weights, lead, GUSTS)

    raw, alone, worst = (
        weighted_share(np.where(each >= bound, NO_GO, GO), weights, NO_GO)
        for each in (winds, after, never_better(winds, after))
    )

    assert worst == pytest.approx(np.maximum(raw, alone))


@given(forecasts(), CORRECTIONS, BOUNDS, st.booleans(), st.floats(0.01, 0.5))
def test_a_local_correction_makes_no_verdict_better_than_without(
    forecast, correction, bounds, better, tolerance
):
    winds, weights, lead = forecast
    without = never_better(winds, calibrate_members(winds, weights, lead, GUSTS))

    corrected = calibrate_members(winds, weights, lead, GUSTS, correction, better)
    after = never_better(without, corrected)

    was = severity_at_tolerance(severities(without, bounds), weights, tolerance)
    assert (severity_at_tolerance(severities(after, bounds), weights, tolerance) >= was).all()


@given(CORRECTIONS, st.floats(0, 30), st.floats(0.1, 5), st.floats(0, 384))
def test_unless_allowed_a_correction_only_raises_and_widens(correction, location, scale, lead):
    at = (np.array([location]), np.array([scale]), np.array([lead]))

    higher, wider = correction.applied(*at, better=False)

    assert higher >= location
    assert wider >= scale


def test_where_allowed_a_correction_lowers_and_narrows_but_not_below_calm():
    nodes = np.array([0.0, 100.0])
    values = ([6.0, 6.0], [-2.0, -12.0], [0.5, 0.5], [0.5, 0.5])
    correction = LocalCorrection(nodes, *(np.array(each) for each in values))

    lower, narrower = correction.applied(np.full(2, 8.0), np.ones(2), nodes, better=True)

    # By hand: 8 - 2 + 0.5·(8 - 6) = 7; 8 - 12 + 1 is below calm.
    assert lower.tolist() == [7.0, 0.0]
    assert narrower.tolist() == [0.5, 0.5]


@given(forecasts())
def test_an_unknown_dressing_stays_unknown(forecast):
    winds, weights, lead = forecast

    after = never_better(winds, calibrate_members(winds, weights, lead + 409, GUSTS))

    assert np.isnan(after).all()  # 409 h and a day before issue are beyond the last lead time


# -- the shipped coefficients ------------------------------------------------------------------


def test_every_shipped_entry_says_where_it_comes_from():
    wanted = {"quantity", "lead_hours", *COEFFICIENTS, "basis", "source", "since", "checked"}

    assert all(set(each) == wanted for each in CONFIG["dressing"])
    assert {each["quantity"] for each in CONFIG["dressing"]} == set(WINDS)
    assert all(len(CONFIG[part]["source"]) > 20 for part in ("members", "local"))


@pytest.mark.parametrize("quantity", WINDS)
def test_a_forecast_farther_ahead_is_never_narrower(quantity):
    mean, lead = np.full(60, 6.0), np.linspace(0, 384, 60)

    location, scale = shipped(quantity).distribution(mean, np.ones(60), lead)

    assert (np.diff(scale) >= 0).all()
    assert (np.diff(location) == 0).all()


def test_mean_winds_are_dressed_as_gusts_over_the_gust_factor():
    gusts, winds = GUSTS, shipped("wind_speed")

    # WMO/TD-No. 1555 (2010): 1.66 inland over ten minutes. Three decimals are kept.
    assert winds.shift == pytest.approx(gusts.shift / 1.66, abs=5e-4)
    assert winds.floor == pytest.approx(gusts.floor / 1.66, abs=5e-4)

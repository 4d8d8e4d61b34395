"""Widened runs: the distribution, the parts, and that a higher run never gives a lower value."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from benchmarks.widening import crps
from safety_check.conditions.error_models import load_error_models
from safety_check.physics.ensemble_calibration import (
    LOWEST_LEVEL,
    LOWEST_SCORE,
    MEAN_DEVIATION,
    STANDARD_DEVIATION,
    ErrorModel,
    LocalCorrection,
    by_lead,
    mean_and_spread,
    split_into_parts,
    widened_value,
)
from safety_check.physics.odds import (
    GO,
    NO_GO,
    model_weights,
    severity_at_tolerance,
    weighted_share,
)
from tests.properties import cases, note, takes

CONFIG = tomllib.loads((Path(__file__).parents[2] / "config" / "odds.toml").read_text("utf-8"))
LIMITS = tomllib.loads((Path(__file__).parents[2] / "config" / "limits.toml").read_text("utf-8"))
COEFFICIENTS = ("shift", "slope", "floor", "relative")
WINDS = ("wind_speed", "wind_speed_of_gust")
SHIPPED = [
    (name, runs, getattr(load_error_models()[name], runs))
    for name in WINDS
    for runs in ("one", "several")
]
every_model = pytest.mark.parametrize("model", [entry for *_, entry in SHIPPED])


def constant(shift=0.0, slope=1.0, floor=1.0, relative=0.0):
    """An error model that is the same at 0 and 100 hours."""
    values = (shift, slope, floor, relative)
    return ErrorModel(np.array([0.0, 100.0]), *(np.full(2, value) for value in values))


CORRECTIONS = st.builds(
    lambda bias, tilt, spread: LocalCorrection(
        np.array([0.0, 384.0]), np.full(2, 6.0), np.array(bias), np.full(2, tilt), np.array(spread)
    ),
    st.tuples(st.floats(-5, 5), st.floats(-5, 5)),
    st.floats(-2, 1),
    st.tuples(st.floats(0.3, 3), st.floats(0.3, 3)),
)
RUNS, LEADS, SHARES = st.integers(1, 60), st.floats(-24, 384), st.floats(0.01, 0.5)

# -- the distribution --------------------------------------------------------------------------


def test_the_score_of_a_logistic_far_from_zero_matches_a_published_program():
    # R package scoringRules, tests/testthat/test-crps_logis.R (seen 2026-11-25): 2.0971747 for
    # an observation three scales below the location, and so for one three above it.
    level = (np.arange(20_000) + 0.5) / 20_000
    members = widened_value(np.full((20_000, 1), 100.0), level, np.zeros(1), constant())

    score = crps(members, np.full(20_000, 1 / 20_000), np.array([103.0]))

    # Levels below one in twenty count as that: by hand, ∫ F² below it is -ln 0.95 - 0.05 = 0.0013.
    assert score == pytest.approx([2.0971747 - 0.0013], abs=1e-4)


def test_mean_and_spread_are_weighted():
    mean, spread = mean_and_spread(np.array([[2.0], [8.0]]), np.array([2.0, 1.0]))

    # By hand: (2·2 + 8) / 3 = 4; √((2·2² + 4²) / 3) = √8.
    assert mean == pytest.approx([4.0])
    assert spread == pytest.approx([8**0.5])


def test_location_and_scale_follow_the_printed_form():
    model = constant(shift=1.0, slope=2.0, floor=3.0, relative=0.5)

    location, scale = model.distribution(np.array([8.0]), np.zeros(1))

    # By hand: 1 + 2·8 = 17; √(3² + 4²) = 5.
    assert location == pytest.approx([17.0])
    assert scale == pytest.approx([5.0])


def test_of_several_runs_their_spread_adds_up_with_the_error_of_each():
    model = constant(slope=2.0, floor=5.0)

    location, scale = model.of_mean(
        np.array([8.0]), np.array([6 * STANDARD_DEVIATION]), np.zeros(1)
    )

    # By hand: 2·8; √(5² + (2·6)²) = 13.
    assert location == pytest.approx([16.0])
    assert scale == pytest.approx([13.0])


def test_coefficients_run_straight_between_lead_times_and_are_unknown_beyond_the_last():
    lead = np.array([-6.0, 0.0, 12.0, 24.0, 24.5, np.nan])

    found = by_lead(lead, np.array([0.0, 24.0]), np.array([1.0, 3.0]))

    assert found[:4].tolist() == [1.0, 1.0, 2.0, 3.0]
    assert np.isnan(found[4:]).all()


def test_the_constants_are_those_of_a_standard_logistic():
    # A plain sum over the quantiles ln(p / (1 - p)) of a hundred thousand equal shares.
    p = (np.arange(100_000) + 0.5) / 100_000
    score = np.log(p / (1 - p))

    assert np.abs(score).mean() == pytest.approx(MEAN_DEVIATION, rel=1e-3)  # coarse in the tails
    assert score.std() == pytest.approx(STANDARD_DEVIATION, rel=1e-3)


# -- the parts of a run ------------------------------------------------------------------------


def test_a_run_stands_for_the_quantiles_of_its_error():
    level = np.array([0.1, 0.5, 0.9])

    after = widened_value(np.full((3, 1), 7.0), level, np.zeros(1), constant())

    # By hand: 7 + ln(p / (1 - p)).
    assert after[:, 0] == pytest.approx(7 + np.log([1 / 9, 1, 9]))


def test_no_part_stands_for_less_than_one_outcome_in_twenty():
    after = widened_value(
        np.full((3, 1), 7.0), np.array([0.0, 0.01, 0.05]), np.zeros(1), constant()
    )

    assert after[:, 0] == pytest.approx(7 + np.log(1 / 19))


def test_a_model_of_few_runs_has_each_split_into_more_parts():
    # At least two parts below the two of the tail, and four of all the model's runs together.
    counts = {runs: len(split_into_parts(0.2, runs).level) for runs in (1, 2, 3, 4, 60)}

    assert counts == {1: 6, 2: 4, 3: 4, 4: 4, 60: 4}
    # By hand: edges 0, 0.35, 0.7, 0.9, 1.
    assert split_into_parts(0.2, 30).level == pytest.approx([0.175, 0.525, 0.8, 0.95])
    assert split_into_parts(0.2, 30).weight == pytest.approx([0.35, 0.35, 0.2, 0.1])


def test_no_wind_is_below_zero():
    assert widened_value(np.zeros((1, 1)), np.array([0.1]), np.zeros(1), constant()) == [[0.0]]


@given(SHARES, RUNS)
def test_the_parts_of_a_run_are_all_of_it_each_at_the_middle_of_its_share(share, runs):
    parts = split_into_parts(share, runs)

    assert parts.weight.sum() == pytest.approx(1)
    assert (parts.weight > 0).all()
    assert (np.diff(parts.level) > 0).all()
    below = np.cumsum(parts.weight) - parts.weight / 2
    assert parts.level == pytest.approx(below)


@given(SHARES, RUNS, st.floats(0, 20))
def test_equal_runs_reach_a_limit_by_the_exact_quantile_of_the_share(share, runs, value):
    parts, model = split_into_parts(share, runs), load_error_models()["wind_speed_of_gust"].one
    level, weights = np.tile(parts.level, runs), np.tile(parts.weight, runs) / runs
    members = widened_value(np.full((len(level), 1), value), level, np.zeros(1), model)
    exact = widened_value(np.array([[value]]), np.array([1 - share]), np.zeros(1), model)[0, 0]

    at, above = (
        severity_at_tolerance(np.where(members >= bound, NO_GO, GO), weights, share)
        for bound in (exact - 1e-6, exact + 1e-6)
    )

    assert at == [NO_GO]
    assert above == [GO]


@pytest.mark.parametrize("lead", [384.5, np.nan])
@every_model
def test_a_lead_time_without_coefficients_is_unknown(model, lead):
    after = widened_value(np.full((2, 1), 5.0), np.array([0.3, 0.9]), np.array([lead]), model)

    assert np.isnan(after).all()


# -- a higher run never gives a lower value ----------------------------------------------------


@every_model
@given(st.floats(0, 40), st.floats(0, 10), st.floats(0, 1), LEADS)
def test_a_higher_run_never_gives_a_lower_value(model, value, more, level, lead):
    low, high = (
        widened_value(np.array([[one_value]]), np.array([level * 0.999]), np.array([lead]), model)
        for one_value in (value, value + more)
    )

    assert high >= low - 1e-9


@every_model
@given(st.floats(0, 40), st.floats(0, 10), st.floats(0, 0.999), LEADS, CORRECTIONS, st.booleans())
def test_nor_does_it_with_a_local_correction(model, value, more, level, lead, correction, better):
    low, high = (
        widened_value(
            np.array([[one_value]]), np.array([level]), np.array([lead]), model, correction, better
        )
        for one_value in (value, value + more)
    )

    assert high >= low - 1e-9


@pytest.mark.parametrize("relative", [0.0, 0.2, 1 / -LOWEST_SCORE - 1e-9])
def test_the_condition_on_the_coefficients_suffices_at_the_lowest_level(relative):
    model = constant(slope=1.0, floor=0.01, relative=relative)
    runs = np.linspace(0, 40, 400)[None, :]

    after = widened_value(runs, np.array([LOWEST_LEVEL]), np.zeros(400), model)

    assert (np.diff(after[0]) >= -1e-9).all()


def test_coefficients_that_would_let_a_higher_run_give_a_lower_value_are_refused():
    with pytest.raises(ValueError, match="a higher wind could give lower odds"):
        constant(slope=0.5, relative=0.5 / -LOWEST_SCORE + 0.01)


@takes(more_above=0.1)
@given(
    st.lists(st.sampled_from("abc"), min_size=1, max_size=12),
    st.data(),
    st.floats(0, 30),
    st.floats(0.01, 10),
)
def test_more_wind_in_any_run_never_lowers_the_share_above_a_limit(models, data, bound, more):
    runs = data.draw(arrays(float, (len(models), 1), elements=st.floats(0, 30)))
    run = data.draw(st.integers(0, len(models) - 1))
    higher = runs.copy()
    higher[run] += more
    weights, model = model_weights(models), load_error_models()["wind_speed"].several
    parts = split_into_parts(0.2, len(models))

    before, after = (
        weighted_share(
            np.where(
                widened_value(
                    np.repeat(value, len(parts.level), axis=0),
                    np.tile(parts.level, len(models)),
                    np.zeros(1),
                    model,
                )
                >= bound,
                NO_GO,
                GO,
            ),
            np.outer(weights, parts.weight).ravel(),
            NO_GO,
        )
        for value in (runs, higher)
    )

    assert after >= before
    note("more_above", after > before)


# -- what a correction may do ------------------------------------------------------------------


@takes(raised=0.3)
@cases(240)
@given(
    st.sampled_from([entry for *_, entry in SHIPPED]),
    *(CORRECTIONS, st.floats(0, 30), st.floats(0, 0.999), st.floats(0, 384)),
)
def test_unless_allowed_a_correction_lowers_no_value(model, correction, value, level, lead):
    at = (np.array([[value]]), np.array([level]), np.array([lead]), model)

    before, after = widened_value(*at), widened_value(*at, correction, better=False)
    assert after >= before
    note("raised", after > before)


def test_where_allowed_a_correction_lowers_and_narrows_but_not_below_calm():
    nodes = np.array([0.0, 100.0])
    values = ([6.0, 6.0], [-2.0, -12.0], [0.5, 0.5], [0.5, 0.5])
    correction = LocalCorrection(nodes, *(np.array(value) for value in values))

    lower, narrower = correction.applied(np.full(2, 8.0), np.ones(2), nodes, better=True)

    # By hand: 8 - 2 + 0.5·(8 - 6) = 7; 8 - 12 + 1 is below calm.
    assert lower.tolist() == [7.0, 0.0]
    assert narrower.tolist() == [0.5, 0.5]


# -- the shipped coefficients ------------------------------------------------------------------


def test_every_shipped_entry_says_where_it_comes_from():
    said = {"basis", "source", "since", "checked"}
    wanted = {"quantity", "runs", "lead_hours", *COEFFICIENTS, *said}

    assert all(set(sentence) == wanted for sentence in CONFIG["widening"])
    assert {sentence["quantity"] for sentence in CONFIG["widening"]} == set(WINDS)
    assert all(len(CONFIG[part]["source"]) > 20 for part in ("tolerance", "local"))
    fitted = [
        sentence["source"] for sentence in CONFIG["widening"] if sentence["basis"] == "fitted"
    ]
    assert any("added noise" in fit for fit in fitted)


@every_model
@cases(20)
@given(st.floats(0, 20))
def test_a_forecast_farther_ahead_is_never_narrower(model, value):
    location, scale = model.distribution(np.full(60, value), np.linspace(0, 384, 60))

    assert (np.diff(scale) >= -1e-12).all()
    assert np.diff(location) == pytest.approx(0)


def test_one_run_is_wider_than_a_run_of_several():
    for name in WINDS:
        models = load_error_models()[name]
        scales = (
            item.distribution(np.linspace(0, 20, 9), np.full(9, 48.0))[1]
            for item in (models.several, models.one)
        )
        several, one = scales
        assert (one > several).all()


@pytest.mark.parametrize("runs", ["one", "several"])
def test_mean_winds_are_widened_as_gusts_over_the_gust_factor(runs):
    gusts, winds = (getattr(load_error_models()[name], runs) for name in reversed(WINDS))

    # WMO/TD-No. 1555 (2010): 1.75 inland over an hour. Three decimals are kept.
    assert winds.shift == pytest.approx(gusts.shift / 1.75, abs=1e-3)
    assert winds.floor == pytest.approx(gusts.floor / 1.75, abs=1e-3)


@pytest.mark.parametrize(
    "limit",
    [one_limit for one_limit in LIMITS["limit"] if one_limit["quantity"] in WINDS],
    ids=lambda limit: f"{limit['quantity']} {limit['applies_to'][0]} {limit['since']}",
)
@pytest.mark.parametrize("runs", ["one", "several"])
def test_a_run_that_reaches_a_shipped_limit_reaches_it_once_widened(limit, runs):
    model = getattr(load_error_models()[limit["quantity"]], runs)
    share = 0.1 * CONFIG["tolerance"]["winds_factor"]

    for bound in (limit["marginal"], limit["no_go"]):
        reached = widened_value(np.array([[bound]]), np.array([1 - share]), np.zeros(1), model)
        assert reached[0, 0] >= bound


def test_a_slope_may_just_make_up_for_the_spread_and_must_at_every_lead():
    lead, none = np.array([0.0, 48.0]), np.zeros(2)
    just = -LOWEST_SCORE * np.array([0.25, 0.5])

    assert ErrorModel(lead, none, just, none, np.array([0.25, 0.5])).slope is just
    for less in (just - [1e-6, 0.0], just - [0.0, 1e-6]):
        with pytest.raises(ValueError, match="slope must be at least"):
            ErrorModel(lead, none, less, none, np.array([0.25, 0.5]))


@pytest.mark.parametrize(("runs", "below"), [(1, 4), (2, 2), (3, 2), (4, 2), (30, 2)])
def test_a_model_has_four_parts_below_the_tail_at_least_and_a_run_two(runs, below):
    parts = split_into_parts(0.2, runs)

    assert len(parts.level) == below + 2
    assert parts.weight[:below] == pytest.approx(np.full(below, 0.7 / below))
    assert parts.weight[below:] == pytest.approx([0.2, 0.1])
    assert parts.level == pytest.approx(np.cumsum(parts.weight) - parts.weight / 2)


def test_the_mean_and_spread_of_weighted_runs_by_hand():
    # Weights 1, 1, 2 of 2, 4 and 6 m/s: mean 4.5; squares 6.25, 0.25, 2.25 give a variance of 2.75.
    mean, spread = mean_and_spread(np.array([[2.0], [4.0], [6.0]]), np.array([1.0, 1.0, 2.0]))

    assert mean == pytest.approx([4.5])
    assert spread == pytest.approx([np.sqrt(2.75)])


def test_a_correction_by_hand():
    # Forecast 6 where 4 is usual: bias 1 and tilt 0.5 add 1 + 0.5 · 2, and the scale is halved.
    lead = np.array([0.0, 48.0])
    learnt = LocalCorrection(lead, *(np.full(2, value) for value in (4.0, 1.0, 0.5, 0.5)))
    found = learnt.applied(np.array([6.0]), np.array([2.0]), np.array([24.0]), True)
    kept = learnt.applied(np.array([6.0]), np.array([2.0]), np.array([24.0]), False)

    assert [one.item() for one in found] == pytest.approx([8.0, 1.0])
    assert [one.item() for one in kept] == pytest.approx([8.0, 2.0])
    lower = replace(learnt, bias=np.full(2, -9.0), tilt=np.zeros(2))
    gone = lower.applied(np.array([6.0]), np.array([2.0]), np.array([24.0]), True)
    same = lower.applied(np.array([6.0]), np.array([2.0]), np.array([24.0]), False)
    assert (gone[0].item(), same[0].item()) == (0.0, 6.0)


def test_a_coefficient_is_known_to_its_last_lead_time():
    nodes, values = np.array([0.0, 48.0]), np.array([1.0, 3.0])

    leads = np.array([-5.0, 0.0, 24.0, 48.0])
    assert by_lead(leads, nodes, values).tolist() == [1.0, 1.0, 2.0, 3.0]
    assert np.isnan(by_lead(np.array([48.1, np.nan]), nodes, values)).all()

"""The share of the forecasts that decides, against cases worked by hand, and its properties."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from safety_check.model.verdict import Severity
from safety_check.physics.odds import (
    GO,
    MARGINAL,
    NO_GO,
    UNKNOWN,
    model_weights,
    severity_at_tolerance,
    weight_of,
    weighted_share,
)
from tests.properties import cases, note, takes

MODELS = st.lists(st.sampled_from(["gfs", "icon", "ifs", "gem"]), min_size=1, max_size=30)
TOLERANCES = st.floats(0.01, 0.5)


@st.composite
def weighed_members(draw):
    """Severities (member, hour) and the weights of their models."""
    models = draw(MODELS)
    shape = (len(models), draw(st.integers(1, 4)))
    return draw(arrays(np.int64, shape, elements=st.integers(GO, NO_GO))), model_weights(models)


def test_severities_are_the_numbers_that_the_verdict_uses():
    assert [int(severity) for severity in Severity] == [GO, MARGINAL, UNKNOWN, NO_GO]


# -- weights -----------------------------------------------------------------------------------


def test_a_model_counts_once_however_many_members_it_has():
    weights = model_weights(["gfs", *["ens"] * 50, "icon"])

    # By hand: three models, a third each; the ensemble's third over fifty members.
    assert weights[[0, 51]] == pytest.approx(1 / 3)
    assert weights[1:51] == pytest.approx(1 / 150)


@given(MODELS)
def test_weights_sum_to_one_and_each_model_holds_the_same(models):
    weights = model_weights(models)

    shares = {model: weights[np.array(models) == model].sum() for model in models}
    assert weights.sum() == pytest.approx(1)
    assert list(shares.values()) == pytest.approx([1 / len(shares)] * len(shares))


@pytest.mark.promise("every model votes")
@given(MODELS, st.dictionaries(st.sampled_from(["gfs", "icon", "ifs"]), st.integers(1, 4)))
def test_a_model_with_more_votes_holds_as_many_times_the_weight(models, votes):
    weights = model_weights(models, votes)

    total = sum(votes.get(model, 1) for model in set(models))
    for model in set(models):
        share = weights[np.array(models) == model].sum()
        assert share == pytest.approx(votes.get(model, 1) / total)


def test_without_members_there_are_no_weights():
    assert model_weights([]).shape == (0,)


# -- shares ------------------------------------------------------------------------------------


def test_a_share_counts_the_members_at_the_level_or_worse():
    severity = np.array([[GO, NO_GO], [MARGINAL, NO_GO], [UNKNOWN, GO], [NO_GO, GO]])
    weights = np.array([0.4, 0.3, 0.2, 0.1])

    # By hand, hour by hour.
    assert weighted_share(severity, weights, GO) == pytest.approx([1.0, 1.0])
    assert weighted_share(severity, weights, MARGINAL) == pytest.approx([0.6, 0.7])
    assert weighted_share(severity, weights, UNKNOWN) == pytest.approx([0.3, 0.7])
    assert weighted_share(severity, weights, NO_GO) == pytest.approx([0.1, 0.7])


@given(weighed_members(), st.floats(0.01, 100))
def test_only_the_proportion_of_the_weights_matters(members, factor):
    severity, weights = members

    scaled = weighted_share(severity, factor * weights, MARGINAL)

    assert scaled == pytest.approx(weighted_share(severity, weights, MARGINAL))


# -- the severity that enough of the weight reaches --------------------------------------------

# By hand: members' severities, their weights, the tolerance, the hour's severity, and why.
WORKED = [
    ([GO] * 10, [0.1] * 10, 0.1, GO),
    ([NO_GO] + [GO] * 9, [0.1] * 10, 0.1, NO_GO),  # exactly one in ten suffices
    ([NO_GO] + [GO] * 9, [0.1] * 10, 0.11, GO),
    ([NO_GO] + [GO] * 19, [0.05] * 20, 0.1, GO),  # one in twenty does not
    ([NO_GO, MARGINAL] + [GO] * 18, [0.05] * 20, 0.1, MARGINAL),  # both are marginal or worse
    ([NO_GO, UNKNOWN] + [GO] * 18, [0.05] * 20, 0.1, UNKNOWN),  # both are unknown or worse
    ([UNKNOWN] * 9 + [NO_GO], [0.1] * 10, 0.1, NO_GO),  # no-go is known, whatever else is not
    ([UNKNOWN] + [MARGINAL] * 9, [0.1] * 10, 0.1, UNKNOWN),
    ([GO, NO_GO], [0.95, 0.05], 0.1, GO),
    ([GO, NO_GO], [0.05, 0.95], 0.1, NO_GO),
]


@pytest.mark.promise("the worst counts")
@pytest.mark.parametrize(("severity", "weights", "tolerance", "expected"), WORKED)
def test_the_hour_is_the_worst_that_enough_of_the_weight_reaches(
    severity, weights, tolerance, expected
):
    hour = np.array(severity)[:, None]

    assert severity_at_tolerance(hour, np.array(weights), tolerance) == [expected]


@pytest.mark.promise("the share that decides")
@pytest.mark.parametrize("size", range(10, 311, 10))
def test_exactly_one_in_ten_counts_in_every_size_of_ensemble(size):
    hour = np.where(np.arange(size) < size // 10, NO_GO, GO)[:, None]

    assert severity_at_tolerance(hour, model_weights(["ens"] * size), 0.1) == [NO_GO]
    assert severity_at_tolerance(hour[1:], model_weights(["ens"] * (size - 1)), 0.1) == [GO]


@given(weighed_members(), st.integers(1, 50))
def test_agrees_with_rational_arithmetic(members, hundredths):
    severity, weights = members
    exact = [Fraction(weight).limit_denominator(1000) for weight in weights]
    enough = Fraction(hundredths, 100)

    hours = severity_at_tolerance(severity, weights, hundredths / 100)

    for hour, column in zip(hours, severity.T, strict=True):
        reached = [
            level
            for level in (MARGINAL, UNKNOWN, NO_GO)
            if sum(w for w, value in zip(exact, column, strict=True) if value >= level) >= enough
        ]
        assert hour == max(reached, default=GO)


@given(weighed_members(), TOLERANCES)
def test_an_hour_has_the_same_severity_alone_and_among_others(members, tolerance):
    severity, weights = members
    hours = severity_at_tolerance(severity, weights, tolerance)
    alone = [severity_at_tolerance(one[:, None], weights, tolerance)[0] for one in severity.T]
    assert hours.tolist() == alone


@given(weighed_members(), st.integers(2, 5))
def test_the_weight_of_an_hour_is_a_plain_sum_whatever_hours_stand_beside_it(members, times):
    severity, weights = members
    true = np.concatenate([severity == GO] * times, axis=1)
    by_hand = [sum(weights[one].tolist()) for one in true.T]
    assert weight_of(true, weights).tolist() == by_hand  # to the last bit: the same order


def test_a_single_hour_in_which_the_members_differ_is_added_up_member_by_member():
    weights = np.full(20, 0.1)
    true = np.ones((20, 3), dtype=bool)
    true[10:, 1], true[:, 2] = False, False

    found = weight_of(true, weights)

    by_hand = sum(weights[:10].tolist())
    assert by_hand == 0.9999999999999999  # one after the other; in pairs it would be 1.0
    assert found.tolist() == [weights.cumsum()[-1], by_hand, 0.0]


def test_no_members_and_members_without_weight_weigh_nothing():
    assert weight_of(np.zeros((0, 2), dtype=bool), np.zeros(0)).tolist() == [0.0, 0.0]
    assert weight_of(np.array([[True, False], [True, True]]), np.zeros(2)).tolist() == [0.0, 0.0]
    assert weight_of(np.array([[True], [False], [True]]), np.array([0.5, 0.25, 0.25])) == [0.75]


@takes(worse=0.2)
@given(weighed_members(), TOLERANCES, st.data())
def test_a_member_that_gets_worse_never_makes_the_hour_better(members, tolerance, data):
    severity, weights = members
    member = data.draw(st.integers(0, len(severity) - 1))
    worse = severity.copy()
    worse[member] = np.minimum(worse[member] + data.draw(st.integers(1, 3)), NO_GO)

    before = severity_at_tolerance(severity, weights, tolerance)

    after = severity_at_tolerance(worse, weights, tolerance)
    assert (after >= before).all()
    note("worse", (after > before).any())


@takes(worse=0.1)
@given(weighed_members(), TOLERANCES, TOLERANCES)
def test_a_stricter_tolerance_never_makes_the_hour_better(members, one, other):
    severity, weights = members

    strict, loose = (
        severity_at_tolerance(severity, weights, least(one, other)) for least in (min, max)
    )

    assert (strict >= loose).all()
    note("worse", (strict > loose).any())


@given(weighed_members(), TOLERANCES, st.randoms(use_true_random=False))
@cases(40)
def test_the_order_of_the_members_does_not_matter(members, tolerance, random):
    severity, weights = members
    order = np.array(random.sample(range(len(weights)), len(weights)))

    shuffled = severity_at_tolerance(severity[order], weights[order], tolerance)

    assert (shuffled == severity_at_tolerance(severity, weights, tolerance)).all()


@pytest.mark.parametrize(
    ("severity", "weights", "tolerance"),
    [
        (np.zeros((0, 2), dtype=int), np.zeros(0), 0.1),  # no members
        (np.zeros((2, 2), dtype=int), np.array([0.0, 0.0]), 0.1),
        (np.zeros((2, 2), dtype=int), np.array([np.nan, 0.5]), 0.1),
        (np.zeros((2, 2), dtype=int), np.array([0.5, 0.5]), np.nan),
    ],
)
def test_what_proves_nothing_is_unknown_and_never_go(severity, weights, tolerance):
    assert severity_at_tolerance(severity, weights, tolerance).tolist() == [UNKNOWN, UNKNOWN]

"""What past forecasts and observations teach: at one water, and in recorded gusts."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmarks import odds as benchmark
from benchmarks.limits_and_odds import largest_safe_share, limits_of, outcome
from benchmarks.widening import corrections, crps, evidence, fitted, quantiles, read
from safety_check.arrays import FloatArray
from safety_check.conditions.ensemble import GUST
from safety_check.conditions.error_models import load_error_models, load_shrinkage, shipped_odds
from safety_check.physics.ensemble_calibration import (
    ForecastPairs,
    LocalCorrection,
    Shrinkage,
    local_correction,
)
from tests.properties import cases
from tests.recordings import shared_folder

SHRINKAGE = Shrinkage(
    least_pairs=10,
    bias_pairs=7.0,
    spread_pairs=29.0,
    tilt_squares=230.0,
    reach_hours=48.0,
    fade_days=365.0,
)

# -- at one water ------------------------------------------------------------------------------


def pairs(
    number: int,
    bias: float = 0.0,
    tilt: float = 0.0,
    spread: float = 1.0,
    lead: float = 12.0,
    age: float = 0.0,
) -> ForecastPairs:
    """Forecast locations about 6 m/s, and truths at the quantiles of their errors."""
    level = (np.arange(number) + 0.5) / number
    location = 6 + 2 * np.cos(np.arange(number) * 2.4)  # a step that never repeats
    error = bias + tilt * (location - 6) + spread * np.log(level / (1 - level))
    when = np.full(number, lead), np.full(number, age)
    return ForecastPairs(location, np.ones(number), location + error, *when)


def joined(first: ForecastPairs, second: ForecastPairs) -> ForecastPairs:
    both = zip(columns_of(first), columns_of(second), strict=True)
    return ForecastPairs(*(np.concatenate(columns) for columns in both))


def columns_of(given: ForecastPairs) -> list[FloatArray]:
    return [getattr(given, column.name) for column in fields(given)]


def corrected_by(
    given: ForecastPairs, nodes: FloatArray, shrinkage: Shrinkage = SHRINKAGE
) -> LocalCorrection:
    found = local_correction(given, nodes, shrinkage)
    assert found is not None
    return found


@pytest.mark.parametrize("number", [10, 40, 400])
def test_a_bias_is_shrunk_by_the_number_of_its_pairs(number):
    given = pairs(number)
    two_higher = replace(given, observed=given.location + 2.0)

    found = corrected_by(two_higher, np.array([12.0]))

    # By hand: n pairs against the weight of seven that say nothing.
    assert found.bias == pytest.approx([2.0 * number / (number + 7)])
    assert found.tilt == pytest.approx([0.0])


def test_many_pairs_tell_bias_tilt_and_spread():
    found = corrected_by(pairs(20_000, 1.5, -0.3, 2.0), np.array([12.0]))

    # Seven, twenty-nine and 230 in 20 000 pairs that vary by 2 (m/s)² leave less than a percent.
    assert found.bias == pytest.approx([1.5], rel=0.01)
    assert found.tilt == pytest.approx([-0.3], rel=0.05)  # order and error are not quite apart
    assert found.spread == pytest.approx([2.0], rel=0.01)


def test_too_few_pairs_correct_nothing_and_a_gap_makes_no_pair():
    given = pairs(10, bias=3.0)
    nodes = np.array([12.0])
    gap = replace(given, observed=np.where(np.arange(10) == 4, np.nan, given.observed))
    nothing = ForecastPairs(*(np.zeros(0),) * 5)

    assert local_correction(given, nodes, SHRINKAGE) is not None
    assert local_correction(gap, nodes, SHRINKAGE) is None
    assert local_correction(nothing, nodes, replace(SHRINKAGE, least_pairs=0)) is None


def test_a_lead_time_is_judged_by_the_pairs_near_it():
    near, far = pairs(100, bias=2.0, lead=6.0), pairs(100, bias=-1.0, lead=240.0)

    found = corrected_by(joined(near, far), np.array([0.0, 96.0, 240.0]))

    assert found.bias[0] > found.bias[1] > found.bias[2]
    assert found.bias[0] > 1.5
    assert found.bias[2] < -0.8


def test_old_pairs_fade():
    new, old = pairs(50, bias=2.0), pairs(50, bias=-1.0, age=365.0)

    found = corrected_by(joined(new, old), np.array([12.0]))

    # By hand: fifty whole pairs, fifty that count 1/e, and seven that say nothing.
    assert found.bias == pytest.approx([(100 - 50 * np.exp(-1)) / (50 + 50 * np.exp(-1) + 7)])


@given(st.randoms(use_true_random=False))
@cases(20)
def test_the_order_of_the_pairs_does_not_matter(random):
    given, nodes = pairs(50, 1.0, 0.2, 1.5), np.array([0.0, 48.0])
    order = np.array(random.sample(range(50), 50))

    found = corrected_by(ForecastPairs(*(column[order] for column in columns_of(given))), nodes)

    expected = corrected_by(given, nodes)
    for name in ("centre", "bias", "tilt", "spread"):
        assert getattr(found, name) == pytest.approx(getattr(expected, name))


# -- recorded forecasts ------------------------------------------------------------------------


@pytest.fixture(scope="module")
def recorded_gusts():
    return shared_folder("datasets/verification") / "gust_ensemble_dwd_train.csv"


@pytest.fixture(scope="module")
def parts(recorded_gusts):
    """The rows to train on, which are the earlier ones, and those to test on."""
    return benchmark.parted(recorded_gusts, recorded_gusts)


@pytest.fixture(scope="module")
def later(parts):
    """The later rows, as forecast and widened by the shipped coefficients."""
    train, test = parts
    local = corrections(train, load_error_models()[GUST].several, load_shrinkage())
    return benchmark.forecasts(test, load_error_models()[GUST], local)


@pytest.mark.thorough
def test_the_shipped_coefficients_are_those_of_the_earlier_recorded_gusts(parts):
    train, _ = parts
    found, shipped = fitted(train), load_error_models()[GUST]

    # regression: our own output, 2026-11-26. Three decimals are kept, two of the pairs' digits.
    for runs in ("one", "several"):
        for name in ("shift", "slope", "floor", "relative"):
            ours, theirs = (getattr(getattr(value, runs), name)[0] for value in (found, shipped))
            assert ours == pytest.approx(theirs, abs=1e-3)
    pairs, few = evidence(train, found.several), load_shrinkage()
    expected = [few.bias_pairs, few.tilt_squares, few.spread_pairs]
    assert pairs == pytest.approx(expected, rel=0.04)


@pytest.mark.parametrize(("kind", "least"), [("ensemble", 0.15), ("one run", 0.3), ("mix", 0.18)])
def test_gusts_not_trained_on_are_scored_better_once_widened(parts, later, kind, least):
    # regression: our own output, 2026-11-26, was 0.163, 0.337 and 0.187.
    observed = parts[1].observed
    before, after, local = (
        benchmark.scores(later[f"{kind}, {value}"], observed).crps
        for value in ("as forecast", "widened", "and corrected")
    )

    assert benchmark.skill(after, before) >= least
    assert benchmark.skill(local, after) >= 0.04


def test_printed_odds_of_a_mix_of_models_are_how_often_it_came(parts, later):
    observed = parts[1].observed

    # As forecast, where a single run is certain, they are off by 0.11.
    assert benchmark.reliability_error(later["mix, as forecast"], observed) > 0.08
    for kind in ("ensemble", "one run", "mix"):
        assert benchmark.reliability_error(later[f"{kind}, widened"], observed) < 0.03


def test_the_share_that_decides_on_winds_is_the_largest_safe_one_on_the_earlier_rows(parts):
    train, _ = parts
    rows = benchmark.forecasts(train, load_error_models()[GUST], {})["mix, widened"]

    assert largest_safe_share(train.observed, rows) == 0.1 * shipped_odds().tolerance.winds_factor


@pytest.mark.parametrize("company", ["in company", "alone"])
@pytest.mark.parametrize("kind", ["ensemble", "one run", "mix"])
def test_no_gust_of_the_later_rows_reached_a_no_go_limit_on_a_go(parts, later, company, kind):
    observed, rows = parts[1].observed, later[f"{kind}, widened"]

    found = outcome(observed, rows, limits_of(company), 0.2)

    assert found.missed_no_go == 0
    assert found.missed_caution <= 0.05


def test_the_raw_scores_are_those_published_with_the_recorded_gusts(recorded_gusts):
    cases = read(recorded_gusts)

    # The data's own note: CRPS 1.43 over 984 rows, two decimals kept.
    assert len(cases.observed) == 984
    raw = crps(cases.members, np.full(20, 1 / 20), cases.observed)
    assert raw.mean() == pytest.approx(1.43, abs=0.005)


def test_a_row_that_lacks_members_is_stretched_not_filled(tmp_path):
    file = tmp_path / "cases.csv"
    file.write_text("location,obs,ens_mean,ens_1,ens_2,ens_3\na,5,,2,4,6\na,5,,2,,6\na,,,1,1,1\n")

    cases = read(file)

    # By hand: of 2 and 6, at levels 1/6, 1/2 and 5/6, between ranks at 1/4 and 3/4.
    assert cases.members.T.tolist() == [[2, 4, 6], [2, 4, 6]]
    assert quantiles(np.array([[2.0], [6.0]]), np.array([0.1, 0.25, 0.5, 0.9]))[:, 0] == (
        pytest.approx([2, 2, 4, 6])
    )


def test_the_last_days_temperatures_at_a_place_correct_the_next_day_by_lead_time():
    path = shared_folder("datasets/verification") / "temp_forecast_obs_raw.txt"
    lines = [line.split() for line in path.read_text("utf-8").splitlines() if line[0].isdigit()]
    table = np.array(lines, dtype=float)
    _, day = np.unique(table[:, 0], return_inverse=True)
    lead, observed, forecast = table[:, 1], table[:, 6] + 273.15, table[:, 7] + 273.15
    daily = replace(SHRINKAGE, reach_hours=1.0, fade_days=5.0)
    corrected = forecast.copy()

    for today in range(10, day.max() + 1):
        past, now = day < today, day == today
        known = (forecast, np.ones_like(forecast), observed, lead, (today - day).astype(float))
        given = ForecastPairs(*(column[past] for column in known))
        found = corrected_by(given, np.arange(25.0), daily)
        corrected[now] = found.applied(forecast[now], np.ones(now.sum()), lead[now], True)[0]

    later = day >= 10
    before, after = (np.abs(value - observed)[later].mean() for value in (forecast, corrected))
    # regression: our own output, 2026-11-25.
    assert [before, after] == pytest.approx([2.23, 1.32], abs=0.005)

"""Odds made true: every run of a forecast is widened by how such forecasts err."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.arrays import FloatArray, hour_axis
from safety_check.assess.weighing import weigh_hours
from safety_check.conditions.calibration import (
    Calibration,
    calibrate,
    choose_calibration,
    describe_calibration,
    tells_odds,
)
from safety_check.conditions.case import Case
from safety_check.conditions.ensemble import GUST, WIND, Ensemble, as_forecast
from safety_check.conditions.error_models import load_error_models
from safety_check.conditions.forecast_trend import PastChecks
from safety_check.model.verdict import Severity
from safety_check.model.weather import Briefing, Forecast, Observation
from safety_check.physics.ensemble_calibration import LocalCorrection, by_lead
from safety_check.physics.odds import Tolerance
from safety_check.settings.settings import Settings
from safety_check.settings.user_file import OddsTable
from safety_check.units import Preferences
from safety_check.use_cases.rulebook import load_rulebook
from tests import scenes
from tests.properties import cases, never_better, note, takes

ODDS = OddsTable()
AS_THEY_COME = scenes.settings()
WIDENED = scenes.settings(dressing=True, lone_runs=True)
IMPROVING = scenes.settings(dressing=True, lone_runs=True, may_improve=True)
NODES = load_error_models()[WIND].one.lead_hours
RUNS = ("many", "many", "many", "one")  # of an ensemble, and a single run beside it
FEW = cases(30)
TRIP = scenes.plan(start=scenes.NOW + timedelta(minutes=5), hours=2)


def forecast(*winds: tuple[float, float], models: list[str] | None = None) -> Forecast:
    """Return a forecast of members, each a wind and how much its gusts are above it."""
    members = [{WIND: wind, GUST: wind + more} for wind, more in winds]
    return scenes.forecast(*members, models=models)


def by_the_hour(wind: float, more: float, seed: int) -> Forecast:
    """Return runs whose winds change by the hour, up to a wind and gusts above it."""
    return scenes.by_the_hour({WIND: wind, GUST: wind + more}, RUNS, seed)


WEATHER = st.builds(by_the_hour, st.floats(0, 14), st.floats(0, 8), st.integers(0, 2**32 - 1))


def correction(bias: float, tilt: float = 0.0, spread: float = 1.0) -> LocalCorrection:
    flat = np.ones(len(NODES))
    return LocalCorrection(NODES, 4.0 * flat, bias * flat, tilt * flat, spread * flat)


CORRECTIONS = st.builds(correction, st.floats(-6, 6), st.floats(-1, 1), st.floats(0.3, 3))


def asked(given_: Forecast, seen: tuple[Observation, ...], hours_ago: float) -> Briefing:
    origin = replace(given_.provenance, issued=scenes.NOW - timedelta(hours=hours_ago))
    told = Briefing(scenes.NOW, (replace(given_, provenance=origin),), seen)
    return scenes.with_warnings_read(told)


def severity(
    given_: Forecast,
    own: Settings = WIDENED,
    *,
    past: PastChecks | None = None,
    seen: tuple[Observation, ...] = (),
    hours_ago: float = 0,
) -> int:
    """Return the severity of a trip that begins soon, on a large lake."""
    briefing = asked(given_, seen, hours_ago)
    hours = hour_axis(TRIP.start, TRIP.end)
    trust = scenes.load_trust()
    case = Case(TRIP, briefing, scenes.LARGE_LAKE, own, trust, past or PastChecks())
    found = weigh_hours(case, hours, load_rulebook())
    if own is WIDENED:
        note("widened", len(found.members.models) > len(given_.models))
    return int(found.weighing.hours.max())


def shipped_calibration(
    odds: OddsTable, corrections: dict[str, LocalCorrection]
) -> Calibration | None:
    if not odds.dressing:
        return None
    share = load_rulebook().tolerance(odds, widened=True).of_winds
    return choose_calibration(odds, corrections, load_error_models(), share)


def local(correction: LocalCorrection) -> PastChecks:
    return PastChecks(corrections={WIND: correction, GUST: correction}, days={WIND: 12, GUST: 12})


# -- never better ------------------------------------------------------------------------------


@pytest.mark.promise("winds are widened")
@takes(widened=1, worse=0.1)
@FEW
@given(WEATHER)
def test_widening_never_makes_a_better_verdict_where_the_forecasts_agree(given_: Forecast) -> None:
    first = {name: values[:1] for name, values in given_.quantities.items()}
    agreeing = replace(
        given_, quantities={name: np.repeat(row, len(RUNS), 0) for name, row in first.items()}
    )
    never_better(severity(agreeing, AS_THEY_COME), severity(agreeing))


@takes(widened=1, worse=0.1)
@FEW
@given(WEATHER, CORRECTIONS)
def test_a_local_correction_never_makes_a_better_verdict_by_default(
    given_: Forecast, learnt: LocalCorrection
) -> None:
    never_better(severity(given_), severity(given_, past=local(learnt)))


@pytest.mark.promise("what you see is never milder")
@takes(widened=1, worse=0.1)
@FEW
@given(WEATHER, st.sampled_from([WIND, GUST]), st.floats(0, 20))
def test_an_observation_never_makes_a_better_verdict_of_a_widened_forecast(
    given_: Forecast, quantity: str, value: float
) -> None:
    seen = (scenes.observation(quantity, value),)
    never_better(severity(given_), severity(given_, seen=seen))


@takes(widened=1, worse=0.1)
@FEW
@given(WEATHER, st.floats(0, 5), st.sampled_from([None, *RUNS]), st.integers(0, 3))
def test_more_wind_in_any_model_at_any_hour_never_makes_a_better_verdict(
    given_: Forecast, more: float, model: str | None, last: int
) -> None:
    at = np.searchsorted(given_.time, np.datetime64("2026-06-12T22", "s")) + np.arange(last + 1)
    runs = np.flatnonzero([model in (None, run) for run in RUNS])
    stronger = {name: values.copy() for name, values in given_.quantities.items()}
    for name in (WIND, GUST):
        stronger[name][np.ix_(runs, at)] += more
    never_better(severity(given_), severity(replace(given_, quantities=stronger)))


@takes(widened=1, worse=0.1, still_fresh=0.3)
@FEW
@given(WEATHER, st.floats(0, 30), st.floats(0, 30))
def test_an_older_forecast_never_makes_a_better_verdict_when_widened(
    given_: Forecast, age: float, older: float
) -> None:
    late, early = (severity(given_, hours_ago=value) for value in (age, age + older))
    never_better(late, early)
    note("still_fresh", early != Severity.UNKNOWN)


@pytest.mark.parametrize("quantity", [WIND, GUST])
@pytest.mark.parametrize("members", [1, 2, 40])
def test_one_member_without_values_leaves_no_odds_and_no_go(quantity: str, members: int) -> None:
    calm = forecast(*[(1.0, 1.0)] * members, models=["many"] * members)
    assert severity(calm) == Severity.GO
    silent = scenes.without(calm, quantity, slice(0, 1))
    assert severity(silent) == Severity.UNKNOWN


def test_a_no_go_stays_one_when_another_member_has_no_values() -> None:
    storm = forecast((1.0, 1.0), (1.0, 1.0), (20.0, 5.0))
    assert severity(scenes.without(storm, WIND, slice(0, 1))) == Severity.NO_GO


# -- what it does --------------------------------------------------------------------------------


def members(given_: Forecast, wider: Calibration | None) -> Ensemble:
    briefing = Briefing(scenes.NOW, (given_,))
    trust = scenes.load_trust()
    return calibrate(as_forecast(briefing, given_.time[:3], trust), briefing, trust, wider)


def above(found: Ensemble, quantity: str, bound: float) -> float:
    """Return the share of the forecasts above a bound in the first hour."""
    values: FloatArray = found.quantities[quantity][:, 0]
    return float(found.weights[values >= bound].sum())


@pytest.mark.parametrize("runs", [1, 5])
def test_a_forecast_of_equal_runs_becomes_odds(runs: int) -> None:
    given_ = forecast(*[(4.0, 2.0)] * runs, models=["many"] * runs)
    found = members(given_, shipped_calibration(OddsTable(), {}))
    shares = [above(found, GUST, value) for value in (3.0, 6.0, 8.0, 9.5, 14.0)]
    assert sorted(shares, reverse=True) == shares
    assert shares[0] == pytest.approx(1)
    assert 0 < shares[2] < 0.5
    assert shares[-1] == 0
    assert found.weights.sum() == pytest.approx(1)


def test_a_single_run_is_widened_more_than_a_run_of_an_ensemble() -> None:
    lone, many = (
        members(forecast(*[(4.0, 2.0)] * runs, models=["m"] * runs), shipped_calibration(ODDS, {}))
        for runs in (1, 5)
    )
    assert np.ptp(lone.quantities[GUST][:, 0]) > np.ptp(many.quantities[GUST][:, 0])


def test_a_smaller_tolerance_shows_more_of_the_tail() -> None:
    usual, careful = (
        members(forecast((4.0, 2.0)), shipped_calibration(OddsTable(tolerance=share), {}))
        for share in (0.1, 0.01)
    )
    assert careful.quantities[GUST].max() > usual.quantities[GUST].max()


def test_a_member_keeps_its_quantile_in_wind_and_gusts_and_through_all_hours() -> None:
    found = members(forecast((4.0, 2.0), (7.0, 3.0)), shipped_calibration(ODDS, {}))
    for run in (slice(0, 6), slice(6, 12)):
        for name in (WIND, GUST):
            assert (np.diff(found.quantities[name][run], axis=0) > 0).all()


def test_each_model_still_counts_once() -> None:
    found = members(
        forecast(*[(3.0, 1.0)] * 9, (6.0, 1.0), models=["many"] * 9 + ["one"]),
        shipped_calibration(OddsTable(), {}),
    )
    share = {
        model: sum(weight for one_model, weight in zip(found.models, found.weights, strict=True)
                   if one_model == model)
        for model in ("many", "one")
    }  # fmt: skip
    assert share == pytest.approx({"many": 0.5, "one": 0.5})


def test_switched_off_the_forecasts_are_taken_as_they_come() -> None:
    given_ = forecast((3.0, 2.0), (5.0, 3.0))
    plain = scenes.ensemble(Briefing(scenes.NOW, (given_,)), given_.time[:3])
    found = members(given_, shipped_calibration(OddsTable(dressing=False), {WIND: correction(5.0)}))
    assert found.models == plain.models
    for name, values in plain.quantities.items():
        assert np.array_equal(found.quantities[name], values, equal_nan=True)


def test_a_launch_where_it_blows_more_than_forecast_is_raised_unless_switched_off() -> None:
    given_, windy = forecast((3.0, 1.0)), {WIND: correction(3.0)}
    raised = members(given_, shipped_calibration(OddsTable(), windy))
    usual = members(given_, shipped_calibration(OddsTable(), {}))
    switched_off = members(given_, shipped_calibration(OddsTable(local_correction=False), windy))
    assert above(raised, WIND, 6.0) > above(usual, WIND, 6.0) == above(switched_off, WIND, 6.0)


def test_only_the_user_lets_a_correction_improve_a_verdict() -> None:
    calm_shore, breeze = local(correction(-4.0)), forecast((3.9, 1.0))
    assert severity(breeze, past=calm_shore) == severity(breeze)
    assert severity(breeze, IMPROVING, past=calm_shore) < severity(breeze)
    assert severity(breeze, IMPROVING) == severity(breeze)


def test_the_wind_as_forecast_stays_available_for_the_report() -> None:
    found = members(forecast((4.0, 2.0)), shipped_calibration(OddsTable(), {}))
    assert set(found.quantities["wind_speed_as_forecast"].ravel()) == {4.0}


def test_the_shipped_coefficients_are_in_order_and_cover_the_longest_forecast() -> None:
    for error_model in load_error_models().values():
        for model in (error_model.one, error_model.several):
            assert np.all(np.diff(model.lead_hours) > 0)
            assert model.lead_hours[-1] >= 384


@pytest.mark.promise("the share that decides")
def test_where_winds_are_widened_twice_the_share_decides_but_never_more_than_half() -> None:
    book = load_rulebook()
    assert book.tolerance(OddsTable(), widened=True) == Tolerance(0.1, 0.2)
    assert book.tolerance(OddsTable(), widened=False) == Tolerance(0.1, 0.1)
    loose = OddsTable(tolerance=0.4, loosen=True)
    assert book.tolerance(loose, widened=True) == Tolerance(0.4, 0.5)


@pytest.mark.promise("winds are widened")
def test_single_runs_are_widened_beside_an_ensemble_but_not_alone() -> None:
    default = scenes.settings(dressing=True)
    breeze = (4.2, 1.8)
    alone = scenes.verdict(forecast(breeze, breeze, models=["one", "two"]), own=default)
    assert "weighed as forecast" in alone.widening[0]
    assert alone.trip_odds[Severity.GO] == 1
    beside = scenes.verdict(
        forecast(breeze, breeze, breeze, models=["one", "many", "many"]), own=default
    )
    wider = scenes.verdict(forecast(breeze, models=["one"]), own=WIDENED)
    assert "shifted and widened" in beside.widening[0]
    assert 0 < beside.trip_odds[Severity.GO] < 1
    assert 0 < wider.trip_odds[Severity.GO] < 1


# -- in words --------------------------------------------------------------------------------------


def told(bias: float, spread: float = 1.0, may_improve: bool = False) -> str:
    wider = shipped_calibration(
        OddsTable(may_improve=may_improve), {GUST: correction(bias, spread=spread)}
    )
    return describe_calibration(wider, OddsTable(), {GUST: 12}, 24.0, Preferences())[-1]


def test_the_report_says_what_was_done_and_from_how_many_days() -> None:
    for own, said in (
        (WIDENED, "shifted and widened by how far such forecasts err"),
        (AS_THEY_COME, "switched off"),
    ):
        found = scenes.verdict(forecast((2.0, 1.0)), own=own)
        assert said in found.widening[0]
    assert told(2.0).startswith("On 12 days at this launch gusts came 4 mph above the widened")
    assert "both are added" in told(2.0)
    assert "both are added" in told(0.3)
    assert "gusts came 0 mph above" in told(0.0)
    assert "makes it better is not used" in told(-2.0)
    assert "makes it better is used" in told(-2.0, may_improve=True)
    assert "makes it better is not used" in told(2.0, spread=0.5)


def test_coefficients_are_unknown_beyond_the_last_lead_time() -> None:
    assert np.isnan(by_lead(np.array(400.0), NODES, NODES))


@pytest.mark.parametrize(
    ("models", "odds", "learned", "told"),
    [
        (("a", "b"), OddsTable(), False, False),
        (("a", "b", "b"), OddsTable(), False, True),
        (("b", "b"), OddsTable(), False, True),
        (("b", "b"), OddsTable(dressing=False), True, False),
        (("a",), OddsTable(), True, True),
        (("a",), OddsTable(local_correction=False), True, False),
        (("a",), OddsTable(lone_runs=True), False, True),
    ],
)
def test_odds_are_told_where_a_model_runs_often_or_past_days_tell(
    models: tuple[str, ...], odds: OddsTable, learned: bool, told: bool
) -> None:
    corrections = {WIND: correction(1.0)} if learned else {}
    assert tells_odds(models, odds, corrections) == told


def test_without_a_calibration_the_report_says_why() -> None:
    for dressing, said in ((True, "weighed as forecast"), (False, "switched off")):
        found = describe_calibration(None, OddsTable(dressing=dressing), {}, 24.0, Preferences())
        assert len(found) == 1
        assert said in found[0]


@pytest.mark.parametrize(
    ("bias", "spread", "said"),
    [
        *((0.0, 1.0, "both are added"), (0.0, 0.99, "better is not used")),
        *((-0.1, 1.0, "better is not used"), (-0.1, 2.0, "mph below")),
        *((2.0, 1.25, "1.2 times the usual"), (2.0, 1.0, "1.0 times the usual")),
    ],
)
def test_what_makes_a_verdict_better_is_told_apart(bias: float, spread: float, said: str) -> None:
    assert said in told(bias, spread)

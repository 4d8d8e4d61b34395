"""The members of all forecasts on one axis: what is missing, what is old, what observations add."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from safety_check.conditions.ensemble import (
    AS_FORECAST,
    FROM,
    GUST,
    QUANTITIES,
    SEA,
    WIND,
    ObservedExcess,
    as_forecast,
    from_instant,
    good_until,
    is_stale,
    raise_by_observation,
    raise_to_observed,
    until_instant,
    usable_observations,
)
from safety_check.model.weather import Briefing, Forecast
from tests import scenes

TRUST = replace(
    scenes.load_trust(),
    greatest_age={"Open-Meteo": 3600.0, "Other": 7200.0},
    file_age=1800.0,
    wind_distance=10_000.0,
    wind_age=5400.0,
    wind_fades_over=4 * 3600.0,
    direction_distance=5000.0,
    wave_distance=2000.0,
    wave_age=1200.0,
)
TIME = np.arange("2026-06-12T21", "2026-06-13T05", dtype="datetime64[h]").astype("datetime64[s]")
NOW = np.datetime64("2026-06-12T22", "s")  # scenes.NOW, the second of these instants


def told(*forecasts: Forecast) -> Briefing:
    return Briefing(at=scenes.NOW, forecasts=forecasts)


# -- as received -------------------------------------------------------------------------------


def test_without_a_forecast_there_is_one_member_that_knows_nothing() -> None:
    found = as_forecast(told(), TIME, TRUST)
    assert found.models == ("no forecast",)
    assert found.weights.tolist() == [1.0]
    assert found.stale.tolist() == [True]
    assert np.isnan(found.lead_hours).all()
    assert found.complete.all()
    for name in QUANTITIES:
        assert found.quantities[name].shape == (1, len(TIME))
        assert np.isnan(found.quantities[name]).all()
        assert found.lacking[name].tolist() == [False]


def test_what_a_model_never_gives_is_left_out_for_that_model_alone() -> None:
    lacking = replace(TRUST, lacks={"one": frozenset({GUST})}, service_lacks={})
    found = as_forecast(told(scenes.forecast({}, {}, models=["one", "two"])), TIME, lacking)
    assert found.lacking[GUST].tolist() == [True, False]
    assert np.isnan(found.quantities[GUST][0]).all()
    assert (found.quantities[GUST][1] == 2.5).all()
    assert not found.lacking[WIND].any()


def test_a_model_lacks_what_its_service_lacks_and_what_was_not_made_for_the_place() -> None:
    lacking = replace(TRUST, lacks={}, service_lacks={"Open-Meteo": frozenset({SEA})})
    made = replace(scenes.forecast({"visibility_in_air": 9.0}), not_made=("visibility_in_air",))
    found = as_forecast(told(made), TIME, lacking)
    assert {name for name in QUANTITIES if found.lacking[name].any()} == {SEA, "visibility_in_air"}
    assert np.isnan(found.quantities["visibility_in_air"]).all()


def test_the_members_of_several_forecasts_follow_each_other_in_every_array() -> None:
    old = replace(scenes.FROM_A_FILE, issued=scenes.NOW - timedelta(days=3))
    found = as_forecast(
        told(
            scenes.forecast({WIND: 1.0}, {WIND: 2.0}, models=["a", "a"], provenance=old),
            scenes.forecast({WIND: 3.0}, models=["b"]),
        ),
        TIME,
        replace(TRUST, file_age=86_400.0),
    )
    assert found.models == ("a", "a", "b")
    assert found.quantities[WIND][:, 0].tolist() == [1.0, 2.0, 3.0]
    assert found.quantities[AS_FORECAST][:, 0].tolist() == [1.0, 2.0, 3.0]
    assert found.stale.tolist() == [True, True, False]
    assert found.weights.tolist() == [0.25, 0.25, 0.5]


def test_an_instant_without_a_row_of_its_own_is_not_known() -> None:
    given = scenes.forecast()
    keep = (given.time != TIME[3]) & (given.time >= TIME[1]) & (given.time <= TIME[5])
    rows = {name: values[:, keep] for name, values in given.quantities.items()}
    found = as_forecast(told(replace(given, time=given.time[keep], quantities=rows)), TIME, TRUST)
    known = np.isfinite(found.quantities[WIND][0])
    assert np.flatnonzero(known).tolist() == [1, 2, 4, 5]
    assert np.isfinite(found.quantities["air_temperature"][0]).tolist() == known.tolist()


def test_a_forecast_without_hours_knows_nothing() -> None:
    given = scenes.forecast()
    rows = {name: values[:, :0] for name, values in given.quantities.items()}
    empty = replace(given, time=given.time[:0], quantities=rows)
    assert np.isnan(as_forecast(told(empty), TIME, TRUST).quantities[WIND]).all()


def test_the_lead_time_counts_from_the_oldest_forecast_and_never_below_nought() -> None:
    newer, older = (
        scenes.forecast(
            provenance=replace(
                scenes.FROM_A_FILE, issued=None, fetched=scenes.NOW - timedelta(minutes=minutes)
            )
        )
        for minutes in (0, 30)
    )
    found = as_forecast(told(newer, older), TIME, TRUST)
    assert found.lead_hours[:3].tolist() == [0.0, 0.5, 1.5]  # made at 21:30; the axis is from 21:00


def test_the_issue_counts_for_the_lead_time_and_the_age_where_it_is_given() -> None:
    given = scenes.forecast()  # issued at 20:00, fetched at 22:00
    assert as_forecast(told(given), TIME, TRUST).lead_hours[1] == 2.0
    assert good_until(given, TRUST) == scenes.NOW - timedelta(hours=1.5)
    unissued = replace(given, provenance=replace(given.provenance, issued=None))
    assert good_until(unissued, TRUST) == scenes.NOW + timedelta(minutes=30)


# -- age ---------------------------------------------------------------------------------------


def test_a_forecast_is_stale_after_the_last_second_of_its_age_and_not_before() -> None:
    live = replace(scenes.FROM_A_FILE, recorded=False, issued=scenes.NOW)
    given = scenes.forecast(provenance=live)
    assert good_until(given, TRUST) == scenes.NOW + timedelta(hours=1)
    assert not is_stale(given, scenes.NOW + timedelta(hours=1), TRUST)
    assert is_stale(given, scenes.NOW + timedelta(hours=1, seconds=1), TRUST)


def test_a_forecast_of_an_unknown_source_is_stale_at_once() -> None:
    given = scenes.forecast(provenance=replace(scenes.FROM_A_FILE, source="Somebody"))
    assert good_until(given, TRUST) is None
    assert is_stale(given, scenes.NOW, TRUST)


@pytest.mark.parametrize(
    ("recorded", "url", "age"),
    [(True, "", 1800.0), (True, "/v1/forecast", 3600.0), (False, "", 3600.0)],
)
def test_only_a_file_that_the_user_named_has_the_age_of_a_file(
    recorded: bool, url: str, age: float
) -> None:
    origin = replace(scenes.FROM_A_FILE, recorded=recorded, url=url, issued=scenes.NOW)
    given = scenes.forecast(provenance=origin)
    assert good_until(given, TRUST) == scenes.NOW + timedelta(seconds=age)


# -- some of the instants ----------------------------------------------------------------------


def test_a_part_of_the_instants_keeps_all_its_arrays_in_step() -> None:
    whole = as_forecast(told(scenes.forecast()), TIME, TRUST)
    whole = replace(whole, complete=np.arange(len(TIME)) % 2 == 0)
    whole = replace(
        whole, quantities={**whole.quantities, WIND: np.arange(len(TIME), dtype=float)[None]}
    )
    later, earlier = from_instant(whole, 3), until_instant(whole, 3)
    assert later.time[0] == TIME[3]
    assert earlier.time[-1] == TIME[2]
    for name in ("time", "lead_hours", "complete"):
        parts = [getattr(earlier, name), getattr(later, name)]
        assert np.concatenate(parts).tolist() == getattr(whole, name).tolist()
    for name, values in whole.quantities.items():
        joined = np.concatenate([earlier.quantities[name], later.quantities[name]], axis=1)
        assert np.array_equal(joined, values, equal_nan=True)


# -- observations ------------------------------------------------------------------------------


def test_an_observation_counts_in_full_in_its_hour_and_then_less_and_less() -> None:
    seen = ObservedExcess(NOW, 9.0, fades_over=4 * 3600.0)
    seconds = np.array([-3601, -3600, -1, 0, 3600, 7200, 14_399, 14_400, 18_000])
    weight = seen.weight(NOW + seconds.astype("timedelta64[s]"))
    assert weight[[0, 1, 2, 3]].tolist() == [0.0, 1.0, 1.0, 1.0]
    assert weight[[4, 5]] == pytest.approx([0.75, 0.5])
    assert weight[6] > 0.0
    assert weight[[7, 8]].tolist() == [0.0, 0.0]


def test_the_excess_over_the_nearest_forecast_hour_fades_evenly() -> None:
    values = np.array([[2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0]])
    raised = raise_by_observation(TIME, values, ObservedExcess(NOW, 7.0, 4 * 3600.0))
    # 4 m/s above the 3 forecast at 22:00: all of it until then, and then a quarter less each hour.
    assert raised[0].tolist() == [6.0, 7.0, 7.0, 7.0, 7.0, 7.0, 8.0, 9.0]


def test_less_wind_than_forecast_changes_nothing() -> None:
    values = np.array([[2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0]])
    raised = raise_by_observation(TIME, values, ObservedExcess(NOW, 1.0, 4 * 3600.0))
    assert raised.tolist() == values.tolist()


def test_where_the_forecast_is_unknown_the_observed_value_is_the_least() -> None:
    values = np.array([[2.0, np.nan, 4.0, 5.0, np.nan, 7.0, 8.0, 9.0], [8.0] * 8])
    raised = raise_by_observation(TIME, values, ObservedExcess(NOW, 9.0, 4 * 3600.0))
    assert raised[0, [0, 2, 3, 5]].tolist() == [9.0, 6.75, 5.0, 7.0]  # 9, 9 · 3/4, 9 · 2/4 < 5
    assert np.isnan(raised[0, [1, 4]]).all()
    assert raised[1, [0, 1, 2]].tolist() == [9.0, 9.0, 8.75]


def observed(*values: tuple[str, float], distance: float = 0.0) -> Briefing:
    seen = tuple(scenes.observation(name, value, distance) for name, value in values)
    return replace(told(scenes.forecast()), observations=seen)


def test_of_several_observations_the_highest_result_counts() -> None:
    briefing = observed((WIND, 5.0), (WIND, 4.0), (GUST, 7.0))
    found = raise_to_observed(as_forecast(briefing, TIME, TRUST), briefing, TRUST)
    assert found.quantities[WIND][0, 1:4] == pytest.approx([5.0, 4.125, 3.25])  # 3.5 above 1.5
    assert found.quantities[GUST][0, 1:3] == pytest.approx([7.0, 5.875])  # 4.5 above 2.5
    assert (found.quantities[AS_FORECAST] == 1.5).all()


def test_a_gust_is_never_below_the_raised_wind() -> None:
    briefing = observed((WIND, 6.0))
    found = raise_to_observed(as_forecast(briefing, TIME, TRUST), briefing, TRUST)
    assert found.quantities[GUST][0].tolist() == [6.0, 6.0, 4.875, 3.75, 2.625, 2.5, 2.5, 2.5]


def test_a_missed_observation_lasts_longer_and_raises_its_own_quantity_alone() -> None:
    trust = replace(TRUST, missed=replace(TRUST.missed, fades_over=8 * 3600.0))
    briefing = told(scenes.forecast())
    missed = [scenes.observation(GUST, 6.5)]
    found = raise_to_observed(as_forecast(briefing, TIME, trust), briefing, trust, missed)
    assert found.quantities[GUST][0, [1, 5]] == pytest.approx([6.5, 4.5])  # half of 4 after 4 h
    assert (found.quantities[WIND] == 1.5).all()


def test_observed_waves_and_directions_are_passed_on_and_winds_are_not() -> None:
    briefing = observed((WIND, 6.0), (GUST, 6.0), (SEA, 0.4), (FROM, 90.0))
    found = raise_to_observed(as_forecast(briefing, TIME, TRUST), briefing, TRUST)
    assert found.seen == {
        FROM: (ObservedExcess(NOW, 90.0, TRUST.wind_fades_over),),
        SEA: (ObservedExcess(NOW, 0.4, TRUST.wind_fades_over),),
    }


@pytest.mark.parametrize(
    ("quantity", "farthest", "oldest"),
    [(WIND, 10_000, 5400), (GUST, 10_000, 5400), (FROM, 5000, 5400), (SEA, 2000, 1200)],
)
def test_each_quantity_counts_to_its_own_distance_and_age(
    quantity: str, farthest: float, oldest: float
) -> None:
    for distance, age, counts in (
        (farthest, oldest, True),
        (farthest + 1, oldest, False),
        (farthest, oldest + 1, False),
    ):
        at = scenes.NOW - timedelta(seconds=age)
        seen = scenes.observation(quantity, 50.0, distance, at)
        briefing = replace(told(scenes.forecast()), observations=(seen,))
        found = raise_to_observed(as_forecast(briefing, TIME, TRUST), briefing, TRUST)
        used = (
            bool(found.seen[quantity])
            if quantity in found.seen
            else found.quantities[quantity].max() > 20.0
        )
        assert used == counts


def test_a_flagged_or_placeless_observation_or_one_from_the_future_is_not_used() -> None:
    good = scenes.observation(WIND, 9.0, 100.0)
    seen = (
        good,
        replace(good, flagged=True),
        replace(good, distance=None),
        replace(good, quantity=GUST),
        replace(good, time=scenes.NOW + timedelta(seconds=600)),  # clocks differ by minutes
        replace(good, time=scenes.NOW + timedelta(seconds=601)),
    )
    briefing = replace(told(scenes.forecast()), observations=seen)
    assert usable_observations(briefing, WIND, 100.0, 60.0) == [seen[0], seen[4]]

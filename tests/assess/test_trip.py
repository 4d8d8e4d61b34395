"""A trip is judged as a whole, to a margin after its end, and by one function everywhere."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.assess.outlook import build_outlook
from safety_check.assess.verdict import judge
from safety_check.assess.weighing import assessment_hours, weigh_hours, weigh_trip
from safety_check.conditions.case import Case
from safety_check.model.local_clock import LocalClock
from safety_check.model.verdict import Severity, Verdict, Window
from safety_check.model.weather import Forecast
from safety_check.report.terminal import trip_text
from safety_check.report.words import course_text
from safety_check.rules.findings import severity_of_plan
from safety_check.use_cases.rulebook import load_rulebook, shipped_trip
from safety_check.use_cases.trust import load_trust
from tests import invented_lake as lake
from tests import scenes
from tests.properties import SHARE, cases

DEEP = scenes.open_water(3000.0)
LIGHT = replace(scenes.READY, light=False)
MARGIN = timedelta(seconds=shipped_trip().return_.margin)
RULES = load_rulebook()
SETTINGS = scenes.settings()
SPEEDS = st.lists(st.sampled_from([1.0, 2.0, 4.5, 6.0, 9.0]), min_size=72, max_size=72)


def hourly(*winds: list[float]) -> Forecast:
    """Return a forecast with another wind every hour of its 72, gusts 1.4 of it."""
    found = scenes.forecast(*({} for _ in winds))
    found.quantities["wind_speed"][:] = winds
    found.quantities["wind_speed_of_gust"][:] = 1.4 * np.array(winds)
    return found


def thunder_at(*hours: int | None, models: int) -> Forecast:
    """Return models of which the first ones have thunder, each at an hour of 13 June. UTC."""
    found = scenes.forecast(*({} for _ in range(models)))
    for model, hour in enumerate(hours):
        at = found.time == np.datetime64(f"2026-06-13T{hour:02d}", "s")
        found.quantities["weather_code"][model, at] = 95
    return found


# -- the odds of the trip ------------------------------------------------------------------------


def test_dangers_that_differ_in_time_add_up_over_the_trip() -> None:
    verdict = scenes.verdict(thunder_at(16, 18, models=14), scenes.plan(hours=5))
    assert max(hour.severity for hour in verdict.hours) == Severity.GO  # 1 in 14 at each hour
    assert verdict.severity == Severity.NO_GO
    assert verdict.trip_odds[Severity.NO_GO] == pytest.approx(2 / 14)
    worst = verdict.findings[0]
    assert (worst.quantity, worst.severity) == ("thunderstorm", Severity.NO_GO)
    assert worst.odds == pytest.approx(2 / 14)


def test_the_same_danger_below_the_tolerance_does_not_decide() -> None:
    verdict = scenes.verdict(thunder_at(16, 18, models=24), scenes.plan(hours=5))
    assert verdict.severity == Severity.GO
    assert verdict.trip_odds[Severity.GO] == pytest.approx(22 / 24)


def test_different_dangers_at_different_hours_are_one_finding_of_the_trip() -> None:
    given_ = thunder_at(16, models=14)
    given_.quantities["visibility_in_air"][1, given_.time == np.datetime64("2026-06-13T18")] = 50.0
    verdict = scenes.verdict(given_, scenes.plan(hours=5))
    assert verdict.severity == Severity.NO_GO
    assert verdict.findings[0].hazard == "several_together"
    assert verdict.findings[0].odds == pytest.approx(2 / 14)


@cases(15)
@given(SPEEDS, SPEEDS, st.integers(1, 8))
def test_a_trip_is_at_least_as_bad_as_its_odds_say(
    one: list[float], other: list[float], hours: int
) -> None:
    verdict = scenes.verdict(hourly(one, other), scenes.plan(hours=hours))
    shares = [sum(verdict.trip_odds[one] for one in Severity if one >= level) for level in Severity]
    assert sum(verdict.trip_odds.values()) == pytest.approx(1.0)
    for level in Severity:
        if shares[level] >= 0.1:
            assert verdict.severity >= level


# -- the margin after the end ----------------------------------------------------------------------


def ending(minutes: float) -> Verdict:
    """Return the verdict on a trip that ends so many minutes after 17:00, wind from 18:00 on."""
    winds = [1.0] * 42 + [9.0] * 30
    return scenes.verdict(hourly(winds), scenes.plan(hours=2 + minutes / 60))


def worst_wind(verdict: Verdict) -> float:
    return next(one.value for one in verdict.findings if one.quantity == "wind_speed")


def test_a_trip_is_judged_until_the_margin_after_its_end() -> None:
    verdict = ending(0)
    assert verdict.judged_until == verdict.plan.end + MARGIN
    assert verdict.hours[-1].time == verdict.plan.end
    assert worst_wind(verdict) == pytest.approx(5.0)  # half way from 1 to 9 m/s at 17:30


@pytest.mark.one_in(3)
@pytest.mark.parametrize("minutes", [-31, -30, -29, -1, 0, 1, 29, 30, 31])
def test_a_minute_more_never_adds_an_hour_of_weather(minutes: int) -> None:
    before, after = (worst_wind(ending(minutes + more)) for more in (0, 1))
    assert 0 <= after - before <= 8.0 / 60 + 1e-6


@pytest.mark.parametrize("minutes", [1, 30, 59])
def test_a_start_within_an_hour_is_judged_from_the_start_on(minutes: int) -> None:
    winds = [9.0] * 40 + [1.0] * 32  # the wind of 15:00 has gone by 16:00
    start = scenes.START + timedelta(minutes=minutes)
    verdict = scenes.verdict(hourly(winds), scenes.plan(start=start, hours=2))
    assert worst_wind(verdict) == pytest.approx(9 - 8 * minutes / 60)


def test_thunder_counts_in_all_of_an_hour_of_which_any_is_judged() -> None:
    verdict = scenes.verdict(thunder_at(18, models=1), scenes.plan(hours=2))
    assert verdict.severity == Severity.NO_GO


def test_a_gust_in_the_row_of_the_start_hour_counts() -> None:
    given = scenes.forecast()
    given.quantities["wind_speed_of_gust"][:, given.time == np.datetime64("2026-06-13T15")] = 18.0
    verdict = scenes.verdict(given, scenes.plan(hours=2))
    assert verdict.severity == Severity.NO_GO
    gust = next(one for one in verdict.findings if one.quantity == "wind_speed_of_gust")
    assert (gust.value, gust.severity) == (18.0, Severity.NO_GO)


# -- one function everywhere -----------------------------------------------------------------------


def case_of(forecast: Forecast, start: datetime, end: datetime) -> Case:
    trip = replace(scenes.plan(paddler=LIGHT), start=start, end=end)
    return Case(trip, scenes.briefing(forecast), scenes.POND, SETTINGS, load_trust())


def windows_of_a_check(forecast: Forecast) -> list[Window]:
    four_hours = scenes.plan(paddler=LIGHT, hours=4)
    case = case_of(forecast, four_hours.start, four_hours.end)
    return list(judge(case, RULES).windows)


def windows_of_an_outlook(forecast: Forecast) -> list[Window]:
    """Return what an outlook recommends, and each day's trip with the verdict that it states."""
    case = case_of(forecast, scenes.NOW, scenes.NOW + timedelta(hours=30))
    days = build_outlook(case, 3, RULES).days
    found = [window for day in days for window in (day.window, day.shorter) if window]
    return found + [
        Window(day.plan.start, day.plan.end, day.severity)
        for day in days
        if day.severity is not None
    ]


def verdict_alone(case: Case) -> Severity:
    hours = assessment_hours(case.plan, case.briefing.at, RULES.course.margin)
    return severity_of_plan(case, weigh_trip(case, weigh_hours(case, hours, RULES), RULES))


def random_forecast(draw: np.random.Generator) -> Forecast:
    one, other = draw.choice([1.0, 2.0, 4.5, 6.0, 9.0], size=(2, 72))
    more = draw.choice([0.0, 4.0], p=[0.75, 0.25])
    return hourly(one.tolist(), (one + more).tolist(), other.tolist())


@pytest.mark.one_in(3)
@pytest.mark.parametrize("seed", range(round(25 * SHARE)))
def test_a_recommended_window_passes_its_own_check(seed: int) -> None:
    """Over 20 forecasts, or 500 in a thorough look, one window of each.

    It is a window of a check or, in two of three, of an outlook.
    The window is checked without reasons and report; in every tenth in full.
    """
    draw = np.random.default_rng(seed)
    checked = []
    for turn in range(20):
        forecast = random_forecast(draw)
        windows = (windows_of_an_outlook if turn % 3 else windows_of_a_check)(forecast)
        if not windows:
            continue
        window = windows[draw.integers(len(windows))]
        case = case_of(forecast, window.start, window.end)
        severity = verdict_alone(case)
        assert severity == window.severity, (seed, turn, window)
        if turn % 10 == 0:
            assert judge(case, RULES).severity == window.severity, (seed, turn, window)
        checked.append(severity)
    assert len(checked) >= 15
    assert min(checked.count(Severity.GO), checked.count(Severity.MARGINAL)) >= 1


def test_the_head_says_the_odds_of_the_trip_and_until_when_it_is_judged() -> None:
    verdict = scenes.verdict(thunder_at(16, models=14), scenes.plan(hours=5))
    said = trip_text(verdict)  # 13 of 14; a share of GO is never rounded up
    assert said == (
        "The whole trip is GO in 92 % of the forecasts. It is judged until 15:30, 30 min after"
        " its end."
    )


# -- what is observed reaches the way home ---------------------------------------------------------


def test_an_observed_direction_makes_one_turn_back_earlier() -> None:
    trip = lake.plan((100.0, 1500.0), hours=3)
    tail = scenes.forecast({"wind_speed": 5.0, "wind_from_direction": 0.0})
    against = scenes.observation("wind_from_direction", 180.0, at=trip.start)
    before, after = (
        scenes.verdict(tail, trip, lake.open_water(most=20), at=trip.start, observations=seen)
        for seen in ((), (against,))
    )
    assert before.advice is not None
    assert after.advice is not None
    assert after.advice.getting_home.time > before.advice.getting_home.time


def test_observed_waves_make_one_turn_back_earlier() -> None:
    trip = lake.plan((100.0, 1500.0), hours=3)
    calm = scenes.forecast({"wind_speed": 2.0, "wind_from_direction": 0.0})
    chop = scenes.observation("sea_surface_wave_significant_height", 0.4, at=trip.start)
    before, after = (
        scenes.verdict(calm, trip, lake.open_water(most=20), at=trip.start, observations=seen)
        for seen in ((), (chop,))
    )
    assert before.advice is not None
    assert after.advice is not None
    assert after.advice.getting_home.time > 1.1 * before.advice.getting_home.time


def test_the_head_says_where_one_may_be() -> None:
    verdict = scenes.verdict(trip=replace(scenes.plan(hours=5), reach=1350.0), water=DEEP)
    assert verdict.course is not None
    said = course_text(verdict.course, LocalClock.of(verdict.plan), scenes.settings().preferences)
    assert said == (
        "You may be up to 0.85 mi from the launch from 10:12 to 15:18, nearer to it before and"
        " after."
    )

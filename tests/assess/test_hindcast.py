"""Past trips judged all at once are judged as a check of each would judge it."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from benchmarks.buoy_file import read_hours, ten_metre_wind
from benchmarks.hindcast import stations
from safety_check.arrays import FloatArray, TimeArray, to_utc
from safety_check.assess.climate import Resampling, best_weeks, date_trips, summarize_months
from safety_check.assess.hindcast import Hindcast, judge_past
from safety_check.assess.verdict import judge_in_brief
from safety_check.conditions.case import Case
from safety_check.conditions.hour_parts import LEAD_IN
from safety_check.model.verdict import Severity
from safety_check.model.weather import Forecast
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.trust import load_trust
from tests import scenes
from tests.properties import PROFILE
from tests.recordings import shared_folder

RULEBOOK = load_rulebook()
EVERY = 1 if PROFILE == "long" else 12  # days; the everyday run checks one in twelve
SEASONS = ("45004h2018.txt", "45012_2023_apr-sep.txt")


def record(time: TimeArray, wind: FloatArray, gust: FloatArray, direction: FloatArray) -> Forecast:
    """Return a record of past weather, all but the wind benign."""
    weather = {name: np.full((1, len(time)), value) for name, value in scenes.CALM.items()}
    winds = {
        "wind_speed": wind[None],
        "wind_speed_of_gust": gust[None],
        "wind_from_direction": direction[None],
    }
    made = replace(scenes.FROM_A_FILE, issued=None, fetched=scenes.NOW, url="https://a.test")
    return Forecast(time, ("a",), ("",), weather | winds, made)


def invented_season(seed: int, days: int = 100) -> Forecast:
    """Return a season of mornings that calm down and afternoons that blow, by chance."""
    chance = np.random.default_rng(seed)
    time = np.datetime64("2026-05-01T00", "s") + np.arange(24 * days) * np.timedelta64(3600, "s")
    day = 3.0 + 2.5 * np.sin(2 * np.pi * (np.arange(len(time)) - 16) / 24)
    wind = np.abs(
        day * np.repeat(chance.gamma(2.0, 0.5, days), 24) + chance.normal(0, 0.5, 24 * days)
    )
    gust = wind * chance.uniform(1.1, 1.8, len(time))
    return record(time, wind, gust, np.cumsum(chance.normal(0, 8, len(time))) % 360)


def buoy_season(name: str) -> Forecast:
    """Return the measured winds of a buoy's season at ten metres; gaps stay unknown."""
    hours, mast = read_hours(shared_folder("datasets", "buoys") / name), stations()[name[:5]].mast
    speed, gust = (
        ten_metre_wind(one, mast) for one in (hours.wind_speed, hours.wind_speed_of_gust)
    )
    return record(hours.time, speed, gust, hours.wind_from_direction)


def case_of(season: Forecast, craft: str, length: int, water=scenes.LARGE_LAKE) -> Case:
    told = scenes.briefing(season)
    plan = scenes.plan(craft, hours=length)
    return Case(plan, told, water, scenes.settings(), load_trust())


def hours_of(season: Forecast) -> TimeArray:
    return season.time[LEAD_IN:-1]


def checked(case: Case, start: np.datetime64) -> Severity:
    """Return what a check of one trip says, made the evening before."""
    begin = to_utc(start)
    plan = replace(case.plan, start=begin, end=begin + (case.plan.end - case.plan.start))
    at = begin - timedelta(hours=10)
    made = [replace(one, provenance=replace(one.provenance, fetched=at))
            for one in case.briefing.forecasts]  # fmt: skip
    briefing = scenes.with_warnings_read(replace(case.briefing, at=at, forecasts=tuple(made)))
    return judge_in_brief(replace(case, plan=plan, briefing=briefing), RULEBOOK)[0]


def mornings(found: Hindcast, every: int = EVERY) -> list[int]:
    """Return the trips that begin at six by the water's clock, one day in so many."""
    zone = ZoneInfo(scenes.WATER.time_zone)
    at_six = [
        place for place, start in enumerate(found.start)
        if to_utc(start).astimezone(zone).hour == 6
    ]  # fmt: skip
    return at_six[::every]


@pytest.mark.one_in(3)
@pytest.mark.parametrize(
    ("seed", "craft", "length"),
    [(1, "sit-on-top-kayak", 5), (2, "float-tube", 3), (3, "canoe", 9)],
)
def test_each_past_trip_is_judged_as_its_own_check(seed: int, craft: str, length: int) -> None:
    case = case_of(invented_season(seed), craft, length)
    found = judge_past(case, hours_of(case.briefing.forecasts[0]), RULEBOOK)
    days = mornings(found)
    single = [checked(case, found.start[day]) for day in days]
    assert single == [Severity(level) for level in found.severity[days]]
    assert len(set(single)) > 1  # the seasons have both mornings to go and to stay


@pytest.mark.one_in(4)
@pytest.mark.parametrize("season", SEASONS)
def test_measured_seasons_count_as_single_checks_do(season: str) -> None:
    case = case_of(buoy_season(season), "sit-on-top-kayak", 5)
    found = judge_past(case, hours_of(case.briefing.forecasts[0]), RULEBOOK)
    days = mornings(found)
    single = [checked(case, found.start[day]) for day in days]
    assert single == [Severity(level) for level in found.severity[days]]


def test_a_lost_hour_makes_the_trips_that_meet_it_unknown_and_no_others_better() -> None:
    season = invented_season(4, days=20)
    case = case_of(season, "sit-on-top-kayak", 4)
    whole = judge_past(case, hours_of(season), RULEBOOK)
    wind = season.quantities["wind_speed"].copy()
    wind[0, 200] = np.nan
    holed = replace(season, quantities={**season.quantities, "wind_speed": wind})
    found = judge_past(case_of(holed, "sit-on-top-kayak", 4), hours_of(season), RULEBOOK)
    meets = (found.start <= season.time[200]) & (
        season.time[200] <= found.start + np.timedelta64(4 * 3600, "s")
    )
    assert (found.severity[meets] >= Severity.UNKNOWN).all()
    assert (found.severity >= np.minimum(whole.severity, Severity.UNKNOWN)).all()


def test_the_longest_go_is_never_longer_than_the_trips_that_are_a_go() -> None:
    season = invented_season(5, days=30)
    found = judge_past(case_of(season, "sit-on-top-kayak", 4), hours_of(season), RULEBOOK)
    assert (found.severity[found.longest >= 4] == Severity.GO).all()
    assert (found.longest >= 4).any()


def test_shares_are_those_counted_by_hand() -> None:
    season = invented_season(6, days=60)
    found = judge_past(case_of(season, "sit-on-top-kayak", 4), hours_of(season), RULEBOOK)
    trips = date_trips([found], scenes.WATER.time_zone)
    months = summarize_months(trips, (1, 4), Resampling(100, 1, 0.05, 0.95))
    zone = ZoneInfo(scenes.WATER.time_zone)
    local = [to_utc(start).astimezone(zone) for start in found.start]
    for month in months:
        days = {moment.date() for moment in local if moment.month == month.month}
        good = {moment.date() for moment, level in zip(local, found.severity, strict=True)
                if moment.month == month.month and level == Severity.GO}  # fmt: skip
        assert month.go_days.mean == pytest.approx(len(good) / len(days))
        assert month.go_days.low == month.go_days.mean == month.go_days.high  # of one year
        assert sum(month.shares) == pytest.approx(1.0)
        assert month.windows[0] >= month.windows[1]
    weeks = best_weeks(trips, 3, Resampling(100, 1, 0.05, 0.95))
    assert [week.go_days.mean for week in weeks] == sorted(
        (week.go_days.mean for week in weeks), reverse=True
    )


def test_the_spread_of_two_unlike_years_holds_both() -> None:
    """Of years with all days and with none, the mean of draws of two lies between 0 and 1."""
    season = invented_season(7, days=40)
    one = judge_past(case_of(season, "sit-on-top-kayak", 4), hours_of(season), RULEBOOK)
    later = np.timedelta64(365, "D")
    good = replace(one, severity=np.zeros_like(one.severity))
    bad = replace(one, start=one.start + later, severity=np.full_like(one.severity, Severity.NO_GO))
    trips = date_trips([good, bad], scenes.WATER.time_zone)
    months = summarize_months(trips, (1,), Resampling(500, 1, 0.05, 0.95))
    assert [(month.go_days.low, month.go_days.high) for month in months] == [(0.0, 1.0)] * len(
        months
    )

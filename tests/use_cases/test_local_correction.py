"""What past days at a launch say of the next forecast there."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from safety_check.conditions.case import Case
from safety_check.conditions.error_models import (
    ErrorModels,
    load_error_models,
    load_shrinkage,
)
from safety_check.conditions.forecast_trend import ForecastSummary, PastChecks
from safety_check.model.history import CheckLine
from safety_check.model.place import FetchTable
from safety_check.model.plan import Plan
from safety_check.model.trip import Trip
from safety_check.model.weather import Briefing, Forecast
from safety_check.physics.ensemble_calibration import ErrorModel, LocalCorrection, Shrinkage
from safety_check.settings.folders import Folders
from safety_check.settings.settings import Settings
from safety_check.settings.user_file import UserSettings
from safety_check.store.serialize import deserialize, serialize
from safety_check.store.store import ObservedWind, Store
from safety_check.use_cases.local_correction import (
    MOST_DAYS,
    Outcome,
    checks_to_compare,
    find_outcomes,
    fit_corrections,
)
from safety_check.use_cases.record import CompletedCheck, judge_and_store, recall_case, repeat_check
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.waters.open_water import open_water
from tests import scenes

GUST = "wind_speed_of_gust"
ZONE = ZoneInfo("America/Chicago")
FEWEST = load_shrinkage().least_pairs
FIRST = datetime(2026, 4, 1, 15, tzinfo=UTC)
TRUST = scenes.load_trust()


def day(number: int) -> Plan:
    """Return the plan of one of many mornings."""
    return scenes.plan(start=FIRST + timedelta(days=number), hours=4)


def asked(plan: Plan, wind: float, hours_before: float = 20) -> Briefing:
    """Return a briefing that forecasts one wind for that morning."""
    at = plan.start - timedelta(hours=hours_before)
    made = replace(scenes.FROM_A_FILE, issued=at, fetched=at)
    given: Forecast = scenes.forecast({"wind_speed": wind, GUST: 1.5 * wind}, provenance=made)
    first = np.datetime64(f"{at:%Y-%m-%dT%H}", "s")
    return Briefing(at, (replace(given, time=first + (given.time - given.time[0])),))


def said(number: int, wind: float = 5.0, hours_before: float = 20) -> ForecastSummary:
    plan = day(number)
    return scenes.assess(plan, asked(plan, wind, hours_before)).forecast


def line(id_: int, number: int, hours_before: float) -> CheckLine:
    plan = day(number)
    at = plan.start - timedelta(hours=hours_before)
    return CheckLine(id_, at, "", "Lake", "ramp", str(ZONE), "mine", plan.start, plan.end,
                     scenes.severity_of(), "", "0.1.0")  # fmt: skip


def seen(number: int, wind: float, minutes: int = 60) -> ObservedWind:
    return ObservedWind("wind_speed", FIRST + timedelta(days=number, minutes=minutes), wind)


def trip(number: int, wind: float, **more: object) -> Trip:
    start = FIRST + timedelta(days=number)
    given = Trip(0, start, start, "Lake", "ramp", str(ZONE), "mine", True, wind_speed=wind)
    return replace(given, **more)  # type: ignore[arg-type]


def learnt(
    days: int, observed: float, forecast: float = 5.0
) -> tuple[dict[str, LocalCorrection], dict[str, int]]:
    came = find_outcomes([seen(number, observed) for number in range(days)], [], [], ZONE)
    told = [(_date(number), said(number, forecast)) for number in range(days)]
    return fit_corrections(
        told, came, load_error_models(), load_shrinkage(), FIRST + timedelta(days=days)
    )


def _date(number: int) -> date:
    return (FIRST + timedelta(days=number)).astimezone(ZONE).date()


# -- what is learnt ------------------------------------------------------------------------------


@pytest.mark.thorough
def test_where_it_blew_more_than_forecast_the_bias_is_above_and_grows_with_the_days() -> None:
    few, many = (learnt(days, 9.0)[0]["wind_speed"].bias[1] for days in (FEWEST, 4 * FEWEST))
    assert 0 < few < many < 9.0 - 5.0
    assert learnt(FEWEST, 9.0)[1] == {"wind_speed": FEWEST}


@pytest.mark.thorough
def test_where_it_blew_less_the_bias_is_below() -> None:
    assert learnt(2 * FEWEST, 1.0)[0]["wind_speed"].bias[1] < 0


def test_with_fewer_days_than_the_stated_minimum_nothing_is_learnt() -> None:
    assert learnt(FEWEST - 1, 9.0) == ({}, {})


@pytest.mark.thorough
def test_many_checks_of_one_day_do_not_make_many_days() -> None:
    came = find_outcomes([seen(0, 9.0)], [], [], ZONE)
    told = [(_date(0), said(0, 5.0, hours_before=number)) for number in range(1, 40)]
    assert fit_corrections(told, came, load_error_models(), load_shrinkage(), FIRST) == ({}, {})


def test_a_forecast_made_after_the_observation_is_not_compared_with_it() -> None:
    came = find_outcomes(
        [seen(number, 9.0, minutes=-120) for number in range(FEWEST)], [], [], ZONE
    )
    late = [(_date(number), said(number, 5.0, hours_before=1)) for number in range(FEWEST)]
    assert fit_corrections(late, came, load_error_models(), load_shrinkage(), FIRST) == ({}, {})


def test_a_day_without_a_forecast_wind_makes_no_pair() -> None:
    came = find_outcomes([seen(number, 9.0) for number in range(FEWEST)], [], [], ZONE)
    told = [(_date(number), said(number, float("nan"))) for number in range(FEWEST)]
    assert fit_corrections(told, came, load_error_models(), load_shrinkage(), FIRST) == ({}, {})


# -- what counts as what came ----------------------------------------------------------------------


def test_a_logged_trip_counts_for_its_day_before_any_station() -> None:
    (only,) = find_outcomes([seen(0, 2.0)], [trip(0, 9.0)], [], ZONE)
    assert only.strongest
    assert set(only.value) == {9.0}
    later, earlier = find_outcomes([seen(0, 2.0)], [trip(1, 9.0)], [], ZONE)
    assert (later.strongest, earlier.strongest, earlier.value.tolist()) == (True, False, [2.0])


def test_a_trip_that_was_called_off_or_tells_no_wind_is_no_outcome() -> None:
    silent = [trip(0, 9.0, went=False), trip(1, float("nan"))]
    assert find_outcomes([ObservedWind(GUST, FIRST, float("nan"))], silent, [], ZONE) == []


def test_a_logged_trip_is_compared_until_its_check_says_that_it_ends() -> None:
    (known,) = find_outcomes([], [trip(0, 9.0, check=7)], [line(7, 0, 20)], ZONE)
    assert len(known.time) == 5
    (usual,) = find_outcomes([], [trip(0, 9.0)], [], ZONE)
    assert len(usual.time) == 4


def test_a_report_counts_for_the_nearest_hour() -> None:
    (found,) = find_outcomes([seen(0, 4.0, minutes=95)], [], [], ZONE)
    assert found.time[0] == np.datetime64("2026-04-01T17:00", "s")


def test_of_each_day_the_last_check_for_each_day_of_lead_is_read() -> None:
    came = find_outcomes([seen(0, 4.0)], [], [], ZONE)
    checks = [line(1, 0, 30), line(2, 0, 26), line(3, 0, 20), line(4, 0, 2), line(5, 1, 2),
              line(6, 0, -1)]  # fmt: skip
    assert checks_to_compare(checks, came, ZONE) == {2: _date(0), 4: _date(0)}


# -- the whole way ---------------------------------------------------------------------------------


@pytest.fixture
def own(tmp_path: Path) -> Settings:
    return Settings(Folders(tmp_path, tmp_path / "data", tmp_path / "cache"), UserSettings())


def check(own: Settings, number: int, wind: float = 3.0) -> CompletedCheck:
    plan = day(number)
    round_water = replace(scenes.WATER, fetch_table=TABLE)
    trip = replace(plan, water=round_water)
    water = open_water(trip, own.folders.cache)
    case, remarks = recall_case(Case(trip, asked(plan, wind), water, own, TRUST))
    return judge_and_store(case, load_rulebook(), remarks=remarks)


TABLE = FetchTable(np.array([0.0, 90.0, 180.0, 270.0]), np.full(4, 300.0))


def test_logged_trips_raise_the_next_check_of_that_launch_and_it_repeats_exactly(
    own: Settings,
) -> None:
    for number in range(FEWEST):
        check(own, number)
    before = check(own, FEWEST)
    with Store.open(own.folders.data) as store:
        for number in range(FEWEST):
            met = trip(number, 9.0, water="Invented Lake", launch="ramp")
            store.save_trip(met)
    after = check(own, FEWEST)
    assert (before.remarks, after.remarks) == ((), ())
    assert any("On 10 days at this launch" in sentence for sentence in after.verdict.widening)
    assert not any("days at this launch" in sentence for sentence in before.verdict.widening)
    wind = [
        next(finding.value for finding in done.verdict.findings if finding.quantity == "wind_speed")
        for done in (before, after)
    ]
    assert wind[1] > wind[0]
    assert after.verdict.severity >= before.verdict.severity
    with Store.open(own.folders.data) as store:
        saved = store.check(after.number or 0)
    assert saved.kept.past.days == {"wind_speed": FEWEST}
    assert repeat_check(saved, own, TRUST).same


def test_corrections_are_stored_exactly() -> None:
    found, days = learnt(FEWEST, 9.0)
    past = PastChecks((said(0),), found, days)
    assert serialize(deserialize(PastChecks, serialize(past))) == serialize(past)


# -- by hand ---------------------------------------------------------------------------------------


FLAT = np.array([0.0, 100.0])
AS_IT_IS = ErrorModel(FLAT, np.zeros(2), np.ones(2), np.ones(2), np.zeros(2))
TRUSTED = Shrinkage(1, 0.0, 0.0, 1e12, reach_hours=1e12, fade_days=1e12)


def spoke(winds: list[float], number: int = 0) -> ForecastSummary:
    """Return what a check 20 hours before said of the first hours of a day."""
    at = FIRST + timedelta(days=number, hours=-20)
    first = np.datetime64(f"{at:%Y-%m-%dT%H}", "s")
    hours = np.arange(20, 20 + len(winds))
    row = np.array(winds)
    return ForecastSummary(
        at, first + hours * np.timedelta64(3600, "s"), hours.astype(float), ("m",), row[None],
        {"wind_speed": row}, {"wind_speed": np.zeros(len(winds))},
    )  # fmt: skip


def bias(
    told: list[ForecastSummary],
    came: list[Outcome],
    shrinkage: Shrinkage = TRUSTED,
    at: datetime = FIRST,
) -> float | None:
    models = {"wind_speed": ErrorModels(AS_IT_IS, AS_IT_IS)}
    pairs = [((one.at + timedelta(hours=20)).astimezone(ZONE).date(), one) for one in told]
    found, _ = fit_corrections(pairs, came, models, shrinkage, at)
    return float(found["wind_speed"].bias[0]) if found else None


def came(*hours: tuple[int, float], number: int = 0, strongest: bool = False) -> Outcome:
    """Return what came by hours after the first."""
    first = np.datetime64(f"{FIRST + timedelta(days=number):%Y-%m-%dT%H}", "s")
    time = first + np.array([hour for hour, _ in hours]) * np.timedelta64(3600, "s")
    return Outcome("wind_speed", _date(number), time, np.array([wind for _, wind in hours]),
                   strongest)  # fmt: skip


def test_reports_of_a_day_are_compared_by_their_mean_and_a_trip_by_its_strongest_hour() -> None:
    said = [spoke([4.0, 6.0, 5.0])]
    assert bias(said, [came((0, 5.0), (1, 5.0), (2, 8.0))]) == pytest.approx(6.0 - 5.0)
    trip = came((0, 8.0), (1, 8.0), (2, 8.0), strongest=True)
    assert bias(said, [trip]) == pytest.approx(8.0 - 6.0)


def test_only_hours_that_both_know_and_that_were_still_ahead_are_compared() -> None:
    said = spoke([4.0, 6.0, 5.0])
    assert bias([said], [came((-1, 30.0), (1, 7.0), (3, 30.0))]) == pytest.approx(1.0)
    assert bias([said], [came((3, 30.0))]) is None
    for minutes, expected in ((0, 3.0), (-1, 2.0)):  # made at 16:00, or at 15:59
        late = replace(said, at=FIRST + timedelta(hours=1, minutes=minutes))
        model = {"wind_speed": ErrorModels(AS_IT_IS, AS_IT_IS)}
        outcome = [came((1, 7.0), (2, 8.0))]
        found, _ = fit_corrections([(_date(0), late)], outcome, model, TRUSTED, FIRST)
        assert found["wind_speed"].bias[0] == pytest.approx(expected)


def test_older_days_count_less() -> None:
    told, observed = [spoke([5.0], 0), spoke([5.0], 2)], [came((0, 6.0)), came((0, 9.0), number=2)]
    fading = replace(TRUSTED, fade_days=1.0)
    at = FIRST + timedelta(days=2, hours=-20)  # two days after the first check, at the second
    weights = np.exp([-2.0, 0.0])
    assert bias(told, observed, fading, at) == pytest.approx(weights @ [1.0, 4.0] / weights.sum())


def test_of_many_outcomes_the_newest_are_read_and_come_first() -> None:
    reports = [seen(number, 5.0) for number in range(2 * MOST_DAYS + 5)]
    found = find_outcomes(reports, [], [], ZONE)
    assert len(found) == 2 * MOST_DAYS
    assert [found[0].day, found[-1].day] == [_date(2 * MOST_DAYS + 4), _date(5)]


@pytest.mark.parametrize(("minutes", "hour"), [(89, 16), (90, 17), (149, 17), (150, 18)])
def test_a_report_at_half_past_counts_for_the_next_hour(minutes: int, hour: int) -> None:
    (found,) = find_outcomes([seen(0, 4.0, minutes=minutes)], [], [], ZONE)
    assert found.time[0] == np.datetime64(f"2026-04-01T{hour}:00", "s")


def test_a_trip_of_an_unknown_check_lasts_three_hours_and_none_ends_before_it_begins() -> None:
    (unknown,) = find_outcomes([], [trip(0, 9.0, check=99)], [line(7, 0, 20)], ZONE)
    assert len(unknown.time) == 4
    early = replace(line(7, 0, 20), end=FIRST - timedelta(hours=5))
    (found,) = find_outcomes([], [trip(0, 9.0, check=7)], [early], ZONE)
    assert found.time.tolist() == [FIRST.replace(tzinfo=None)]


def test_a_check_at_the_start_itself_is_not_compared() -> None:
    outcomes = find_outcomes([seen(0, 4.0)], [], [], ZONE)
    assert checks_to_compare([line(1, 0, 0)], outcomes, ZONE) == {}
    assert checks_to_compare([line(1, 0, 24), line(2, 0, 23)], outcomes, ZONE) == {
        1: _date(0), 2: _date(0),
    }  # fmt: skip

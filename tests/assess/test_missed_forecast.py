"""A forecast that missed an observation is not believed again because time passed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.arrays import to_datetime64
from safety_check.assess.missed_forecast import find_missed_forecasts, hours_held
from safety_check.assess.verdict import assess_case, judge_in_brief
from safety_check.conditions.case import Case
from safety_check.conditions.forecast_trend import ForecastSummary, PastChecks
from safety_check.conditions.trust import ModelRuns
from safety_check.model.missed_forecast import MissedForecast
from safety_check.model.verdict import Severity, Verdict
from safety_check.model.weather import OWN_EYES, Briefing, Forecast, Observation
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.trust import load_trust
from tests import scenes
from tests.properties import cases

EVENING = scenes.NOW  # 17:00 at the water; the trip begins at 10:00 the next morning
MORNING = scenes.START - timedelta(hours=1)
MPH = 0.44704
RULES = load_rulebook()
TRUST = load_trust()


def issued(at: datetime, forecast: Forecast | None = None) -> Forecast:
    """Return a calm forecast, or another one, made at a time and received at once."""
    forecast = forecast or scenes.forecast()
    origin = replace(forecast.provenance, issued=at, fetched=at)
    return replace(forecast, provenance=origin)


def showing(at: datetime, wind: float, gust: float | None = None) -> Forecast:
    """Return a forecast of that evening's wind in a run that is calm from the night on."""
    windy = {"wind_speed": wind, "wind_speed_of_gust": gust or 1.4 * wind}
    forecast = scenes.forecast(windy)
    night = forecast.time > to_datetime64(EVENING + timedelta(hours=3))
    quantities = {
        name: np.where(night, scenes.CALM[name], values)
        for name, values in forecast.quantities.items()
    }
    return issued(at, replace(forecast, quantities=quantities))


def seen(value: float, name: str = "wind_speed", at: datetime = EVENING) -> Observation:
    return replace(scenes.observation(name, value, at=at), station=OWN_EYES)


def case_of(
    observations: Sequence[Observation],
    *forecasts: Forecast,
    at: datetime = MORNING,
    past: PastChecks | None = None,
) -> Case:
    briefing = scenes.with_warnings_read(Briefing(at, forecasts, tuple(observations)))
    own = scenes.settings()
    return Case(scenes.plan(), briefing, scenes.POND, own, TRUST, past or PastChecks())


def verdict(
    observations: Sequence[Observation],
    *forecasts: Forecast,
    at: datetime = MORNING,
    past: PastChecks | None = None,
) -> Verdict:
    return assess_case(case_of(observations, *forecasts, at=at, past=past), RULES).verdict


def severity_of(
    observations: Sequence[Observation],
    *forecasts: Forecast,
    at: datetime = MORNING,
    past: PastChecks | None = None,
) -> Severity:
    return judge_in_brief(case_of(observations, *forecasts, at=at, past=past), RULES)[0]


def reason(told: Verdict) -> str:
    return next(finding.reason for finding in told.findings if finding.hazard == "forecast_missed")


OLD_RUN = issued(EVENING - timedelta(hours=2))
BLOW = (seen(20 * MPH), seen(28 * MPH, "wind_speed_of_gust"))


# -- the evening before ------------------------------------------------------------------------


def test_a_windy_evening_that_was_forecast_calm_holds_back_the_morning() -> None:
    assert severity_of((), OLD_RUN) == Severity.GO

    told = verdict(BLOW, OLD_RUN)

    assert told.severity == Severity.MARGINAL
    assert all(hour.severity == Severity.MARGINAL for hour in told.hours)


def test_the_reason_says_what_was_seen_when_and_what_was_forecast() -> None:
    told = reason(verdict(BLOW, OLD_RUN))

    assert "On Fri 17:00 you saw wind of 20 mph" in told or "gusts of 28 mph" in told
    assert "the forecasts said" in told
    assert "No later hour is GO until a newer run shows what was observed." in told


def test_time_alone_never_believes_the_forecast_again() -> None:
    for hours in (1, 6, 9, 15, 21):
        later = EVENING + timedelta(hours=hours)
        trip = scenes.plan(start=later + timedelta(hours=1), hours=2, night=True)
        case = replace(case_of(BLOW, OLD_RUN, at=later), plan=trip)
        assert assess_case(case, RULES).verdict.severity >= Severity.MARGINAL


def test_a_newer_run_that_shows_what_was_seen_releases() -> None:
    newer = showing(EVENING + timedelta(hours=6), 20 * MPH, 28 * MPH)
    assert severity_of(BLOW, newer) == Severity.GO


def test_a_newer_run_that_does_not_show_it_holds_on() -> None:
    assert severity_of(BLOW, issued(EVENING + timedelta(hours=6))) == Severity.MARGINAL


def test_a_newer_run_that_says_nothing_of_that_time_holds_on() -> None:
    first = assess_case(case_of(BLOW, OLD_RUN, at=EVENING), RULES)
    newer = issued(EVENING + timedelta(hours=6))
    ahead = newer.time > to_datetime64(EVENING + timedelta(hours=5))
    newer = replace(
        newer,
        time=newer.time[ahead],
        quantities={name: values[:, ahead] for name, values in newer.quantities.items()},
    )
    past = PastChecks(earlier=(first.forecast,))

    assert severity_of((), newer, past=past) == Severity.MARGINAL


def test_an_older_run_that_had_it_right_does_not_release_after_a_miss() -> None:
    first = assess_case(case_of(BLOW, OLD_RUN, at=EVENING), RULES)
    older = showing(EVENING - timedelta(hours=3), 20 * MPH, 28 * MPH)
    past = PastChecks(earlier=(first.forecast,))

    assert severity_of((), older, past=past) == Severity.MARGINAL
    assert severity_of(BLOW, older) == Severity.GO  # nothing was missed by it


def test_what_was_stored_with_earlier_checks_counts() -> None:
    assert severity_of((), OLD_RUN, past=PastChecks(observed=BLOW)) == Severity.MARGINAL


def test_the_excess_lasts_longer_than_that_of_an_ordinary_observation() -> None:
    told = verdict(BLOW, OLD_RUN, at=EVENING)
    night = EVENING + timedelta(hours=9)
    trip = scenes.plan(start=night, hours=2, night=True)
    hours = assess_case(replace(case_of(BLOW, OLD_RUN, at=EVENING), plan=trip), RULES).verdict.hours

    assert hours[0].shown["wind_speed"] > scenes.CALM["wind_speed"] + 1
    assert told.hours[-1].shown["wind_speed"] == scenes.CALM["wind_speed"]


# -- fine mornings -----------------------------------------------------------------------------


@pytest.mark.parametrize("above", [-1.5, 0.0, 1.0, 2.0, 5.0])
def test_a_little_more_than_forecast_holds_nothing_back(above: float) -> None:
    buoy = scenes.observation("wind_speed", 1.5 + above * MPH, distance=8000.0, at=MORNING)
    assert severity_of([buoy], OLD_RUN) == Severity.GO


def test_a_calm_never_matters() -> None:
    windy = issued(EVENING, scenes.forecast({"wind_speed": 5.0, "wind_speed_of_gust": 7.0}))
    assert severity_of([seen(0.0)], windy) == severity_of((), windy) == Severity.GO


@pytest.mark.parametrize(
    "unusable",
    [
        replace(seen(9.0), flagged=True),
        replace(seen(9.0), distance=None),
        replace(seen(9.0), distance=60_000.0),
        seen(9.0, at=EVENING - timedelta(days=3)),
        seen(9.0, at=MORNING + timedelta(hours=1)),
        seen(float("nan")),
    ],
)
def test_what_is_in_doubt_far_or_long_ago_does_not_count(unusable: Observation) -> None:
    assert find_missed_forecasts(case_of([unusable], OLD_RUN), RULES) == ()


def test_wind_within_the_spread_of_an_ensemble_is_no_miss() -> None:
    runs = [{"wind_speed": 1.0 + 0.3 * run, "wind_speed_of_gust": 9.0} for run in range(21)]
    ensemble = issued(EVENING, scenes.forecast(*runs, models=["one"] * len(runs)))
    assert find_missed_forecasts(case_of([seen(6.5)], ensemble), RULES) == ()
    assert find_missed_forecasts(case_of([seen(13.0)], ensemble), RULES)


# -- promises ----------------------------------------------------------------------------------

WINDS = st.floats(0, 14)


@cases(25)
@given(
    st.lists(st.tuples(WINDS, st.integers(0, 14)), min_size=1, max_size=3),
    st.floats(0, 8),
    st.integers(0, 2),
    WINDS,
)
def test_a_stronger_observation_never_improves(
    winds: list[tuple[float, int]], more: float, which: int, forecast: float
) -> None:
    run = issued(EVENING, scenes.forecast({"wind_speed": forecast / 3}))
    observed = [seen(value, at=EVENING + timedelta(hours=hour)) for value, hour in winds]
    changed = which % len(observed)
    stronger = [
        replace(item, value=item.value + more) if number == changed else item
        for number, item in enumerate(observed)
    ]

    before, after = verdict(observed, run), verdict(stronger, run)

    assert all(
        new.severity >= old.severity and new.shown["wind_speed"] >= old.shown["wind_speed"] - 1e-9
        for old, new in zip(before.hours, after.hours, strict=True)
    )


@cases(15)
@given(st.floats(6, 14), st.integers(1, 14))
def test_whatever_was_missed_holds_until_a_newer_run_shows_it(wind: float, hours: int) -> None:
    at = EVENING + timedelta(hours=hours)
    observed = (seen(wind),)
    assert severity_of(observed, OLD_RUN, at=at) >= Severity.MARGINAL
    newer = showing(at, wind)
    assert find_missed_forecasts(case_of(observed, newer, at=at), RULES) == ()


# -- the next run ------------------------------------------------------------------------------


def test_the_next_run_that_can_know_of_it_is_named() -> None:
    models = ["ncep_gfs_seamless", "ecmwf_ifs"]
    run = issued(EVENING, scenes.forecast({}, {}, models=models))

    missed, *_ = find_missed_forecasts(case_of([seen(9.0)], run, at=EVENING), RULES)

    # Seen at 22:00 UTC: the run of 00 UTC is the first after it, and is out at 05 UTC.
    assert missed.next_run == EVENING.replace(hour=0) + timedelta(days=1, hours=5)
    assert missed.next_run_of == "US GFS"
    told = reason(verdict([seen(9.0)], run, at=EVENING))
    assert "The next run (US GFS) is due about Sat 00:00" in told


def test_a_run_that_is_out_already_is_not_the_next_one() -> None:
    run = issued(EVENING, scenes.forecast(models=["ncep_gfs_seamless"]))
    missed, *_ = find_missed_forecasts(case_of([seen(9.0)], run, at=MORNING), RULES)
    assert missed.next_run is not None
    assert MORNING < missed.next_run <= MORNING + timedelta(hours=6)


def test_expected_is_what_the_forecasts_said_before_any_calibration() -> None:
    winds = [{"wind_speed": 1.0}, {"wind_speed": 1.2}, {"wind_speed": 1.1}]
    names = ["ncep_gfs_seamless", "cmc_gem_seamless", "dwd_icon_seamless"]
    split = issued(EVENING, scenes.forecast(*winds, models=names))
    [missed] = find_missed_forecasts(case_of([seen(9.0)], split), RULES)
    assert missed.forecasts == ()  # every one of them
    assert missed.expected == pytest.approx(1.1)
    assert missed.expected < missed.highest < 9.0


# -- by hand, on forecasts that are not widened ----------------------------------------------------

PLAIN = replace(RULES, error_models={})
FLOOR = TRUST.missed.floor["wind_speed"]
HOUR = timedelta(hours=1)
MISS = MissedForecast(seen(9.0), 1.0, 2.0)


def stored(*missed: MissedForecast) -> PastChecks:
    """Return what an earlier check found."""
    nothing = np.zeros((1, 0))
    summary = ForecastSummary(
        EVENING, np.array([], "datetime64[s]"), nothing[0], ("a",), nothing, {}, {}, missed
    )
    return PastChecks(earlier=(summary,))


def winds(*runs: float, models: Sequence[str] | None = None, at: datetime = EVENING) -> Forecast:
    given_ = [{"wind_speed": wind, "wind_speed_of_gust": wind} for wind in runs]
    return issued(at, scenes.forecast(*given_, models=models))


def found(value: float, *forecasts: Forecast, past: PastChecks | None = None) -> MissedForecast:
    """Return the one miss of a wind seen in the evening."""
    [missed] = find_missed_forecasts(case_of([seen(value)], *forecasts, past=past), PLAIN)
    return missed


def nothing_found(value: float, *forecasts: Forecast, past: PastChecks | None = None) -> bool:
    return not find_missed_forecasts(case_of([seen(value)], *forecasts, past=past), PLAIN)


def test_hours_are_held_that_end_after_the_observation() -> None:
    hours = to_datetime64(EVENING) + np.arange(-2, 2) * np.timedelta64(1, "h")
    assert hours_held([MISS], hours).tolist() == [[0.0, 0.0, 1.0, 1.0]]
    late = replace(MISS, observation=seen(9.0, at=EVENING + timedelta(minutes=1)))
    assert hours_held([late, MISS], hours).tolist() == [[0.0, 0.0, 1.0, 1.0]]
    assert hours_held([], hours).tolist() == [[0.0] * 4]
    [lost] = hours_held([MISS], hours, lost=True)
    assert np.isnan(lost).tolist() == [True, True, False, False]


def test_the_spread_is_the_upper_end_of_nine_tenths() -> None:
    # 100 runs from 0.1 to 10 m/s: 5 % of them reach 9.6, half reach 5.1.
    run = winds(*(0.1 * number for number in range(1, 101)), models=["one"] * 100)
    assert nothing_found(9.6 - 1e-6, run)
    missed = found(9.65, run)
    assert (missed.expected, missed.highest) == pytest.approx((5.1, 9.6))


def test_the_spread_reaches_at_least_the_usual_error_above_the_median() -> None:
    calm = winds(10.0, at=EVENING - HOUR)
    missed = found(10.1 + FLOOR, calm)
    assert (missed.expected, missed.highest) == (10.0, 10.0 + FLOOR)
    assert nothing_found(10.0 + FLOOR, calm)  # just that much is none


def test_between_two_hours_the_higher_forecast_counts_and_at_an_hour_its_own() -> None:
    run = winds(1.0)
    for offset, wind in ((-1, 9.0), (0, 2.0), (1, 6.0)):
        at = run.time == to_datetime64(EVENING + offset * HOUR)
        run.quantities["wind_speed"][:, at] = wind
    half_past = seen(12.0, at=EVENING + HOUR / 2)
    between, *_ = find_missed_forecasts(case_of([half_past], run), PLAIN)
    assert between.expected == 6.0
    assert found(12.0, run).expected == 2.0
    run.quantities["wind_speed"][:, run.time == to_datetime64(EVENING + HOUR)] = np.nan
    between, *_ = find_missed_forecasts(case_of([half_past], run), PLAIN)
    assert between.expected == 2.0  # the one that is known


def test_a_run_without_a_value_for_that_time_says_nothing() -> None:
    run = winds(1.0, 1.0, 2.0)
    run.quantities["wind_speed"][0] = np.nan
    missed = found(9.0, run)
    assert missed.expected == 2.0  # half of the two that are left reach it
    run.quantities["wind_speed"][:] = np.nan
    assert nothing_found(9.0, run)
    assert nothing_found(9.0)


def test_the_models_that_were_too_low_are_named_where_not_all_were() -> None:
    models = ["ncep_gfs_seamless", *(f"model {number}" for number in range(20))]
    assert found(9.0, winds(1.0, *[2.0] * 19, 9.0, models=models)).forecasts == (
        "US GFS",
        *(f"model {number}" for number in range(19)),
    )
    assert found(9.0, winds(1.0, *[2.0] * 20, models=models)).forecasts == ()
    # A model of several runs was too low only where each of its runs was.
    several = ["one"] * 2 + [f"model {number}" for number in range(40)]
    named = found(9.0, winds(1.0, 9.5, *[2.0] * 40, models=several)).forecasts
    assert "one" not in named
    assert len(named) == 40


def test_only_a_run_made_after_the_observation_ends_a_miss() -> None:
    past = stored(MISS)
    assert found(9.0, winds(9.0), past=past) == replace(MISS, next_run=None)  # made at that moment
    assert nothing_found(9.0, winds(9.0, at=EVENING + timedelta(minutes=1)), past=past)
    just = MissedForecast(seen(10.0 + FLOOR), 1.0, 2.0)
    assert nothing_found(10.0 + FLOOR, winds(10.0, at=MORNING), past=stored(just))
    assert not nothing_found(10.0 + FLOOR, winds(10.0), past=stored(just))


def test_a_run_that_does_not_say_when_it_was_made_counts_from_when_it_was_received() -> None:
    run = winds(9.0)
    for received, released in ((EVENING - HOUR, False), (MORNING, True)):
        origin = replace(run.provenance, issued=None, fetched=received)
        assert nothing_found(9.0, replace(run, provenance=origin), past=stored(MISS)) == released


def test_the_largest_miss_comes_first() -> None:
    observed = [seen(15.0, "wind_speed_of_gust"), seen(20.0)]
    missed = find_missed_forecasts(case_of(observed, winds(10.0)), PLAIN)
    # The wind is 20 - 12.6 = 7.4 m/s above its spread, the gust 15 - 13.6 = 1.4 m/s.
    assert [miss.observation.value for miss in missed] == [20.0, 15.0]


@pytest.mark.parametrize(
    ("observed", "counts"),
    [
        (replace(seen(9.0), distance=TRUST.wind_distance), True),
        (replace(seen(9.0), distance=TRUST.wind_distance + 1), False),
        (seen(9.0, at=MORNING - timedelta(days=2)), True),
        (seen(9.0, at=MORNING - timedelta(days=2, seconds=1)), False),
        (seen(9.0, at=MORNING + timedelta(minutes=10)), True),  # the clock of a station may differ
        (seen(9.0, at=MORNING + timedelta(minutes=10, seconds=1)), False),
        (seen(9.0, name="water_temperature"), False),
        (seen(FLOOR), False),  # whatever an earlier check said
        (seen(FLOOR + 0.01), True),
    ],
)
def test_what_counts_ends_at_a_distance_an_age_and_a_least_wind(
    observed: Observation, counts: bool
) -> None:
    past = stored(MissedForecast(observed, 0.0, 1.0))
    case = case_of([], winds(1.0, at=EVENING - timedelta(days=3)), past=past)
    assert bool(find_missed_forecasts(case, PLAIN)) == counts


@pytest.mark.parametrize(
    ("hours", "due", "label"),
    [
        (1, 6, "six"),  # the run of 00 UTC, two hours after, is out four hours later
        (5.9, 6, "six"),
        (6, 8, "twelve"),  # it is out; that run of the other model takes six hours
        (8.5, 12, "six"),
        (13, 18, "six"),
    ],
)
def test_the_next_run_is_the_first_that_starts_after_it_and_is_still_to_come(
    hours: float, due: float, label: str
) -> None:
    runs = {
        "a": ModelRuns("six", 6 * 3600.0, 4 * 3600.0),
        "b": ModelRuns("twelve", 12 * 3600.0, 6 * 3600.0),
        "c": ModelRuns("not asked", 3600.0, 60.0),
    }
    case = case_of([seen(9.0)], winds(1.0, 1.0, models=["b", "a"]), at=EVENING + hours * HOUR)
    case = replace(case, trust=replace(TRUST, runs=runs))
    [missed] = find_missed_forecasts(case, PLAIN)
    # EVENING is 22:00 UTC: in two hours it is 00 UTC.
    assert (missed.next_run, missed.next_run_of) == (EVENING + due * HOUR, label)


def test_without_run_times_no_next_run_is_named() -> None:
    missed = found(9.0, winds(1.0))
    assert (missed.next_run, missed.next_run_of) == (None, "")

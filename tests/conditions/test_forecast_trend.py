"""What earlier checks add: a forecast that rises from check to check is a warning by itself."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.conditions.case import Case
from safety_check.conditions.ensemble import as_forecast
from safety_check.conditions.forecast_trend import (
    ForecastSummary,
    PastChecks,
    forecast_growth,
    summarize_forecast,
)
from safety_check.model.verdict import Severity, Verdict
from safety_check.model.weather import Briefing, Forecast
from safety_check.rules.findings import severity_of_plan
from tests import scenes
from tests.properties import never_better, note, takes

RUNS = ("many", "many", "many", "one")


def by_the_hour(wind: float, seed: int) -> Forecast:
    """Return runs whose winds change by the hour, up to a wind."""
    return scenes.by_the_hour({"wind_speed": wind, "wind_speed_of_gust": wind}, RUNS, seed)


FORECASTS = st.builds(by_the_hour, st.floats(0, 12), st.integers(0, 2**32 - 1))
EARLIER = st.lists(FORECASTS, min_size=1, max_size=3)


LIVE = replace(scenes.FROM_A_FILE, url="https://forecast.example", recorded=False)


def briefing(given: Forecast, hours_ago: float = 0, live: bool = True) -> Briefing:
    if live:
        given = replace(given, provenance=LIVE)
    told = Briefing(at=scenes.NOW - timedelta(hours=hours_ago), forecasts=(given,))
    return scenes.with_warnings_read(told)


def wind(*speeds: float) -> Forecast:
    return scenes.forecast(
        *({"wind_speed": speed, "wind_speed_of_gust": speed} for speed in speeds)
    )


def said(given: Forecast, hours_ago: float) -> ForecastSummary:
    return scenes.assess(scenes.plan(), briefing(given, hours_ago)).forecast


def verdict(now: Forecast, *earlier: ForecastSummary) -> Verdict:
    past = PastChecks(earlier)
    return scenes.judge(scenes.plan(), briefing(now), scenes.POND, scenes.settings(), past)


def test_a_check_of_a_saved_file_is_no_earlier_forecast() -> None:
    tried = scenes.assess(scenes.plan(), briefing(wind(1.4), 12, live=False)).forecast
    assert tried.from_file
    assert grown(verdict(wind(4.0), tried)) == []
    assert grown(verdict(wind(4.0), tried, said(wind(1.4), 12))) == [Severity.MARGINAL]


def grown(found: Verdict) -> list[Severity]:
    return [finding.severity for finding in found.findings if finding.quantity == "forecast_growth"]


def test_a_forecast_that_rose_by_a_beaufort_number_is_doubtful_by_itself() -> None:
    risen = verdict(wind(4.0), said(wind(1.4), 12))
    assert verdict(wind(4.0)).severity == Severity.GO
    assert (risen.severity, grown(risen)) == (Severity.MARGINAL, [Severity.MARGINAL])
    reason = risen.findings[0].reason
    assert "risen by 6 mph since an earlier check" in reason


def test_a_forecast_that_rose_and_fell_again_has_not_risen() -> None:
    jumped = verdict(wind(1.5), said(wind(6.0), 6), said(wind(1.5), 12))
    assert grown(jumped) == [Severity.GO]
    (growth,) = [one for one in jumped.findings if one.quantity == "forecast_growth"]
    assert growth.value == 0.0


def test_a_forecast_that_fell_or_stayed_is_no_warning() -> None:
    assert grown(verdict(wind(1.5), said(wind(6.0), 12))) == [Severity.GO]
    assert verdict(wind(1.5), said(wind(1.5), 12)).severity == Severity.GO


def test_without_an_earlier_check_growth_is_not_weighed() -> None:
    assert grown(verdict(wind(4.0))) == []


def test_the_order_of_earlier_checks_does_not_matter() -> None:
    low, high = said(wind(1.0), 20), said(wind(5.0), 10)
    now = said(wind(2.0), 0)
    assert np.array_equal(forecast_growth(now, [low, high]), forecast_growth(now, [high, low]))
    assert forecast_growth(now, [low, high])[0] == pytest.approx(1.0)


def test_only_models_that_spoke_in_both_checks_are_compared() -> None:
    calm = scenes.forecast({"wind_speed": 1.0}, models=["a"])
    both = scenes.forecast({"wind_speed": 1.5}, {"wind_speed": 9.0}, models=["a", "b"])
    assert forecast_growth(said(both, 0), [said(calm, 6)]).max() == pytest.approx(0.5)
    other = scenes.forecast({"wind_speed": 9.0}, models=["c"])
    assert forecast_growth(said(other, 0), [said(calm, 6)]).max() == 0


def test_a_member_counts_with_its_model_and_not_alone() -> None:
    before = scenes.forecast(*[{"wind_speed": 2.0}] * 4, models=["many"] * 4)
    after = scenes.forecast(*[{"wind_speed": 2.0}] * 3, {"wind_speed": 6.0}, models=["many"] * 4)
    assert forecast_growth(said(after, 0), [said(before, 6)]).max() == pytest.approx(1.0)


def test_hours_that_the_earlier_check_did_not_reach_are_not_compared() -> None:
    early = said(wind(1.0), 6)
    later = replace(
        early, time=early.time + np.timedelta64(30, "D"), wind_speed=early.wind_speed + 9
    )
    assert forecast_growth(later, [early]).tolist() == [0.0] * len(later.time)


def test_a_model_without_values_now_leaves_the_rise_unknown() -> None:
    now = scenes.without(wind(1.5, 1.5), "wind_speed", slice(1, 2))
    assert np.isnan(forecast_growth(said(now, 0), [said(wind(1.5, 1.5), 6)])).all()


def summaries(earlier: list[Forecast]) -> PastChecks:
    return PastChecks(tuple(summary(one, 6.0 * number) for number, one in enumerate(earlier, 1)))


def summary(given: Forecast, hours_ago: float) -> ForecastSummary:
    told = briefing(given, hours_ago)
    return summarize_forecast(as_forecast(told, given.time, scenes.load_trust()), told.at)


def severity(now: Forecast, past: PastChecks) -> Severity:
    """Return the severity of a short trip; a whole verdict takes far longer."""
    trip = scenes.plan(hours=2)
    case = Case(trip, briefing(now), scenes.POND, scenes.settings(), scenes.load_trust(), past)
    return severity_of_plan(case, scenes.weighed(case))


@takes(worse=0.1)
@given(FORECASTS, EARLIER)
def test_earlier_checks_never_make_a_better_verdict(now: Forecast, earlier: list[Forecast]) -> None:
    never_better(severity(now, PastChecks()), severity(now, summaries(earlier)))


@takes(worse=0.1, grown=0.3)
@given(FORECASTS, st.floats(0, 5), EARLIER)
def test_more_wind_never_makes_a_better_verdict_beside_the_past(
    now: Forecast, more: float, earlier: list[Forecast]
) -> None:
    names = ("wind_speed", "wind_speed_of_gust")
    stronger = {name: now.quantities[name] + more for name in names}
    windier = replace(now, quantities=dict(now.quantities) | stronger)
    past = summaries(earlier)
    never_better(severity(now, past), severity(windier, past))
    note("grown", forecast_growth(summary(windier, 0.0), past.earlier).max() > 0)

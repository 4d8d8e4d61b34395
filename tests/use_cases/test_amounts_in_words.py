"""Winds, waves and lengths of time as people say them."""

from __future__ import annotations

from contextlib import suppress
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.errors import PlanError
from safety_check.units import MILE_PER_HOUR, parse
from safety_check.use_cases.amounts_in_words import (
    Span,
    met_wind,
    parse_height,
    parse_hours,
    parse_span,
    parse_wind,
)
from safety_check.use_cases.launch_observation import LaunchObservation, observed_values
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.use_cases.planning import make_plan_on
from tests import scenes

RANGES = [
    ("10-14 mph", 10, 14),
    ("5-8 mph", 5, 8),
    ("10 - 14 mph", 10, 14),
    ("10–14mph", 10, 14),
    ("10 to 14 mph", 10, 14),
    ("10 mph to 14 mph", 10, 14),
    ("up to 14 mph", 14, 14),
    ("About 12 MPH", 12, 12),
    ("up to about 14 mph", 14, 14),
    ("about 10 to about 14 mph", 10, 14),
    ("12 mph", 12, 12),
    ("1/2-3/4 mph", 0.5, 0.75),
]


@pytest.mark.parametrize(("text", "low", "high"), RANGES)
def test_a_range_has_two_ends(text: str, low: float, high: float) -> None:
    said = parse_wind(text, "--wind")
    assert said.low == pytest.approx(low * MILE_PER_HOUR)
    assert said.high == pytest.approx(high * MILE_PER_HOUR)


@pytest.mark.parametrize(
    "text", ["10-14", "14-10 mph", "-5 mph", "10-x mph", "10- mph", "1 mph to 2 mph to 3 mph"]
)
def test_what_is_no_range_is_refused_by_its_field(text: str) -> None:
    with pytest.raises(PlanError, match="--wind"):
        parse_wind(text, "--wind")


# WMO-No. 306, code table 1100: the lowest winds of Beaufort 0, 1, 2, 3.
@pytest.mark.parametrize(
    ("words", "low", "high"),
    [("calm", 0.0, 0.3), ("Light breeze", 1.6, 3.4), ("gentle breeze", 3.4, 5.5)],
)
def test_words_for_the_wind_reach_to_the_next_number(words: str, low: float, high: float) -> None:
    said = parse_wind(words, "--wind")
    assert (said.low, said.high) == (low, high)


def test_the_upper_end_of_an_observed_range_counts() -> None:
    seen = observed_values(LaunchObservation(wind="10-14 mph", gust="18 to 20 mph", waves="1-2 ft"))
    assert seen["wind_speed"] == pytest.approx(parse("14 mph", "speed", ""))
    assert seen["wind_speed_of_gust"] == pytest.approx(parse("20 mph", "speed", ""))
    assert seen["sea_surface_wave_significant_height"] == pytest.approx(2 * 0.3048)
    assert observed_values(LaunchObservation(wind="light breeze"))["wind_speed"] == 3.4
    assert parse_height("flat", "--waves") == Span(0.0, 0.0)


@given(st.floats(0, 40), st.floats(0, 40))
def test_the_upper_end_is_never_below_the_lower(one: float, other: float) -> None:
    with suppress(PlanError):
        said = parse_span(f"{one:.2f}-{other:.2f} kt", "speed", "--wind")
        assert said.low <= said.high
        assert said.high == pytest.approx(parse(f"{other:.2f} kt", "speed", ""))


@pytest.mark.parametrize(
    ("text", "hours"),
    [("4", 4), ("4h", 4), ("4 hours", 4), ("2 1/2", 2.5), ("4:30", 4.5), ("90 min", 1.5), (3, 3)],
)
def test_a_length_of_time_in_words(text: str | float, hours: float) -> None:
    assert parse_hours(text, "--hours") == hours


@pytest.mark.parametrize("text", ["", "many", "4 mi", "-4", "nan", "4:75", float("nan"), 1e9])
def test_what_is_no_length_of_time_is_refused(text: str | float) -> None:
    with pytest.raises(PlanError, match="--hours"):
        parse_hours(text, "--hours")


@pytest.mark.parametrize(("text", "hours"), [("999.9", 999.9), ("59999 min", 59999 / 60)])
def test_a_length_of_time_may_be_just_under_a_thousand_hours(text: str, hours: float) -> None:
    assert parse_hours(text, "--hours") == pytest.approx(hours)
    for refused in ("1000", 1000.0, "60000 min"):
        with pytest.raises(PlanError, match="is not a length of time"):
            parse_hours(refused, "--hours")


@pytest.mark.parametrize(("text", "hours"), [("0:30", 0.5), ("10:59", 10 + 59 / 60), ("4:00 h", 4)])
def test_hours_and_minutes_are_a_length_of_time(text: str, hours: float) -> None:
    assert parse_hours(text, "--hours") == pytest.approx(hours, rel=1e-12)


def test_a_range_may_begin_at_its_end() -> None:
    assert parse_span("2-2 m", "length", "--waves") == Span(2.0, 2.0)


def test_a_measured_wind_is_compared_by_its_upper_end_and_words_by_their_middle() -> None:
    assert met_wind("2-3 m/s") == (Span(2.0, 3.0), 3.0, None)
    span, middle, force = met_wind("light breeze")
    assert (span, force) == (Span(1.6, 3.4), 2)
    assert span.low < middle < span.high


def planned(hours: str, end: str) -> timedelta:
    asked = PlanRequest(
        craft="sit-on-top-kayak", launch="ramp", start="2026-06-13 06:00", hours=hours, end=end
    )
    now = datetime(2026, 6, 12, tzinfo=UTC)
    plan, _ = make_plan_on(scenes.plan().water, asked, scenes.settings(), now)
    return plan.end - plan.start


def test_hours_and_end_must_agree() -> None:
    assert planned(hours="4h", end="10:00") == timedelta(hours=4)
    with pytest.raises(PlanError, match="--hours: 5 and the end '10:00' disagree"):
        planned(hours="5", end="10:00")

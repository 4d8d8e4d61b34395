"""Times as people say them, in the water's own zone."""

from __future__ import annotations

from contextlib import suppress
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.errors import PlanError
from safety_check.use_cases.times_in_words import parse_time

CHICAGO = "America/Chicago"
THURSDAY_EVENING = datetime(2026, 6, 12, 1, 30, tzinfo=UTC)  # 11 June, 20:30 in Chicago

SAID = [
    ("now", "2026-06-12T01:30"),
    ("tomorrow 06:00", "2026-06-12T11:00"),
    ("today 21:15", "2026-06-12T02:15"),
    ("6:30", "2026-06-12T11:30"),
    ("21:00", "2026-06-12T02:00"),
    ("sat 5:30", "2026-06-13T10:30"),
    ("Saturday 5:30", "2026-06-13T10:30"),
    ("thu 06:00", "2026-06-18T11:00"),
    ("thu 21:00", "2026-06-12T02:00"),
    ("fri 6am", "2026-06-12T11:00"),
    ("fri 12 pm", "2026-06-12T17:00"),
    ("fri 12am", "2026-06-12T05:00"),
    ("2026-06-13 06:00", "2026-06-13T11:00"),
    ("2026-06-13T06:00", "2026-06-13T11:00"),
    ("2026-06-13T06:00Z", "2026-06-13T06:00"),
    ("2026-06-13T06:00+02:00", "2026-06-13T04:00"),
]


@pytest.mark.parametrize(("text", "utc"), SAID)
def test_a_time_means_what_a_person_means_by_it(text: str, utc: str) -> None:
    said = parse_time(text, CHICAGO, THURSDAY_EVENING, "start")
    assert said == datetime.fromisoformat(f"{utc}+00:00")


@pytest.mark.parametrize(
    "text",
    ["", "soon", "25:00", "6:75", "13pm", "0am", "yesterday 6:00", "sat sun 6:00", "satur 6:00"],
)
def test_what_is_no_time_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(PlanError, match=r"start: .*(06:00|today|2026)"):
        parse_time(text, CHICAGO, THURSDAY_EVENING, "start")


def test_an_hour_that_the_clocks_leap_over_is_refused() -> None:
    with pytest.raises(PlanError, match="skipped by the clock"):
        parse_time("2026-03-08 02:30", CHICAGO, THURSDAY_EVENING, "start")


def test_an_hour_that_comes_twice_is_its_first() -> None:
    said = parse_time("2026-11-01 01:30", CHICAGO, THURSDAY_EVENING, "start")
    assert said == datetime(2026, 11, 1, 6, 30, tzinfo=UTC)


@given(st.text(max_size=30))
def test_any_text_is_a_time_or_a_clear_error(text: str) -> None:
    said = None
    with suppress(PlanError):
        said = parse_time(text, CHICAGO, THURSDAY_EVENING, "start")
    assert said is None or said.tzinfo is UTC

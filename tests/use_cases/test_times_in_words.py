"""Times as people say them, in the water's own zone."""

from __future__ import annotations

from contextlib import suppress
from datetime import UTC, datetime, time
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.errors import PlanError
from safety_check.use_cases.time_grammar import (
    SaidDay,
    SaidTime,
    is_clock_only,
    is_day_only,
    read_time,
)
from safety_check.use_cases.times_in_words import parse_past_time, parse_time

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
    ("noon", "2026-06-12T17:00"),
    ("midnight", "2026-06-12T05:00"),
    ("tomorrow noon", "2026-06-12T17:00"),
    ("6am tomorrow", "2026-06-12T11:00"),
    ("0600", "2026-06-12T11:00"),
    ("2100", "2026-06-12T02:00"),
    ("0600 sat", "2026-06-13T11:00"),
    ("28 Nov 6:00", "2026-11-28T12:00"),
    ("Nov 28th at 6 a.m.", "2026-11-28T12:00"),
    ("Sat, 13 June, 6:30 am", "2026-06-13T11:30"),
    ("6/13 6am", "2026-06-13T11:00"),
    ("6am 6/13/2026", "2026-06-13T11:00"),
    ("1/3 6am", "2026-01-03T12:00"),
    ("2027-02-01 9:00", "2027-02-01T15:00"),
    ("2027-2-1 9am", "2027-02-01T15:00"),
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


FAULTS = [
    ("2027-02-01", "no clock time"),
    ("11/28", "no clock time"),
    ("tomorrow", "no clock time"),
    ("sat 5:3", "lacks a digit of the minutes: write 5:03 or 5:30"),
    ("2027-02-01 25:00", "hour 25, which does not exist"),
    ("2027-02-30 9:00", "month 2, day 30, which does not exist"),
    ("0/12 6:00", "month 0, day 12, which does not exist"),
    ("12/0 6:00", "month 12, day 0, which does not exist"),
    ("13 June 0000 6:00", "month 6, day 13, which does not exist"),
    ("28/11 6:00", "month 28, day 11, which does not exist. In 11/28 the month comes first"),
    ("tomorow 6:00", "'tomorow' is not a word for a day"),
    ("6:75", "minute 75"),
    ("13pm", "hour 13, which does not exist with pm"),
    ("Fri 13 June 6:00", "2026-06-13 is a Saturday"),
    ("sat midnight", "start or the end of that day"),
    ("yesterday 6:00", "in the past"),
]


@pytest.mark.parametrize(("text", "fault"), FAULTS)
def test_the_fault_that_is_named_is_the_fault(text: str, fault: str) -> None:
    with pytest.raises(PlanError) as refused:
        parse_time(text, CHICAGO, THURSDAY_EVENING, "start")
    assert fault in str(refused.value)


@given(st.datetimes(timezones=st.just(UTC)))
def test_each_way_to_write_a_moment_means_the_same(moment: datetime) -> None:
    """In UTC, where every hour exists once."""
    moment = moment.replace(year=2000 + moment.year % 50 * 4, second=0, microsecond=0)
    forms = ("%Y-%m-%d %H:%M", "%a %d %b %Y %H%M", "%b %d %Y %I:%M %p", "%H:%M %m/%d/%Y",
             "%d %B %Y %H:%M")  # fmt: skip
    said = {parse_time(moment.strftime(form), "UTC", THURSDAY_EVENING, "start") for form in forms}
    assert said == {moment}


@pytest.mark.parametrize("hour", range(24))
def test_yesterday_is_the_day_before_at_every_hour_of_both_days(hour: int) -> None:
    for clock in range(24):
        now = datetime(2026, 6, 12, clock, 30, tzinfo=UTC)
        began = parse_past_time(f"yesterday {hour}:00", "UTC", now, "--began")
        assert began == datetime(2026, 6, 11, hour, tzinfo=UTC)


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


# -- at the edges --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "future", "past"),
    [
        # It is Thursday, 11 June, 20:30 in Chicago.
        ("20:29", "2026-06-12 20:29", "2026-06-11 20:29"),
        ("20:30", "2026-06-12 20:30", "2026-06-11 20:30"),
        ("20:31", "2026-06-11 20:31", "2026-06-10 20:31"),
        ("thu 20:30", "2026-06-18 20:30", "2026-06-11 20:30"),
        ("thu 20:31", "2026-06-11 20:31", "2026-06-04 20:31"),
        ("fri 20:30", "2026-06-12 20:30", "2026-06-05 20:30"),
        ("wed 20:30", "2026-06-17 20:30", "2026-06-10 20:30"),
        ("mon 20:30", "2026-06-15 20:30", "2026-06-08 20:30"),
        ("sun 20:30", "2026-06-14 20:30", "2026-06-07 20:30"),
    ],
)
def test_a_time_that_is_just_now_is_the_last_one_or_the_next_one(
    text: str, future: str, past: str
) -> None:
    zone = ZoneInfo(CHICAGO)
    for parse, expected in ((parse_time, future), (parse_past_time, past)):
        said = parse(text, CHICAGO, THURSDAY_EVENING, "start").astimezone(zone)
        assert f"{said:%Y-%m-%d %H:%M}" == expected


def test_the_present_moment_is_past_and_a_minute_later_is_not() -> None:
    assert parse_past_time("today 20:30", CHICAGO, THURSDAY_EVENING, "x") == THURSDAY_EVENING
    with pytest.raises(PlanError, match="in the future"):
        parse_past_time("today 20:31", CHICAGO, THURSDAY_EVENING, "x")
    assert parse_past_time("now", CHICAGO, THURSDAY_EVENING, "x") == THURSDAY_EVENING


@pytest.mark.parametrize(
    ("year", "taken"), [(1979, False), (1980, True), (2200, True), (2201, False)]
)
def test_a_year_outside_1980_to_2200_is_a_typing_error(year: int, taken: bool) -> None:
    for text in (f"{year}-06-13 06:00", f"{year}-06-13T06:00Z", f"13 June {year} 6am"):
        if taken:
            assert parse_time(text, CHICAGO, THURSDAY_EVENING, "start").year == year
        else:
            with pytest.raises(PlanError, match="between 1980 and 2200"):
                parse_time(text, CHICAGO, THURSDAY_EVENING, "start")


@pytest.mark.parametrize(
    ("text", "clock"),
    [
        *(("0:00", (0, 0)), ("23:59", (23, 59)), ("0059", (0, 59)), ("2359", (23, 59))),
        *(("12am", (0, 0)), ("12:59am", (0, 59)), ("1 am", (1, 0)), ("11:59 pm", (23, 59))),
        *(("12pm", (12, 0)), ("1pm", (13, 0)), ("noon", (12, 0)), ("midnight", (0, 0))),
    ],
)
def test_a_clock_time_has_its_hour_and_minute(text: str, clock: tuple[int, int]) -> None:
    assert read_time(text, "start") == SaidTime(time(*clock), None)


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        *(("24:00", "hour 24"), ("2400", "hour 24"), ("0060", "minute 60"), ("7:60", "minute 60")),
        *(("0 pm", "hour 0"), ("13am", "hour 13, which does not exist with am")),
    ],
)
def test_an_hour_or_minute_that_does_not_exist_is_named(text: str, fault: str) -> None:
    with pytest.raises(PlanError, match=fault):
        read_time(text, "start")


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("today 6am", SaidDay("today")),
        ("sun 6am", SaidDay(weekday=6)),
        ("2026-02-03 6am", SaidDay(year=2026, month=2, day=3)),
        ("mon 2/3 6am", SaidDay(weekday=0, month=2, day=3)),
        ("2/3/2027 6am", SaidDay(year=2027, month=2, day=3)),
        ("3 Dec 6am", SaidDay(month=12, day=3)),
        ("3rd of January 2027 6am", SaidDay(year=2027, month=1, day=3)),
        ("Sept 3, 2027 6am", SaidDay(year=2027, month=9, day=3)),
    ],
)
def test_a_day_is_read_in_each_of_its_forms(text: str, day: SaidDay) -> None:
    assert read_time(text, "start") == SaidTime(time(6), day)


def test_a_date_without_a_year_is_the_nearest_one() -> None:
    # From 11 June 2026 it is 182 days to 10 December and 183 to the 11th, which is 182 days ago.
    for text, year in (("10 Dec 6am", 2026), ("11 Dec 6am", 2025), ("10 June 6am", 2026)):
        assert parse_time(text, CHICAGO, THURSDAY_EVENING, "start").year == year
    leap = parse_time("29 Feb 6am", CHICAGO, datetime(2027, 6, 1, tzinfo=UTC), "start")
    assert (leap.year, leap.month, leap.day) == (2028, 2, 29)


@pytest.mark.parametrize(
    ("text", "clock_only", "day_only"),
    [
        *(("6am", True, False), ("sat", False, True), ("28 Nov", False, True)),
        *(("sat 6am", False, False), ("soon", False, False), ("noon", True, False)),
        *(("6am sat", False, False), ("today", False, True), ("", False, False)),
    ],
)
def test_a_time_may_be_a_clock_time_or_a_day_alone(
    text: str, clock_only: bool, day_only: bool
) -> None:
    assert is_clock_only(text) == clock_only
    assert is_day_only(text) == day_only

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.sources.nws.intervals import (
    Interval,
    agreed,
    duration,
    expand,
    interval,
    whole_hours,
)
from tests.properties import cases

# Worked by hand from the definition of ISO 8601: a week is seven days, a day 24 hours.
LENGTHS = [
    ("PT1H", timedelta(hours=1)),
    ("P7DT14H", timedelta(days=7, hours=14)),
    ("P1D", timedelta(days=1)),  # no time part at all
    ("P4D", timedelta(days=4)),
    ("P2W", timedelta(days=14)),
    ("PT90M", timedelta(minutes=90)),
    ("PT1H30M15S", timedelta(hours=1, minutes=30, seconds=15)),
]


@pytest.mark.parametrize(("written", "meant"), LENGTHS)
def test_a_duration_is_read_as_iso_8601_writes_it(written, meant):
    assert duration(written) == meant


@pytest.mark.parametrize(
    "written", ["", "P", "PT", "P1DT", "P1M", "P1Y", "1H", "PT1.5H", "P-1D", "PT1H ", "P1H", "P٣D"]
)
def test_what_is_no_duration_is_not_read(written):
    assert duration(written) is None


@pytest.mark.parametrize(
    "written",
    [
        "2024-02-23T12:00:00/PT3H",  # no zone
        "2024-02-23T12:00:00+00:00/PT0H",  # no time at all
        "2024-02-23T12:00:00+00:00/2024-02-23T11:00:00+00:00",  # ends before it starts
        "2024-02-30T12:00:00+00:00/PT3H",
        "9999-12-31T23:00:00+00:00/P9999D",
        "2024-02-23T12:00:00+00:00",
        "2024-02-23T12:00:00+00:00/2024-02-23T12:00:00+00:00",
        "/PT1H",
        "PT1H/PT1H",
    ],
)
def test_an_interval_without_zone_or_length_is_not_read(written):
    assert interval(written) is None


def test_an_interval_in_another_zone_is_the_same_hours_in_utc():
    here = interval("2024-03-10T01:00:00-06:00/PT2H")

    assert here == interval("2024-03-10T07:00:00Z/2024-03-10T04:00:00-05:00")


def hours(first: int, last: int) -> Interval:
    midnight = datetime(2024, 2, 23, tzinfo=UTC)
    return Interval(midnight + timedelta(hours=first), midnight + timedelta(hours=last))


def test_each_hour_of_an_interval_has_its_value_and_its_end_has_not():
    time = whole_hours(hours(0, 5))

    values = expand([(hours(1, 3), 7.0), (hours(3, 4), 9.0)], time, np.maximum)

    np.testing.assert_array_equal(values, [np.nan, 7, 7, 9, np.nan, np.nan])


def test_a_gap_between_intervals_stays_unknown():
    values = expand([(hours(0, 1), 7.0), (hours(3, 4), 9.0)], whole_hours(hours(0, 4)), np.maximum)

    np.testing.assert_array_equal(values, [7, np.nan, np.nan, 9, np.nan])


def test_what_lies_outside_the_axis_is_left_out():
    values = expand(
        [(hours(-9, 1), 7.0), (hours(2, 99), 9.0), (hours(-9, -1), 11.0)],
        whole_hours(hours(0, 3)),
        np.maximum,
    )

    np.testing.assert_array_equal(values, [7, np.nan, 9, 9])


def test_where_two_intervals_claim_an_hour_the_choice_decides():
    time, doubled = whole_hours(hours(0, 2)), [(hours(0, 2), 7.0), (hours(1, 2), 9.0)]

    np.testing.assert_array_equal(expand(doubled, time, np.maximum), [7, 9, np.nan])
    np.testing.assert_array_equal(expand(doubled, time, agreed), [7, np.nan, np.nan])


def test_an_unknown_value_in_a_doubled_hour_keeps_the_hour_unknown():
    time, doubled = whole_hours(hours(0, 1)), [(hours(0, 1), np.nan), (hours(0, 1), 9.0)]

    assert np.isnan(expand(doubled, time, np.maximum)[0])


def test_a_part_of_an_hour_counts_for_the_hour():
    half = Interval(
        datetime(2024, 2, 23, 1, 30, tzinfo=UTC), datetime(2024, 2, 23, 2, 15, tzinfo=UTC)
    )

    values = expand([(half, 7.0)], whole_hours(hours(0, 3)), np.maximum)

    np.testing.assert_array_equal(values, [np.nan, 7, 7, np.nan])


@cases(100)
@given(st.lists(st.tuples(st.integers(0, 40), st.integers(1, 9), st.floats(0, 50)), max_size=8))
def test_the_order_of_the_intervals_never_matters(parts):
    spans = [(hours(start, start + length), value) for start, length, value in parts]
    time = whole_hours(hours(0, 48))

    np.testing.assert_array_equal(
        expand(spans, time, np.maximum), expand(spans[::-1], time, np.maximum)
    )


@cases(300)
@given(st.text(alphabet="P0123456789WDTHMS-:+Z/ .Y", max_size=30) | st.text(max_size=30))
def test_any_text_is_an_interval_or_none(text):
    found = interval(text)

    assert found is None or found.end > found.start

"""Which part of an hour a trip is judged in, and the worse end of it."""

from __future__ import annotations

from datetime import timedelta

import numpy as np
import pytest

from safety_check.conditions.hour_parts import (
    LEAD_IN,
    HourParts,
    hour_ends,
    hours_of,
    last_judged,
    max_of_parts,
    min_of_parts,
    return_hours,
    trip_parts,
    whole_hours,
)
from safety_check.model.plan import Plan
from tests import scenes

HOURS = np.arange("2026-06-13T14", "2026-06-13T20", dtype="datetime64[h]").astype("datetime64[s]")


def trip(first: float, last: float) -> Plan:
    """Return a trip by the minutes after 15:00 UTC at which it begins and ends."""
    start = scenes.START + timedelta(minutes=first)
    return scenes.plan(start=start, hours=(last - first) / 60)


def by_hour(first: list[float], last: list[float]) -> np.ndarray:
    """Return values at the ends of hours, after a lead-in of 99s."""
    return np.array([[99.0] * LEAD_IN + first, [99.0] * LEAD_IN + last])


def test_only_the_hours_of_start_and_end_are_judged_in_part() -> None:
    parts = trip_parts(trip(45, 150), HOURS, 0.0)
    assert parts.first.tolist() == [0.0, 0.75, 0.0, 0.0, 0.0, 0.0]
    assert parts.last.tolist() == [1.0, 1.0, 1.0, 0.5, 1.0, 1.0]


def test_the_margin_after_the_end_is_judged_too() -> None:
    assert last_judged(trip(0, 150), 1800.4) == np.datetime64("2026-06-13T18", "s")
    assert trip_parts(trip(0, 150), HOURS, 1800.0).last.tolist() == [1.0] * 6
    assert trip_parts(trip(0, 165), HOURS, 1800.0).last.tolist() == [1.0] * 4 + [0.25, 1.0]


def test_a_trip_from_hour_to_hour_is_judged_in_whole_hours() -> None:
    parts = trip_parts(trip(0, 120), HOURS, 0.0)
    assert parts.first.tolist() == [0.0] * 6
    assert parts.last.tolist() == [1.0] * 6


@pytest.mark.parametrize(
    ("first", "last", "margin", "touched"),
    [
        (0, 120, 0.0, [1, 2]),
        (0, 121, 0.0, [1, 2, 3]),
        (59, 61, 0.0, [1, 2]),
        (60, 61, 0.0, [2]),
        (-1, 1, 0.0, [0, 1]),
        (0, 120, 1.0, [1, 2, 3]),
        (0, 90, 1800.0, [1, 2]),
    ],
)
def test_a_trip_touches_every_hour_that_it_has_a_moment_in(
    first: float, last: float, margin: float, touched: list[int]
) -> None:
    assert hours_of(trip(first, last), HOURS, margin).tolist() == touched


@pytest.mark.parametrize(("margin", "share"), [(900.0, 0.25), (3600.0, 1.0), (7200.0, 1.0)])
def test_the_hour_of_a_return_is_judged_for_the_margin_and_no_longer_than_an_hour(
    margin: float, share: float
) -> None:
    parts = return_hours(2, margin)
    assert parts.first.tolist() == [0.0, 0.0]
    assert parts.last.tolist() == [share, share]


def test_the_hours_have_a_day_of_lead_in_and_an_end() -> None:
    ends = hour_ends(HOURS)
    assert ends[0] == np.datetime64("2026-06-12T14", "s")
    assert ends[LEAD_IN] == HOURS[0]
    assert ends[-1] == np.datetime64("2026-06-13T20", "s")
    assert (np.diff(ends) == np.timedelta64(3600, "s")).all()


def test_in_a_whole_hour_the_worse_of_its_two_ends_counts() -> None:
    values = by_hour([1.0, 4.0, 2.0], [3.0, 3.0, 0.0])
    assert max_of_parts(values, whole_hours(2)).tolist() == [[4.0, 4.0], [3.0, 3.0]]
    assert min_of_parts(values, whole_hours(2)).tolist() == [[1.0, 2.0], [3.0, 0.0]]


def test_within_an_hour_a_value_lies_on_the_line_between_its_ends() -> None:
    values = by_hour([1.0, 5.0, 1.0], [5.0, 1.0, 5.0])
    parts = HourParts(np.array([0.25, 0.0]), np.array([1.0, 0.25]))
    assert max_of_parts(values, parts).tolist() == [[5.0, 5.0], [4.0, 2.0]]
    assert min_of_parts(values, parts).tolist() == [[2.0, 4.0], [1.0, 1.0]]


def test_an_end_that_is_not_judged_spoils_nothing() -> None:
    values = by_hour([np.nan, 2.0, np.inf], [np.inf, 2.0, np.nan])
    end = HourParts(np.array([1.0, 0.0]), np.array([1.0, 0.0]))
    assert max_of_parts(values, end).tolist() == [[2.0, 2.0], [2.0, 2.0]]
    part = HourParts(np.array([0.5, 0.0]), np.array([1.0, 0.5]))
    assert np.isnan(max_of_parts(values, part)[0, 0])
    assert max_of_parts(values, part)[0, 1] == np.inf


def test_some_of_the_hours_keep_their_parts() -> None:
    some = trip_parts(trip(45, 150), HOURS, 0.0).some(slice(1, 4))
    assert some.first.tolist() == [0.75, 0.0, 0.0]
    assert some.last.tolist() == [1.0, 1.0, 0.5]

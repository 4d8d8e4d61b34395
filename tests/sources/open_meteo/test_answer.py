"""The shape of an answer: its place, its clock and its numbers, at the bounds of what is taken."""

from __future__ import annotations

import json
import math
from datetime import UTC, datetime
from typing import Any

import numpy as np
import pytest

from safety_check.errors import DataError
from safety_check.sources.open_meteo.answer import (
    FURTHEST_OFFSET,
    LONGEST,
    Answer,
    earliest_issue,
    hours,
    instants,
    numbers,
    read_answer,
)

DAY = int(datetime(2026, 6, 13, tzinfo=UTC).timestamp())
UNIX = {"time": "unixtime"}


def made(time: list[Any], units: dict[str, str] | None = None, **more: Any) -> Answer:
    return Answer(hourly={"time": time}, hourly_units=UNIX if units is None else units, **more)


# -- the place ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("latitude", "longitude", "known"),
    [
        *((90.0, 180.0, True), (-90.0, -180.0, True), (0.0, 0.0, True)),
        *((90.1, 0.0, False), (0.0, 180.1, False), (None, 0.0, False), (0.0, None, False)),
    ],
)
def test_a_cell_lies_on_this_earth(
    latitude: float | None, longitude: float | None, known: bool
) -> None:
    found = made([DAY], latitude=latitude, longitude=longitude).cell
    assert found == ((latitude, longitude) if known else None)


def nearest(place: tuple[float, float] | None, *cells: tuple[float, float] | None) -> int:
    """Return which of several places answers."""
    several = [
        {
            "hourly": {"time": [number]},
            **({} if cell is None else dict(zip(KEYS, cell, strict=True))),
        }
        for number, cell in enumerate(cells)
    ]
    return int(read_answer(json.dumps(several).encode(), "x", place).hourly["time"][0])


KEYS = ("latitude", "longitude")


@pytest.mark.parametrize(
    ("place", "cells", "expected"),
    [
        # At 60° a degree of longitude is half as long as one of latitude.
        ((60.0, 0.0), ((61.0, 0.0), (60.0, 1.5)), 1),
        ((60.0, 0.0), ((61.0, 0.0), (60.0, 2.5)), 0),
        ((0.0, 0.0), ((1.0, 0.0), (0.0, 1.5)), 0),
        ((0.0, 179.9), ((0.0, 179.0), (0.0, -179.9)), 1),
        ((0.0, -179.9), ((0.0, -179.0), (0.0, 179.9)), 1),
        ((0.0, 10.0), (None, (0.0, 99.0)), 1),
        (None, ((5.0, 5.0), (0.0, 0.0)), 0),
    ],
)
def test_of_several_places_the_nearest_answers(
    place: tuple[float, float] | None, cells: tuple[Any, ...], expected: int
) -> None:
    assert nearest(place, *cells) == expected


def test_a_list_without_a_place_is_no_answer() -> None:
    with pytest.raises(DataError, match="not a forecast for a place"):
        read_answer(b"[]", "x", (0.0, 0.0))


# -- the clock ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("times", "unit", "offset", "expected"),
    [
        ([0, 3600], "unixtime", None, [0, 3600]),
        ([2**33 - 1], "unixtime", None, [2**33 - 1]),
        ([2**33], "unixtime", None, None),
        ([-1], "unixtime", None, None),
        ([0, True], "unixtime", None, None),
        ([0.0], "unixtime", None, None),
        (["2026-06-13T00:00"], "iso8601", 0, [DAY]),
        (["2026-06-13T00:00:00"], "iso8601", 3600, [DAY - 3600]),
        (["2026-06-13T00:00"], "iso8601", FURTHEST_OFFSET, [DAY - 14 * 3600]),
        (["2026-06-13T00:00"], "iso8601", -FURTHEST_OFFSET, [DAY + 14 * 3600]),
        (["2026-06-13T00:00"], "iso8601", FURTHEST_OFFSET + 1, None),
        (["2026-06-13T00:00"], "iso8601", None, None),
        (["2026-06-13T00:00"], "", 0, None),
        (["2026-06-13T00:00", "2026-06-13"], "iso8601", 0, None),
        (["2026-06-13T00:00", 5], "iso8601", 0, None),
        (["2026-06-31T00:00"], "iso8601", 0, None),
        (["2026-06-13T00:00", "1969-12-31T23:00"], "iso8601", 0, None),
        (["1970-01-01T00:00"], "iso8601", 0, None),
        (["2026-06-13T00:00", "2300-01-01T00:00"], "iso8601", 0, None),
    ],
)
def test_times_are_seconds_of_utc_or_none_can_be_trusted(
    times: list[Any], unit: str, offset: int | None, expected: list[int] | None
) -> None:
    found = instants(times, unit, offset)
    assert (None if found is None else found.tolist()) == expected


def test_the_rows_may_span_ten_thousand_hours_and_no_more() -> None:
    last = DAY + (LONGEST - 1) * 3600
    assert len(hours(made([DAY, last]), "x").time) == LONGEST
    with pytest.raises(DataError, match="which no forecast does"):
        hours(made([DAY, last + 3600]), "x")


def test_a_row_that_is_not_on_the_hour_is_refused() -> None:
    with pytest.raises(DataError, match="not on whole hours"):
        hours(made([DAY, DAY + 1800]), "x")
    with pytest.raises(DataError, match="can't be placed"):
        hours(made([]), "x")


def test_a_missing_row_is_an_hour_without_a_value_and_rows_that_disagree_are_unknown() -> None:
    laid = hours(made([DAY + 7200, DAY, DAY + 10_800, DAY + 10_800, DAY]), "x")
    values = laid.lay(np.array([3.0, 1.0, 4.0, 5.0, 1.0]))
    assert (laid.time - laid.time[0]).astype(int).tolist() == [0, 3600, 7200, 10_800]
    assert np.array_equal(values, [1.0, np.nan, 3.0, np.nan], equal_nan=True)


def test_an_answer_is_as_old_as_its_present_or_its_first_row() -> None:
    first = datetime(2026, 6, 13, tzinfo=UTC)
    assert earliest_issue(made([DAY + 3600, DAY])) == first
    assert earliest_issue(made([])) is None
    assert earliest_issue(made([DAY], units={})) is None
    now = made([DAY], current={"time": DAY + 900}, current_units={"time": "unixtime"})
    assert earliest_issue(now) == first.replace(minute=15)
    for current, units in (({}, {"time": "unixtime"}), (5, {}), ({"time": DAY + 900}, 5)):
        assert earliest_issue(made([DAY], current=current, current_units=units)) == first
    unread = made([DAY], current={"time": "now"}, current_units={"time": "unixtime"})
    assert earliest_issue(unread) == first


# -- the numbers -------------------------------------------------------------------------------


def test_only_numbers_are_numbers() -> None:
    column: list[Any] = [1, 2.5, None, "3", True, [4], {}, 10**400]
    found = numbers(column)
    assert found[:2].tolist() == [1.0, 2.5]
    assert np.isnan(found[2:]).all()
    assert math.isinf(numbers([math.inf])[0])


def test_columns_must_be_as_long_as_the_times() -> None:
    body = json.dumps({"hourly": {"time": [DAY], "wind_speed_10m": [1.0, 2.0]}}).encode()
    with pytest.raises(DataError, match="2 rows beside 1 times"):
        read_answer(body, "x")


# -- what is said of an answer that can't be used ------------------------------------------------


@pytest.mark.parametrize(
    ("body", "said"),
    [
        (b"", "x: not complete JSON (0 bytes that begin with 'nothing')"),
        (b"y" * 41, f"x: not complete JSON (41 bytes that begin with '{'y' * 40}')"),
        (
            json.dumps({"error": True, "reason": "r" * 201}).encode(),
            f"x: the service refuses the request and says '{'r' * 199}…'",
        ),
        (b'{"error": 1}', "x: the service refuses the request and says 'no reason'"),
        (
            json.dumps({f"{number:02}" + "k" * 29: 1 for number in range(13)}).encode(),
            "x: the answer has no hourly section, only "
            + ", ".join(f"{number:02}{'k' * 27}…" for number in range(12)),
        ),
        (
            json.dumps({"hourly": {"h" * 94: 5}}).encode(),
            f"x: hourly.{'h' * 92}… is not as documented (Input should be a valid list)",
        ),
        (
            json.dumps({"hourly": {"time": [1], "c" * 61: []}}).encode(),
            f"x: column '{'c' * 59}…' has 0 rows beside 1 times, so the hours of its values are"
            " unknown",
        ),
    ],
)
def test_an_answer_is_told_by_its_own_words_in_short(body: bytes, said: str) -> None:
    with pytest.raises(DataError) as refused:
        read_answer(body, "x")

    remedy = "It can't be used: ask the service again, or use another source."
    assert str(refused.value) == f"{said}. {remedy}"


def test_a_local_time_lies_before_the_year_2242() -> None:
    last = "2242-03-16T12:56:31"  # a second before 2 to the power of 33

    assert instants([last], "iso8601", 0) is not None
    assert instants(["2242-03-16T12:56:32"], "iso8601", 0) is None

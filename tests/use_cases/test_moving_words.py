"""What the user says of tide, current, river and dam: read as written, or refused in one line."""

from __future__ import annotations

import contextlib
import math
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.errors import PlanError
from safety_check.use_cases.moving_words import (
    TimeFrame,
    read_current,
    read_gauge,
    read_releases,
    read_tides,
)
from safety_check.use_cases.own_water import keep_own_water
from tests import afloat, scenes

FRAME = TimeFrame("America/Chicago", datetime(2026, 6, 13, 11, 0, tzinfo=UTC))  # 06:00
KNOT = 1852 / 3600


def at(hour: int, minute: int = 0, day: int = 13) -> datetime:
    return datetime(2026, 6, day, hour, minute, tzinfo=UTC) + timedelta(hours=5)


def test_from_is_where_it_comes_from_and_to_is_where_it_flows() -> None:
    said = read_current("1.5 kt from NE, slack 09:20", FRAME, tidal=True)
    assert said.speed == pytest.approx(1.5 * KNOT)
    assert said.towards == 225.0
    assert said.slacks == (at(9, 20),)
    other = read_current("1.5 kt to SW, slack 09:20", FRAME, tidal=True)
    assert other == said
    assert read_current("ebb 2 kt towards 200, slack 09:20", FRAME, tidal=True).name == "ebb"
    assert read_current("2 kt flood from N, slack 09:20, slack 15:30", FRAME, True).slacks == (
        at(9, 20),
        at(15, 30),
    )
    assert read_current("none", FRAME, tidal=True).speed == 0.0


def test_a_time_without_a_day_is_on_the_day_of_the_start_or_in_the_night_after() -> None:
    late = TimeFrame("America/Chicago", at(23))
    assert read_tides("01:10", late)[0].time == at(1, 10, day=14)
    assert read_tides("21:00", late)[0].time == at(21)


def test_heights_and_low_water_are_read_with_high_water() -> None:
    found = read_tides("08:10 2.1 m, low 14:20 -0.4 m, high 20:35 7 ft", FRAME)
    assert [(one.time, one.high) for one in found] == [
        (at(8, 10), True),
        (at(14, 20), False),
        (at(20, 35), True),
    ]
    assert [one.height for one in found] == pytest.approx([2.1, -0.4, 7 * 0.3048])
    assert math.isnan(read_tides("08:10", FRAME)[0].height)


def test_a_gauge_is_a_height_or_a_discharge_with_its_trend() -> None:
    assert read_gauge("2.1 ft rising").stage == pytest.approx(2.1 * 0.3048)
    assert read_gauge("2.1 ft rising").rise > 0
    assert read_gauge("1,450 cfs, falling").discharge == pytest.approx(1450 * 0.3048**3)
    assert read_gauge("1,450 cfs, falling").rise < 0
    both = read_gauge("1.2 m, 30 m3/s, steady")
    assert (both.stage, both.discharge, both.rise) == (1.2, 30.0, 0.0)
    assert math.isnan(read_gauge("2 ft").rise)


@pytest.mark.parametrize(
    ("read", "text"),
    [
        ("current", "fast"),
        ("current", "1.5 kt"),
        ("current", "1.5 kt from NE"),
        ("current", "1.5 from NE, slack 09:20"),
        ("current", "1.5 kt from up, slack 09:20"),
        ("current", "1.5 kt from NE, turns 09:20"),
        ("current", "40 kt from NE, slack 09:20"),
        ("current", "1.5 kt from NE, slack"),
        ("current", "1.5 kt from NE, slack 09:20, slack 09:20"),
        ("current", "1.5 kt from NE, slack 09:20, slack 09:50"),
        ("tide", "08:10 2.1 m, low 14:20 3 m"),
        ("tide", "soon"),
        ("tide", ""),
        ("tide", "08:10 90 m"),
        ("tide", "08:10, 08:10"),
        ("gauge", "rising"),
        ("gauge", "2.1 ft rising falling"),
        ("gauge", "two feet"),
        ("gauge", "900 m"),
        ("release", "maybe"),
    ],
)
def test_what_cannot_be_read_is_one_paragraph_with_an_example(read: str, text: str) -> None:
    with pytest.raises(PlanError) as told:
        READ[read](text)
    assert "\n" not in str(told.value)
    assert "--" in str(told.value)


READ = {
    "current": lambda text: read_current(text, FRAME, tidal=True),
    "tide": lambda text: read_tides(text, FRAME),
    "gauge": read_gauge,
    "release": lambda text: read_releases(text, FRAME),
}


@pytest.mark.parametrize("read", READ)
@given(text=st.text(max_size=40) | st.from_regex(r"[0-9. ,:a-z]{0,30}", fullmatch=True))
def test_any_text_is_read_or_refused(read: str, text: str) -> None:
    with contextlib.suppress(PlanError):  # anything else is an error
        READ[read](text)


def test_an_entered_current_runs_at_full_speed_half_a_tide_around_its_slack() -> None:
    from safety_check.conditions.moving_water import current_at
    from tests.afloat import ESTUARY

    trip = afloat.plan(ESTUARY)
    moving = afloat.entered(trip, current="1.5 kt from N, slack 12:00")
    assert moving is not None
    assert moving.entered is not None
    import numpy as np

    slack = np.datetime64("2026-06-13T17:00:00")
    hours = slack + np.array([-7, -5, 0, 5, 7]) * np.timedelta64(1, "h")
    north = current_at(moving.entered, hours)[:, 1]
    assert north[[1, 2, 3]] == pytest.approx([-1.5 * KNOT, 0.0, 1.5 * KNOT], abs=1e-6)
    assert np.isnan(north[[0, 4]]).all()


def test_entries_are_refused_on_still_water() -> None:
    with pytest.raises(PlanError, match="--kind tidal"):
        afloat.entered(scenes.plan(), current="none")


def test_what_was_entered_before_still_counts_in_a_recheck() -> None:
    trip = afloat.plan(afloat.ESTUARY)
    first = afloat.entered(trip, current="ebb 1 kt from N, slack 12:00", high_water="11:00")
    services = afloat.tidal(0.5)
    kept = keep_own_water(services, first)
    assert kept is not None
    assert first is not None
    assert kept.currents[0] == first.currents[0]
    assert kept.tides[0] == first.tides[0]
    anew = afloat.entered(trip, current="none")
    assert anew is not None
    assert keep_own_water(replace(services, entered=anew.entered), first) is not None
    again = keep_own_water(replace(services, entered=anew.entered), first)
    assert again is not None
    assert again.entered == anew.entered
    assert again.currents == services.currents

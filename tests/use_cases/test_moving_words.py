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
    CurrentWords,
    GaugeWords,
    TideWords,
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


@pytest.mark.parametrize(
    ("start", "said", "found"),
    [
        (at(12), "00:00", at(0)),  # half a day before the start is still its own
        (at(12, 1), "00:00", at(0, day=14)),
        (at(22), "10:00", at(10)),
        (at(22), "09:59", at(9, 59, day=14)),
        (at(6), "00:00", at(0)),
        (at(6), "23:59", at(23, 59)),
        (at(6), "Fri 09:20", at(9, 20, day=12)),  # a day is taken at its word
        (at(6), "2026-06-11 06:30", at(6, 30, day=11)),
        (at(6), "Thu 06:30", at(6, 30, day=11)),  # two days back, or the next one
        (at(6), "Thu 05:30", at(5, 30, day=18)),
    ],
)
def test_a_time_of_day_is_at_most_half_a_day_before_the_start(
    start: datetime, said: str, found: datetime
) -> None:
    assert TimeFrame("America/Chicago", start).read(said, "--current") == found


NO_CURRENT = ["none", " None ", "no current", "no", "0 kt from N, slack 09:20"]


@pytest.mark.parametrize("said", NO_CURRENT)
@pytest.mark.parametrize("tidal", [True, False])
def test_no_current_is_said_in_several_words(said: str, tidal: bool) -> None:
    found = read_current(said, FRAME, tidal)
    assert (found.speed, found.slacks, found.name) == (0.0, (), "")
    assert math.isnan(found.towards)


def test_only_a_tidal_current_needs_a_slack() -> None:
    assert read_current("1 m/s to E", FRAME, tidal=False) == CurrentWords(1.0, 90.0)
    with pytest.raises(PlanError, match="turns with the tide") as told:
        read_current("1 m/s to E", FRAME, tidal=True)
    assert told.value.field == "--current"


@pytest.mark.parametrize(
    ("said", "towards"),
    [
        ("1 m/s from N", 180.0),
        ("1 m/s from 200", 20.0),
        ("1 m/s FROM 180", 0.0),
        ("1 m/s to N", 0.0),
        ("1 m/s toward 20", 20.0),
        ("1 m/s towards 20", 20.0),
    ],
)
def test_a_current_flows_away_from_where_it_comes_from(said: str, towards: float) -> None:
    assert read_current(said, FRAME, tidal=False).towards == towards


@pytest.mark.parametrize(
    ("said", "name"),
    [
        ("Ebb 1 m/s to E", "ebb"),
        ("1 m/s EBB to E", "ebb"),
        ("flood 1 m/s to E", "flood"),
        ("1 m/s to E", ""),
    ],
)
def test_a_current_is_named_before_or_after_its_speed(said: str, name: str) -> None:
    assert read_current(said, FRAME, tidal=False).name == name


def test_a_current_of_eight_metres_a_second_is_the_fastest_that_is_read() -> None:
    assert read_current("8 m/s to E", FRAME, tidal=False).speed == 8.0
    with pytest.raises(PlanError, match="no current is so fast"):
        read_current("8.1 m/s to E", FRAME, tidal=False)


def test_slacks_are_put_in_order_and_may_be_an_hour_apart() -> None:
    said = "1 m/s to E, Slack 12:00, slack 11:00"
    assert read_current(said, FRAME, tidal=True).slacks == (at(11), at(12))
    with pytest.raises(PlanError, match="less than an hour apart"):
        read_current("1 m/s to E, slack 12:00, slack 11:01", FRAME, tidal=True)


@pytest.mark.parametrize("part", ["slack", "turn 09:20", "09:20"])
def test_what_follows_a_current_is_a_slack_with_its_time(part: str) -> None:
    with pytest.raises(PlanError, match="After the comma comes the time of slack"):
        read_current(f"1 m/s to E, {part}", FRAME, tidal=True)


@pytest.mark.parametrize(
    ("said", "found"),
    [
        ("low 14:20 0.4 m", TideWords(at(14, 20), 0.4, high=False)),
        ("high 14:20 2 m", TideWords(at(14, 20), 2.0, high=True)),
        ("14:20 2m", TideWords(at(14, 20), 2.0, high=True)),
        ("14:20 20 m", TideWords(at(14, 20), 20.0, high=True)),  # above any tide that is known
        ("14:20 −0.5 m", TideWords(at(14, 20), -0.5, high=True)),  # a minus sign as printed
        ("14:20 1 foot", TideWords(at(14, 20), 0.3048, high=True)),
        ("low 13 June 2:20 pm 1 metre", TideWords(at(14, 20), 1.0, high=False)),
    ],
)
def test_a_tide_is_a_time_and_perhaps_a_height(said: str, found: TideWords) -> None:
    assert read_tides(said, FRAME) == (found,)


def test_tides_are_put_in_order_of_time() -> None:
    found = read_tides("high 20:35 2 m, low 14:20 0.4 m", FRAME)
    assert [one.time for one in found] == [at(14, 20), at(20, 35)]


@pytest.mark.parametrize(
    ("said", "reason"),
    [
        ("14:20 20.1 m", "no tide is so high"),
        ("2 m", "can't be read"),
        ("low", "can't be read"),
        ("08:10 1 m, low 08:10 0.5 m", "have the same time"),
        ("08:10 1 m, low 14:20 1 m", "no lower than the high water"),
        ("low 08:10 1.1 m, high 14:20 1 m", "no lower than the high water"),
    ],
)
def test_a_tide_that_can_not_be_is_refused(said: str, reason: str) -> None:
    with pytest.raises(PlanError, match=reason) as told:
        read_tides(said, FRAME)
    assert told.value.field == "--high-water"


@pytest.mark.parametrize(
    "said",
    [
        "08:10 1.2 m, low 14:20 1.1 m",
        "low 08:10 1.1 m, high 14:20 1.2 m",
        "08:10 1 m, 20:35 1 m",  # two high waters may be alike
        "08:10, low 14:20 1 m",
    ],
)
def test_a_low_water_is_compared_with_the_high_water_beside_it_alone(said: str) -> None:
    assert len(read_tides(said, FRAME)) == 2


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
    ("said", "stage", "discharge"),
    [
        ("0 m", 0.0, math.nan),
        ("100 m", 100.0, math.nan),
        ("0 m3/s", math.nan, 0.0),
        ("400,000 m3/s", math.nan, 400_000.0),
        ("30 m^3/s", math.nan, 30.0),
        ("30 CUMECS", math.nan, 30.0),
        ("1000 cfs", math.nan, 28.316846592),  # a foot is 0.3048 m
        ("1000 ft3/s", math.nan, 28.316846592),
        ("1000 ft^3/s", math.nan, 28.316846592),
    ],
)
def test_a_gauge_is_read_up_to_the_greatest_rivers(
    said: str, stage: float, discharge: float
) -> None:
    found = read_gauge(said)
    assert (found.stage, found.discharge) == pytest.approx((stage, discharge), nan_ok=True)
    assert math.isnan(found.rise)


@pytest.mark.parametrize(
    ("said", "reason"),
    [
        ("100.1 m", "no river has that"),
        ("400,001 m3/s", "no river has that"),
        ("1 m, 2 m", "can't be read"),  # two heights
        ("steady", "can't be read"),
        ("1 m rising, falling", "can't be read"),
    ],
)
def test_a_gauge_that_can_not_be_is_refused(said: str, reason: str) -> None:
    with pytest.raises(PlanError, match=reason) as told:
        read_gauge(said)
    assert told.value.field == "--gauge"


def test_a_trend_is_read_in_either_case() -> None:
    assert read_gauge("Steady, 1 m") == GaugeWords(stage=1.0, rise=0.0)
    assert read_gauge("1 m RISING").rise > 0 > read_gauge("1 m Falling").rise


def test_releases_of_a_dam_are_times_in_order_or_none() -> None:
    assert read_releases(" None ", FRAME) == ()
    assert read_releases("16:00, 10:00", FRAME) == (at(10), at(16))


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

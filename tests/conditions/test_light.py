"""The darker end of each hour of a trip, and the daylight of a day."""

from __future__ import annotations

import numpy as np
import pytest

from safety_check.arrays import TimeArray
from safety_check.conditions.light import daylight, light, light_of_trip
from safety_check.physics.daylight import CIVIL_TWILIGHT, HORIZON, solar_elevation, time_to_dark
from tests import scenes

PLACE = (scenes.LAUNCH.latitude, scenes.LAUNCH.longitude)
MINUTE = np.timedelta64(60, "s")


def instants(*texts: str) -> TimeArray:
    return np.array([f"2026-06-{text}" for text in texts], dtype="datetime64[s]")


def heights(*texts: str) -> list[float]:
    return solar_elevation(*PLACE, instants(*texts)).tolist()


def test_the_light_of_a_span_is_that_of_its_darker_end() -> None:
    # The sun rises until about 18:40 UTC here, and then sinks.
    first, last = instants("13T12:00", "13T22:00"), instants("13T13:00", "13T23:00")
    found = light(scenes.LAUNCH, first, last)
    assert found["solar_elevation_angle"].tolist() == [heights("13T12:00", "13T23:00")]
    for name, altitude in (("time_to_dark", HORIZON), ("time_to_dusk", CIVIL_TWILIGHT)):
        expected = time_to_dark(*PLACE, last, altitude)
        assert found[name].tolist() == [expected.tolist()]
        assert (expected < time_to_dark(*PLACE, first, altitude)).all()


def test_the_hours_of_start_and_end_are_cut_to_the_trip() -> None:
    # 10:50 is before the sun is as high as at 11:10; 01:20 is before it is as low as at 02:00.
    trip = scenes.plan(start=scenes.START.replace(hour=11, minute=10), hours=14 + 1 / 6)
    hours = np.arange("2026-06-13T10", "2026-06-14T03", dtype="datetime64[h]")
    found = light_of_trip(trip, hours.astype("datetime64[s]"), 0.0)["solar_elevation_angle"][0]
    assert found[:3].tolist() == heights("13T10:00", "13T11:10", "13T12:00")
    assert found[-3:].tolist() == heights("14T01:00", "14T01:20", "14T03:00")


def test_in_the_margin_after_the_end_the_first_moment_of_the_hour_counts() -> None:
    hours = np.arange("2026-06-14T00", "2026-06-14T04", dtype="datetime64[h]")
    trip = scenes.plan(start=scenes.START.replace(day=14, hour=0), hours=1 + 5 / 6)
    for margin, third in ((0.0, "14T03:00"), (600.0, "14T03:00"), (660.0, "14T02:00")):
        found = light_of_trip(trip, hours.astype("datetime64[s]"), margin)
        expected = heights("14T01:00", "14T01:50", third, "14T04:00")
        assert found["solar_elevation_angle"][0].tolist() == expected


def test_a_trip_that_ends_on_the_hour_needs_no_light_after_it() -> None:
    hours = instants("14T01:00", "14T02:00", "14T03:00")
    trip = scenes.plan(start=scenes.START.replace(day=14, hour=1), hours=1)
    for margin in (0.0, 1800.0):
        found = light_of_trip(trip, hours, margin)["solar_elevation_angle"][0]
        assert found.tolist() == heights("14T02:00", "14T02:00", "14T04:00")


def test_daylight_lasts_from_sunrise_to_sunset() -> None:
    hours = np.arange("2026-06-13T00", "2026-06-15T00", dtype="datetime64[h]")
    spans = daylight(scenes.LAUNCH, hours.astype("datetime64[s]"))
    # By hand: the sun is highest at 18:38.4 UTC (99.6° are 6 h 38.4 min, and it is on time in
    # mid-June), at a declination of 23.2°. cos H = (sin -0.833° - sin 44.9° sin 23.2°) / (cos 44.9°
    # cos 23.2°) gives H = 116.7°, so it is up for 7 h 46.8 min before and after.
    expected = instants("13T00:00", "13T02:25", "13T10:52", "14T02:25", "14T10:52", "15T00:00")
    found = np.array(spans).ravel()
    assert len(spans) == 3
    assert (np.abs(found - expected) <= MINUTE).all()
    assert (found[[0, -1]] == expected[[0, -1]]).all()


@pytest.mark.parametrize(("first", "count"), [("13T15:00", 1), ("13T04:00", 0)])
def test_a_span_without_sunrise_or_sunset_is_all_light_or_all_dark(first: str, count: int) -> None:
    hours = instants(first) + np.arange(3) * np.timedelta64(3600, "s")
    spans = daylight(scenes.LAUNCH, hours)
    assert spans == [(hours[0], hours[-1] + np.timedelta64(3600, "s"))] * count

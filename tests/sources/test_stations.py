from __future__ import annotations

import asyncio
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.errors import DataError
from safety_check.model.weather import Observation
from safety_check.sources.answers import BELIEVABLE, Sensor, observed
from safety_check.sources.http.error_messages import NothingToReport
from safety_check.sources.stations import (
    Reach,
    Station,
    all_that_answer,
    distance,
    greatest_distance,
    load_reaches,
    nearest,
    useful,
)
from tests.properties import cases
from tests.sources.spoiled import at, provenance

NOON = at("2026-06-01T12:00:00")


def wind(value: float, apart: float | None, hours: float = 0.0, station: str = "A") -> Observation:
    time = NOON - timedelta(hours=hours)
    return Observation("wind_speed", value, time, station, apart, provenance())


REACH = {
    "wind_speed": Reach(
        quantities=["wind_speed"],
        distance=25_000.0,
        age=5400.0,
        basis="judgement",
        source="a test",
        since=date(2026, 11, 25),
        checked=date(2026, 11, 25),
    )
}


def values(*seen: Observation) -> list[float]:
    return [observation.value for observation in useful(seen, NOON, REACH)]


def test_the_nearest_station_speaks():
    assert values(wind(5, 9000), wind(7, 4000), wind(6, 12_000)) == [7]


def test_a_station_sixty_kilometres_away_is_not_here():
    assert values(wind(5, 60_000)) == []


def test_a_near_station_that_fell_silent_gives_way_to_one_that_speaks():
    assert values(wind(2, 1000, hours=13.5), wind(9, 20_000)) == [9]


def test_a_station_of_unknown_place_does_not_speak():
    assert values(wind(5, None)) == []


def test_a_quantity_without_a_reach_is_not_heard():
    assert useful([replace(wind(5, 0), quantity="fog")], NOON, REACH) == ()


def test_every_sensor_of_the_nearest_station_stays():
    assert values(wind(5, 4000), wind(9, 4000), wind(7, 5000)) == [5, 9]


@cases(100)
@given(st.lists(st.tuples(st.floats(0, 40), st.floats(0, 50_000), st.floats(0, 5)), max_size=6))
def test_what_speaks_is_always_near_and_fresh(stations):
    for observation in useful([wind(*station) for station in stations], NOON, REACH):
        assert observation.distance is not None
        assert observation.distance <= 25_000
        assert NOON - observation.time <= timedelta(seconds=5400)


def test_every_shipped_reach_is_for_a_quantity_that_is_known_and_nearer_than_sixty_kilometres():
    assert load_reaches().keys() <= BELIEVABLE.keys()
    assert all(0 < reach.distance < 60_000 and reach.source for reach in load_reaches().values())


def test_wind_gust_and_direction_reach_equally_far():
    shipped = load_reaches()

    assert shipped["wind_speed"] == shipped["wind_speed_of_gust"] == shipped["wind_from_direction"]


# The length of a degree of the meridian at the equator and of the equator, WGS84:
# 110.574 km and 111.320 km (NGA.STND.0036, from memory, not read).
@pytest.mark.parametrize(("north", "east", "metres"), [(1, 0, 110_574), (0, 1, 111_320)])
def test_a_distance_is_that_along_the_ellipsoid(north, east, metres):
    there = Station("A", "", north, east)

    assert distance(0, 0, there) == pytest.approx(metres, abs=1)  # printed to the metre


def test_stations_are_told_nearest_first_and_none_too_far():
    stations = [Station(name, "", 45 + up, -90) for name, up in [("B", 0.2), ("A", 0.1), ("C", 3)]]

    assert [pair.name for _, pair in nearest(stations, 45, -90, 50_000)] == ["A", "B"]


@pytest.mark.parametrize("place", [(91, 0), (0, 181), (float("nan"), 0), (0, float("inf"))])
def test_a_station_off_the_globe_is_none(place):
    assert Station.of("A", "", *place) is None


REFUSED = [
    (float("nan"), NOON),
    (-1.0, NOON),
    (200.0, NOON),
    (5.0, None),
    (5.0, NOON + timedelta(hours=1)),  # it would never grow old
]


@pytest.mark.parametrize(("value", "time"), REFUSED)
def test_what_can_not_be_believed_is_not_an_observation(value, time):
    assert observed("wind_speed", value, time, Sensor("A", 0.0, provenance())) == ()


def test_a_clock_a_little_ahead_is_forgiven():
    assert observed("wind_speed", 5.0, NOON + timedelta(minutes=10), Sensor("A", 0.0, provenance()))


# -- at the bounds -------------------------------------------------------------------------------


def test_a_station_at_the_greatest_distance_and_age_counts():
    assert values(wind(5, 25_000.0, hours=1.5)) == [5]
    assert values(wind(5, 25_000.1)) == []
    assert values(wind(5, 0, hours=1.501)) == []
    there = Station("A", "", 45.1, -90)
    assert len(nearest([there], 45, -90, distance(45, -90, there))) == 1


@pytest.mark.parametrize("place", [(90, 180), (-90, -180), (90, 0), (0, 180)])
def test_a_station_may_lie_at_the_edge_of_the_map(place):
    assert Station.of("A", "", *place) is not None


def test_the_greatest_distance_is_that_of_the_quantity_that_reaches_farthest():
    shipped = load_reaches()
    each = [reach.distance for reach in shipped.values()]

    assert greatest_distance(shipped) == sorted(each)[-1] > sorted(each)[0]


def asked(*results: tuple[Observation, ...] | Exception) -> tuple[Observation, ...]:
    """Return what stations with these results report together."""

    async def one(result):
        if isinstance(result, Exception):
            raise result
        return result

    return asyncio.run(all_that_answer(one(result) for result in results))


def test_the_stations_that_answer_are_enough():
    failed, nothing = DataError("failed"), NothingToReport("nothing")

    assert asked((wind(5, 1),), failed, nothing, (wind(7, 2),)) == (wind(5, 1), wind(7, 2))
    assert asked(()) == ()
    assert asked() == ()


def test_where_no_station_answers_a_failure_counts_before_one_that_has_nothing():
    failed, nothing = DataError("failed"), NothingToReport("nothing")

    for results in ((failed, nothing), (nothing, failed)):
        with pytest.raises(DataError, match="failed"):
            asked(*results)
    with pytest.raises(NothingToReport):
        asked(nothing, nothing)


def test_an_error_of_the_program_is_never_hidden_by_a_station_that_answers():
    with pytest.raises(ZeroDivisionError):
        asked((wind(5, 1),), ZeroDivisionError())

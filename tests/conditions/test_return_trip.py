"""The way home: its promises for any wind, and the places from which it begins."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.conditions.course import anywhere
from safety_check.conditions.hour_parts import hours_of
from safety_check.conditions.return_paths import Legs, ReturnPaths, find_return_paths
from safety_check.conditions.return_trip import (
    HomeWinds,
    ReturnTrip,
    find_return_trip,
    ground_speed,
    latest_turn_back,
    light_once_home,
    quantities,
    time_within,
    worst_on_course,
)
from safety_check.errors import ConfigError
from safety_check.model.plan import Plan
from safety_check.physics.paddling import headway_wind, speed_made_good
from safety_check.settings.crafts import load_craft_classes
from safety_check.settings.propulsion import derive_drive, explain_refusal
from tests import invented_lake as lake
from tests import scenes
from tests.properties import cases, note, takes

HOUR = 3600.0
HOURS = np.arange("2026-06-13T15", "2026-06-14T03", dtype="datetime64[h]").astype("datetime64[s]")
INSTANTS = len(HOURS) + 1
WATER = lake.open_water()
WINDS = st.lists(st.floats(0, 14), min_size=INSTANTS, max_size=INSTANTS)
BEARINGS = st.lists(st.floats(0, 359), min_size=INSTANTS, max_size=INSTANTS)
ALL_OVER = [
    (400.0, 900.0), (900.0, -900.0), (2500.0, 1000.0), (3000.0, 0.0), (2600.0, -1200.0),
    (500.0, -300.0), (1000.0, 1500.0), (3600.0, 1700.0), (300.0, 1800.0),
]  # fmt: skip


def way(trip: Plan, wind: list[float] | float, direction: list[float] | float) -> ReturnTrip:
    """One member's way home."""
    row = np.ones((1, INSTANTS))
    return find_return_trip(trip, HOURS, WATER, HomeWinds(row * wind, row * direction, np.ones(1)))


def sooner(time: np.ndarray, than: np.ndarray) -> bool:
    """Whether any hour brings one home sooner, or home where the other does not; rounding aside.

    Notes as `later` whether any hour brings one home later.
    """
    note("later", (np.isfinite(than) & ~(time <= than * (1 + 1e-5))).any())
    earlier = time < than * (1 - 1e-5)  # as speeds of a metre a second are bisected
    return bool((earlier | (np.isfinite(time) & ~np.isfinite(than))).any())


# -- order -----------------------------------------------------------------------------------


# Speeds are bisected to a millionth of a metre a second, so a smaller rise of the wind is none.
MORE = st.one_of(st.just(0.0), st.floats(0.01, 6))


@takes(later=0.3)
@given(WINDS, st.lists(MORE, min_size=INSTANTS, max_size=INSTANTS))
def test_more_headwind_never_gets_you_home_sooner(wind: list[float], more: list[float]) -> None:
    out_north = lake.plan((100.0, 1500.0))
    course = float(find_return_paths(out_north, WATER).courses[0])
    before = way(out_north, wind, course).time
    after = way(out_north, np.add(wind, more).tolist(), course).time
    assert not sooner(after, before)


@takes(later=0.1)
@given(WINDS, BEARINGS, st.lists(st.sampled_from(ALL_OVER), min_size=1, max_size=5), st.data())
def test_a_longer_route_never_gets_you_home_sooner(
    wind: list[float],
    direction: list[float],
    route: list[tuple[float, float]],
    data: st.DataObject,
) -> None:
    kept = data.draw(st.integers(1, len(route)))
    short = way(lake.plan(*route[:kept]), wind, direction).time
    long = way(lake.plan(*route), wind, direction).time
    assert not sooner(long, short)


@takes(later=0.3)
@given(WINDS, BEARINGS, st.floats(100, 2000), st.floats(0, 2000))
def test_a_farther_reach_never_gets_you_home_sooner(
    wind: list[float], direction: list[float], reach: float, farther: float
) -> None:
    row = np.ones((1, INSTANTS))
    near, far = (
        find_return_trip(
            replace(scenes.plan(), reach=value),
            HOURS,
            scenes.LARGE_LAKE,
            HomeWinds(row * wind, row * direction, np.ones(1)),
        ).time
        for value in (reach, reach + farther)
    )
    assert not sooner(far, near)


@takes(home_before=0.3)
@given(WINDS, BEARINGS)
def test_an_unknown_hour_on_the_way_is_not_home(wind: list[float], direction: list[float]) -> None:
    lost = np.array(wind)
    lost[4] = np.nan
    time = way(lake.plan((100.0, 1500.0)), lost.tolist(), direction).time[0]
    whole = way(lake.plan((100.0, 1500.0)), wind, direction).time[0]
    assert not np.isfinite(time[3:5]).any()
    note("home_before", np.isfinite(whole[3:5]).all())
    assert not sooner(time, whole)


# -- turning back ----------------------------------------------------------------------------


def walked(speed: np.ndarray, length: float, departure: float) -> float:
    """The same way, second by second of ten, for one member. [s after the first hour]"""
    at, left = departure, length
    while left > 0:
        hour = int(at // HOUR)
        if hour >= len(speed) or not speed[hour] > 0:
            return math.inf
        left -= 10.0 * speed[hour]
        at += 10.0
    return at


@takes(can_turn_back=0.3)
@given(WINDS, st.floats(1.0, 9.0))
def test_who_turns_back_at_the_last_moment_or_before_is_home_in_time(
    wind: list[float], hours: float
) -> None:
    trip = lake.plan((100.0, 1500.0))
    home = way(trip, wind, float(find_return_paths(trip, WATER).courses[0]))
    latest = latest_turn_back(home, 0, hours * HOUR)[0]
    note("can_turn_back", latest >= 0)
    if latest >= 0:
        speed = ground_speed(home.winds, home.longest.courses, home.drive)[0, :, 0]
        for departure in np.arange(latest % 600, latest + 1, 600):
            arrival = walked(speed, float(home.longest.lengths[0]), float(departure))
            assert arrival <= hours * HOUR + 20.0  # two steps of the walk


def test_in_a_steady_wind_the_last_moment_is_the_time_home_before_the_end() -> None:
    home = way(lake.plan((100.0, 1500.0)), 3.0, 90.0)
    assert latest_turn_back(home, 0, 5 * HOUR)[0] == pytest.approx(
        5 * HOUR - home.time[0, 0], abs=1.0
    )


def test_there_is_no_time_to_turn_back_where_the_way_home_takes_longer_than_there_is() -> None:
    home = way(lake.plan((100.0, 1500.0)), 3.0, 180.0)
    assert latest_turn_back(home, 0, 600.0)[0] == -np.inf


def test_without_a_wind_the_time_to_turn_back_is_not_known() -> None:
    home = way(lake.plan((100.0, 1500.0)), float("nan"), 180.0)
    assert np.isnan(latest_turn_back(home, 0, 5 * HOUR)[0])
    assert np.isnan(home.time).all()


# -- where from ------------------------------------------------------------------------------


def test_a_place_behind_an_island_is_left_along_the_route() -> None:
    route = lake.plan((900.0, 800.0), (2600.0, 800.0), (2600.0, 0.0))
    ways = find_return_paths(route, WATER)
    assert ways.back is not None
    assert ways.back.start == pytest.approx([2600.0, 0.0], abs=1.0)
    east, north = np.sin(np.radians(ways.back.courses)), np.cos(np.radians(ways.back.courses))
    assert east == pytest.approx([0.0, -1.0, -0.75], abs=0.01)  # by the corners of the route
    assert north == pytest.approx([1.0, 0.0, -0.66], abs=0.01)
    assert ways.back.lengths.sum() == pytest.approx(800.0 + 1700.0 + 1204.0, abs=10.0)


def test_a_route_in_sight_of_the_launch_needs_straight_ways_alone() -> None:
    ways = find_return_paths(lake.plan((400.0, 900.0), (300.0, 1800.0)), WATER)
    assert ways.back is None
    assert ways.route is not None
    assert len(ways.route.courses) == 2


def test_all_sides_of_a_reach_are_looked_at() -> None:
    ways = find_return_paths(scenes.plan(), scenes.POND)
    assert len(ways.courses) == 24
    assert ways.lengths == pytest.approx(300.0)
    onto_the_lake = find_return_paths(lake.plan(), WATER)
    assert onto_the_lake.lengths.max() == pytest.approx(1609.344, rel=0.01)


def test_a_table_of_no_water_leaves_the_launch_itself() -> None:
    assert find_return_paths(scenes.plan(), scenes.open_water(0.0)).lengths == pytest.approx([1.0])


def test_from_a_launch_on_an_island_the_way_leads_back_to_the_island() -> None:
    moved = [ring - np.array([1500.0, 0.0]) for ring in lake.RINGS]
    water = lake.water_within(moved)
    ways = find_return_paths(scenes.plan(), water)
    assert np.hypot(*water.points[0]) == pytest.approx(205.0, abs=1.0)  # its nearest shore
    assert ways.lengths.max() == pytest.approx(1609.344, rel=0.01)
    verdict = scenes.verdict(water=water)
    assert verdict.advice is not None
    assert verdict.advice.getting_home.turn_back is not None


def test_the_way_that_takes_longest_is_the_one_against_the_wind() -> None:
    home = way(lake.plan(), 6.0, 270.0)
    assert home.longest.courses[0] == pytest.approx(270.0, abs=20.0)
    assert home.longest.start[0] > 1400.0


# -- what is weighed -------------------------------------------------------------------------


def test_light_is_counted_once_home_and_never_home_leaves_none() -> None:
    light = {
        "time_to_dark": np.array([[5000.0, np.inf]]),
        "time_to_dusk": np.array([[7000.0, 1.0]]),
    }
    left = light_once_home(light, np.array([[2000.0, np.inf], [np.nan, 0.0]]))
    assert left["time_to_dark_once_home"][0].tolist() == [3000.0, -np.inf]
    assert np.isnan(left["time_to_dusk_once_home"][1, 0])


def test_the_trip_is_the_measure_of_the_way_home() -> None:
    trip = lake.plan((100.0, 1500.0), hours=5)
    home = way(trip, 3.0, 180.0)
    light = {name: np.full((1, len(HOURS)), 9e4) for name in ("time_to_dark", "time_to_dusk")}
    lasts = np.asarray(5 * HOUR)
    said = quantities(lasts, home, anywhere(len(HOURS)), np.full((1, len(HOURS)), 3.0), light)
    assert said["way_home_share_of_trip"] == pytest.approx(home.time / (5 * HOUR))
    # 10.8 m/s by the paddling reference, 10.4 with the current that the wind drives.
    assert said["share_of_hold_station_wind"] == pytest.approx(3.0 / 10.37, abs=0.001)


def test_the_margin_after_the_end_belongs_to_the_trip() -> None:
    assert hours_of(scenes.plan(hours=5), HOURS).tolist() == [0, 1, 2, 3, 4]
    assert hours_of(scenes.plan(hours=5), HOURS, 1800.0).tolist() == [0, 1, 2, 3, 4, 5]
    assert hours_of(scenes.plan(hours=4.5), HOURS, 1800.0).tolist() == [0, 1, 2, 3, 4]


def test_from_nearer_to_the_launch_the_way_home_is_shorter_in_proportion() -> None:
    home = way(lake.plan((100.0, 1500.0), hours=5), 3.0, 180.0)
    far = home.ways.longest
    within = np.array([np.inf, far, far / 2, 0.0] + [np.inf] * (len(HOURS) - 4))
    time = time_within(home, within)[0]
    assert time[[0, 1]] == pytest.approx(home.time[0, [0, 1]])
    assert time[2] == pytest.approx(home.time[0, 2] / 2)
    assert time[3] == 0.0
    assert time[4:] == pytest.approx(home.time[0, 4:])


def test_behind_an_island_only_the_last_part_of_a_route_is_the_way_home_from_nearer() -> None:
    route = lake.plan((900.0, 800.0), (2600.0, 800.0), (2600.0, 0.0), hours=5)
    home = way(route, 0.0, 0.0)  # in calm every metre takes as long
    each = home.time[0, 0] / home.ways.longest
    assert home.ways.longest == pytest.approx(800.0 + 1700.0 + 1204.0, abs=10.0)
    within = np.array([3000.0, 2700.0] + [np.inf] * (len(HOURS) - 2))
    time = time_within(home, within)[0]
    # The straight ways are no longer than the 2,720 m to the corner of the route.
    assert time[:2] == pytest.approx(each * within[:2], rel=1e-4)
    assert time[2:] == pytest.approx(home.time[0, 2:])


@takes(later=0.1)
@cases(30)
@given(WINDS, BEARINGS, st.sampled_from(ALL_OVER), st.floats(0, 5000), st.floats(0, 3000))
def test_farther_along_the_course_is_never_sooner_home(
    wind: list[float], direction: list[float], place: tuple[float, float], far: float, more: float
) -> None:
    home = way(lake.plan((300.0, 1800.0), place), wind, direction)
    near, beyond = (time_within(home, np.full(len(HOURS), value))[0] for value in (far, far + more))
    assert not sooner(beyond, near)
    assert not sooner(home.time[0], beyond)


def test_observed_waves_slow_the_way_home_and_calm_ones_do_not() -> None:
    row, trip = np.ones((1, INSTANTS)), lake.plan((100.0, 1500.0))
    times = [
        find_return_trip(
            trip, HOURS, WATER, HomeWinds(row * 2, row * 180, np.ones(1), waves=seen)
        ).time[0, 0]
        for seen in (
            (),
            ((0.05, row[0]),),
            ((0.2, row[0]),),
            ((0.5, row[0]),),
            ((0.5, row[0] / 2),),
        )
    ]
    none, calm, some, chop, fading = times
    assert calm == none < some < chop
    assert none < fading < chop


# -- strength --------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["sit-on-top-kayak", "canoe", "float-tube", "small-motor-skiff"])
@pytest.mark.parametrize("speed", [0.0, -1.0, 60.0, float("nan"), float("inf")])
def test_no_power_and_absurd_power_are_refused(kind: str, speed: float) -> None:
    craft = replace(scenes.settings().craft(kind), cruise_speed=speed)
    with pytest.raises(ConfigError):
        derive_drive(craft)


@pytest.mark.parametrize("figure", ["hull_drag", "greatest_thrust"])
def test_a_hull_without_drag_or_thrust_is_refused(figure: str) -> None:
    nothing: dict[str, Any] = {figure: 0.0}
    assert explain_refusal(replace(scenes.settings().craft("canoe"), **nothing))


def test_every_shipped_class_can_push_itself() -> None:
    from safety_check.settings.crafts import load_craft_classes

    assert not [
        kind for kind in load_craft_classes() if explain_refusal(scenes.settings().craft(kind))
    ]


def test_a_motor_pushes_as_fast_as_its_owner_says() -> None:
    skiff = replace(scenes.settings().craft("small-motor-skiff"), cruise_speed=6.0)
    assert derive_drive(skiff).greatest_thrust > skiff.greatest_thrust


def test_the_wind_that_stops_a_craft_is_where_its_speed_made_good_is_zero() -> None:
    for kind in load_craft_classes():
        drive = derive_drive(scenes.settings().craft(kind))
        wind, ahead = np.array([headway_wind(drive)]), np.zeros(1)
        assert speed_made_good(wind, ahead, ahead, drive) == pytest.approx(0.0, abs=1e-3)


# -- an observed direction -------------------------------------------------------------------


def observed_from(direction: float, weight: float) -> float:
    """Return the time home against a forecast tail wind, with another direction observed."""
    row, trip = np.ones((1, INSTANTS)), lake.plan((100.0, 1500.0), hours=5)
    tail = way(trip, 6.0, 0.0)
    head = way(trip, 6.0, 180.0)
    forecast, seen = (0.0, 180.0) if tail.time[0, 0] < head.time[0, 0] else (180.0, 0.0)
    observed = (((seen + direction) % 360, np.full(INSTANTS, weight)),)
    winds = HomeWinds(6.0 * row, forecast * row, np.ones(1), observed)
    return float(find_return_trip(trip, HOURS, WATER, winds).time[0, 0])


def test_an_observed_head_wind_lengthens_the_way_home() -> None:
    as_forecast, half, full = (observed_from(0.0, weight) for weight in (0.0, 0.5, 1.0))
    assert as_forecast < half < full


@takes(later=0.3)
@given(st.floats(0, 360), st.floats(0, 1))
def test_an_observed_direction_never_brings_one_home_sooner(turn: float, weight: float) -> None:
    assert not sooner(np.array([observed_from(turn, weight)]), np.array([observed_from(turn, 0.0)]))


# -- hour by hour ----------------------------------------------------------------------------


KAYAK = derive_drive(scenes.settings().craft("sit-on-top-kayak"))
WEST = np.array([270.0])


def winds(speed: list[float], current: np.ndarray | None = None) -> HomeWinds:
    row = np.array([speed])
    return HomeWinds(row, np.full(row.shape, 270.0), np.ones(1), current=current)


def pace(speed: float, across: float = 0.0) -> float:
    """Return the speed made good against a steady west wind and a steady current to the north."""
    current = np.tile([0.0, across], (2, 3, 1))
    return float(ground_speed(winds([speed, speed], current), WEST, KAYAK)[0, 0, 0])


def test_both_ends_of_an_hour_meet_the_current_of_that_hour() -> None:
    current = np.zeros((4, 3, 2))
    current[1, 1, 1] = 0.5  # in the second hour alone, across the way to the west
    found = ground_speed(winds([1.0, 1.0, 4.0, 2.0], current), WEST, KAYAK)[0, :, 0]
    assert found == pytest.approx([pace(1.0), pace(4.0, 0.5), pace(4.0), pace(2.0)], abs=2e-6)
    assert pace(4.0, 0.5) < pace(4.0)


def test_the_worst_of_a_current_is_what_is_most_against_and_most_across() -> None:
    east_and_north = np.array([[[0.3, 0.1], [-0.2, -0.4]], [[0.5, 0.0], [0.2, 0.0]]])
    found = worst_on_course(east_and_north, np.array([90.0, 270.0]))
    assert found.along == pytest.approx(np.array([[-0.2, -0.3], [0.0, -0.5]]))
    assert found.across == pytest.approx(np.array([[0.4, 0.4], [0.0, 0.0]]), abs=1e-12)


def test_a_distance_that_holds_in_some_hours_takes_each_of_these_hours_as_it_is() -> None:
    rising = [0.5 * hour for hour in range(INSTANTS)]
    home = way(lake.plan((100.0, 1500.0)), rising, 180.0)
    everywhere = time_within(home, np.full(len(HOURS), 700.0))[0]
    some = np.array([np.inf, 700.0, 700.0, np.inf, 700.0] + [np.inf] * (len(HOURS) - 5))
    found = time_within(home, some)[0]
    assert found[[1, 2, 4]] == pytest.approx(everywhere[[1, 2, 4]], rel=1e-12)
    assert found[[0, 3]].tolist() == home.time[0, [0, 3]].tolist()
    assert len(set(everywhere[:5].tolist())) == 5


def test_only_the_hours_of_the_way_home_set_its_pace() -> None:
    calm = way(lake.plan((100.0, 1500.0)), 0.0, 180.0)
    blowing = [4.0] * 3 + [0.0] * 5 + [4.0] * (INSTANTS - 8)  # from three to seven it is calm
    until = 7 * HOUR
    latest = latest_turn_back(way(lake.plan((100.0, 1500.0)), blowing, 180.0), 0, until)[0]
    assert latest == pytest.approx(until - calm.time[0, 0], abs=1.0)
    assert latest_turn_back(calm, 0, until)[0] == pytest.approx(latest, abs=1.0)
    rows = HomeWinds(np.array([blowing] * 2), np.full((2, INSTANTS), 180.0), np.full(2, 0.5))
    both = latest_turn_back(
        find_return_trip(lake.plan((100.0, 1500.0)), HOURS, WATER, rows), 0, until
    )
    assert both == pytest.approx(np.full(2, latest))


def test_the_farthest_place_is_no_farther_than_the_way_or_the_time_allows() -> None:
    home = way(lake.plan((100.0, 1500.0)), 0.0, 180.0)
    light = {name: np.full((1, len(HOURS)), 9e4) for name in ("time_to_dark", "time_to_dusk")}
    within = np.full(len(HOURS), 400.0)
    within[0] = np.inf
    calm = np.zeros((1, len(HOURS)))
    said = quantities(np.asarray(HOUR), home, within, calm, light)["farthest_from_launch"]
    assert said[0, 0] == float(home.ways.longest)
    assert set(said[0, 1:].tolist()) == {400.0}


def slow(*hours: float) -> ReturnTrip:
    """Return a trip of one hour whose straight ways take so many hours, one metre each."""
    count = len(hours)
    courses = np.arange(0.0, 15.0 * count, 15.0)
    ways = ReturnPaths(np.zeros((count, 2)), courses, np.ones(count))
    straight = np.array([[[1 / (HOUR * taken) for taken in hours]] * 2])
    times = (np.array([[max(hours) * HOUR]]),)
    return ReturnTrip(ways, KAYAK, winds([0.0, 0.0]), straight, (), times, np.array([0]))


@pytest.mark.parametrize(
    ("hours", "longest"),
    [((1.0, 3.0, 2.0), 15.0), ((30.0, 40.0), 15.0), ((30.0, 60.0), 15.0), ((50.0, 60.0), 0.0)],
)
def test_the_way_that_takes_longest_is_told_up_to_two_days(
    hours: tuple[float, ...], longest: float
) -> None:
    # A way of more than two days counts as one that never ends, and the first of these is told.
    assert slow(*hours).longest.courses.tolist() == [longest]


def test_the_way_along_the_route_is_the_longest_only_where_it_takes_longer() -> None:
    straight = slow(1.0, 3.0)
    legs = Legs(np.array([2.0, 0.0]), np.array([270.0]), np.array([2.0]))
    for hours, along in ((2.0, False), (4.0, True)):
        times = (*straight.times, np.array([[hours * HOUR]]))
        both = replace(straight, ways=replace(straight.ways, back=legs), times=times)
        assert (both.longest is legs) == along
        assert both.time.tolist() == [[max(3.0, hours) * HOUR]]
    two_hours = np.array([[1.0, 9.0]]) * HOUR, np.array([[4.0, 4.0]]) * HOUR
    worst = replace(both, times=two_hours, trip=np.array([0, 1]))
    assert worst.hour == 1
    assert worst.longest is not legs

"""From where the ways home begin, on which course, and how long they are."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from safety_check.conditions.return_paths import LEAST, Legs, ReturnPaths, find_return_paths
from safety_check.model.place import OpenWater
from tests import invented_lake as lake
from tests import scenes

ISLAND = lake.open_water()
WAY = Legs(np.array([300.0, 400.0]), np.array([10.0, 20.0, 30.0]), np.array([100.0, 200.0, 300.0]))


@pytest.mark.parametrize(
    ("far", "courses", "lengths"),
    [
        (300.0, [30.0], [300.0]),
        (250.0, [30.0], [250.0]),
        (350.0, [20.0, 30.0], [50.0, 300.0]),
        (501.0, [10.0, 20.0, 30.0], [1.0, 200.0, 300.0]),
        (9000.0, [10.0, 20.0, 30.0], [100.0, 200.0, 300.0]),
    ],
)
def test_the_last_metres_of_a_way_are_those_before_its_end(
    far: float, courses: list[float], lengths: list[float]
) -> None:
    last = WAY.last(far)
    assert last.courses.tolist() == courses
    assert last.lengths.tolist() == lengths
    assert last.start is WAY.start


def test_the_longest_way_may_be_straight_or_along_the_route() -> None:
    straight = ReturnPaths(np.array([[0.0, 450.0]]), np.array([180.0]), np.array([450.0]))
    assert (float(straight.longest), straight.farthest) == (450.0, 450.0)
    around = replace(straight, back=WAY)
    assert (float(around.longest), around.farthest) == (600.0, 500.0)  # 3-4-5 from the launch
    far = replace(around, lengths=np.array([700.0]))
    assert (float(far.longest), far.farthest) == (700.0, 700.0)


def test_one_straight_way_is_told_with_its_own_place_course_and_length() -> None:
    ways = ReturnPaths(
        np.array([[0.0, 450.0], [200.0, 0.0]]), np.array([180.0, 270.0]), np.array([450.0, 200.0])
    )
    one = ways.straight(1)
    assert one.start.tolist() == [200.0, 0.0]
    assert (one.courses.tolist(), one.lengths.tolist()) == ([270.0], [200.0])
    assert ways.straight(0).lengths.tolist() == [450.0]
    assert ways.farthest == 450.0


def table(**fetch: float) -> OpenWater:
    """Return a water known by a table alone, with open water on some bearings."""
    water = scenes.open_water(0.0)
    lengths = np.zeros((len(water.bearings), 1))
    for bearing, length in fetch.items():
        lengths[int(bearing[1:]) // 5] = length
    return replace(water, fetch=lengths)


def test_by_a_table_the_places_lie_as_far_as_its_water_and_no_farther_than_the_reach() -> None:
    ways = find_return_paths(scenes.plan(), table(b90=700.0, b180=5000.0))
    # The first way is from the launch itself, which always has one.
    assert ways.places[0].tolist() == [0.0, 0.0]
    assert ways.courses.tolist() == [180.0, 270.0, 0.0]
    assert ways.lengths == pytest.approx([LEAST, 700.0, 1609.344])
    assert ways.places[1:] == pytest.approx(np.array([[700.0, 0.0], [0.0, -1609.344]]), abs=1e-6)


@pytest.mark.parametrize(("bearing", "course"), [(352.6, 180.0), (352.4, 165.0), (7.4, 180.0)])
def test_a_sector_reaches_seven_and_a_half_degrees_from_its_middle(
    bearing: float, course: float
) -> None:
    turn = np.radians(bearing)
    place = 500.0 * np.array([[np.sin(turn), np.cos(turn)]])
    ways = find_return_paths(scenes.plan(), replace(ISLAND, points=place))
    assert ways.courses[-1] == course
    assert ways.lengths[-1] == pytest.approx(500.0)


def test_of_a_sector_the_farthest_place_counts_on_the_course_of_its_middle() -> None:
    ways = find_return_paths(scenes.plan(), table(b85=800.0, b95=900.0, b100=950.0))
    assert ways.courses.tolist() == [180.0, 270.0, 285.0]  # 100° lies nearer to 105° than to 90°
    assert ways.lengths == pytest.approx([LEAST, 900.0, 950.0])
    turn = np.radians([95.0, 100.0])
    expected = np.column_stack([np.sin(turn), np.cos(turn)]) * [[900.0], [950.0]]
    assert ways.places[1:] == pytest.approx(expected)


def test_a_place_just_west_of_north_belongs_to_the_sector_of_north() -> None:
    ways = find_return_paths(scenes.plan(), table(b355=600.0))
    assert ways.courses.tolist() == [180.0]
    assert ways.lengths == pytest.approx([600.0])


def test_the_last_place_behind_an_island_may_lie_on_a_leg_to_the_east() -> None:
    # The straight way home from (3000, 350) crosses the island, whose north shore is at 200.
    ways = find_return_paths(lake.plan((900.0, 800.0), (1500.0, 350.0), (3000.0, 350.0)), ISLAND)
    assert ways.back is not None
    assert ways.back.start == pytest.approx([3000.0, 350.0], abs=1.0)
    # 600² + 450² = 750²; 895² + 800² = 1200² from 5 m off the shore.
    assert ways.back.lengths == pytest.approx([1500.0, 750.0, 1200.4], abs=1.0)


def test_the_way_along_a_route_goes_back_over_each_of_its_legs() -> None:
    ways = find_return_paths(lake.plan((400.0, 0.0), (400.0, 900.0)), lake.open_water())
    assert ways.back is None  # every place sees the launch
    assert ways.route is not None
    assert ways.route.start == pytest.approx([400.0, 900.0], abs=1.0)
    assert ways.route.courses == pytest.approx([180.0, 270.0], abs=0.5)
    assert ways.route.lengths == pytest.approx([900.0, 395.0], abs=1.0)  # 5 m off the shore

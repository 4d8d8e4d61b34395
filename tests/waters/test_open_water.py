"""The open water around a launch."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from safety_check.errors import ConfigError
from safety_check.model.place import FetchTable, Launch, Water
from safety_check.waters.open_water import open_water, summary
from tests import scenes

DEGREE = 111_195.0  # m of latitude, near enough for a square of the test's own

# A square lake 0.04 degrees high and, at 45 degrees north, about as wide as high.
WEST, EAST, SOUTH, NORTH = -100.0, -99.9434, 44.98, 45.02
SQUARE = np.array([[WEST, SOUTH], [EAST, SOUTH], [EAST, NORTH], [WEST, NORTH], [WEST, SOUTH]])
AT_THE_WEST_SHORE = Launch("west", 45.0, WEST)
LAKE = Water("square", "America/Chicago", (AT_THE_WEST_SHORE,), (SQUARE,), depth=None)


def plan(**changes: object) -> scenes.Plan:
    whole = replace(scenes.plan(), water=LAKE, launch=AT_THE_WEST_SHORE, reach=1500.0)
    return replace(whole, **changes)  # type: ignore[arg-type]


def test_the_launch_comes_first_and_looks_over_the_whole_lake(tmp_path: Path) -> None:
    water = open_water(plan(), tmp_path)
    assert np.hypot(*water.points[0]) < 10
    wide = 0.0566 * DEGREE * np.cos(np.radians(45.0))
    east = int(np.flatnonzero(water.bearings == 90.0)[0])
    # 1 % for the launch's few metres off the shore and the earth's not being a ball
    assert water.fetch[east, 0] == pytest.approx(wide, rel=0.01)
    assert water.depth == np.inf


def test_no_place_lies_beyond_the_reach_or_farther_from_shore_than_said(tmp_path: Path) -> None:
    whole = open_water(plan(), tmp_path)
    assert np.hypot(*whole.points.T).max() <= 1510
    assert whole.distance_from_shore.max() > 1000
    near = open_water(plan(from_shore=150.0), tmp_path)
    assert near.distance_from_shore.max() <= 150
    assert 1 < len(near.points) < len(whole.points)


def test_a_kept_answer_is_the_same_to_the_bit(tmp_path: Path) -> None:
    first, second = (open_water(plan(), tmp_path) for _ in range(2))
    assert len(list((tmp_path / "open_water").iterdir())) == 1
    for one, other in ((first.fetch, second.fetch), (first.points, second.points)):
        np.testing.assert_array_equal(one, other)


def test_another_shore_or_reach_is_another_answer(tmp_path: Path) -> None:
    open_water(plan(), tmp_path)
    open_water(plan(reach=900.0), tmp_path)
    moved = replace(LAKE, shoreline=(SQUARE + 1e-6,))
    open_water(plan(water=moved), tmp_path)
    assert len(list((tmp_path / "open_water").iterdir())) == 3


def test_a_table_gives_the_nearest_sector(tmp_path: Path) -> None:
    table = FetchTable(np.array([0.0, 90.0, 180.0, 270.0]), np.array([100.0, 200.0, 300.0, 400.0]))
    pond = Water("pond", "UTC", (AT_THE_WEST_SHORE,), fetch_table=table, depth=3.0)
    water = open_water(plan(water=pond), tmp_path)
    by_bearing = dict(zip(water.bearings, water.fetch[:, 0], strict=True))
    assert (by_bearing[0.0], by_bearing[100.0], by_bearing[225.0]) == (100.0, 200.0, 300.0)
    assert water.distance_from_shore[0] == 400.0
    assert water.depth == 3.0


def test_a_water_without_shore_and_table_is_a_clear_error(tmp_path: Path) -> None:
    bare = Water("bare", "UTC", (AT_THE_WEST_SHORE,))
    with pytest.raises(ConfigError, match="neither a shoreline nor a fetch table"):
        open_water(plan(water=bare), tmp_path)


def test_a_water_in_words_counts_its_islands_and_leaves_them_out_of_its_size() -> None:
    island = 45.0 + (np.array([[0, 0], [0, 1], [1, 1], [1, 0], [0, 0]]) - 0.5) * 0.01
    ring = np.column_stack([island[:, 1] - 144.97, island[:, 0]])
    with_island = replace(LAKE, shoreline=(SQUARE, ring))
    size = next(line for line in summary(with_island) if line.startswith("size"))
    assert size.endswith("1 island")
    whole = 0.0566 * 0.04 * DEGREE**2 * np.cos(np.radians(45.0)) / 1e6
    hole = 0.01 * 0.01 * DEGREE**2 * np.cos(np.radians(45.0)) / 1e6
    # 1 %: the earth is no ball, and the figure is rounded to 0.01 km²
    assert float(size.split()[1]) == pytest.approx(whole - hole, rel=0.01)

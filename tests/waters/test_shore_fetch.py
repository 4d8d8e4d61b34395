"""Open water around many launches: one pass over a shore gives what each by itself gives."""

from __future__ import annotations

import json
import multiprocessing
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.errors import ConfigError, LaunchError
from safety_check.model.place import Launch, OpenWater
from safety_check.physics.fetch import straight_fetch
from safety_check.waters import shore_fetch
from safety_check.waters.array_cache import read_arrays
from safety_check.waters.open_water import open_water, open_waters
from safety_check.waters.shore_fetch import BEARINGS
from safety_check.waters.shoreline import check_shoreline
from tests import invented_lake, scenes
from tests.properties import cases
from tests.recordings import shared_folder
from tests.waters.test_open_water import LAKE, SQUARE, plan

PARTS = ("points", "fetch", "radials", "distance_from_shore")


def assert_equal(one: OpenWater, other: OpenWater) -> None:
    for name in PARTS:
        np.testing.assert_array_equal(getattr(one, name), getattr(other, name), name)
    for ring, same in zip(one.rings, other.rings, strict=True):
        np.testing.assert_array_equal(ring, same)
    assert one.whole is not None
    assert other.whole is not None
    np.testing.assert_array_equal(one.whole.launch, other.whole.launch)


def at(longitude: float, latitude: float, reach: float = 800.0) -> scenes.Plan:
    return plan(launch=Launch("here", latitude, longitude), reach=reach)


def on_the_shore(along: float, side: int, reach: float) -> scenes.Plan:
    east, north = SQUARE[side] + along * (SQUARE[side + 1] - SQUARE[side])
    return at(float(east), float(north), reach)


places = st.builds(
    on_the_shore, st.floats(0, 1), st.integers(0, 3), st.sampled_from([200.0, 800.0, 1609.0])
)


@pytest.mark.thorough
@cases(20)
@given(st.lists(places, min_size=1, max_size=5))
def test_launches_together_have_the_bits_of_each_alone(tmp_path_factory, plans) -> None:
    together = open_waters(plans, tmp_path_factory.mktemp("together"))
    for one, among in zip(plans, together, strict=True):
        assert isinstance(among, OpenWater)
        assert_equal(open_water(one, tmp_path_factory.mktemp("alone")), among)


def shoreline_of(lake: str) -> tuple[np.ndarray, ...]:
    path = shared_folder("datasets", "lakes") / f"{lake}.geojson"
    (feature,) = json.loads(path.read_text(encoding="utf-8"))["features"]
    rings, _ = check_shoreline(feature["geometry"], path.name)
    return rings


@pytest.mark.thorough
@pytest.mark.parametrize("lake", ["oneida_ne10m", "idaho_pond_23246674", "superior"])
def test_launches_of_real_lakes_together_have_the_bits_of_each_alone(tmp_path: Path, lake) -> None:
    rings = shoreline_of(lake)
    water, ring = replace(LAKE, shoreline=rings), rings[0]
    corners = ring[np.linspace(0, len(ring) - 2, 6).astype(int)]
    plans = [
        plan(water=water, launch=Launch("here", float(north), float(east)))
        for east, north in corners
    ]
    together = open_waters(plans, tmp_path / "together")
    for one, among in zip(plans, together, strict=True):
        assert isinstance(among, OpenWater)
        assert_equal(open_water(one, tmp_path / "alone"), among)


@pytest.mark.thorough
@pytest.mark.parametrize("lake", ["oneida_ne10m", "mud_lake_id", "tahoe_ne10m", "invented"])
def test_each_place_has_about_the_fetch_of_its_launchs_own_plane(tmp_path: Path, lake) -> None:
    rings = invented_lake.WATER.shoreline if lake == "invented" else shoreline_of(lake)
    corners = rings[0][np.linspace(0, len(rings[0]) - 2, 8).astype(int)]
    plans = [
        plan(water=replace(LAKE, shoreline=rings), launch=Launch("here", float(north), float(east)))
        for east, north in (*corners, invented_lake.PLACE if lake == "invented" else corners[0])
    ]
    for found in open_waters(plans, tmp_path):
        assert isinstance(found, OpenWater)
        own = straight_fetch(found.rings, found.points, BEARINGS)
        assert np.isfinite(own).all()
        assert np.isfinite(found.fetch).all()
        apart = np.abs(found.fetch - own)
        # Bearings differ by 0.05° at most, 0.1 % of a slanting ray; a few rays graze a headland.
        assert (apart <= 1.0 + 0.01 * own).mean() > 0.98


@pytest.mark.thorough
def test_many_launches_are_computed_in_parts(tmp_path: Path, monkeypatch) -> None:
    plans = [at(float(SQUARE[0, 0]), 44.981 + 0.004 * n, 300.0) for n in range(9)]
    whole = open_waters(plans, tmp_path / "whole")
    monkeypatch.setattr(shore_fetch, "TOGETHER", 4)
    for one, other in zip(whole, open_waters(plans, tmp_path / "parts"), strict=True):
        assert isinstance(one, OpenWater)
        assert isinstance(other, OpenWater)
        assert_equal(one, other)


def test_what_is_kept_is_not_computed_again(tmp_path: Path, monkeypatch) -> None:
    plans = [at(float(SQUARE[0, 0]), 44.99 + 0.01 * n) for n in range(3)]
    first = open_waters(plans[:2], tmp_path)
    asked = []
    compute = shore_fetch._computed

    def counted(shoreline, reaches):
        asked.extend(reaches)
        return compute(shoreline, reaches)

    monkeypatch.setattr(shore_fetch, "_computed", counted)
    renamed = [replace(one, water=replace(LAKE, name="another name")) for one in plans]
    again = open_waters(renamed, tmp_path)
    assert [one.latitude for one in asked] == [plans[2].launch.latitude]
    for one, other in zip(first, again, strict=False):
        assert isinstance(one, OpenWater)
        assert isinstance(other, OpenWater)
        assert_equal(one, other)


def test_a_launch_that_is_refused_does_not_stop_the_others(tmp_path: Path) -> None:
    far = at(-101.0, 45.0)
    bare = plan(water=replace(LAKE, shoreline=()))
    good = plan()
    found = open_waters([far, good, bare, good], tmp_path)
    assert isinstance(found[0], LaunchError)
    assert isinstance(found[2], ConfigError)
    for one in (found[1], found[3]):
        assert isinstance(one, OpenWater)
        assert_equal(one, open_water(good, tmp_path))
    with pytest.raises(LaunchError):
        open_water(far, tmp_path)


def test_waters_of_one_shore_keep_their_own_depth(tmp_path: Path) -> None:
    found = open_waters([plan(water=replace(LAKE, depth=depth)) for depth in (2.0, None)], tmp_path)
    waters = [one for one in found if isinstance(one, OpenWater)]
    assert [one.depth for one in waters] == [2.0, np.inf]
    assert [one.whole.depth for one in waters if one.whole] == [2.0, np.inf]


def test_a_cache_that_cannot_be_written_is_no_error(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("no folder")
    (found,) = open_waters([plan()], tmp_path / "file")
    assert isinstance(found, OpenWater)


def _fill(folder: str) -> int:
    plans = [at(float(SQUARE[0, 0]), 44.985 + 0.004 * n, 400.0) for n in range(6)]
    return len(open_waters(plans, Path(folder)))


@pytest.mark.thorough
def test_two_processes_that_fill_one_cache_leave_whole_files(tmp_path: Path) -> None:
    with multiprocessing.get_context("spawn").Pool(2) as pool:
        assert pool.map(_fill, [str(tmp_path)] * 2) == [6, 6]
    kept = sorted((tmp_path / "open_water").iterdir())
    assert len(kept) == 6
    assert all(read_arrays(path, path.stem) is not None for path in kept)


@pytest.mark.parametrize(
    ("longitude", "latitude"),
    [(0.0, 0.0), (-100.0, 45.0), (179.999, -12.34), (-180.0, 89.99), (180.0, -90.0), (12.3, 50.1)],
)
def test_a_cell_holds_its_launch_within_half_its_size(longitude: float, latitude: float) -> None:
    east, north = shore_fetch._cell(shore_fetch.Reach(longitude, latitude, 1.0))
    assert abs(east - longitude) <= shore_fetch.CELL / 2 + 1e-9
    assert abs(north - latitude) <= shore_fetch.CELL / 2 + 1e-9
    assert abs(north) <= 90

"""All of a water, computed once for its shoreline and kept."""

from __future__ import annotations

import subprocess
import sys
import textwrap
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from safety_check.model.place import Launch, Water
from safety_check.physics.fetch import inside, straight_fetch
from safety_check.waters import files
from safety_check.waters import open_water as room
from safety_check.waters.projection import local_rings
from tests import scenes

SHORE = np.array([[12.0, 47.0], [12.1, 47.0], [12.1, 47.1], [12.0, 47.1], [12.0, 47.0]])
ISLAND = np.array([[12.04, 47.04], [12.06, 47.04], [12.06, 47.06], [12.04, 47.04]])
LAKE = Water("lake", "Europe/Vienna", (), (SHORE, ISLAND), depth=7.0)


def test_its_places_lie_on_the_water_and_its_fetch_is_the_straight_fetch(tmp_path):
    whole = room.whole_water(LAKE, tmp_path)

    rings = local_rings(LAKE.shoreline, *whole.origin)
    assert 1000 < len(whole.points) < 2000
    assert inside(rings, whole.points).all()
    expected = straight_fetch(rings, whole.points[::50], whole.bearings)
    assert np.array_equal(whole.fetch[:, ::50], expected)
    assert whole.depth == 7.0


def test_it_is_computed_once_for_a_shoreline(tmp_path, monkeypatch):
    first = room.whole_water(LAKE, tmp_path)
    monkeypatch.setattr(room, "_whole", None)
    again = room.whole_water(replace(LAKE, name="another name", depth=None), tmp_path)

    assert np.array_equal(first.fetch, again.fetch)
    assert (first.spacing, np.inf) == (again.spacing, again.depth)


@pytest.mark.parametrize(
    "shoreline",
    [(SHORE, ISLAND + np.array([1e-9, 0])), (SHORE,), (np.vstack([SHORE, ISLAND]),)],
    ids=["shore moved", "no island", "rings joined"],
)
def test_another_shoreline_is_kept_apart(tmp_path, shoreline):
    room.whole_water(LAKE, tmp_path)
    room.whole_water(replace(LAKE, shoreline=shoreline), tmp_path)

    assert len(list((tmp_path / "whole_water").iterdir())) == 2


def test_another_version_of_the_formula_lets_older_answers_lapse(tmp_path, monkeypatch):
    room.whole_water(LAKE, tmp_path)
    monkeypatch.setattr(room, "WHOLE_VERSION", "another")
    room.whole_water(LAKE, tmp_path)

    assert len(list((tmp_path / "whole_water").iterdir())) == 2


def test_a_plan_once_prepared_needs_no_geometry_library_again(tmp_path):
    launch = Launch("ramp", 47.05, 12.0005)
    plan = replace(scenes.plan(), water=LAKE, launch=launch)
    room.open_water(plan, tmp_path / "cache")
    files.save(replace(LAKE, launches=(launch,)), tmp_path / "waters")
    program = f"""
        import sys
        from dataclasses import replace
        from pathlib import Path
        from safety_check.waters import files, open_water
        from tests import scenes
        water = files.load("lake", Path({str(tmp_path / "waters")!r}))
        plan = replace(scenes.plan(), water=water, launch=water.launches[0])
        found = open_water.open_water(plan, Path({str(tmp_path / "cache")!r}))
        print(sorted({{"shapely", "pyproj"}} & set(sys.modules)), found.whole.launch.round())
    """

    answer = subprocess.run(
        [sys.executable, "-c", textwrap.dedent(program)],
        capture_output=True,
        text=True,
        check=True,
        cwd=Path(__file__).parents[2],
    )

    # 0.0495° of longitude at 47.05° N is 3.76 km on the ellipsoid (76.0 km a degree).
    assert answer.stdout.split()[0] == "[]"
    assert float(answer.stdout.split("[")[-1].split()[0]) == pytest.approx(-3761, abs=15)


@pytest.mark.thorough
def test_a_water_as_thin_as_a_thread_still_has_places(tmp_path):
    along = np.linspace(0.0, 0.3, 400)
    south = np.column_stack([10 + along, 45 + 0.7 * along])
    river = np.concatenate([south, south[::-1] + np.array([0, 2e-5]), south[:1]])

    whole = room.whole_water(replace(LAKE, shoreline=(river,)), tmp_path)

    assert len(whole.points) >= 1
    assert np.isfinite(whole.fetch).all()


def test_a_pond_of_a_few_metres_has_places_too(tmp_path):
    pond = SHORE[0] + (SHORE - SHORE[0]) * 0.002

    whole = room.whole_water(replace(LAKE, shoreline=(pond,)), tmp_path)

    assert len(whole.points) > 1000
    assert whole.fetch.max() < 35.0

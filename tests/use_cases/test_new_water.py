"""A water from the map or a file: its name, its launches, its words, and what it replaces."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from safety_check.errors import PlanError
from safety_check.model.place import FetchTable, Launch
from safety_check.settings.settings import Settings, load_settings
from safety_check.settings.user_file import SavedPlan
from safety_check.sources.openstreetmap.overpass import Found, Outline
from safety_check.use_cases.new_water import (
    describe_outline,
    from_outline,
    read_launch,
    read_launches,
    store_water,
)
from safety_check.waters import files
from tests import scenes

FLOWS = "the map says that it flows, so its ends are not shores"
RAMP = Launch("ramp", latitude=44.9, longitude=-99.595)


def square(west: float, south: float, side: float) -> list[list[float]]:
    """Return a closed square of longitude and latitude. [deg]."""
    east, north = west + side, south + side
    return [[west, south], [east, south], [east, north], [west, north], [west, south]]


SHORE, ISLE, ISLET = (
    square(-99.6, 44.9, 0.01),
    square(-99.598, 44.902, 0.002),
    square(-99.594, 44.906, 0.001),
)
LAKE = Outline(
    "Orvel Lake", "lake", "way/7", {"type": "Polygon", "coordinates": [SHORE]}, {}, False, 0.0, 9e5
)  # fmt: skip


def built(name: str = "", outline: Outline = LAKE, **more: Any) -> Any:
    credit = replace(scenes.FROM_A_FILE, attribution="Invented Map")
    return from_outline(name, Found((outline,), (), credit), outline, **more)


# -- from the map --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("said", "on_the_map", "name"),
    [
        ("home", "Orvel Lake", "home"),
        ("", "Orvel Lake", "Orvel Lake"),
        ("", "  Orvel \n Lake", "Orvel Lake"),
        ("", "x" * 61, "x" * 59 + "…"),
        ("", "", "my lake"),
    ],
)
def test_a_water_has_the_name_said_else_that_of_the_map(
    said: str, on_the_map: str, name: str
) -> None:
    assert built(said, replace(LAKE, name=on_the_map)).name == name


def test_a_water_of_the_map_has_its_credit_its_depth_and_its_launches() -> None:
    found = built(launches=(RAMP,), depth=8.0)
    assert found.attribution == "Invented Map (way/7)"
    assert (found.launches, found.depth) == ((RAMP,), 8.0)
    assert np.array(found.shoreline[0]).shape == (5, 2)
    assert found.time_zone == "America/Chicago"
    assert built().launches == ()
    assert built().depth is None


def test_only_a_water_that_flows_is_told_to_have_ends_that_are_no_shores() -> None:
    assert FLOWS not in built().repairs
    assert built(outline=replace(LAKE, flowing=True)).repairs[-1] == FLOWS


# -- in words ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({}, "Orvel Lake (lake): 0.90 km², 0 islands, way/7"),
        ({"name": ""}, "unnamed (lake): 0.90 km², 0 islands, way/7"),
        ({"area": 4_999.0}, "Orvel Lake (lake): 0.00 km², 0 islands, way/7"),
        ({"area": 12_345_678.0}, "Orvel Lake (lake): 12.35 km², 0 islands, way/7"),
        ({"distance": 149.6}, "Orvel Lake (lake): 0.90 km², 0 islands, 150 m away, way/7"),
        (
            {"flowing": True, "kind": "river"},
            "Orvel Lake (river, flowing: its ends are not shores): 0.90 km², 0 islands, way/7",
        ),
    ],
)
def test_an_outline_is_told_by_name_kind_area_islands_and_distance(
    change: dict[str, Any], words: str
) -> None:
    assert describe_outline(replace(LAKE, **change)) == words


@pytest.mark.parametrize(
    ("kind", "coordinates", "islands"),
    [
        ("Polygon", [SHORE, ISLE], "1 island,"),
        ("Polygon", [SHORE, ISLE, ISLET], "2 islands,"),
        ("MultiPolygon", [[SHORE], [square(-99.7, 44.9, 0.01)]], "0 islands,"),
        ("MultiPolygon", [[SHORE, ISLE], [square(-99.7, 44.9, 0.01)]], "1 island,"),
    ],
)
def test_the_holes_of_every_part_are_its_islands(
    kind: str, coordinates: list[Any], islands: str
) -> None:
    outline = replace(LAKE, geometry={"type": kind, "coordinates": coordinates})
    assert islands in describe_outline(outline)


# -- what is stored ------------------------------------------------------------------------------

POND = replace(
    scenes.WATER, fetch_table=FetchTable(np.array([0.0, 90.0, 180.0, 270.0]), np.full(4, 300.0))
)


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Settings:
    monkeypatch.setenv("SAFETY_CHECK_HOME", str(tmp_path))
    return load_settings()


def test_a_water_is_stored_and_the_next_of_its_name_replaces_it(own: Settings) -> None:
    assert store_water(POND, own) is False
    assert store_water(replace(POND, depth=3.0), own) is True
    assert files.names(own.folders.waters) == ["Invented Lake"]
    assert files.load("Invented Lake", own.folders.waters).depth == 3.0


def test_a_water_with_nearly_the_name_of_another_is_refused(own: Settings) -> None:
    store_water(POND, own)
    with pytest.raises(PlanError, match="too similar to 'Invented Lake'"):
        store_water(replace(POND, name="Invented-Lake"), own)


def test_a_water_can_not_have_the_name_of_a_saved_plan(own: Settings) -> None:
    plans = {"invented lake": SavedPlan(water="another")}
    taken = replace(own, user=own.user.model_copy(update={"plan": plans}))
    with pytest.raises(PlanError, match="a saved plan has this name"):
        store_water(POND, taken)
    assert not own.folders.waters.exists()


# -- launches ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("said", "launch"),
    [
        ("ramp=43.201,-72.105", Launch("ramp", 43.201, -72.105)),
        (" north ramp = 43.2 , -72.1 ", Launch("north ramp", 43.2, -72.1)),
        ("A=B=43.2,-72.1", Launch("A=B", 43.2, -72.1)),
        ("pole=90,180", Launch("pole", 90.0, 180.0)),
        ("pole=-90,-180", Launch("pole", -90.0, -180.0)),
        ("x" * 60 + "=0,0", Launch("x" * 60, 0.0, 0.0)),
    ],
)
def test_a_launch_is_a_name_and_a_place_latitude_first(said: str, launch: Launch) -> None:
    assert read_launch(said) == launch


@pytest.mark.parametrize("said", ["", "ramp", "ramp=", "ramp=43.2", "ramp=a,b", "ramp=1,2,3"])
def test_a_launch_without_two_numbers_can_not_be_read(said: str) -> None:
    with pytest.raises(PlanError, match="can't be read"):
        read_launch(said)


@pytest.mark.parametrize(
    "said",
    [
        *("43.2,-72.1", "=43.2,-72.1", " =43.2,-72.1"),  # it has no name
        *("a  b=43.2,-72.1", "a\nb=43.2,-72.1", "x" * 61 + "=43.2,-72.1"),
        *("ramp=90.001,0", "ramp=-90.001,0", "ramp=0,180.001", "ramp=0,-180.001"),
        *("ramp=nan,0", "ramp=0,nan", "ramp=inf,0", "ramp=0,-inf"),
    ],
)
def test_a_launch_is_a_named_point_on_earth(said: str) -> None:
    with pytest.raises(PlanError, match="is not a named point on Earth"):
        read_launch(said)


def test_launches_are_read_from_texts_and_files_in_their_order(tmp_path: Path) -> None:
    points = [
        {
            "type": "Feature",
            "properties": {"name": name},
            "geometry": {"type": "Point", "coordinates": [-99.6, latitude]},
        }
        for name, latitude in (("slip", 44.91), (None, 44.92))
    ]
    path = tmp_path / "points.GeoJSON"
    path.write_text(json.dumps({"type": "FeatureCollection", "features": points}), encoding="utf-8")
    assert read_launches([]) == []
    assert read_launches(["ramp=44.9,-99.6", str(path), "pier=44.93,-99.6"]) == [
        Launch("ramp", 44.9, -99.6),
        Launch("slip", 44.91, -99.6),
        Launch("launch 2", 44.92, -99.6),
        Launch("pier", 44.93, -99.6),
    ]

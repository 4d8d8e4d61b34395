"""A route: what can be read, what stays on the water, and what is refused."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from safety_check.errors import SafetyCheckError
from safety_check.model.place import FetchTable, Water
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.use_cases.planning import make_plan_on
from safety_check.waters.route import along_route, parse_route, places_along, project_route
from tests import invented_lake as lake
from tests import scenes

TABLE = Water(
    "Table",
    "America/Chicago",
    (scenes.LAUNCH,),
    fetch_table=FetchTable(np.arange(0.0, 360.0, 90.0), np.array([500.0, 3000.0, 500.0, 50.0])),
)


def read(text: str, water: Water = lake.WATER) -> np.ndarray:
    return project_route(parse_route(text, water, scenes.LAUNCH), scenes.LAUNCH)


def test_words_become_the_points_that_they_name() -> None:
    way = read(lake.words((900.0, 0.0), (900.0, 1200.0)))
    assert way == pytest.approx(np.array([[900.0, 0.0], [900.0, 1200.0]]), abs=0.05)  # 7 decimals


def test_a_file_says_the_same_as_words(tmp_path: Path) -> None:
    points = lake.degrees((900.0, 0.0), (900.0, 1200.0))
    file = tmp_path / "way.geojson"
    file.write_text(json.dumps({"type": "LineString", "coordinates": points.tolist()}))
    assert read(str(file)) == pytest.approx(
        read(lake.words((900.0, 0.0), (900.0, 1200.0))), abs=0.1
    )


def test_the_launch_is_not_repeated() -> None:
    assert read(lake.words((0.0, 0.0), (900.0, 0.0))).shape == (1, 2)


def test_a_route_may_come_back_to_its_launch() -> None:
    assert len(read(lake.words((900.0, 0.0), (900.0, 500.0), (0.0, 0.0)))) == 3


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "is not a point"),
        ("44.9", "is not a point"),
        ("44.9,-99.6,3", "is not a point"),
        ("north; south", "is not a point"),
        ("nan,nan", "is not a point"),
        ("99.0,-99.6", "not a valid coordinate"),
        ("44.9,-999", "not a valid coordinate"),
        (lake.words((0.0, 0.0)), "no point besides the launch"),
        (lake.words((-500.0, 0.0)), "from the water"),
        (lake.words((900.0, 0.0), (4500.0, 0.0)), "from the water"),
        (lake.words((1500.0, 0.0)), "from the water"),
        (lake.words((2500.0, 0.0)), "crosses land"),
        ("-99.6,44.9", "not a valid coordinate"),
        ("45.9,-99.6", "km long"),
        ("missing.geojson", "cannot be read"),
    ],
)
def test_what_is_no_route_on_this_water_is_one_clear_error(text: str, says: str) -> None:
    with pytest.raises(SafetyCheckError, match=says):
        read(text)


@pytest.mark.parametrize(
    ("coordinates", "says"),
    [
        (None, "points"),
        ([], "points"),
        ([["east", "north"]], "not a valid coordinate"),
        ([[1.0]], "not a valid coordinate"),
        ([[44.9, -99.6]], "not a valid coordinate"),
        ([[-99.6, 44.9]] * 501, "points"),
    ],
)
def test_a_file_that_holds_no_route_is_one_clear_error(
    tmp_path: Path, coordinates: Any, says: str
) -> None:
    file = tmp_path / "way.json"
    file.write_text(json.dumps({"type": "LineString", "coordinates": coordinates}))
    with pytest.raises(SafetyCheckError, match=says):
        read(str(file))


@pytest.mark.parametrize("text", ["", "{", "[]", '{"type": "Point", "coordinates": [0, 0]}'])
def test_a_file_that_is_no_geojson_line_is_one_clear_error(tmp_path: Path, text: str) -> None:
    file = tmp_path / "way.geojson"
    file.write_text(text)
    with pytest.raises(SafetyCheckError):
        read(str(file))


def test_a_table_of_open_water_bounds_a_route_too() -> None:
    assert len(read(lake.words((2000.0, 0.0)), TABLE)) == 1
    with pytest.raises(SafetyCheckError, match="leaves the water"):
        read(lake.words((-200.0, 0.0)), TABLE)


def test_the_farthest_point_of_a_route_is_the_reach_of_the_plan() -> None:
    asked = PlanRequest(
        craft="sit-on-top-kayak",
        start="2026-06-13T10:00",
        hours=5.0,
        route=lake.words((900.0, 0.0), (900.0, 1200.0), (100.0, 100.0)),
    )
    plan, _ = make_plan_on(lake.WATER, asked, scenes.settings(), scenes.NOW)
    assert plan.reach == pytest.approx(1500.0, abs=0.1)


@pytest.mark.parametrize("also", [{"reach": "1 mi"}, {"from_shore": "100 m"}])
def test_a_route_and_a_reach_at_once_are_refused(also: dict[str, Any]) -> None:
    asked = PlanRequest(
        craft="sit-on-top-kayak",
        start="2026-06-13T10:00",
        hours=5.0,
        route=lake.words((900.0, 0.0)),
        **also,
    )
    with pytest.raises(SafetyCheckError, match="--route"):
        make_plan_on(lake.WATER, asked, scenes.settings(), scenes.NOW)


def test_a_longer_route_keeps_every_place_of_the_shorter() -> None:
    way = np.array([[0.0, 0.0], [0.0, 730.0], [410.0, 730.0]])
    longer = np.concatenate([way, [[410.0, 1900.0]]])
    kept = places_along(longer)[: len(places_along(way))]
    assert kept == pytest.approx(places_along(way))


def test_along_a_route_the_water_is_that_of_its_places() -> None:
    near_the_shore = lake.plan((100.0, 500.0), (100.0, 1500.0))
    along = along_route(near_the_shore, lake.open_water())
    assert along.distance_from_shore.max() == pytest.approx(100.0, abs=0.5)
    assert along.fetch.shape[1] == along.radials.shape[1] == len(along.points)


def test_without_a_route_or_a_shoreline_the_water_stays_as_it_is() -> None:
    water = lake.open_water()
    assert along_route(lake.plan(), water) is water
    routed = replace(scenes.plan(), route=lake.degrees((100.0, 0.0)))
    assert along_route(routed, scenes.POND) is scenes.POND

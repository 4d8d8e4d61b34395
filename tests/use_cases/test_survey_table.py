"""The launches of a survey: which tables are read, and which rows are refused with a reason."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from safety_check.errors import ConfigError
from safety_check.model.place import WaterKind
from safety_check.use_cases.survey.table import RefusedRow, read_launches
from safety_check.waters.geojson import LONGEST_NAME

FETCH = "N 300 m, E 300 m, S 300 m, W 300 m"
HEADING = "name,latitude,longitude,fetch,depth,kind,craft\n"
SQUARE = [[[-0.1, -0.1], [0.1, -0.1], [0.1, 0.1], [-0.1, 0.1], [-0.1, -0.1]]]


def table(tmp_path: Path, *rows: str, heading: str = HEADING) -> Path:
    path = tmp_path / "launches.csv"
    path.write_text(heading + "".join(f"{row}\n" for row in rows), encoding="utf-8")
    return path


def row(**said: Any) -> str:
    """Return a row that can be used, but for what is said."""
    usual = {"name": "ramp", "latitude": 44.9, "longitude": -99.6, "fetch": FETCH}
    values = usual | {"depth": "", "kind": "", "craft": ""} | said
    return ",".join(f'"{value}"' for value in values.values())


def refused(tmp_path: Path, *rows: str) -> list[RefusedRow]:
    found, not_used = read_launches(table(tmp_path, *rows))
    assert len(found) + len(not_used) == len(rows)
    return not_used


def test_a_row_is_a_launch_with_a_water_of_its_own(tmp_path: Path) -> None:
    said = row(name=" north ramp ", depth="4 m", kind="tidal", craft="canoe")
    (launch,), not_used = read_launches(table(tmp_path, said))
    assert not_used == []
    assert (launch.name, launch.craft, launch.reach) == ("north ramp", "canoe", "")
    (place,) = launch.water.launches
    assert (place.latitude, place.longitude) == (44.9, -99.6)
    assert (launch.water.depth, launch.water.kind) == (4.0, WaterKind.TIDAL)


def test_water_is_still_where_the_table_does_not_say(tmp_path: Path) -> None:
    (launch,), _ = read_launches(table(tmp_path, row()))
    assert launch.water.kind == WaterKind.STILL
    assert launch.water.elevation is None


@pytest.mark.parametrize(
    ("key", "accepted", "refuses"),
    [
        ("latitude", ["90", "-90", "0", "0.0"], ["90.1", "-90.1", "", "north", "nan", "inf"]),
        ("longitude", ["180", "-180", "0"], ["180.1", "-180.1", "", "west", "nan"]),
    ],
)
def test_coordinates_are_degrees_of_the_earth(
    tmp_path: Path, key: str, accepted: list[str], refuses: list[str]
) -> None:
    for text in accepted:
        assert refused(tmp_path, row(**{key: text})) == [], text
    for text in refuses:
        (one,) = refused(tmp_path, row(**{key: text}))
        assert f"{key} {text!r}: give degrees" in one.why
        assert (one.row, one.name) == (1, "ramp")


def test_a_number_that_is_zero_is_a_coordinate_and_one_that_is_missing_is_none(
    tmp_path: Path,
) -> None:
    path = tmp_path / "launches.geojson"
    features = [
        {
            "properties": {"name": "on the equator", "fetch": FETCH},
            "geometry": {"type": "Point", "coordinates": [0, 0.0, 17.0]},
        },
        {
            "properties": {"name": "in the square", "water": "square"},
            "geometry": {"type": "Point", "coordinates": [0.0999, 0.01]},
        },
        {
            "properties": {"name": "elsewhere", "water": "circle"},
            "geometry": {"type": "Point", "coordinates": [0.01, 0.01]},
        },
        {
            "properties": {"name": "square"},
            "geometry": {"type": "Polygon", "coordinates": SQUARE},
        },
    ]
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}))
    found, (unknown,) = read_launches(path)
    assert [one.name for one in found] == ["on the equator", "in the square"]
    (place,) = found[0].water.launches
    assert (place.latitude, place.longitude) == (0.0, 0.0)
    assert found[1].water.shoreline
    assert (unknown.row, unknown.name) == (3, "elsewhere")
    assert "launches.geojson has no polygon of that name" in unknown.why


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ({"kind": "deep"}, "kind 'deep': give "),
        ({"depth": "deep"}, "depth"),
        ({"fetch": ""}, "nothing says how open the water is"),
        ({"craft": "a\tb"}, "give printable characters"),
        ({"name": ""}, "give 1 to 60 characters"),
        ({"name": "x" * (LONGEST_NAME + 1)}, "give 1 to 60 characters"),
    ],
)
def test_a_row_that_can_not_be_used_says_why(
    tmp_path: Path, said: dict[str, str], why: str
) -> None:
    (one,) = refused(tmp_path, row(**said))
    assert why in one.why


def test_the_longest_name_is_accepted(tmp_path: Path) -> None:
    assert refused(tmp_path, row(name="x" * LONGEST_NAME)) == []


def test_each_row_of_a_name_that_stands_twice_is_refused_and_the_others_are_read(
    tmp_path: Path,
) -> None:
    found, not_used = read_launches(table(tmp_path, row(), row(name="pier"), row()))
    assert [one.name for one in found] == ["pier"]
    assert [one.row for one in not_used] == [1, 3]
    assert all("stands in 2 rows" in one.why for one in not_used)


def test_two_words_on_how_open_the_water_is_are_refused(tmp_path: Path) -> None:
    heading = "name,latitude,longitude,fetch,water\n"
    path = table(tmp_path, f'ramp,44.9,-99.6,"{FETCH}",lake', heading=heading)
    _, (one,) = read_launches(path)
    assert "fetch and water says how open the water is" in one.why


@pytest.mark.parametrize(
    ("name", "text", "why"),
    [
        ("launches.csv", "name,latitude,longitude\n", "has no launches"),
        ("launches.csv", "name,latitude\nramp,44.9\n", "no column longitude"),
        ("launches.csv", "a\nb\n", "no column name and no latitude and no longitude"),
        ("launches.txt", "name\n", "the ending '.txt' is not known"),
        ("launches.geojson", "{", "cannot be read as a table"),
        ("launches.json", "{}", "cannot be read as a table"),
        ("launches.parquet", "no parquet", "cannot be read as a table"),
    ],
)
def test_what_is_no_table_of_launches_is_refused_as_a_whole(
    tmp_path: Path, name: str, text: str, why: str
) -> None:
    path = tmp_path / name
    path.write_text(text)
    with pytest.raises(ConfigError, match=why) as told:
        read_launches(path)
    assert str(told.value).startswith(name)

"""The user's waters: a file becomes a water, is mended aloud, or is refused with its mend."""

from __future__ import annotations

import json
import math
import re
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

from tests.cli import forecasts
from tests.cli.conftest import Runner
from tests.cli.terminal import run_on_terminal
from tests.recordings import shared_folder


def box(west: float, south: float, east: float, north: float) -> list[list[float]]:
    return [[west, south], [east, south], [east, north], [west, north], [west, south]]


LAKE = box(-99.65, 44.88, -99.55, 44.95)
ISLAND = box(-99.61, 44.90, -99.60, 44.91)


def polygon(*rings: Any) -> dict[str, Any]:
    return {"type": "Polygon", "coordinates": list(rings)}


def feature(geometry: Any, **properties: Any) -> dict[str, Any]:
    return {"type": "Feature", "properties": properties, "geometry": geometry}


def point(name: Any, *at: Any) -> dict[str, Any]:
    return feature({"type": "Point", "coordinates": list(at)}, name=name)


def collection(*found: Any, **more: Any) -> dict[str, Any]:
    return {"type": "FeatureCollection", "features": list(found), **more}


SHAPE = feature(polygon(LAKE, ISLAND))
RAMP = point("ramp", -99.65, 44.9)


@pytest.fixture
def added(run: Runner, tmp_path: Path) -> Any:
    """Return a function that writes a file and adds it as a water."""

    def add(content: Any, *options: object) -> Any:
        path = tmp_path / "lake.geojson"
        text = content if isinstance(content, str) else json.dumps(content)
        path.write_text(text, encoding="utf-8")
        return run("water", "add", "orvel", "--file", path, *options)

    return add


# -- what is taken ---------------------------------------------------------------------------


def test_a_polygon_with_islands_and_launches_becomes_a_water(added: Any, run: Runner) -> None:
    done = added(collection(SHAPE, RAMP, point("cove", -99.56, 44.8804)), "--depth", "8 m")

    assert done.status == 0
    assert done.out.startswith("Added 'orvel'.")
    shown = run("water", "show", "orvel").out
    for line in (
        "time zone: America/Chicago",
        "depth: 8 m",
        "1 island",
        "launch: ramp (44.90000, -99.65000)",
        "launch: cove (44.88040, -99.56000)",
    ):
        assert line in shown
    assert "mended" not in shown
    assert run("water", "list").out == "orvel\n"


@pytest.mark.parametrize("content", [polygon(LAKE), feature(polygon(LAKE)), collection(SHAPE)],
                         ids=["geometry", "feature", "collection"])  # fmt: skip
def test_a_shape_is_taken_however_it_is_wrapped(added: Any, content: Any) -> None:
    done = added(content)

    assert done.status == 0
    assert "launches: none; give a point with --launch LAT,LON" in done.out


def test_launches_may_come_from_the_command_line(added: Any) -> None:
    done = added(polygon(LAKE), "--launch", "ramp=44.9,-99.65", "--launch", "cove=44.8804,-99.56")

    assert "launch: ramp (44.90000, -99.65000)" in done.out
    assert "launch: cove (44.88040, -99.56000)" in done.out


def test_collections_of_geometries_and_several_points_count_as_their_parts(added: Any) -> None:
    several = {"type": "MultiPoint", "coordinates": [[-99.65, 44.9], [-99.65, 44.91]]}
    shapes = {"type": "GeometryCollection", "geometries": [polygon(LAKE)]}

    done = added(collection(feature(shapes), feature(several, name="ramp")))

    assert "launch: ramp 1 (44.90000, -99.65000)" in done.out
    assert "launch: ramp 2 (44.91000, -99.65000)" in done.out


def test_launches_without_a_name_are_numbered(added: Any) -> None:
    nameless = [feature(entry["geometry"]) for entry in (RAMP, point("", -99.65, 44.91))]

    done = added(collection(SHAPE, *nameless))

    assert "launch: launch 1 (44.90000" in done.out
    assert "launch: launch 2 (44.91000" in done.out


def test_the_credit_of_a_shape_goes_with_it(added: Any, run: Runner) -> None:
    added(collection(feature(polygon(LAKE), attribution="© OpenStreetMap contributors",
                             licence="ODbL 1.0", source={"no": "text"})))  # fmt: skip

    shown = run("water", "show", "orvel").out
    assert "shoreline: © OpenStreetMap contributors; ODbL 1.0" in shown


@pytest.mark.parametrize(
    "name", ["urn:ogc:def:crs:OGC:1.3:CRS84", "EPSG:4326", "urn:ogc:def:crs:EPSG::4269"]
)
def test_a_file_that_names_its_degrees_is_taken(added: Any, name: str) -> None:
    crs = {"type": "name", "properties": {"name": name}}

    assert added(collection(SHAPE, crs=crs)).status == 0


@pytest.mark.thorough
def test_a_hundred_thousand_vertices_are_kept(added: Any) -> None:
    turn = [2 * math.pi * number / 100_000 for number in range(100_000)]
    shore = [[-99.6 + 0.05 * math.cos(value), 44.9 + 0.05 * math.sin(value)] for value in turn]

    done = added(collection(feature(polygon([*shore, shore[0]])), point("ramp", -99.55, 44.9)))

    assert "100000 shore points" in done.out


def test_a_water_across_the_antimeridian_is_one(added: Any) -> None:
    shore = [[179.9, -17], [-179.9, -17], [-179.9, -16.9], [179.9, -16.9], [179.9, -17]]

    done = added(collection(feature(polygon(shore)), point("ramp", 180.1, -16.95)))

    assert "repaired: the water crosses the antimeridian" in done.out
    assert "launch: ramp (-16.95000, -179.90000)" in done.out
    # 0.2° by 0.1° at 17° S: 21.3 km by 11.1 km.
    assert float(re.findall(r"size: ([\d.]+) km²", done.out)[0]) == pytest.approx(236, rel=0.01)


def test_what_was_added_is_again_a_geojson_file_with_islands_as_holes(
    added: Any, run: Runner, tmp_path: Path
) -> None:
    pool = box(-99.606, 44.904, -99.604, 44.906)  # a lake on the island
    added(collection(feature(polygon(LAKE, ISLAND)), RAMP), "--depth", "8 m")
    kept = json.loads(run("water", "show", "orvel", "--json").out)
    shape = kept["features"][0]["geometry"]

    assert shape["type"] == "MultiPolygon"
    assert [len(coordinate) for coordinate in shape["coordinates"]] == [2]
    again = added(kept)
    assert "1 island" in again.out
    assert "mended" not in again.out
    nested = {"type": "MultiPolygon", "coordinates": [[LAKE, ISLAND], [pool]]}
    added(collection(feature(nested)))
    kept = json.loads(run("water", "show", "orvel", "--json").out)
    shape = kept["features"][0]["geometry"]
    assert sorted(len(coordinate) for coordinate in shape["coordinates"]) == [1, 2]


LAKES = sorted(path.name for path in shared_folder("datasets", "lakes").glob("*.geojson")) if (
    Path(__file__).parents[3] / "shared" / "datasets" / "lakes"
).exists() else []  # fmt: skip


@pytest.mark.one_in(4)
@pytest.mark.parametrize("lake", LAKES)
def test_a_real_lake_is_taken_and_has_its_area(run: Runner, lake: str) -> None:
    folder = shared_folder("datasets", "lakes")
    table = (folder / "README.md").read_text(encoding="utf-8")
    row = next(line for line in table.splitlines() if line.startswith(f"| {lake} "))
    area = float(row.split("|")[3])  # geodesic, computed on the ellipsoid from the same file

    done = run("water", "add", "lake", "--file", folder / lake)

    assert done.status == 0
    # The plane stretches lengths by 0.12 % on the largest of these lakes.
    size = float(re.findall(r"size: ([\d.]+) km²", done.out)[0])
    assert size == pytest.approx(area, rel=0.003, abs=0.006)  # printed to 0.01 km²


# -- what is mended, and said ----------------------------------------------------------------

REPAIRED = {
    "an open ring": (polygon(LAKE[:-1]), "a ring was open by 7784 m"),
    "a crossing": (
        polygon([LAKE[0], LAKE[2], LAKE[1], LAKE[3], LAKE[0]]),
        "crossed itself (self-intersection near 44.91500, -99.60000)",
    ),
    "an island along the shore": (
        polygon(LAKE, box(-99.65, 44.9, -99.63, 44.91)),
        "it is treated as land",
    ),
    "two parts": (
        {"type": "MultiPolygon", "coordinates": [[LAKE], [box(-99.5, 44.8, -99.4, 44.85)]]},
        "it has 2 parts that do not touch",
    ),
    "a line beside the shape": (
        collection(SHAPE, feature({"type": "LineString", "coordinates": LAKE})),
        "skipped 1 features that are neither a shape nor a launch (LineString)",
    ),
}


@pytest.mark.parametrize("case", REPAIRED)
def test_a_repair_of_a_shape_is_printed_and_stored(added: Any, run: Runner, case: str) -> None:
    content, said = REPAIRED[case]

    done = added(content)

    assert done.status == 0
    assert f"repaired: {said}" in done.out or said in done.out
    assert said in run("water", "show", "orvel").out


def test_an_island_that_touches_the_shore_in_a_point_is_an_island(added: Any) -> None:
    touching = [[-99.65, 44.9], [-99.64, 44.89], [-99.64, 44.91], [-99.65, 44.9]]

    done = added(polygon(LAKE, touching))

    assert "1 island" in done.out
    assert "mended" not in done.out


# -- what is refused -------------------------------------------------------------------------

SWAPPED = [[y, x] for x, y in LAKE]
WGS84_IN_NAME_ONLY = {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::3857"}}
REFUSED = {
    "no json": ("<html>", "is not GeoJSON"),
    "empty": ("", "is not GeoJSON"),
    "NaN": (json.dumps(SHAPE).replace("44.9", "NaN"), "NaN is not a coordinate"),
    "nested without end": ("[" * 100_000, "is not GeoJSON"),
    "a list": ([1, 2], "no feature with a geometry"),
    "another format": ({"type": "Topology", "objects": {}}, "it has 0 polygons"),
    "no features": (collection(), "no feature with a geometry"),
    "features that are no list": ({"type": "FeatureCollection", "features": {}}, "must be a list"),
    "a feature that is none": (collection(1, SHAPE), "feature 1 = 1: it is not a feature"),
    "parts that are no list": (
        feature({"type": "GeometryCollection", "geometries": 3}),
        "geometries = 3: it must be a list",
    ),
    "only launches": (collection(RAMP), "it has 0 polygons"),
    "a line": (feature({"type": "LineString", "coordinates": LAKE}), "Close the shore"),
    "two polygons": (collection(SHAPE, SHAPE), "it has 2 polygons, and a water is exactly one"),
    "swapped": (polygon(SWAPPED), "Longitude and latitude are swapped"),
    "swapped, where both are latitudes": (
        collection(feature(polygon([[y, x] for x, y in box(10.0, 50.0, 10.1, 50.1)])),
                   point("ramp", 10.0, 50.05)),
        "launch 'ramp' = 50.05, 10: it is 5752.2 km from the shore. Its longitude and latitude",
    ),
    "a swapped launch": (
        collection(SHAPE, point("ramp", 44.9, -99.65)),
        "this is not a place on Earth. Its longitude and latitude are swapped",
    ),
    "a launch far off": (collection(SHAPE, point("ramp", -99.0, 44.9)), "is 43.4 km from the"),
    "a launch in words": (collection(SHAPE, point("ramp", "-99.65", 44.9)), "must be two numbers"),
    "a launch that is true": (collection(SHAPE, point("ramp", True, 44.9)), "must be two numbers"),
    "half a launch": (collection(SHAPE, point("ramp", -99.65)), "must be two numbers"),
    "two launches of one name": (collection(SHAPE, RAMP, RAMP), "is used for more than one point"),
    "projected": (polygon(box(5e5, 49e5, 51e4, 491e4)), "metres or feet of a map projection"),
    "said to be projected": (collection(SHAPE, crs=WGS84_IN_NAME_ONLY), "in another system"),
    "a puddle": (polygon(box(-99.6, 44.9, -99.59995, 44.90005)), "enclose only"),
    "a sea": (polygon(box(-60, 20, -10, 50)), "a whole sea"),
}  # fmt: skip


@pytest.mark.one_in(3)
@pytest.mark.parametrize("case", REFUSED)
def test_what_is_no_water_is_refused_in_one_sentence_with_its_mend(
    added: Any, run: Runner, case: str
) -> None:
    content, said = REFUSED[case]

    done = added(content)

    assert done.status in (1, 2)
    assert said in done.err
    assert done.err.startswith("safety-check: lake.geojson")
    assert done.err.count("\n") == 1
    assert done.out == ""
    assert run("water", "list").out.startswith("No waters yet")


# A degree of longitude is 79 km there: 0.0005° is 39 m, and 0.0008° is 63 m.
@pytest.mark.parametrize("east", [-0.0005, 0.0, 0.0005])
def test_a_launch_within_fifty_metres_of_the_shore_is_taken(added: Any, east: float) -> None:
    assert added(collection(SHAPE, point("ramp", -99.65 + east, 44.9))).status == 0


@pytest.mark.parametrize(
    ("east", "said"),
    [
        (-0.0008, "63 m from the shore, on land"),
        (0.0008, "63 m from the shore, on the water"),
        (-0.0038, "300 m from the shore, on land"),
        (0.02, "1.6 km from the shore, on the water"),
    ],
)
@pytest.mark.parametrize("how", ["file", "option"])
def test_a_launch_off_the_shore_is_refused_with_the_nearest_shore(
    added: Any, run: Runner, east: float, said: str, how: str
) -> None:
    longitude = -99.65 + east
    if how == "file":
        done = added(collection(SHAPE, point("ramp", longitude, 44.9)))
    else:
        done = added(SHAPE, "--launch", f"ramp=44.9,{longitude}")

    assert done.status == 2
    assert said in done.err
    assert re.search(r"nearest shore is [\d.]+ k?m [NESW]+ \(44\.\d{5},-99\.\d{5}\);", done.err)
    assert done.err.count("\n") == 1
    assert run("water", "list").out.startswith("No waters yet")
    offered = re.findall(r"--launch \"(ramp=[^\"]+)\"", done.err)
    again = added(collection(SHAPE, point("ramp", longitude, 44.9)), "--launch", offered[0])
    assert again.status == 0  # the offered place replaces the file's


def test_a_stored_water_whose_launch_is_off_the_shore_gives_no_verdict(
    added: Any, run: Runner, home: Path, tmp_path: Path
) -> None:
    added(collection(SHAPE, RAMP))
    run("paddler", "set", "--life-jacket", "worn", "--wearing", "none", "--company", "group",
        "--light", "yes")  # fmt: skip
    run("craft", "add", "mine", "--class", "sit-on-top-kayak")
    trip = ("check", "orvel", "--start", "2026-06-13 06:00", "--hours", "3", "--reach", "300 m",
            "--as-of", "2026-06-12 20:00", "--water-temp", "74 F", "--warnings", "none",
            "--read-at", "19:30", "--forecast",
            forecasts.write(tmp_path, forecasts.answer()))  # fmt: skip
    assert run(*trip).status == 0
    (path,) = (home / "waters").glob("*.geojson")
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace('"coordinates": [-99.65, 44.9]', '"coordinates": [-99.64, 44.9]'))
    assert path.read_text(encoding="utf-8") != text

    done = run(*trip)

    assert done.status == 2
    assert "790 m from the shore, on the water" in done.err
    assert run(*trip, "--launch", "44.9,-99.65").status == 0
    assert run(*trip, "--launch", "44.9,-99.653").status == 2


@pytest.mark.thorough
def test_a_terminal_asks_for_the_ramp(home: Path, tmp_path: Path) -> None:
    path = tmp_path / "lake.geojson"
    path.write_text(json.dumps(collection(SHAPE, point("ramp", -99.64, 44.9))), encoding="utf-8")
    add = ["water", "add", "orvel", "--file", path]

    status, printed = run_on_terminal(home, add, ["here", "44.9,-99.63", "1", "still"])

    assert status == 0, printed
    assert "Where is your ramp?" in printed
    assert "1 790 m W: 44.90000,-99.65000" in printed
    assert "'here' is not one of the choices" in printed
    assert "launch: ramp (44.90000, -99.65000)" in printed
    status, printed = run_on_terminal(home, [*add[:2], "other", *add[3:]], [""])
    assert status == 2
    assert list((home / "waters").glob("other*")) == []


@pytest.mark.parametrize(
    ("depth", "said"),
    [
        ("0 m", "depth: 0 m: a depth must be greater than zero"),
        ("-3 m", "is negative"),
        ("20 km", "that is deeper than any sea"),
        ("8", "has no unit"),
        ("nan m", "is not a number with a unit"),
    ],
)
def test_a_depth_that_is_none_is_refused(added: Any, depth: str, said: str) -> None:
    done = added(polygon(LAKE), f"--depth={depth}")

    assert done.status == 2
    assert said in done.err


@pytest.mark.parametrize(
    "launch",
    ["44.9,-99.65", "ramp", "ramp=44.9", "ramp=north,west", "ramp=95,0", "ramp=0,200", "=44.9,0",
     "ramp=nan,0", "a\x1b[31mb=44.9,-99.65"],
)  # fmt: skip
def test_a_launch_that_is_no_named_point_is_refused(added: Any, launch: str) -> None:
    done = added(polygon(LAKE), "--launch", launch)

    assert done.status == 2
    assert "NAME=LATITUDE,LONGITUDE" in done.err


def test_text_of_a_file_can_not_command_a_terminal_or_fill_it(added: Any) -> None:
    hostile = "a\x1b[2J\u202eb\n" + "x" * 10_000
    named = point(hostile, -99.65, 44.9)

    done = added(collection(feature(polygon(LAKE), attribution=hostile), named))

    assert "\x1b" not in done.out
    assert "\u202e" not in done.out
    assert max(map(len, done.out.splitlines())) < 350


def test_a_missing_file_and_a_file_too_large_are_refused(run: Runner, tmp_path: Path) -> None:
    missing = run("water", "add", "orvel", "--file", tmp_path / "no.geojson")
    assert missing.status == 1
    assert "no.geojson cannot be read" in missing.err
    large = tmp_path / "large.geojson"
    with large.open("wb") as file:
        file.truncate(60_000_000)
    assert "more than 50 MB" in run("water", "add", "orvel", "--file", large).err


# -- a fetch table instead -----------------------------------------------------------


def table(run: Runner, sectors: str, *more: object) -> Any:
    return run("water", "add", "pond", "--fetch", sectors, "--launch", "ramp=44.9,-99.6", *more)


def test_a_table_of_open_water_becomes_a_water(run: Runner) -> None:
    done = table(run, "N 300 m, E 0.5 mi, S 300 m, W 200 yd")

    assert done.status == 0
    assert "open water by 4 sectors, up to 805 m" in done.out


@pytest.mark.parametrize(
    ("sectors", "said"),
    [
        ("N 300 m, E 300 m, S 300 m", "a missing sector would be treated as sheltered"),
        ("N 300 m, N 300 m, S 300 m, W 1 m", "is given twice"),
        ("N 300 m, E 300 m, S 300 m, X 1 m", "is not a compass point"),
        ("N 300, E 300 m, S 300 m, W 1 m", "has no unit"),
        ("N 0 m, E 0 m, S 0 m, W 0 m", "is too small"),
        ("N 2000 km, E 1 m, S 1 m, W 1 m", "is too large"),
        ("N -5 m, E 300 m, S 300 m, W 1 m", "is negative"),
        ("", "give all of 4, 8 or 16"),
    ],
)
def test_a_table_with_a_gap_or_nonsense_is_refused(run: Runner, sectors: str, said: str) -> None:
    done = table(run, sectors)

    assert done.status == 2
    assert said in done.err


def test_a_table_needs_one_launch_and_no_file_beside_it(run: Runner, tmp_path: Path) -> None:
    assert run("water", "add", "pond", "--fetch", "N 1 m, E 1 m, S 1 m, W 1 m").status == 2
    assert run("water", "add", "pond").status == 2
    both = table(run, "N 300 m, E 300 m, S 300 m, W 1 m", "--file", tmp_path / "x.geojson")
    assert "give one of --file with a shoreline" in both.err


# -- kept, listed, removed -------------------------------------------------------------------


def test_a_water_of_the_same_name_is_replaced_and_that_is_said(added: Any, run: Runner) -> None:
    added(polygon(LAKE))
    again = added(polygon(LAKE, ISLAND))

    assert again.out.startswith("Replaced 'orvel'.")
    assert "1 island" in run("water", "show", "orvel").out


def test_two_names_that_would_share_a_file_are_kept_apart(run: Runner, tmp_path: Path) -> None:
    path = tmp_path / "lake.geojson"
    path.write_text(json.dumps(polygon(LAKE)), encoding="utf-8")
    run("water", "add", "Tesk Bay", "--file", path)

    done = run("water", "add", "tesk-bay", "--file", path)

    assert done.status == 2
    assert "too similar to 'Tesk Bay'" in done.err
    assert run("water", "list").out == "Tesk Bay\n"


@pytest.mark.parametrize("name", ["", " ", "///", "a\nb", "a\x1b[31m", "x" * 100, "\u202eevil"])
def test_a_name_that_can_not_be_printed_is_refused(run: Runner, tmp_path: Path, name: str) -> None:
    path = tmp_path / "lake.geojson"
    path.write_text(json.dumps(polygon(LAKE)), encoding="utf-8")

    done = run("water", "add", name, "--file", path)

    assert done.status == 2
    assert "is not a valid name" in done.err


def test_waters_are_listed_in_order_and_as_json(run: Runner, ready: Runner) -> None:
    assert run("water", "list").out == "large lake\npond\n"
    assert run("water", "list", "--json").json == ["large lake", "pond"]


def test_an_unknown_water_is_named_with_its_nearest(ready: Runner) -> None:
    done = ready("water", "show", "ponds")

    assert done.status == 2
    assert "'pond'" in done.err
    assert "Known waters: large lake, pond." in done.err


def test_a_removed_water_is_gone(ready: Runner) -> None:
    assert ready("water", "remove", "pond").out == "Removed 'pond'.\n"
    assert ready("water", "list").out == "large lake\n"
    assert ready("water", "remove", "pond").status == 2


SPOILT = {
    "cut off": lambda text: text[: len(text) // 2],
    "another time zone": lambda text: text.replace("America/Chicago", "Mars/Olympus"),
    "no depth": lambda text: text.replace('"depth_m"', '"deep"'),
    "dry": lambda text: text.replace('"depth_m": null', '"depth_m": 0'),
    "no time zone": lambda text: text.replace('"time_zone"', '"zone"'),
    "a name that clears the screen": lambda text: text.replace('"orvel"', '"orvel\\u001b[2J"'),
    "a credit that is no text": lambda text: text.replace('"attribution": ""', '"attribution": 7'),
    "endless open water": lambda text: text.replace(
        '"fetch_table": null', '"fetch_table": [[0, 90, 180, 270], [300, 1e308, 300, 300]]'
    ),
    "a drive of years": lambda text: text.replace('"drive_s": null', '"drive_s": 1e308'),
    "a ramp off the Earth": lambda text: text.replace("-99.65, 44.9]", "-99.65, 1e30]"),
    "a zone with an endless name": lambda text: text.replace(
        "America/Chicago", "America/" + "[" * 300
    ),
    "a ring opened": lambda text: text.replace("[-99.65, 44.88], ", "", 1),
    "a position cut": lambda text: text.replace("-99.65, 44.88", "-99.65", 1),
}


@pytest.mark.one_in(2)
@pytest.mark.parametrize("spoil", SPOILT)
def test_a_spoilt_file_is_refused_and_can_be_removed(
    added: Any, run: Runner, home: Path, spoil: str
) -> None:
    added(collection(SHAPE, RAMP))
    (path,) = (home / "waters").glob("*.geojson")
    text = path.read_text(encoding="utf-8")
    path.write_text(SPOILT[spoil](text), encoding="utf-8")
    assert path.read_text(encoding="utf-8") != text

    done = run("water", "show", "orvel")

    assert done.status == 1
    assert done.err.startswith("safety-check: orvel.geojson")
    assert done.err.count("\n") == 1
    assert run("water", "remove", "orvel").status == 0


# -- the map ---------------------------------------------------------------------------------


@pytest.fixture
def lake(added: Any, run: Runner) -> Runner:
    added(collection(SHAPE, RAMP, point("cove", -99.56, 44.8804)), "--depth", "8 m")
    run("craft", "add", "mine", "--class", "sit-on-top-kayak")
    return run


def test_a_map_of_one_wind_is_written_and_described(lake: Runner, tmp_path: Path) -> None:
    out = tmp_path / "maps" / "orvel.svg"

    done = lake("water", "map", "orvel", "--wind", "18 mph", "--from", "NW", "--launch", "cove",
                "--out", out)  # fmt: skip

    assert done.status == 0
    assert done.out.startswith("Wind 18 mph from NW. Waves from ")
    assert re.search(
        r"Caution from 0\.65 ft: about \d+ % of the water shown\. No-go from 1\.05 ft: about \d+ %",
        done.out,
    )
    assert re.search(r"Lee: about \d+ % of the water stays below 0\.65 ft", done.out)
    assert done.out.endswith(f"Wrote {out}.\n")
    drawn = ["".join(element.itertext()) for element in ElementTree.parse(out).getroot().iter()]
    assert "cove" in drawn
    assert "ramp" not in drawn


def test_the_map_in_json_is_in_si(lake: Runner, tmp_path: Path) -> None:
    out = tmp_path / "orvel.svg"

    said = lake("water", "map", "orvel", "--wind", "10 m/s", "--from", "315", "--out", out,
                "--json").json  # fmt: skip

    assert (said["water"], said["file"], said["time"]) == ("orvel", str(out), None)
    assert (said["wind_speed"], said["wind_from_direction"]) == (10.0, 315.0)
    assert 0 <= said["lowest"] < said["highest"] < 1.0
    assert said["lee"]


@pytest.mark.thorough
def test_a_map_of_a_trip_shows_its_roughest_hour_or_the_one_that_is_named(
    lake: Runner, tmp_path: Path
) -> None:
    told = forecasts.answer()
    rising = [2.0] * 36 + [8.0] + [4.0] * 35  # strongest at noon UTC, 07:00 there
    told["hourly"]["wind_speed_10m"] = rising
    told["hourly"]["wind_gusts_10m"] = [1.4 * value for value in rising]
    trip = ("water", "map", "orvel", "--launch", "ramp", "--start", "2026-06-13 06:00",
            "--hours", "4", "--as-of", "2026-06-12 20:00", "--forecast",
            forecasts.write(tmp_path, told), "--out", tmp_path / "trip.svg", "--json")  # fmt: skip

    roughest = lake(*trip).json
    named = lake(*trip, "--at", "09:10").json

    # An hour has the worse of its two ends: 06:00 ends, and 07:00 begins, at the strongest.
    assert roughest["time"] in ("2026-06-13T11:00:00+00:00", "2026-06-13T12:00:00+00:00")
    assert named["time"] == "2026-06-13T14:00:00+00:00"
    assert named["highest"] < roughest["highest"]
    assert lake(*trip, "--at", "18:00").status == 2


@pytest.mark.one_in(2)
@pytest.mark.parametrize(
    "options",
    [
        (),
        ("--wind", "12 mph"),
        ("--from", "NW"),
        ("--wind", "12 mph", "--from", "up"),
        ("--wind", "12", "--from", "NW"),
        ("--wind", "300 mph", "--from", "NW"),
        ("--wind", "12 mph", "--from", "NW", "--start", "tomorrow 06:00"),
        ("--wind", "12 mph", "--from", "NW", "--launch", "nowhere"),
        ("--wind", "12 mph", "--from", "NW", "--launch", "95,0"),
    ],
)
def test_a_map_that_is_asked_for_wrongly_is_a_usage_error(
    lake: Runner, tmp_path: Path, options: tuple[str, ...]
) -> None:
    done = lake("water", "map", "orvel", *options, "--out", tmp_path / "x.svg")

    assert done.status == 2
    assert done.err.count("\n") == 1
    assert not (tmp_path / "x.svg").exists()


def test_a_water_without_a_shape_has_no_map(ready: Runner, tmp_path: Path) -> None:
    done = ready("water", "map", "pond", "--wind", "12 mph", "--from", "NW", "--out",
                 tmp_path / "x.svg")  # fmt: skip

    assert done.status == 1
    assert "no shape to draw" in done.err


def test_a_map_that_can_not_be_written_is_an_error(lake: Runner, tmp_path: Path) -> None:
    (tmp_path / "folder").mkdir()

    done = lake("water", "map", "orvel", "--wind", "12 mph", "--from", "NW", "--out",
                tmp_path / "folder")  # fmt: skip

    assert done.status == 1
    assert "cannot be written" in done.err


# -- how high it lies ----------------------------------------------------------------------------


def test_a_declared_height_is_stored_shown_and_decides_about_a_forecast(
    run: Runner, added: Any, tmp_path: Path
) -> None:
    added(collection(SHAPE, RAMP))
    told = run("water", "set", "orvel", "--elevation", "1640 ft")
    assert told.status == 0
    assert "elevation: 500 m above sea level" in run("water", "show", "orvel").out
    stored = json.loads(run("water", "show", "orvel", "--json").out)
    assert stored["properties"]["elevation_m"] == pytest.approx(1640 * 0.3048)
    assert stored["properties"]["depth_m"] is None
    asked = ("check", "orvel", "--forecast", forecasts.write(tmp_path), "--start",
             "2026-06-13 10:00", "--hours", "3", "--reach", "0.5 mi", "--craft",
             "sit-on-top-kayak", "--as-of", "2026-06-12 17:00")  # fmt: skip
    assert "is at 1640 ft" not in run(*asked, "--full").out
    run("water", "set", "orvel", "--elevation", "6000 ft")
    held = " ".join(run(*asked, "--full").out.split())
    assert "air temperature is for 1640 ft above sea level, and the water is at 6000 ft" in held


def test_a_water_may_lie_below_the_sea(run: Runner, added: Any) -> None:
    added(collection(SHAPE, RAMP))
    run("water", "set", "orvel", "--elevation", "-280 ft")
    assert "elevation: -85 m above sea level" in run("water", "show", "orvel").out


@pytest.mark.one_in(3)
@pytest.mark.parametrize("height", ["40000 ft", "-900 m", "high", "500", "nan m", ""])
def test_an_impossible_height_is_refused(run: Runner, added: Any, height: str) -> None:
    added(collection(SHAPE, RAMP))
    refused = run("water", "set", "orvel", "--elevation", height)
    assert refused.status == 2
    assert "elevation" in refused.err
    assert "elevation" not in run("water", "show", "orvel").out


def test_a_stored_height_beyond_every_water_is_refused(run: Runner, added: Any, home: Path) -> None:
    added(collection(SHAPE, RAMP))
    [file] = home.rglob("orvel.geojson")
    file.write_text(file.read_text().replace('"elevation_m": null', '"elevation_m": 1e5'))
    assert run("water", "show", "orvel").status == 1


def test_a_table_of_open_water_describes_its_launch_alone(run: Runner) -> None:
    run("water", "add", "pond", "--fetch", "N 100 m, E 100 m, S 100 m, W 100 m", "--launch",
        "ramp=44.9,-99.6")  # fmt: skip
    asked = ("check", "pond", "--start", "2026-06-13 10:00", "--hours", "3", "--craft",
             "sit-on-top-kayak", "--as-of", "2026-06-12 17:00", "--forecast")  # fmt: skip
    refused = run(*asked, "nowhere.json", "--launch", "45.9,-98.6")
    assert refused.status == 2
    assert "known only by the open water seen from there" in refused.err
    assert "nowhere.json" in run(*asked, "nowhere.json", "--launch", "44.90002,-99.60002").err

"""A water added on a phone: from a file, by its name or its place, and its ramp on the outline."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import httpx
import pytest

from safety_check.model.place import Water, WaterKind
from safety_check.settings.edit import edit_settings
from safety_check.settings.folders import shipped_file
from safety_check.settings.private_files import LOCK
from safety_check.settings.settings import load_settings
from safety_check.use_cases.ramp_place import nearest_shore
from safety_check.waters import files
from safety_check.web.upload import GREATEST_UPLOAD
from tests.cli.test_water_named import named
from tests.cli.test_water_near import LAKE, POND, answer
from tests.hostile import HOSTILE
from tests.live import Live, at_home, new_user, running
from tests.report.reading import Reader
from tests.sources.fake_server import FakeServer, html_page, json_reply
from tests.web.test_own_pages import error_at, said

ARM = shipped_file("sample") / "marrowick_arm.geojson"
WEST, SOUTH = -99.62, 44.88
CORNERS = [(0, 0), (0.04, 0), (0.04, 0.04), (0, 0.04), (0, 0)]


@pytest.fixture(scope="module")
def fresh(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Live]:
    with at_home(tmp_path_factory.mktemp("home")), running(session=new_user()) as made:
        yield made


@pytest.fixture(autouse=True)
def no_waters(fresh: Live) -> None:
    folder = load_settings().folders.waters
    for name in files.names(folder):
        files.remove(name, folder)


def shape(west: float = WEST, name: str | None = None) -> dict[str, Any]:
    ring = [[west + east, SOUTH + north] for east, north in CORNERS]
    properties = {} if name is None else {"name": name}
    geometry = {"type": "Polygon", "coordinates": [ring]}
    return {"type": "Feature", "properties": properties, "geometry": geometry}


def geojson(*features: dict[str, Any]) -> bytes:
    return json.dumps({"type": "FeatureCollection", "features": features}).encode()


def gpx(points: list[tuple[float, float]], spot: tuple[float, float] | None = None) -> bytes:
    track = "".join(f'<trkpt lat="{SOUTH + y}" lon="{WEST + x}"/>' for x, y in points)
    way = f'<wpt lat="{spot[1]}" lon="{spot[0]}"><name>spot</name></wpt>' if spot else ""
    return (
        '<gpx version="1.1" creator="x" xmlns="http://www.topografix.com/GPX/1/1">'
        f"{way}<trk><trkseg>{track}</trkseg></trk></gpx>"
    ).encode()


KML = (
    '<kml xmlns="http://www.opengis.net/kml/2.2"><Placemark><name>Tesk Mere</name><Polygon>'
    "<outerBoundaryIs><LinearRing><coordinates>"
    + " ".join(f"{WEST + x},{SOUTH + y}" for x, y in CORNERS)
    + "</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark></kml>"
).encode()


def upload(live: Live, name: str, content: bytes) -> httpx.Response:
    data = {"token": live.token()}
    return live.client.post("/waters/file", data=data, files={"file": (name, content)})


def store(live: Live, found: httpx.Response, **said: str) -> httpx.Response:
    assert found.status_code == 200, Reader(found.text).text
    return live.send(found.url.path, **{"choice": "0", **said})


def stored(name: str) -> Water:
    return files.load(name, load_settings().folders.waters)


def names() -> list[str]:
    return files.names(load_settings().folders.waters)


# -- from a file -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("file", "content", "name"),
    [
        ("orvel.geojson", geojson(shape(name="Orvel Lake")), "Orvel Lake"),
        ("walk.gpx", gpx([(0, 0), (0.04, 0), (0.04, 0.04), (0, 0.04), (0, 0)]), "my lake"),
        ("mere.KML", KML, "Tesk Mere"),
    ],
)
def test_each_kind_of_file_becomes_a_water_and_leads_to_its_ramp(
    fresh: Live, file: str, content: bytes, name: str
) -> None:
    found = upload(fresh, file, content)
    done = store(fresh, found, name=name, depth="13", depth_unit="ft", kind="still")
    assert done.url.path.endswith("/ramp")
    water = stored(name)
    assert water.depth == pytest.approx(13 * 0.3048)  # the foot, exact by definition
    assert (water.kind, water.launches) == (WaterKind.STILL, ())
    assert f"{name} : It has no launch yet." in said(fresh.client.get("/own"))


def test_the_launches_of_a_file_are_taken_and_what_is_off_the_shore_is_left_out(
    fresh: Live,
) -> None:
    done = store(fresh, upload(fresh, "arm.geojson", ARM.read_bytes()), name="Arm")
    assert {launch.name for launch in stored("Arm").launches} == {"mill slip", "saltings steps"}
    assert done.url.path == "/water/arm"
    walk = gpx([(0, 0), (0.04, 0), (0.04, 0.04), (0, 0.04), (0, 0)], (WEST + 0.02, SOUTH + 0.02))
    store(fresh, upload(fresh, "walk.gpx", walk), name="Walk")
    assert stored("Walk").launches == ()
    assert "left out 1 point that is not at this shore" in stored("Walk").repairs


def test_of_several_waters_in_a_file_one_is_chosen(fresh: Live) -> None:
    both = geojson(shape(name="Near Lake"), shape(WEST + 1, "Far Lake"))
    found = upload(fresh, "two.geojson", both)
    assert "Far Lake" in said(found)
    store(fresh, found, choice="1")
    assert names() == ["Far Lake"]
    assert error_text(store(fresh, found, choice="7")) == "Choose one of the waters."


def error_text(page: httpx.Response) -> str:
    assert page.status_code == 422
    return next(text for text in Reader(page.text).parts["bdi"] if text.strip())


WRONG = {
    "not GeoJSON": ("a.geojson", b"shore", "is not GeoJSON"),
    "no water": ("a.geojson", geojson(), "no feature with a geometry"),
    "a picture": ("a.png", b"\x89PNG\r\n\x1a\n" + bytes(50), "cannot be read"),
    "GPX without a track": ("a.gpx", gpx([]), "no feature with a geometry"),
    "GPX with an open track": ("a.gpx", gpx([(0, 0), (0.04, 0)]), "it has lines but no polygon"),
    "GPX that is cut": ("a.gpx", gpx(CORNERS)[:-20], "is not GPX"),
    "KML with an entity": ("a.kml", b'<!DOCTYPE x [<!ENTITY y "z">]><kml>&y;</kml>', "entities"),
    "KMZ": ("a.kmz", b"PK\x03\x04", "is packed"),
    "another system": (
        "a.json",
        json.dumps({"type": "FeatureCollection", "crs": {"type": "name", "properties":
                    {"name": "EPSG:3857"}}, "features": [shape()]}).encode(),
        "another system",
    ),
    "not a number": ("a.json", b'{"type": "Point", "coordinates": [NaN, 1]}', "not a coordinate"),
    "nested": ("a.json", b"[" * 100_000, "is not GeoJSON"),
    "too large": ("a.json", b" " * (GREATEST_UPLOAD + 1), "more than 8 MB"),
    "empty": ("a.geojson", b"", "is not GeoJSON"),
    "no file": ("", b"", "Choose a file."),
}  # fmt: skip


@pytest.mark.parametrize("case", WRONG)
def test_a_file_that_cannot_be_used_is_refused_at_its_field_and_nothing_is_stored(
    fresh: Live, case: str
) -> None:
    name, content, part = WRONG[case]
    answer = upload(fresh, name, content)
    assert part in error_at(answer, "file")
    assert names() == []


def test_a_form_without_the_file_and_one_that_is_far_too_large_are_refused(fresh: Live) -> None:
    assert "Choose a file." in error_at(fresh.send("/waters/file"), "file")
    assert "Choose a file." in error_at(fresh.send("/waters/file", file="text"), "file")
    huge = upload(fresh, "a.json", b" " * (4 * GREATEST_UPLOAD))
    assert huge.status_code == 413
    two = [("file", ("a.json", b"{}")), ("other", ("b.json", b"{}"))]
    data = {"token": fresh.token()}
    assert fresh.client.post("/waters/file", data=data, files=two).status_code == 400
    assert names() == []


@pytest.mark.parametrize(
    "name", ["../../settings.toml", "/etc/passwd", "..\\..\\x.geojson", "a\x00b.geojson", "c" * 400]
)
def test_the_name_of_a_file_is_never_a_path(fresh: Live, name: str) -> None:
    home = load_settings().folders.settings_file.parent
    before = sorted(path for path in home.rglob("*") if path.is_file())
    done = store(fresh, upload(fresh, name, geojson(shape())), name="Tesk")
    assert done.status_code == 200
    new = {path for path in home.rglob("*") if path.is_file()} - set(before)
    files = {path.name for path in new if "cache" not in path.parts}
    assert files - {LOCK} == {"tesk.geojson"}


@pytest.mark.one_in(4)
@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_of_waters_launches_and_files_stay_text(fresh: Live, name: str) -> None:
    text = HOSTILE[name][:55]
    found = upload(fresh, f"{text}.geojson".replace("\n", ""), geojson(shape(name=text)))
    done = store(fresh, found, name=text)
    if done.status_code == 422:  # turned directions, or nothing that names a file
        assert error_at(done, "name")
        return
    page = done.url.path
    fresh.send(page, at=f"{SOUTH},{WEST}", name=text)
    for path in ("/own", page, page.removesuffix("/ramp"), "/"):
        answer = fresh.client.get(path)
        assert answer.status_code == 200
        assert [tag for tag, _ in Reader(answer.text).tags].count("script") <= 3
        assert not {"img", "b"} & {tag for tag, _ in Reader(answer.text).tags}
        assert not any(
            "onload" in said or "onerror" in said for _, said in Reader(answer.text).tags
        )
    drawn = fresh.client.get(f"{page.removesuffix('ramp')}outline.svg")
    assert drawn.headers["content-type"] == "image/svg+xml"
    assert "<script" not in drawn.text
    assert "onload=" not in drawn.text.replace("&lt;svg onload=", "")


# -- names -------------------------------------------------------------------------------------


def test_a_water_of_the_same_name_is_replaced_only_when_that_is_confirmed(fresh: Live) -> None:
    found = upload(fresh, "a.geojson", geojson(shape()))
    store(fresh, found, name="Orvel Lake")
    fresh.send("/water/orvel-lake/ramp", at=f"{SOUTH},{WEST}", name="ramp")
    again = store(fresh, found, name="Orvel Lake")
    assert "You have a water 'Orvel Lake'" in error_at(again, "name")
    assert len(stored("Orvel Lake").launches) == 1
    assert "Replace my water of this name" in said(again)
    store(fresh, found, name="Orvel Lake", replace="yes")
    assert stored("Orvel Lake").launches == ()
    alike = store(fresh, found, name="orvel lake!", replace="yes")
    assert "too similar to 'Orvel Lake'" in error_at(alike, "name")


@pytest.mark.parametrize(
    ("typed", "field", "part"),
    [
        ({"name": "??"}, "name", "letter or digit"),
        ({"name": "x", "depth": "deep", "depth_unit": "ft"}, "depth", "not a number"),
        ({"name": "x", "depth": "0", "depth_unit": "ft"}, "depth", "greater than zero"),
        ({"name": "x", "kind": "wavy"}, "kind", "still, tidal, flowing, both"),
    ],
)
def test_what_is_said_of_a_new_water_is_refused_at_its_field(
    fresh: Live, typed: dict[str, str], field: str, part: str
) -> None:
    answer = store(fresh, upload(fresh, "a.geojson", geojson(shape())), **typed)
    assert part in error_at(answer, field)
    assert names() == []


def test_a_search_that_is_no_longer_stored_says_so(fresh: Live) -> None:
    assert fresh.client.get("/waters/found/guessed").status_code == 404
    assert fresh.send("/waters/found/guessed", choice="0", name="x").status_code == 404


# -- the ramp ----------------------------------------------------------------------------------


def tap(live: Live, page: str, right: int, down: int, **view: str) -> httpx.Response:
    return live.client.get(page, params={**view, "small.x": str(right), "small.y": str(down)})


def test_two_taps_on_the_outline_put_the_ramp_on_the_shore_without_any_script(
    fresh: Live,
) -> None:
    store(fresh, upload(fresh, "a.geojson", geojson(shape())), name="Square")
    page = "/water/square/ramp"
    first = tap(fresh, page, 30, 160)  # left of the middle of the western shore
    for _ in range(2):
        query = dict(httpx.QueryParams(urlsplit(str(first.url)).query))
        view = {"around": query["at"], "span": query["span"]}
        first = tap(fresh, page, 160, 160, **view)
    place = next(
        str(said["value"]) for tag, said in Reader(first.text).tags if said.get("name") == "at"
    )
    done = fresh.send(page, at=place, name="west ramp")
    assert done.url.path == "/own"
    [launch] = stored("Square").launches
    assert launch.name == "west ramp"
    assert launch.longitude == pytest.approx(WEST, abs=1e-4)
    assert launch.latitude == pytest.approx(SOUTH + 0.02, abs=0.003)  # 300 m: one tap's place
    _, off = nearest_shore(stored("Square"), (launch.latitude, launch.longitude))
    assert off < 1.0
    assert "It has no launch yet" not in said(done)


def test_a_numbered_place_leads_closer_and_can_be_stored(fresh: Live) -> None:
    store(fresh, upload(fresh, "a.geojson", ARM.read_bytes()), name="Arm")
    page = fresh.client.get("/water/arm/ramp")
    for _ in range(3):
        to = [
            str(said["href"])
            for tag, said in Reader(page.text).tags
            if tag == "a" and "ramp?at=" in str(said.get("href"))
        ]
        page = fresh.client.get(to[1])
        assert page.status_code == 200
    assert "The pin is at" in said(page)


def test_a_place_off_the_shore_says_how_far_it_is_and_pins_the_nearest_shore(fresh: Live) -> None:
    store(fresh, upload(fresh, "a.geojson", geojson(shape())), name="Square")
    page = fresh.client.get("/water/square/ramp", params={"at": f"{SOUTH + 0.02}, {WEST - 0.01}"})
    assert "from this shore. The pin is at the nearest shore." in said(page)
    near = fresh.client.get("/water/square/ramp", params={"at": f"{SOUTH + 0.02}, {WEST}"})
    assert "nearest shore" not in said(near)


@pytest.mark.one_in(2)
@pytest.mark.parametrize(
    "query",
    [
        {"span": "1e400"},
        {"span": "-5", "around": "nan,nan"},
        {"around": "91,0", "span": "0"},
        {"small.x": "NaN", "small.y": "2"},
        {"small.x": "99999999", "small.y": "99999999", "span": "999999999", "around": "44,-99"},
        {"at": "-89.99, 10", "span": "999999999"},
        {"at": "0,0"},
    ],
)
def test_no_view_is_a_server_error(fresh: Live, query: dict[str, str]) -> None:
    store(fresh, upload(fresh, "a.geojson", geojson(shape())), name="Square")
    for path in ("/water/square/ramp", "/water/square/outline.svg"):
        assert fresh.client.get(path, params=query).status_code in (200, 422)


def test_coordinates_that_are_no_place_are_refused_at_their_field(fresh: Live) -> None:
    store(fresh, upload(fresh, "a.geojson", geojson(shape())), name="Square")
    page = fresh.client.get("/water/square/ramp", params={"at": "by the pub"})
    assert "is not a place" in error_at(page, "at")
    refused = fresh.send("/water/square/ramp", at=f"{SOUTH},{WEST}", name="")
    assert "printable characters" in error_at(refused, "name")
    assert stored("Square").launches == ()


def test_what_the_user_knows_of_a_water_is_stored_all_or_nothing(fresh: Live) -> None:
    store(fresh, upload(fresh, "a.geojson", ARM.read_bytes()), name="Arm")
    fresh.send("/water/arm", kind="tidal", dam="yes", elevation="3", elevation_unit="m", drive="45",
               drive_unit="min", estimate="yes", depth="pond")  # fmt: skip
    water = stored("Arm")
    assert (water.kind, water.dam, water.bar) == (WaterKind.TIDAL, True, False)
    assert (water.elevation, water.drive) == (3.0, 45 * 60.0)
    assert water.estimate is not None
    assert (water.estimate.depth, water.estimate.excluded) == ("pond", ())
    form = fresh.client.get("/water/arm").text
    assert 'id="dam" name="dam" type="checkbox" value="yes" checked' in form
    wrong = fresh.send("/water/arm", kind="still", elevation="99", elevation_unit="mi")
    assert "no water on Earth" in error_at(wrong, "elevation")
    assert stored("Arm").kind == WaterKind.TIDAL
    fresh.send("/water/arm/launch/remove", launch="mill slip")
    assert [launch.name for launch in stored("Arm").launches] == ["saltings steps"]
    assert fresh.send("/water/arm/launch/remove", launch="mill slip").status_code == 422
    assert fresh.send("/water/arm/remove").url.path == "/own"
    assert names() == []
    assert fresh.client.get("/water/arm").status_code == 404


def test_a_launch_that_falls_dry_and_a_local_rule_are_said_on_the_page_of_the_water(
    fresh: Live,
) -> None:
    sent = upload(fresh, "a.geojson", ARM.read_bytes())
    store(fresh, sent, name="Arm", kind="tidal")
    fresh.send("/water/arm", kind="tidal", launch="mill slip", dries="0.5", dries_unit="m")
    assert [launch.dries for launch in stored("Arm").launches] == [0.5, None]
    alone = fresh.send("/water/arm", kind="tidal", dries="0.5", dries_unit="m")
    assert "belong together" in said(alone)
    rule = {"name": "funnels from noon", "add_wind": "5", "add_wind_unit": "mph"}
    done = fresh.send("/water/arm/rule", **rule, hours="12:00-18:00", wind_from="SW-NW")
    [stored_rule] = stored("Arm").rules
    assert stored_rule.wind_added == pytest.approx(5 * 0.44704)  # the mile an hour, exact
    assert stored_rule.hours == (12 * 60, 18 * 60)
    assert "funnels from noon" in said(done)
    for changes, field, part in (
        ({"add_wind": "-5"}, "add_wind", "negative"),
        ({"add_wind": "0"}, "add_wind", "adds wind"),
        ({"hours": "noon"}, "hours", "not a span of the day"),
        ({"wind_from": "up"}, "wind_from", "up"),
        ({"name": " "}, "name", "printable"),
    ):
        refused = fresh.send("/water/arm/rule", **{**rule, **changes})
        assert part in error_at(refused, field)
    assert stored("Arm").rules == (stored_rule,)
    fresh.send("/water/arm/rule/remove", rule="funnels from noon")
    assert stored("Arm").rules == ()


# -- from the map ------------------------------------------------------------------------------


@pytest.fixture
def map_server(fresh: Live, tmp_path: Path) -> Iterator[FakeServer]:
    with FakeServer() as server:
        services = {"overpass": server.url, "nominatim": server.url}
        edit_settings(lambda document: document.update({"services": services}))
        server.serve("/search", json_reply([named(16), named(17)]))
        server.serve("/api/interpreter", answer(LAKE, POND))
        yield server
        edit_settings(lambda document: document.pop("services"))


def test_waters_near_a_place_are_listed_with_size_and_distance_to_choose_from(
    fresh: Live, map_server: FakeServer
) -> None:
    found = fresh.send("/waters/near", near="44.9, -99.6")
    lake, pond = (text for text in Reader(found.text).parts["bdi"] if "km²" in text)
    assert re.fullmatch(r"Invented Lake \(lake\): [\d.]+ km², 1 island, relation/17", lake)
    assert re.fullmatch(r"Tesk Pond \(water\): [\d.]+ km², 0 islands, \d+ m away, way/18", pond)
    assert "OpenStreetMap contributors" in said(found)
    done = store(fresh, found, name="")
    assert stored("Invented Lake").attribution.endswith("(relation/17)")
    assert done.url.path == "/water/invented-lake/ramp"
    assert dict(done.url.params)["at"] == "44.90000,-99.60000"


def test_a_water_is_found_by_its_name_and_its_outline_asked_for_once_chosen(
    fresh: Live, map_server: FakeServer
) -> None:
    map_server.serve("/api/interpreter", answer(LAKE))
    found = fresh.send("/waters/find", find="Invented Lake, Nowhere")
    assert "Invented Lake, County 17, Nowhere (water)" in said(found)
    assert [request.path for request in map_server.asked if "interp" in request.path] == []
    done = store(fresh, found, choice="1", name="mine")
    assert done.url.path == "/water/mine/ramp"
    assert "ODbL" in stored("mine").attribution


@pytest.mark.parametrize(
    ("path", "field", "typed", "part"),
    [
        ("/waters/near", "near", "", "is not a place"),
        ("/waters/near", "near", "91, 0", "is not a place"),
        ("/waters/near", "near", "somewhere", "is not a place"),
        ("/waters/find", "find", "  ", "Write the name of the water."),
    ],
)
def test_a_place_or_name_that_cannot_be_is_refused_and_nobody_is_asked(
    fresh: Live, map_server: FakeServer, path: str, field: str, typed: str, part: str
) -> None:
    assert part in error_at(fresh.send(path, **{field: typed}), field)
    assert map_server.asked == []


def test_a_map_service_that_fails_is_told_at_the_field(fresh: Live, map_server: FakeServer) -> None:
    map_server.serve("/api/interpreter", html_page())
    failed = fresh.send("/waters/near", near="44.91, -99.61")
    assert failed.status_code == 502
    assert 'id="near-error"' in failed.text
    assert 'value="44.91, -99.61"' in failed.text
    map_server.serve("/api/interpreter", answer())
    nothing = fresh.send("/waters/near", near="44.92, -99.61")
    assert "no lake, reservoir or river area is mapped there" in said(nothing)
    assert names() == []

from __future__ import annotations

import json
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon, affinity
from shapely.geometry import shape

from safety_check.errors import DataError
from safety_check.sources.openstreetmap.overpass import Found, parse, query
from safety_check.sources.openstreetmap.ring_assembly import assemble
from tests.properties import cases
from tests.recordings import shared_folder
from tests.sources.spoiled import NO_JSON, any_bytes, at, provenance

HERE = (45.0, 10.0)
Ring = list[tuple[float, float]]


def recorded(name: str) -> bytes:
    return (shared_folder("recorded", "osm") / name).read_bytes()


def nodes(line: Ring) -> list[dict[str, float]]:
    return [{"lat": latitude, "lon": longitude} for longitude, latitude in line]


def member(line: Ring, role: str = "outer") -> dict[str, Any]:
    return {"type": "way", "ref": 1, "role": role, "geometry": nodes(line)}


def relation(*members: dict[str, Any], **tags: str) -> dict[str, Any]:
    told = {"type": "multipolygon", "natural": "water", **tags}
    return {"type": "relation", "id": 7, "members": list(members), "tags": told}


def way(line: Ring, **tags: str) -> dict[str, Any]:
    return {"type": "way", "id": 3, "geometry": nodes(line), "tags": {"natural": "water", **tags}}


def answer(*elements: dict[str, Any], **more: object) -> dict[str, Any]:
    base = {"timestamp_osm_base": "2026-05-01T10:00:00Z", "copyright": "ODbL"}
    return {"version": 0.6, "osm3s": base, "elements": list(elements), **more}


def found(*elements: dict[str, Any], here: tuple[float, float] = HERE, **more: object) -> Found:
    return parse(json.dumps(answer(*elements, **more)).encode(), provenance(), here)


def square(west: float, south: float, size: float) -> Ring:
    east, north = west + size, south + size
    return [(west, south), (east, south), (east, north), (west, north), (west, south)]


def area(*elements: dict[str, Any]) -> float:
    """Return the area of the first outline in square degrees: squares stay squares."""
    return float(shape(found(*elements).outlines[0].geometry).area)


def in_pieces(ring: Ring, count: int, role: str) -> list[dict[str, Any]]:
    """Return a ring as ways, every other one turned round and all in disorder."""
    step = max(1, (len(ring) - 1) // count)
    ends = [*range(0, len(ring) - 1, step), len(ring) - 1]
    pieces = [ring[one : other + 1] for one, other in pairwise(ends)]
    turned = [piece[::-1] if turn % 2 else piece for turn, piece in enumerate(pieces)]
    return [member(piece, role) for piece in turned[1::2] + turned[::2]]


# -- recordings -------------------------------------------------------------------------------


def chained(ways: list[dict[str, Any]]) -> list[Ring]:
    """Return the rings of ways by following their ends: another way than the program's."""
    lines = [[(entry["lon"], entry["lat"]) for entry in way["geometry"]] for way in ways]
    rings = []
    while lines:
        ring = lines.pop()
        while ring[0] != ring[-1]:
            at_end = next(line for line in lines if ring[-1] in (line[0], line[-1]))
            lines.remove(at_end)
            ring += (at_end if at_end[0] == ring[-1] else at_end[::-1])[1:]
        rings += loops(ring)
    return rings


def loops(ring: Ring) -> list[Ring]:
    """Return the simple rings of one that meets itself in points."""
    path: Ring = []
    found = []
    for point in ring:
        if point in path:
            start = path.index(point)
            found.append([*path[start:], point])
            del path[start:]
        path.append(point)
    return found


def shoelace(ring: Ring) -> float:
    pairs = pairwise(ring)
    return abs(sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in pairs)) / 2


def test_recorded_pieces_of_many_rings_are_joined_as_following_their_ends_joins_them():
    # a boundary with enclaves, tagged as if it were a lake with islands
    body = json.loads(recorded("overpass_relation_out_geom_many_rings.json"))
    element = body["elements"][0]
    element["tags"]["natural"] = "water"
    ways = [one_member for one_member in element["members"] if one_member["type"] == "way"]
    shores, islands = (
        chained([one_way for one_way in ways if one_way["role"] == role])
        for role in ("outer", "inner")
    )

    [outline] = parse(json.dumps(body).encode(), provenance(), (51.44, 4.93)).outlines
    water: Any = shape(outline.geometry)

    # 24 outer and 25 inner ways; two of the islands meet in one point
    assert (len(ways), len(shores), len(islands)) == (49, 9, 21)
    assert (len(water.geoms), sum(len(part.interiors) for part in water.geoms)) == (9, 21)
    assert water.is_valid
    expected = sum(map(shoelace, shores)) - sum(map(shoelace, islands))
    assert water.area == pytest.approx(expected, rel=1e-9)  # rounding of sums
    assert outline.osm_id == "relation/2718379"
    assert outline.name == "Baarle-Nassau"


def lakes() -> list[dict[str, Any]]:
    return list(json.loads(recorded("lakes_with_islands_quickosm.geojson"))["features"])


@pytest.mark.parametrize("index", range(3))
@pytest.mark.parametrize("count", [1, 2, 7])
def test_a_recorded_lake_cut_into_ways_is_the_same_lake_when_joined(index, count):
    lake: Any = shape(lakes()[index]["geometry"])
    members = [
        piece
        for part in lake.geoms
        for ring, role in [
            (part.exterior, "outer"),
            *((interior, "inner") for interior in part.interiors),
        ]
        for piece in in_pieces([(x, y) for x, y in ring.coords], count, role)
    ]

    joined = shape(found(relation(*members)).outlines[0].geometry)

    assert joined.equals(lake)
    islands = [1, 2, 0][index]
    assert sum(len(part.interiors) for part in lake.geoms) == islands  # its README


def test_recorded_centres_are_not_outlines():
    with pytest.raises(DataError, match="no outline") as refused:
        parse(recorded("overpass_water_out_center.json"), provenance(), (51.43, -0.98))

    # 119 waters in the file, three of them named
    assert "Hammond's Pond (way/24287215)" in str(refused.value)
    assert "(and 116 more)" in str(refused.value)


@pytest.mark.parametrize(
    "name",
    [
        "overpass_relation_out_center.json",  # a town
        "overpass_multipolygon_out_body_nodes.json",  # a building
        "overpass_mixed_area_2014.json",  # a village
    ],
)
def test_recorded_towns_and_buildings_are_no_water(name):
    with pytest.raises(DataError, match="no lake, reservoir or river area"):
        parse(recorded(name), provenance(), HERE)


@pytest.mark.parametrize(
    "name",
    [
        "nominatim_reverse_marshfield.json",
        "nominatim_search_berlin.json",
        "nominatim_search_polygon_milano.json",
        "nominatim_search_salzburg.json",
        "lakes_with_islands_quickosm.geojson",
    ],
)
def test_recorded_answers_of_other_kinds_are_refused(name):
    with pytest.raises(DataError, match="not as documented"):
        parse(recorded(name), provenance(), HERE)


def test_recorded_nodes_and_ways_that_come_apart_are_joined_by_their_numbers():
    # the building's inner way goes there and back: as a shore it encloses nothing
    body = json.loads(recorded("overpass_multipolygon_out_body_nodes.json"))
    body["elements"][-1]["tags"]["natural"] = "water"
    body["elements"][-1]["members"][0]["role"] = "outer"

    with pytest.raises(DataError, match=r"near 52\.45238, 13\.29066"):
        parse(json.dumps(body).encode(), provenance(), HERE)


# -- rings ------------------------------------------------------------------------------------


def test_a_closed_way_is_a_lake():
    [lake] = found(way(square(10, 45, 0.01), name="Pond")).outlines

    assert (lake.name, lake.kind, lake.osm_id, lake.flowing) == ("Pond", "water", "way/3", False)
    assert lake.geometry["type"] == "Polygon"
    # 0.01° at 45° N: 1111.3 m by 788.5 m (lengths of a degree, WGS84, from memory)
    assert lake.area == pytest.approx(1111.3 * 788.5, rel=1e-3)  # lengths printed to 0.1 m


def test_islands_are_land_and_a_lake_on_an_island_is_water():
    members = [
        member(square(10, 45, 1.0)),
        member(square(10.2, 45.2, 0.5), "inner"),
        member(square(10.3, 45.3, 0.1), "outer"),
    ]

    assert area(relation(*members)) == pytest.approx(1 - 0.25 + 0.01)
    assert area(relation(*members[::-1])) == pytest.approx(1 - 0.25 + 0.01)


def test_islands_may_touch_each_other_and_the_shore():
    shore = member([(10, 45), (10.2, 45), (11, 45), (11, 46), (10, 46), (10, 45)])
    one, other = square(10.2, 45.2, 0.2), square(10.4, 45.2, 0.2)
    tip = [(10.2, 45), (10.3, 45.1), (10.1, 45.1), (10.2, 45)]

    joined = area(relation(shore, *(member(value, "inner") for value in (one, other, tip))))

    assert joined == pytest.approx(1 - 0.04 - 0.04 - 0.01)


def test_islands_that_share_a_way_are_both_land():
    shared = [(10.4, 45.2), (10.4, 45.4)]
    left = [(10.4, 45.4), (10.2, 45.4), (10.2, 45.2), (10.4, 45.2)]
    right = [(10.4, 45.2), (10.6, 45.2), (10.6, 45.4), (10.4, 45.4)]

    joined = area(
        relation(
            member(square(10, 45, 1.0)),
            *(member(value, "inner") for value in (shared, left, right)),
        )
    )

    assert joined == pytest.approx(1 - 0.08)


def test_an_island_said_twice_is_still_land():
    island = member(square(10.2, 45.2, 0.5), "inner")

    assert area(relation(member(square(10, 45, 1.0)), island, island)) == pytest.approx(0.75)


def test_a_lake_of_two_parts_has_two_parts():
    [lake] = found(relation(member(square(10, 45, 0.1)), member(square(10.2, 45, 0.1)))).outlines

    assert lake.geometry["type"] == "MultiPolygon"
    assert len(lake.geometry["coordinates"]) == 2


def test_repeated_points_and_members_of_other_roles_change_nothing():
    ring = [point for point in square(10, 45, 0.1) for _ in range(2)]
    label = {"type": "node", "ref": 1, "role": "label", "lat": 45.05, "lon": 10.05}
    stream = member([(9, 45), (10, 45)], "main_stream")

    assert area(relation(member(ring, ""), label, stream)) == pytest.approx(0.01)


def test_ways_and_nodes_may_come_apart():
    ring = square(10, 45, 0.1)
    apart = [{"type": "node", "id": number, **nodes(ring)[number]} for number in range(4)]
    shore = {"type": "way", "id": 9, "nodes": [0, 1, 2, 3, 0]}
    lake = relation({"type": "way", "ref": 9, "role": "outer"})

    assert area(*apart, shore, lake) == pytest.approx(0.01)


BROKEN = {
    "open by one point": (way(square(10, 45, 0.1)[:-1]), "does not close near 45"),
    "a piece is missing": (
        relation(*in_pieces(square(10, 45, 0.1), 4, "outer")[:-1]),
        "does not close near",
    ),
    "an island is open": (
        relation(member(square(10, 45, 1)), member(square(10.2, 45.2, 0.1)[:-1], "inner")),
        "does not close near",
    ),
    "ends a hair apart": (
        way([*square(10, 45, 0.1)[:-1], (10.0000001, 45)]),
        "does not close near",
    ),
    "a figure of eight": (
        way([(10, 45), (10.1, 45.1), (10.1, 45), (10, 45.1), (10, 45)]),
        "crosses itself near",
    ),
    "clipped": (
        {**way([]), "geometry": [*nodes(square(10, 45, 0.1)[:2]), None, *nodes([(10, 45)])]},
        "points of its shore are missing",
    ),
    "a node did not come": (
        {**way([]), "geometry": None, "nodes": [1, 2]},
        "but no outline",
    ),
    "a member did not come": (
        relation(member(square(10, 45, 1)), {"type": "way", "ref": 8, "role": "inner"}),
        "but no outline",
    ),
    "one point": (way([(10, 45), (10, 45)]), "a single point"),
    "there and back": (way([(10, 45), (10.1, 45), (10, 45)]), "crosses itself near"),
    "only islands": (relation(member(square(10, 45, 1), "inner")), "no shore among its members"),
    "all island": (
        relation(member(square(10, 45, 1)), member(square(10, 45, 1), "inner")),
        "enclose no water",
    ),
    "off the globe": (way(square(10, 89.95, 0.1)), "points of its shore are missing"),
    "projected coordinates": (way(square(500_000, 4_900_000, 10)), "points of its shore"),
}


@pytest.mark.parametrize("case", BROKEN)
def test_a_broken_outline_is_refused_and_never_closed(case):
    element, words = BROKEN[case]

    with pytest.raises(DataError, match=words):
        found(element)


def test_a_broken_water_does_not_hide_a_sound_one_but_is_told():
    broken, _ = BROKEN["a figure of eight"]

    both = found(
        {**broken, "id": 8, "tags": {"natural": "water", "name": "Torn"}}, way(square(10, 45, 0.1))
    )

    assert [outline.osm_id for outline in both.outlines] == ["way/3"]
    assert both.refused[0].startswith("Torn (way/8): its shore crosses itself")


@cases(60)
@given(st.integers(3, 40), st.integers(1, 9), st.floats(0, 360), st.booleans())
def test_however_a_shore_is_cut_the_lake_is_the_same(corners, count, turn, turned):
    lake = affinity.rotate(Polygon(square(0, 0, 1)), turn).buffer(0.5, quad_segs=corners)
    ring = [(x, y) for x, y in lake.exterior.coords][:: -1 if turned else 1]
    pieces = [
        [(entry["lon"], entry["lat"]) for entry in piece["geometry"]]
        for piece in in_pieces(ring, count, "outer")
    ]

    assert assemble(pieces, []).equals(lake)


# -- what is said of a water ------------------------------------------------------------------

KINDS = [
    ({"water": "lake"}, "lake", False),
    ({"water": "reservoir"}, "reservoir", False),
    ({"natural": "", "landuse": "reservoir"}, "reservoir", False),
    ({"water": "river"}, "river", True),
    ({"water": "canal"}, "canal", True),
    ({"natural": "", "waterway": "riverbank"}, "river", True),
    ({}, "water", False),
]


@pytest.mark.parametrize(("tags", "kind", "flowing"), KINDS)
def test_the_area_of_a_river_is_marked_as_flowing(tags, kind, flowing):
    [water] = found(way(square(10, 45, 0.1), **tags)).outlines

    assert (water.kind, water.flowing) == (kind, flowing)


@pytest.mark.parametrize(
    "tags",
    [{"natural": "bay"}, {"natural": "coastline"}, {"natural": "wood"}, {"boundary": "lake"}],
)
def test_bays_coasts_and_land_are_no_waters(tags):
    with pytest.raises(DataError, match="no lake, reservoir or river area"):
        found(way(square(10, 45, 0.1), **{"natural": "", **tags}))


def test_waters_are_told_nearest_first_with_their_distance():
    around = {**way(square(9.95, 44.95, 0.1)), "id": 1}
    north = {**way(square(10, 45.1, 0.1)), "id": 2}
    east = {**way(square(10.06, 45, 0.01)), "id": 3}

    told = found(north, east, around).outlines

    assert [item.osm_id for item in told] == ["way/1", "way/3", "way/2"]
    assert told[0].distance == 0
    # 0.06° east and 0.1° north at 45°: 78.85 and 111.13 km a degree (WGS84, from memory)
    assert told[1].distance == pytest.approx(4731, abs=2)
    assert told[2].distance == pytest.approx(11_113, abs=3)


def test_the_age_and_the_credit_of_the_map_stay_with_it():
    source = provenance()
    told = parse(json.dumps(answer(way(square(10, 45, 0.1)))).encode(), source, HERE)

    assert told.provenance.issued == at("2026-05-01T10:00:00")
    assert told.provenance.attribution == source.attribution


def test_names_and_tags_can_not_command_the_terminal():
    [lake] = found(way(square(10, 45, 0.1), name="Lake\x1b[2J \u202eX", depth="3\x07")).outlines

    assert (lake.name, lake.tags["depth"]) == ("Lake X", "3")


def test_the_geometry_is_geojson_with_shores_and_islands_turned_as_it_asks():
    members = [member(square(10, 45, 1)), member(square(10.2, 45.2, 0.5), "inner")]
    [lake] = found(relation(*members)).outlines

    plain = json.loads(json.dumps(lake.geometry))
    water: Any = shape(plain)
    assert plain == lake.geometry
    assert water.exterior.is_ccw  # RFC 7946, 3.1.6
    assert not water.interiors[0].is_ccw


@pytest.mark.parametrize("elements", [[], [way(square(10, 45, 0.1))]])
def test_a_remark_is_a_failed_query_even_with_status_200_and_elements(elements):
    with pytest.raises(DataError, match="runtime error: Query timed out"):
        found(*elements, remark='runtime error: Query timed out in "query" at line 3')


def test_nothing_found_says_what_to_do():
    with pytest.raises(DataError, match="add a GeoJSON file"):
        found()


@pytest.mark.parametrize("case", NO_JSON)
def test_what_is_no_answer_is_refused(case):
    with pytest.raises(DataError, match="a service"):
        parse(NO_JSON[case], provenance(), HERE)


def test_the_query_asks_for_shores_near_the_point_and_for_waters_that_hold_it():
    asked = query(45.5, -122.25, 250.4)["data"]

    assert asked.startswith("[out:json][timeout:60]")
    assert "is_in(45.500,-122.250)->.areas;" in asked
    assert 'relation["natural"="water"](around:250,45.500,-122.250);' in asked
    assert 'way["landuse"="reservoir"](pivot.areas);' in asked
    assert asked.endswith("out geom;")


SPOILABLE = answer(
    {"type": "node", "id": 1, "lat": 45.0, "lon": 10.0},
    {"type": "way", "id": 2, "nodes": [1, 1]},
    way(square(10, 45, 0.1)),
    relation(
        member(square(10, 45, 1.0)),
        member(square(10.2, 45.2, 0.5), "inner"),
        {"type": "way", "ref": 2, "role": "inner"},
    ),
)


@cases(250)
@given(any_bytes(SPOILABLE))
def test_any_bytes_are_outlines_or_refused(body):
    try:
        told = parse(body, provenance(), HERE)
    except DataError:
        return
    assert all(shape(outline.geometry).is_valid for outline in told.outlines)

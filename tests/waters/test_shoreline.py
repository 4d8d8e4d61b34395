"""A shoreline is checked or refused in one paragraph, and laid on a plane."""

from __future__ import annotations

import numpy as np
import pytest
from pyproj import Geod

from safety_check.errors import ConfigError
from safety_check.physics.fetch import inside, straight_fetch
from safety_check.waters import shoreline
from safety_check.waters.projection import local_rings, to_degrees, to_metres
from safety_check.waters.shoreline import check_shoreline

EARTH = Geod(ellps="WGS84")


def box(west, south, east, north):
    return [[west, south], [east, south], [east, north], [west, north], [west, south]]


def polygon(*rings):
    return {"type": "Polygon", "coordinates": list(rings)}


def multipolygon(*polygons):
    return {"type": "MultiPolygon", "coordinates": list(polygons)}


LAKE = box(12.0, 47.0, 12.1, 47.1)
ISLAND = box(12.04, 47.04, 12.06, 47.06)


def star(points, step):
    """Return a star whose edges cross points × (step - 1) times, as {points/step} polygons do."""
    turns = 2 * np.pi * step / points * np.arange(points + 1)
    corners = np.column_stack([12.0 + 0.05 * np.cos(turns), 47.0 + 0.05 * np.sin(turns)])
    return [*corners[:-1].tolist(), corners[0].tolist()]


def water_at(rings, *positions):
    return inside(rings, np.array(positions)).tolist()


# -- shapes that pass, mended or not -------------------------------------------------------------


def test_a_sound_lake_with_an_island_keeps_its_positions_and_needs_no_repair():
    rings, repairs = check_shoreline(polygon(LAKE, ISLAND), "lake.geojson")

    assert repairs == ()
    assert [sorted(ring.tolist()) for ring in rings] == [sorted(LAKE), sorted(ISLAND)]
    assert all(np.array_equal(ring[0], ring[-1]) for ring in rings)


def test_heights_in_positions_are_passed_over():
    rings, _ = check_shoreline(polygon([[*value, 518.0] for value in LAKE]), "lake.geojson")

    assert rings[0].shape == (5, 2)


def test_an_open_ring_is_closed_and_the_repair_stated():
    rings, repairs = check_shoreline(polygon(LAKE[:-1]), "lake.geojson")

    assert repairs == ("a ring was open by 11120 m; a straight line closes it",)
    assert np.array_equal(rings[0][0], rings[0][-1])


def test_a_ring_that_lacks_a_part_of_its_shore_is_refused():
    turn = np.linspace(0, 4.5, 60)
    arc = np.column_stack([12 + 0.05 * np.cos(turn), 47 + 0.05 * np.sin(turn)])

    with pytest.raises(ConfigError, match=r"lake\.geojson, ring 1: it ends \d+ m from its start"):
        check_shoreline(polygon(arc.tolist()), "lake.geojson")


def test_a_crossed_shore_is_untangled_and_the_place_named():
    bow = [[12, 47], [12.1, 47.1], [12.1, 47], [12, 47.1], [12, 47]]

    rings, repairs = check_shoreline(polygon(bow), "bow.geojson")

    assert len(repairs) == 1
    assert "crossed itself (self-intersection near 47.05000, 12.05000)" in repairs[0]
    assert water_at(rings, [12.02, 47.05], [12.05, 47.02]) == [True, False]


def test_a_shore_that_reads_in_two_ways_is_refused():
    turn = np.radians(np.arange(0, 6) * 144)
    star = np.column_stack([12 + 0.1 * np.sin(turn), 47 + 0.1 * np.cos(turn)])

    with pytest.raises(ConfigError, match="it is not clear whether"):
        check_shoreline(polygon(star.tolist()), "star.geojson")


def test_an_island_that_touches_the_shore_in_one_point_is_sound():
    touching = [[12, 47.05], [12.02, 47.04], [12.02, 47.06], [12, 47.05]]

    rings, repairs = check_shoreline(polygon(LAKE, touching), "lake.geojson")

    assert repairs == ()
    assert water_at(rings, [12.015, 47.05], [12.03, 47.05]) == [False, True]


@pytest.mark.parametrize(
    "island",
    [
        box(12.0, 47.04, 12.02, 47.06),  # shares an edge with the shore
        box(11.99, 47.04, 12.02, 47.06),  # lies over it
    ],
)
def test_an_island_over_the_shore_is_land_and_the_repair_stated(island):
    rings, repairs = check_shoreline(polygon(LAKE, island), "lake.geojson")

    assert "it is treated as land" in repairs[0]
    assert water_at(rings, [12.01, 47.05], [11.995, 47.05], [12.03, 47.05]) == [False, False, True]


def test_halves_of_a_lake_are_joined_so_that_no_line_stops_the_wind():
    halves = multipolygon([box(12.0, 47.0, 12.05, 47.1)], [box(12.05, 47.0, 12.1, 47.1)])

    rings, repairs = check_shoreline(halves, "lake.geojson")

    assert repairs == ("parts of the water that touch were joined",)
    fetch = straight_fetch(rings, np.array([[12.02, 47.05]]), np.array([90.0]))
    assert fetch[0, 0] == pytest.approx(0.08)


def test_a_polygon_inside_another_is_an_island_and_one_inside_that_a_lake():
    nested = multipolygon([LAKE], [ISLAND], [box(12.049, 47.049, 12.051, 47.051)])

    rings, repairs = check_shoreline(nested, "lake.geojson")

    assert repairs == ("a polygon inside another was read as an island",)
    assert water_at(rings, [12.02, 47.02], [12.045, 47.05], [12.05, 47.05]) == [True, False, True]


def test_the_same_polygon_twice_is_one_water():
    rings, _ = check_shoreline(multipolygon([LAKE], [LAKE]), "lake.geojson")

    assert len(rings) == 1


ACROSS_THE_ANTIMERIDIAN = {
    "jumping": polygon(
        [[179.9, -17], [-179.9, -17], [-179.9, -16.9], [179.9, -16.9], [179.9, -17]]
    ),
    "running on": polygon(box(179.9, -17, 180.1, -16.9)),
    # As RFC 7946, section 3.1.9 wants it.
    "cut": multipolygon([box(179.9, -17, 180, -16.9)], [box(-180, -17, -179.9, -16.9)]),
}


@pytest.mark.parametrize("way", ACROSS_THE_ANTIMERIDIAN)
def test_a_lake_across_the_antimeridian_is_one_water(way):
    rings, _ = check_shoreline(ACROSS_THE_ANTIMERIDIAN[way], "lagoon.geojson")

    metres = local_rings(rings, -179.99, -16.95)
    fetch = straight_fetch(metres, np.zeros((1, 2)), np.array([90.0, 270.0]))[:, 0]

    expected = EARTH.inv(-179.99, -16.95, -179.9, -16.95)[2]
    assert fetch == pytest.approx([expected, 11 / 9 * expected], rel=1e-4)


def round_lake(vertices, roughness=0.0):
    turn = np.linspace(0, 2 * np.pi, vertices, endpoint=False)
    reach = 0.1 * (1 + roughness * np.random.default_rng(1).uniform(-1, 1, vertices))
    return np.column_stack([12 + reach * np.cos(turn), 47 + reach * np.sin(turn)]).tolist()


@pytest.mark.thorough
def test_a_hundred_thousand_vertices_are_kept_as_they_are():
    rings, repairs = check_shoreline(polygon(round_lake(100_000)), "lake.geojson")

    assert len(rings[0]) == 100_001
    assert len(repairs) == 1  # that it was open


def test_more_vertices_are_thinned_and_the_tolerance_stated():
    shore = round_lake(160_000, roughness=1e-6)

    rings, repairs = check_shoreline(polygon([*shore, shore[0]]), "lake.geojson")

    assert len(rings[0]) < 100_000
    assert repairs[0].startswith("simplified from 160001 to ")
    assert repairs[0].endswith("the shoreline moved by 1 m at most")


# -- shapes that are refused ---------------------------------------------------------------------

REFUSED = {
    "a line": ({"type": "LineString", "coordinates": LAKE}, "geometry type = 'LineString'"),
    "no type": ({}, "geometry type = None"),
    "no coordinates": ({"type": "Polygon"}, "coordinates = None: the Polygon is empty"),
    "empty": (polygon(), r"coordinates = \[\]: the Polygon is empty"),
    "empty parts": (multipolygon([]), r"coordinates = \[\[\]\]: the MultiPolygon is empty"),
    "an empty ring": (polygon([]), "its 0 positions enclose no area"),
    "a ring of two places": (polygon([[12, 47], [12.1, 47], [12, 47]]), "enclose no area"),
    "a ring that is a number": (polygon(12.0), "a ring is a list of positions"),
    "text": (polygon([["12", "47"], *LAKE]), r"position 1 = \['12', '47'\]"),
    "true": (polygon([[True, 47], *LAKE]), r"position 1 = \[True, 47\]"),
    "not a number": (polygon([*LAKE[:2], [float("nan"), 47], *LAKE[2:]]), "position 3 = "),
    "infinite": (polygon([[12, float("inf")], *LAKE]), "two finite numbers"),
    "beyond floats": (polygon([[10**400, 47], *LAKE]), "two finite numbers"),
    "one coordinate": (polygon([[12.0], *LAKE]), r"position 1 = \[12\.0\]"),
    "nested too deep": (polygon([LAKE]), "polygon 1, ring 1, position 1"),
    "swapped": (
        polygon([[y, x] for x, y in box(-120, 44, -119.9, 44.1)]),
        r"-120 is not a latitude\. Longitude and latitude are swapped",
    ),
    "projected": (polygon(box(512_345, 4_812_345, 513_345, 4_813_345)), r"EPSG:4326"),
    "projected, in a local frame": (polygon(box(0, 0, 500, 300)), r"EPSG:4326"),
    "a puddle": (polygon(box(12, 47, 12.00005, 47.00005)), r"enclose only 21\.1 m²"),
    "flat": (polygon([[12, 47], [12.1, 47], [12.2, 47], [12, 47]]), "enclose only"),
    "a sea": (polygon(box(-60, 20, -10, 50)), "a whole sea"),
    "round the pole": (polygon([[x, 80] for x in range(-180, 181, 10)]), "seems to be missing"),
}


@pytest.mark.parametrize(("most", "said"), [(189, "not clear"), (188, "more than 188 times")])
def test_a_shore_whose_positions_are_in_no_order_is_refused_before_it_is_untangled(
    most, said, monkeypatch
):
    monkeypatch.setattr(shoreline, "MOST_CROSSINGS", most)
    with pytest.raises(ConfigError, match=said):
        check_shoreline(polygon(star(21, 10)), "lake.geojson")  # 21 × 9 crossings


@pytest.mark.parametrize("wrong", REFUSED)
def test_a_shape_that_is_no_lake_is_refused_naming_file_field_and_mend(wrong):
    geometry, said = REFUSED[wrong]

    with pytest.raises(ConfigError, match=said) as refusal:
        check_shoreline(geometry, "lake.geojson")

    message = str(refusal.value)
    assert message.startswith("lake.geojson, ")
    assert "\n" not in message
    assert message.count(". ") >= 1  # what is wrong, then what to do


# -- the plane -----------------------------------------------------------------------------------


def test_the_plane_gives_true_distances_and_bearings_from_its_origin():
    rng = np.random.default_rng(2)
    positions = np.column_stack([rng.uniform(-88.5, -87.5, 50), rng.uniform(47, 48, 50)])
    bearing, _, distance = EARTH.inv(np.full(50, -88.0), np.full(50, 47.5), *positions.T)

    metres = to_metres(positions, -88.0, 47.5)

    assert np.hypot(*metres.T) == pytest.approx(distance, rel=1e-9)
    assert np.degrees(np.arctan2(*metres.T)) == pytest.approx(bearing, abs=1e-6)


def test_metres_turn_back_into_the_same_degrees():
    positions = np.array([[179.95, -16.9], [-179.95, -17.0], [np.nan, np.nan]])

    back = to_degrees(to_metres(positions, 180.0, -17.0), 180.0, -17.0)

    assert back == pytest.approx(positions, abs=1e-9, nan_ok=True)

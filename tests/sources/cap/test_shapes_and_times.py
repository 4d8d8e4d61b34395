"""Polygons, circles and times, also as services should not send them."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.sources.cap.message import Area, Circle, Listing
from safety_check.sources.cap.read import read_cap
from safety_check.sources.cap.shapes import circle, geojson_shapes, metres, polygon, turn_axes
from safety_check.sources.cap.times import earliest, in_order, latest, mail_time
from tests.properties import cases
from tests.sources.cap.recorded import alert_xml, info_xml, made
from tests.sources.spoiled import at

SQUARE = [[10.0, 60.0], [11.0, 60.0], [11.0, 61.0], [10.0, 60.0]]


@pytest.mark.parametrize(
    "text",
    [
        "60,10 60,11 61,11 60,10",
        "60,10 60,11 61,11",  # not closed
        "\n 60,10\n\t60,11   61,11\r\n60,10 ",
        "60, 10 60, 11 61, 11 60, 10",
        "60.0,10.0;60.0,11.0;61.0,11.0",
        "60 10 60 11 61 11 60 10",
        "+60,1e1 60,11 61,11 60,10",
    ],
)
def test_a_ring_is_read_whatever_separates_its_corners(text):
    ring = polygon(text)

    assert ring is not None
    assert ring.tolist() == SQUARE


def test_axes_that_are_plainly_turned_are_turned_back():
    ring = polygon("-120.14,38.47 -119.95,38.34 -119.74,38.52 -120.14,38.47")

    assert ring is not None
    assert ring[0].tolist() == [-120.14, 38.47]


@pytest.mark.parametrize(
    "text",
    [
        "60,10",
        "60,10 60,11",
        "60,10 60,11 60,10",  # two corners
        "60,10 60,11 61",
        "60,10 60,north 61,11 60,10",
        "95,200 95,201 96,201 95,200",
        "60,10 nan,11 61,11 60,10",
        "85,0 85,90 85,180 85,-90 85,0",  # round the pole: which side is meant is not known
    ],
)
def test_what_is_no_ring_is_named_and_never_guessed(text):
    assert polygon(text) is None

    shape = f"<area><areaDesc>here</areaDesc><polygon>{text}</polygon></area>"
    [area] = made(info_xml(shape)).infos[0].areas
    assert area.polygons == ()
    assert area.unread == (f"polygon '{text}'",)


def test_a_ring_across_the_date_line_does_not_jump():
    ring = polygon("-44,176 -43,-176 -45,-177 -44,176")

    assert ring is not None
    assert ring[:, 0].tolist() == [176.0, 184.0, 183.0, 176.0]


@pytest.mark.parametrize("text", ["60,10", "60,10 -5", "95,10 5", "60,10 far", "", "60,10 1e9"])
def test_what_is_no_circle_is_none(text):
    assert circle(text) is None


def test_a_circle_is_in_metres():
    assert circle("60.5, 10 2.5") == Circle(10.0, 60.5, 2500.0)


def test_a_geojson_geometry_gives_its_outer_rings():
    many = {"type": "MultiPolygon", "coordinates": [[SQUARE], [SQUARE, SQUARE]]}
    nested = {"type": "GeometryCollection", "geometries": [many, None]}

    rings, unread = geojson_shapes(nested)

    assert [ring.tolist() for ring in rings] == [SQUARE, SQUARE]
    assert unread == ()
    assert geojson_shapes(None) == ((), ())


@pytest.mark.parametrize(
    "geometry",
    [
        {"type": "Point", "coordinates": [10, 60]},
        {"type": "Polygon", "coordinates": []},
        {"type": "Polygon", "coordinates": [[["a", 1], [2, 3], [4, 5]]]},
        {"type": "Polygon", "coordinates": [[[500000, 5500000], [500001, 5500000], [0, 1]]]},
        {"type": "MultiPolygon", "coordinates": "x"},
        {"type": "MultiPolygon", "coordinates": []},
        "POLYGON((10 60, 11 60))",
        7,
    ],
)
def test_a_geometry_that_is_no_area_is_named(geometry):
    rings, unread = geojson_shapes(geometry)

    assert rings == ()
    assert unread


NORWAY = (4.0, 57.0, 32.0, 72.0)


@pytest.mark.parametrize("text", ["60,10 60,11 61,11 60,10", "10,60 11,60 11,61 10,60"])
def test_axes_in_the_wrong_order_are_found_by_the_area_of_the_service(text):
    shape = f"<area><areaDesc>here</areaDesc><polygon>{text}</polygon></area>"
    listing = turn_axes(read_cap(alert_xml(info_xml(shape)), "a service"), NORWAY)

    assert listing.messages[0].infos[0].areas[0].polygons[0].tolist() == SQUARE


def test_a_shape_in_another_part_of_the_world_is_left_as_it_is():
    shape = "<area><areaDesc>here</areaDesc><polygon>-45,170 -44,170 -44,171</polygon></area>"
    listing = turn_axes(read_cap(alert_xml(info_xml(shape)), "a service"), NORWAY)

    assert listing.messages[0].infos[0].areas[0].polygons[0][0].tolist() == [170.0, -45.0]


@cases(100)
@given(st.lists(st.tuples(st.floats(-80, 80), st.floats(-80, 80)), min_size=3, max_size=6))
def test_every_ring_is_closed_and_holds_the_corners_that_were_sent(corners):
    ring = polygon(" ".join(f"{latitude!r},{longitude!r}" for latitude, longitude in corners))

    if ring is None:
        assert len(set(corners)) < 3
    else:
        assert np.array_equal(ring[0], ring[-1])
        assert ring[: len(corners), ::-1].tolist() == [list(corner) for corner in corners]


# -- times --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        "2026-06-01T12:00:00-00:00",
        "2026-06-01T12:00:00Z",
        "2026-06-01T12:00:00.000Z",
        "2026-06-01T14:00:00+02:00",
        "2026-06-01T14:00:00+0200",
        " 2026-06-01 12:00:00+00:00 ",
        "2569-06-01T12:00:00Z",  # Buddhist era
    ],
)
def test_a_time_with_an_offset_is_one_instant(text):
    assert earliest(text) == latest(text) == in_order(text) == at("2026-06-01T12:00:00")


def test_the_leap_day_of_the_buddhist_calendar_is_the_common_one():
    assert latest("2567-02-29T12:00:00Z") == at("2024-02-29T12:00:00")


def test_a_time_without_an_offset_is_as_early_or_as_late_as_it_can_be():
    assert earliest("2026-06-01T12:00:00") == at("2026-05-31T22:00:00")  # UTC+14
    assert latest("2026-06-01T12:00:00") == at("2026-06-02T00:00:00")  # UTC-12


@pytest.mark.parametrize("text", ["", "noon", "2026-02-30T00:00:00Z", "1970-01-01T00:00:00Z", "0"])
def test_what_is_no_time_is_none(text):
    assert (earliest(text), latest(text), mail_time(text)) == (None, None, None)


def test_a_time_that_cannot_be_read_is_named_and_the_message_stays():
    info = made(info_xml(onset="soon", expires="later")).infos[0]

    assert (info.onset, info.expires) == (None, None)
    assert info.unread == ("onset 'soon'", "expires 'later'")


@pytest.mark.parametrize("text", ["Mon, 01 Jun 2026 12:00:00 GMT", "2026-06-01T12:00:00Z"])
def test_lists_give_their_times_in_two_ways(text):
    assert mail_time(text) == at("2026-06-01T12:00:00")


@given(st.text())
def test_any_text_is_a_time_or_none(text):
    for reading in (earliest, latest, in_order, mail_time):
        found = reading(text)
        assert found is None or found.tzinfo is UTC


@given(st.recursive(st.none() | st.booleans() | st.floats() | st.text(), st.lists))
def test_any_coordinates_give_rings_or_say_what_cannot_be_read(coordinates):
    rings, unread = geojson_shapes({"type": "Polygon", "coordinates": coordinates})

    assert rings or unread
    assert json.dumps([ring.tolist() for ring in rings])


# -- at the bounds -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "known"),
    [
        *(("90,360 0", True), ("-90,-360 20038", True), ("90.1,0 1", False)),
        *(("0,360.1 1", False), ("0,0 -1", False), ("0,0 20039", False), ("0,0 1 2", False)),
    ],
)
def test_a_circle_lies_on_the_earth_and_is_no_larger(text, known):
    assert (circle(text) is not None) == known


@pytest.mark.parametrize(
    ("text", "known"),
    [
        *(("90,0 80,1 80,0", True), ("10,360 11,359 10,359", True)),
        *(("90.1,0 80,100 80,0", False), ("10,360.1 11,359 10,359", False)),
        *(("10,1 10,2 10,1", False), ("10,1 10,2 11,2 10", False), ("10,1 10,2", False)),
        *(("91,90 89,90 89,89", True), ("80,0 80,120 80,-120", False)),  # turned; round a pole
    ],
)
def test_a_ring_has_three_corners_on_the_earth(text, known):
    assert (polygon(text) is not None) == known


def test_a_height_in_feet_is_in_metres():
    assert metres("1000") == pytest.approx(304.8)
    assert metres("high") is None
    assert metres("") is None


def test_a_height_above_every_water_on_earth_is_none():
    # A warning from such a height on would concern nobody.
    assert metres("1e308") is None
    assert metres("30000") is None  # 9,144 m


BOX = (170.0, -10.0, 190.0, 10.0)  # across the date line


@pytest.mark.parametrize(
    ("corner", "turned"),
    [
        # (north, east) as sent; each ring is a degree wide.
        ((5.0, 175.0), False),
        ((5.0, -175.0), False),
        ((175.0, 5.0), True),
        ((10.0, 169.0), False),  # it touches the box with its corner
        ((11.0, 175.0), False),  # turned it would lie beyond a pole
        ((50.0, 8.0), False),  # it lies outside either way
    ],
)
def test_a_ring_is_turned_only_where_that_brings_it_into_the_area(corner, turned):
    north, east = corner
    ring = np.array([[east, north], [east + 1, north], [east + 1, north + 1], [east, north]])
    area = Area("here", polygons=(ring,))
    message = made()
    info = replace(message.infos[0], areas=(area,))
    listing = Listing(messages=(replace(message, infos=(info,)),))
    found = turn_axes(listing, BOX).messages[0].infos[0].areas[0].polygons[0]
    assert found.tolist() == (ring[:, ::-1] if turned else ring).tolist()


@pytest.mark.parametrize(
    ("text", "known"),
    [
        *(("2000-01-01T00:00:00Z", True), ("1999-12-31T23:59:59Z", False)),
        *(("2199-12-31T23:59:59Z", True), ("2200-01-01T00:00:00Z", False)),
        *(("2543-01-01T00:00:00Z", True), ("2542-12-31T00:00:00Z", False)),  # the Buddhist 2000
    ],
)
def test_a_year_is_one_that_a_warning_can_have(text, known):
    assert (in_order(text) is not None) == known


def test_a_geojson_corner_may_have_a_height_and_needs_both_angles():
    corners = [[10, 60, 5], [11, 60, 5], [11, 61, 5]]
    rings, unread = geojson_shapes({"type": "Polygon", "coordinates": [corners]})
    assert rings[0].tolist() == SQUARE
    assert unread == ()
    for spoiled in ([*corners, [10]], [*corners, "x"], 5):
        rings, unread = geojson_shapes({"type": "Polygon", "coordinates": [spoiled]})
        assert (len(rings), len(unread)) == (0, 1)


def test_every_part_of_a_collection_is_read():
    part = {"type": "Polygon", "coordinates": [SQUARE]}
    several = {"type": "MultiPolygon", "coordinates": [[SQUARE], [], [SQUARE, SQUARE]]}
    rings, unread = geojson_shapes({"type": "GeometryCollection", "geometries": [part, several, 5]})
    assert (len(rings), len(unread)) == (3, 1)


@pytest.mark.parametrize(
    ("west_south", "box", "turned"),
    [
        # Each ring is a degree wide and meets the box in one edge alone, as sent and turned.
        ((50, 10), (0, 0, 50, 50), False),
        ((10, 50), (0, 0, 50, 50), False),
        ((9, 20), (10, 10, 50, 50), False),
        ((20, 9), (10, 10, 50, 50), False),
        ((9, 20), (10, 0, 50, 50), False),  # turned, it would lie well inside
        ((20, 9), (0, 10, 50, 50), False),
        ((9, 52), (10, 0, 50, 50), False),  # beyond the box in one axis
        ((20, 51), (0, 10, 51, 50), True),
        ((349, 49), (-10, 40, 10, 60), False),  # 349° to 350° is -11° to -10°
        ((-350, 49), (10, 40, 20, 60), False),  # -350° to -349° is 10° to 11°
        # Turned, this one would reach up to 90°, and the next one beyond the pole.
        ((89, 10), (4, 57, 32, 90), True),
        ((89.5, 10), (4, 57, 32, 90), False),
    ],
)
def test_a_ring_at_the_edge_of_the_area_touches_it(west_south, box, turned):
    west, south = west_south
    ring = np.array([[west, south], [west + 1, south], [west + 1, south + 1], [west, south]])
    message = made()
    info = replace(message.infos[0], areas=(Area("here", polygons=(ring,)),))
    listing = Listing(messages=(replace(message, infos=(info,)),))
    found = turn_axes(listing, box).messages[0].infos[0].areas[0].polygons[0]
    assert found.tolist() == (ring[:, ::-1] if turned else ring).tolist()


def test_a_blank_shape_is_none_and_one_that_can_not_be_read_is_named():
    shapes = (
        "<area><areaDesc>here</areaDesc><polygon> </polygon><circle> </circle>"
        "<polygon>60,10 60,11 61,11</polygon><circle>60,10 5</circle><circle>60,10</circle></area>"
    )
    [area] = made(info_xml(shapes)).infos[0].areas

    assert [ring.tolist() for ring in area.polygons] == [SQUARE]
    assert area.circles == (Circle(10.0, 60.0, 5000.0),)
    assert area.unread == ("circle '60,10'",)


def test_of_a_collection_only_its_own_parts_are_read():
    part = {"type": "Polygon", "coordinates": [SQUARE]}

    assert len(geojson_shapes({"type": "Feature", "geometries": [part]})[0]) == 0
    assert len(geojson_shapes({"type": "GeometryCollection", "geometries": part})[0]) == 0
    one_of_two = {"type": "MultiPolygon", "coordinates": [[SQUARE], 5]}
    rings, unread = geojson_shapes(one_of_two)
    assert (len(rings), unread) == (1, ("polygon 'None'",))


def test_a_mail_time_without_a_zone_is_utc():
    assert mail_time("Mon, 01 Jun 2026 12:00:00 -0000") == at("2026-06-01T12:00:00")
    assert mail_time("Mon, 01 Jun 2026 12:00:00 +0200") == at("2026-06-01T10:00:00")

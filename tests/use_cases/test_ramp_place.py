"""A ramp pointed out on the outline of a water."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from pyproj import Geod

from safety_check.errors import LaunchError, PlanError
from safety_check.model.place import FetchTable, Launch, Water
from safety_check.physics.fetch import inside
from safety_check.use_cases import ramp_place
from safety_check.use_cases.ramp_place import ShoreView
from safety_check.waters import files
from safety_check.waters.launches import require_launch_at_shore
from safety_check.waters.projection import local_rings, to_metres
from tests.properties import cases
from tests.waters.test_sketch import ISLAND, LAKE

WATER = Water("lake", "America/Chicago", (), (LAKE, ISLAND))
SHARE = st.floats(0.0, 1.0)
SPAN = st.floats(ramp_place.CLOSEST, 20_000.0)
EARTH = Geod(ellps="WGS84")
DEGREE = 111_132.0  # m, of latitude at 45° (WGS84)


def box(west: float, south: float, east: float, north: float) -> Water:
    corners = [(west, south), (east, south), (east, north), (west, north), (west, south)]
    return Water("box", "America/Chicago", (), (np.array(corners),))


@given(right=SHARE, down=SHARE, span=SPAN)
@cases(60)
def test_a_place_in_a_view_comes_back_where_it_was(right: float, down: float, span: float) -> None:
    view = ShoreView(44.9, -99.62, span)
    place = ramp_place.place_in_view(view, right, down)
    # A projection there and back is exact but for rounding, about a nanometre.
    assert ramp_place.shares_in_view(view, *place) == pytest.approx((right, down), abs=1e-6)


@given(right=SHARE, down=SHARE, span=SPAN)
@cases(30)
def test_every_tap_leads_to_a_launch_at_the_shore(right: float, down: float, span: float) -> None:
    view = ShoreView(44.9, -99.62, span)
    tapped = ramp_place.place_in_view(view, right, down)
    (latitude, longitude), far = ramp_place.nearest_shore(WATER, tapped)
    require_launch_at_shore(Launch("ramp", latitude, longitude), WATER.shoreline, "x")
    assert far >= 0
    for place in ramp_place.places_in_view(WATER, view):
        require_launch_at_shore(Launch("ramp", *place), WATER.shoreline, "x")


def test_north_is_up_and_east_is_right() -> None:
    view = ramp_place.whole_view(WATER)
    north_west = ramp_place.place_in_view(view, 0.1, 0.1)
    assert north_west[0] > view.latitude
    assert north_west[1] < view.longitude


def test_the_numbers_of_the_drawing_are_those_of_the_list() -> None:
    view = ramp_place.whole_view(WATER)
    addressed = ShoreView(round(view.latitude, 6), round(view.longitude, 6), round(view.span))
    listed = ramp_place.places_in_view(WATER, view)
    drawn = ramp_place.places_in_view(WATER, addressed)
    assert np.array(drawn) == pytest.approx(np.array(listed), abs=1e-5)  # a metre


def test_the_whole_water_is_in_its_view_and_water_is_what_is_drawn_inside() -> None:
    view = ramp_place.whole_view(WATER)
    rings = ramp_place.rings_in_view(WATER, view)
    assert len(rings) == 2
    assert all(((ring > 0) & (ring < 1)).all() for ring in rings)
    spots = np.array([ramp_place.shares_in_view(view, *at) for at in
                      [(44.91, -99.64), (44.893, -99.622), (44.95, -99.62)]])  # fmt: skip
    assert inside(rings, spots).tolist() == [True, False, False]


@pytest.mark.parametrize(
    ("water", "middle", "span"),
    [  # the longer side and twelve percent
        (WATER, (44.9, -99.625), 1.12 * 0.04 * DEGREE),
        (box(-99.7, 44.9, -99.5, 44.92), (44.91, -99.6), 1.12 * EARTH.line_length(
            [-99.7, -99.5], [44.91, 44.91])),
        (box(-99.701, 44.901, -99.699, 44.902), (44.9015, -99.7), 300.0),
    ],
)  # fmt: skip
def test_the_view_of_a_water_is_a_little_longer_than_its_longer_side(
    water: Water, middle: tuple[float, float], span: float
) -> None:
    view = ramp_place.whole_view(water)
    assert (view.latitude, view.longitude) == pytest.approx(middle)
    assert view.span == pytest.approx(span, rel=1e-3)


@pytest.mark.parametrize(
    ("asked", "span"),
    [
        (299.0, 300.0),
        (301.0, 301.0),
        (1.9e6, 1.9e6),
        (2.1e6, 2.0e6),
        (np.inf, 2.0e6),
        (np.nan, 2.0e6),
        (-1.0, 300.0),
    ],
)
def test_a_view_is_no_closer_and_no_wider_than_is_useful(asked: float, span: float) -> None:
    assert ramp_place.view_around((44.9, -99.6), asked) == ShoreView(44.9, -99.6, span)


@pytest.mark.parametrize(("before", "after"), [(5000.0, 1000.0), (1000.0, 300.0)])
def test_the_next_closer_view_has_a_fifth_of_the_side(before: float, after: float) -> None:
    view = ShoreView(44.9, -99.62, before)
    assert ramp_place.closer(view, (44.91, -99.63)) == ShoreView(44.91, -99.63, after)


@pytest.mark.parametrize(
    ("right", "down", "bearing", "far"),
    [
        (1.0, 0.5, 90.0, 1000.0),
        (0.5, 1.0, 180.0, 1000.0),
        (0.0, 0.5, 270.0, 1000.0),
        (0.75, 0.25, 45.0, 500.0 * 2**0.5),
    ],
)
def test_a_place_is_as_far_from_the_middle_as_it_is_drawn(
    right: float, down: float, bearing: float, far: float
) -> None:
    latitude, longitude = ramp_place.place_in_view(ShoreView(44.9, -99.62, 2000.0), right, down)
    found, _, metres = EARTH.inv(-99.62, 44.9, longitude, latitude)
    assert (found % 360, metres) == pytest.approx((bearing, far), rel=1e-6)


def test_a_view_with_no_shore_in_it_is_all_water_to_beyond_its_edges() -> None:
    open_lake = Water("lake", "America/Chicago", (), (LAKE,))
    (ring,) = ramp_place.rings_in_view(open_lake, ShoreView(44.9, -99.62, 300.0))
    assert {tuple(corner) for corner in ring.round(6).tolist()} == {
        (-0.5, -0.5), (-0.5, 1.5), (1.5, -0.5), (1.5, 1.5),
    }  # fmt: skip


@pytest.mark.parametrize(("metres", "drawn"), [(0.9, False), (1.1, True)])
def test_a_point_of_the_shore_that_stands_out_by_half_a_pixel_is_drawn(
    metres: float, drawn: bool
) -> None:
    # A view of 1300 m is drawn 640 pixels wide; half of one is a metre.
    north = 44.92 + metres / DEGREE
    lake = np.array([(-99.65, 44.88), (-99.60, 44.88), (-99.60, 44.92), (-99.602, north),
                     (-99.604, 44.92), (-99.65, 44.92), (-99.65, 44.88)])  # fmt: skip
    water = Water("lake", "America/Chicago", (), (lake,))
    (ring,) = ramp_place.rings_in_view(water, ShoreView(44.92, -99.602, 1300.0))
    at_the_bump = np.hypot(*(ring - [0.5, 0.5]).T).min() < 0.002
    assert at_the_bump == drawn


def test_the_nearest_shore_is_where_the_shortest_way_leads() -> None:
    (latitude, longitude), far = ramp_place.nearest_shore(WATER, (44.9, -99.603))
    metres = EARTH.line_length([-99.603, -99.60], [44.9, 44.9])
    assert (latitude, longitude) == pytest.approx((44.9, -99.60), abs=1e-6)
    assert far == pytest.approx(metres, abs=0.1)


ON_THE_ISLAND = (44.893, -99.6225)


def test_from_nine_tenths_of_the_whole_view_places_lie_along_the_longest_shore() -> None:
    whole = ramp_place.whole_view(WATER)
    around_all = ramp_place.places_in_view(WATER, whole)
    assert len(around_all) == 9
    near = ShoreView(*ON_THE_ISLAND, 0.9 * whole.span)
    assert ramp_place.places_in_view(WATER, near) == around_all
    closer = ShoreView(*ON_THE_ISLAND, 0.89 * whole.span)
    assert shores_of(ramp_place.places_in_view(WATER, closer)) == {"island"}


def shores_of(places: tuple[tuple[float, float], ...]) -> set[str]:
    """Return on which shores places lie."""
    found = set()
    for latitude, longitude in places:
        lake, island = local_rings((LAKE, ISLAND), longitude, latitude)
        here = shapely.Point(0.0, 0.0)
        away = [float(shapely.LineString(ring).distance(here)) for ring in (lake, island)]
        assert min(away) < 0.1
        found.add("lake" if away[0] < away[1] else "island")
    return found


@pytest.mark.parametrize(
    ("middle", "nearest", "along"),
    [((44.9, -99.601), (44.9, -99.60), "north"), ((44.919, -99.62), (44.92, -99.62), "east")],
)
def test_in_a_closer_view_nine_places_lie_around_the_shore_nearest_to_its_middle(
    middle: tuple[float, float], nearest: tuple[float, float], along: str
) -> None:
    places = ramp_place.places_in_view(WATER, ShoreView(*middle, 900.0))
    east, north = to_metres(np.array(places)[:, ::-1], nearest[1], nearest[0]).T
    on, off = (north, east) if along == "north" else (east, north)
    assert np.sort(on) == pytest.approx(np.arange(-400.0, 401.0, 100.0), abs=0.1)
    assert off == pytest.approx(np.zeros(9), abs=0.4)  # a parallel is no straight line


def test_around_a_small_island_the_places_share_its_whole_shore() -> None:
    ring = local_rings((ISLAND,), -99.625, 44.895)[0]
    shore = shapely.LineString(ring)
    places = ramp_place.places_in_view(WATER, ShoreView(*ON_THE_ISLAND, 4000.0))
    marks = to_metres(np.array(places)[:, ::-1], -99.625, 44.895)
    along = np.array([shore.line_locate_point(shapely.Point(mark)) for mark in marks])
    gaps = np.diff([*along, along[0]]) % shore.length
    assert gaps == pytest.approx(np.full(9, shore.length / 9), abs=0.5)


@given(span=SPAN, latitude=st.floats(44.88, 44.92), longitude=st.floats(-99.65, -99.60))
@cases(30)
def test_a_closer_view_draws_the_same_water(span: float, latitude: float, longitude: float) -> None:
    view = ShoreView(latitude, longitude, span)
    rings = ramp_place.rings_in_view(WATER, view)
    grid = np.stack(np.meshgrid(*[np.linspace(0.05, 0.95, 7)] * 2), axis=-1).reshape(-1, 2)
    places = np.array([ramp_place.place_in_view(view, *spot) for spot in grid.tolist()])
    whole = np.array([[longitude, latitude] for latitude, longitude in places.tolist()])
    expected = inside(WATER.shoreline, whole)
    drawn = inside(rings, grid) if rings else np.zeros(len(grid), dtype=bool)
    # An edge that is straight in degrees and one on the plane differ by less than a metre over
    # these 5 km; only a spot on the shore itself may fall on either side.
    near = np.array(
        [ramp_place.nearest_shore(WATER, (spot[0], spot[1]))[1] < 2.0 for spot in places.tolist()]
    )
    assert ((drawn == expected) | near).all()


def test_a_launch_is_stored_replaced_and_removed(tmp_path: Path) -> None:
    files.save(WATER, tmp_path)
    ramp_place.add_launch("lake", Launch("ramp", 44.9, -99.65), tmp_path)
    ramp_place.add_launch("lake", Launch("ramp", 44.91, -99.65), tmp_path)
    ramp_place.add_launch("lake", Launch("pier", 44.9, -99.60), tmp_path)
    stored = files.load("lake", tmp_path).launches
    assert [(one.name, one.latitude) for one in stored] == [("ramp", 44.91), ("pier", 44.9)]
    with pytest.raises(LaunchError):
        ramp_place.add_launch("lake", Launch("reef", 44.9, -99.63), tmp_path)
    for name in ("", " ", "two\nlines", "w" * 61):
        with pytest.raises(PlanError, match="printable characters"):
            ramp_place.add_launch("lake", Launch(name, 44.9, -99.65), tmp_path)
    ramp_place.remove_launch("lake", "ramp", tmp_path)
    with pytest.raises(PlanError, match="has no launch 'ramp'"):
        ramp_place.remove_launch("lake", "ramp", tmp_path)
    assert [one.name for one in files.load("lake", tmp_path).launches] == ["pier"]


def test_a_name_may_be_sixty_characters_long(tmp_path: Path) -> None:
    files.save(WATER, tmp_path)
    name = "w" * 60
    ramp_place.add_launch("lake", Launch(name, 44.9, -99.65), tmp_path)
    assert [one.name for one in files.load("lake", tmp_path).launches] == [name]


def test_where_no_shoreline_is_known_a_launch_is_at_one_that_the_table_describes(
    tmp_path: Path,
) -> None:
    table = FetchTable(np.array([0.0, 180.0]), np.array([500.0, 500.0]))
    pier = Launch("pier", 44.9, -99.6)
    files.save(Water("pond", "America/Chicago", (pier,), fetch_table=table), tmp_path)
    beside = Launch("beside", 44.9 + 40 / DEGREE, -99.6)
    known = ramp_place.add_launch("pond", beside, tmp_path)
    assert [one.name for one in known.launches] == ["pier", "beside"]
    with pytest.raises(LaunchError, match="known only by the open water seen from there"):
        ramp_place.add_launch("pond", Launch("far", 44.9 + 140 / DEGREE, -99.6), tmp_path)


def test_a_launch_that_is_not_known_is_not_removed(tmp_path: Path) -> None:
    files.save(WATER, tmp_path)
    with pytest.raises(PlanError) as told:
        ramp_place.remove_launch("lake", "ramp", tmp_path)
    assert told.value.field == "launch"

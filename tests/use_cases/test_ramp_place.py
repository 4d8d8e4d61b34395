"""A ramp pointed out on the outline of a water."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.errors import LaunchError, PlanError
from safety_check.model.place import Launch, Water
from safety_check.physics.fetch import inside
from safety_check.use_cases import ramp_place
from safety_check.use_cases.ramp_place import ShoreView
from safety_check.waters import files
from safety_check.waters.launches import require_launch_at_shore
from tests.properties import cases
from tests.waters.test_sketch import ISLAND, LAKE

WATER = Water("lake", "America/Chicago", (), (LAKE, ISLAND))
SHARE = st.floats(0.0, 1.0)
SPAN = st.floats(ramp_place.CLOSEST, 20_000.0)


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

"""Distances over the sphere against the ellipsoid of a geodesy library."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pyproj import Geod

from safety_check.physics.sphere import great_circle_distance

GEOD = Geod(ellps="WGS84")
latitudes, longitudes = st.floats(-90, 90), st.floats(-180, 180)


@given(latitudes, longitudes, latitudes, longitudes)
def test_the_sphere_is_within_six_thousandths_of_the_ellipsoid(north, east, other, far):
    exact = GEOD.inv(east, north, far, other)[2]

    # The radius of curvature is between 6,336 and 6,400 km; 1 mm is the library's own rounding.
    assert great_circle_distance(north, east, other, far) == pytest.approx(
        exact, rel=0.006, abs=1e-3
    )


def test_an_unknown_place_has_an_unknown_distance():
    assert math.isnan(great_circle_distance(math.nan, 0.0, 0.0, 0.0))

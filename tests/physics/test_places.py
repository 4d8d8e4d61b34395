"""Places on the water lie on the water, and among them are those where the fetch is longest."""

from __future__ import annotations

import numpy as np
import pytest

from safety_check.physics.fetch import distance_to_shore, inside, straight_fetch
from safety_check.physics.places import lattice, lattice_spacing, nearest_water_point, reach_points


def rectangle(west, south, east, north):
    corners = [(west, south), (east, south), (east, north), (west, north), (west, south)]
    return np.array(corners, dtype=float)


LAKE = [rectangle(0, 0, 2000, 1000), rectangle(900, 400, 1100, 600)]


def test_a_lattice_covers_the_water_and_nothing_else():
    points = lattice(LAKE, 50.0)

    assert inside(LAKE, points).all()
    # 40 x 20 points over the bounds, of which the island of 200 m hides 4 x 4.
    assert len(points) == 40 * 20 - 16


def test_neighbours_of_a_lattice_are_whole_spacings_apart():
    points = lattice(LAKE, 37.0)

    steps = (points - points[0]) / 37.0
    assert steps == pytest.approx(np.round(steps), abs=1e-9)


def test_a_lattice_wider_than_the_water_is_still_centred_on_it():
    assert lattice([rectangle(0, 0, 10, 10)], 100.0).tolist() == [[5.0, 5.0]]


@pytest.mark.parametrize("count", [50, 500, 5000])
def test_a_fitted_lattice_has_about_the_points_asked_for(count):
    points = lattice(LAKE, lattice_spacing(LAKE, count))

    # Rows and columns are whole numbers: at 50 points, one row more is 20 % more.
    assert len(points) == pytest.approx(count, rel=0.25)


@pytest.mark.parametrize("launch", [(1000, -40), (1000, 0), (0, 0), (-500, 300), (1000, 500)])
def test_a_launch_on_land_or_shore_is_set_afloat_near_by(launch):
    point = np.array(launch, dtype=float)

    afloat = nearest_water_point(LAKE, point, 5.0)

    assert inside(LAKE, afloat[None, :])[0]
    assert distance_to_shore(LAKE, afloat[None, :])[0] > 3.0  # in a corner, 5 m / sqrt(2)
    to_shore = distance_to_shore(LAKE, point[None, :])[0]
    assert np.hypot(*(afloat - point)) <= to_shore + 5.0 + 1e-9


def test_a_launch_afloat_stays_where_it_is():
    point = np.array([1.0, 1.0])

    assert nearest_water_point(LAKE, point, 5.0) is point


def test_a_launch_at_a_ditch_is_set_into_the_ditch():
    ditch = [rectangle(0, 0, 1000, 2)]

    afloat = nearest_water_point(ditch, np.array([500.0, -10.0]), 5.0)

    assert inside(ditch, afloat[None, :])[0]
    assert distance_to_shore(ditch, afloat[None, :])[0] > 0.5


def test_a_launch_at_a_pond_narrower_than_the_inset_is_set_into_the_pond():
    pond = [rectangle(0, 0, 4, 4)]

    afloat = nearest_water_point(pond, np.array([2.0, -10.0]), 50.0)

    assert inside(pond, afloat[None, :])[0]
    assert distance_to_shore(pond, afloat[None, :])[0] > 0.5


def test_without_a_shoreline_no_point_is_afloat():
    assert np.isnan(nearest_water_point([], np.zeros(2))).all()


@pytest.mark.parametrize("launch", [(10.0, 500.0), (0.0, 0.0), (1000.0, 500.0), (1500.0, 1200.0)])
@pytest.mark.parametrize("radius", [1.0, 60.0, 400.0, 5000.0])
def test_the_reach_is_on_the_water_within_the_radius_and_begins_at_the_launch(launch, radius):
    centre = np.array(launch)

    points = reach_points(LAKE, centre, radius, 300)

    assert points[0].tolist() == nearest_water_point(LAKE, centre).tolist()
    assert len(points) <= 300
    assert inside(LAKE, points).all()
    assert np.all(np.hypot(*(points[1:] - centre).T) <= radius * (1 + 1e-9))


def test_the_reach_uses_the_places_it_may():
    assert len(reach_points(LAKE, np.array([10.0, 500.0]), 400.0, 300)) > 150


@pytest.mark.parametrize("limit", range(20, 200, 9))
def test_the_reach_never_has_more_places_than_it_may(limit):
    assert len(reach_points(LAKE, np.array([10.0, 500.0]), 400.0, limit)) <= limit


@pytest.mark.parametrize("way_round", [1, -1])
def test_the_reach_follows_the_shore_whichever_way_its_rings_run(way_round):
    rings = [value[::way_round] for value in LAKE]

    points = reach_points(rings, np.array([850.0, 500.0]), 300.0)

    at_the_island = np.abs(distance_to_shore(rings[1:], points) - 5.0) < 1e-6
    assert at_the_island.sum() > 10
    assert inside(rings, points).all()


def test_the_same_reach_has_the_same_places():
    centre = np.array([10.0, 500.0])

    assert np.array_equal(reach_points(LAKE, centre, 400.0), reach_points(LAKE, centre, 400.0))


@pytest.mark.parametrize("bearing", np.arange(0.0, 360.0, 30.0))
def test_the_reach_finds_the_longest_fetch_within_it(bearing):
    centre = np.array([300.0, 500.0])
    rng = np.random.default_rng(5)
    anywhere = centre + rng.uniform(-250, 250, (4000, 2))
    anywhere = anywhere[np.hypot(*(anywhere - centre).T) <= 250]

    longest = straight_fetch(LAKE, anywhere, np.array([bearing])).max()
    points = reach_points(LAKE, centre, 250.0, 400)
    found = straight_fetch(LAKE, points, np.array([bearing])).max()

    # The places stand 28 m apart, so the very longest ray may be missed by about half of that.
    assert found >= longest - 20.0


def test_a_long_coast_far_from_a_small_reach_takes_no_places():
    sea = [rectangle(0, 0, 400_000, 400_000)]

    points = reach_points(sea, np.array([0.0, 200_000.0]), 500.0, 200)

    assert 100 < len(points) <= 200

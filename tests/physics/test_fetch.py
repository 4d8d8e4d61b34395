"""Fetch, distance and radials against shapes with known answers and against exact arithmetic."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from safety_check.physics import fetch as module
from safety_check.physics.fetch import (
    distance_to_shore,
    inside,
    nearest_shore_point,
    smoothed_fetch,
    straight_fetch,
    weights_by_degree,
)
from tests.properties import cases

QUARTERS = np.array([0.0, 90.0, 180.0, 270.0])
ALL_ROUND = np.arange(0.0, 360.0, 10.0)


def ring(*corners):
    return np.array([*corners, corners[0]], dtype=float)


def rectangle(west, south, east, north):
    return ring((west, south), (east, south), (east, north), (west, north))


def wild_ring(rng, vertices, radius=1000.0, middle=(0.0, 0.0)):
    """A ring that never crosses itself, of the roughness of a real shore."""
    turn = 2 * np.pi * np.sort(rng.uniform(0, 1, vertices))
    reach = radius * rng.uniform(0.4, 1.0, vertices)
    around = np.column_stack([np.cos(turn), np.sin(turn)]) * reach[:, None] + middle
    return np.vstack([around, around[:1]])


def turned(positions, degrees):
    """Turn positions clockwise, as bearings grow."""
    s, c = np.sin(np.radians(degrees)), np.cos(np.radians(degrees))
    return positions @ np.array([[c, -s], [s, c]])


SQUARE = rectangle(0, 0, 1000, 1000)
seeds = st.integers(0, 2**32 - 1)


# -- shapes with known answers ------------------------------------------------------------------


def test_a_square_gives_the_distance_to_each_side():
    fetch = straight_fetch([SQUARE], np.array([[300.0, 400.0]]), QUARTERS)

    assert fetch[:, 0].tolist() == [600.0, 700.0, 400.0, 300.0]


def test_a_bearing_counts_clockwise_from_north_and_looks_upwind():
    fetch = straight_fetch([SQUARE], np.array([[500.0, 900.0]]), np.array([45.0, 135.0]))

    assert fetch[:, 0] == pytest.approx([100 * np.sqrt(2), 500 * np.sqrt(2)])


def test_a_circle_gives_its_chords():
    sides = 3600
    turn = np.linspace(0, 2 * np.pi, sides + 1)
    lake = 1000.0 * np.column_stack([np.cos(turn), np.sin(turn)])
    points = np.array([[0.0, 0.0], [600.0, 100.0], [-300.0, 850.0]])
    look = np.column_stack([np.sin(np.radians(ALL_ROUND)), np.cos(np.radians(ALL_ROUND))])
    along = look @ points.T
    chord = -along + np.sqrt(1000.0**2 - np.hypot(*points.T) ** 2 + along**2)

    fetch = straight_fetch([lake], points, ALL_ROUND)

    # A polygon's side lies within R (1 - cos(pi / n)) = 0.4 mm of its circle; the flattest of
    # these rays meets the shore at 26 degrees, which makes 0.9 mm of it.
    assert fetch == pytest.approx(chord, abs=1e-3)


def test_a_bend_hides_the_other_arm():
    lake = ring((0, 0), (1000, 0), (1000, 300), (200, 300), (200, 1000), (0, 1000))

    fetch = straight_fetch([lake], np.array([[100.0, 150.0], [600.0, 150.0]]), QUARTERS)

    assert fetch[0].tolist() == [850.0, 150.0]
    assert fetch[1].tolist() == [900.0, 400.0]


def test_an_island_ends_the_fetch_and_the_water_behind_it_has_its_own():
    island = rectangle(400, 400, 600, 600)

    fetch = straight_fetch([SQUARE, island], np.array([[100.0, 500.0], [900.0, 500.0]]), QUARTERS)

    assert fetch[1].tolist() == [300.0, 100.0]
    assert fetch[3].tolist() == [100.0, 300.0]


def test_a_lake_on_an_island_is_water_again():
    rings = [SQUARE, rectangle(200, 200, 800, 800), rectangle(400, 400, 600, 600)]

    fetch = straight_fetch(rings, np.array([[450.0, 500.0], [300.0, 500.0]]), np.array([90.0]))

    assert fetch[0, 0] == 150.0
    assert np.isnan(fetch[0, 1])


def test_two_parts_are_two_waters():
    other = rectangle(2000, 0, 3000, 1000)

    fetch = straight_fetch([SQUARE, other], np.array([[500.0, 500.0], [2500.0, 500.0]]), QUARTERS)

    assert np.all(fetch == 500.0)


def test_a_ring_without_its_last_position_is_closed():
    points = np.array([[300.0, 400.0]])

    assert np.array_equal(
        straight_fetch([SQUARE[:-1]], points, ALL_ROUND),
        straight_fetch([SQUARE], points, ALL_ROUND),
    )


def test_the_ring_may_run_either_way_round():
    points = np.array([[300.0, 400.0]])

    assert straight_fetch([SQUARE[::-1]], points, ALL_ROUND) == pytest.approx(
        straight_fetch([SQUARE], points, ALL_ROUND)
    )


def test_a_ray_through_a_corner_ends_there_or_behind_it():
    notch = ring((0, 0), (1000, 0), (1000, 1000), (500, 500), (0, 1000))

    fetch = straight_fetch(
        [notch], np.array([[500.0, 100.0], [100.0, 500.0]]), np.array([0.0, 90.0])
    )

    assert fetch[0, 0] == 400.0
    assert fetch[1, 1] in (400.0, 900.0)


def test_a_ray_due_east_along_a_wall_ends_where_the_wall_begins_or_passes_it():
    rng = np.random.default_rng(8)
    for corner in rng.uniform(100, 900, (200, 2)):
        lake = ring((0, 0), (1000, 0), (1000, corner[1]), corner, (corner[0], 1000), (0, 1000))
        place = np.array([[corner[0] / 2, corner[1]]])

        fetch = straight_fetch([lake], place, np.array([90.0]))[0, 0]

        assert fetch == pytest.approx(corner[0] / 2) or fetch == pytest.approx(1000 - place[0, 0])


# -- points that are not on the water, or only just ----------------------------------------------


def test_land_island_and_outside_have_no_fetch():
    rings = [SQUARE, rectangle(400, 400, 600, 600)]
    off_the_water = np.array([[500.0, 500.0], [-10.0, 500.0], [500.0, 2000.0]])

    assert np.isnan(straight_fetch(rings, off_the_water, QUARTERS)).all()
    assert not inside(rings, off_the_water).any()


@pytest.mark.parametrize("strange", [np.nan, np.inf, -np.inf])
def test_a_point_that_is_no_place_has_no_fetch(strange):
    points = np.array([[strange, 500.0], [500.0, 500.0], [500.0, strange]])

    fetch = straight_fetch([SQUARE], points, QUARTERS)

    assert np.isnan(fetch).tolist() == [[True, False, True]] * 4
    assert inside([SQUARE], points).tolist() == [False, True, False]
    assert np.isnan(distance_to_shore([SQUARE], points)).tolist() == [True, False, True]


@pytest.mark.parametrize("strange", [np.nan, np.inf])
def test_a_bearing_that_is_none_has_no_fetch_even_at_the_shore(strange):
    points = np.array([[500.0, 500.0], [500.0, 0.0]])

    fetch = straight_fetch([SQUARE], points, np.array([strange, 0.0]))

    assert np.isnan(fetch).tolist() == [[True, True], [False, False]]


def test_a_bearing_counts_from_any_turn():
    points = np.array([[300.0, 400.0]])

    assert np.array_equal(
        straight_fetch([SQUARE], points, QUARTERS - 720), straight_fetch([SQUARE], points, QUARTERS)
    )


@pytest.mark.parametrize(
    ("place", "expected"),
    [
        ((500, 0), [1000, 500, 0, 500]),  # middle of the south shore: open north, and along it
        ((500, 1000), [0, 500, 1000, 500]),
        ((0, 300), [700, 1000, 300, 0]),
        ((1000, 300), [700, 0, 300, 1000]),
        ((0, 0), [1000, 1000, 0, 0]),  # the corner
    ],
)
def test_on_the_shore_it_is_open_over_the_water_and_along_and_closed_over_land(place, expected):
    fetch = straight_fetch([SQUARE], np.array([place], dtype=float), QUARTERS)

    assert fetch[:, 0] == pytest.approx(expected, abs=1e-6)
    assert np.all((fetch[:, 0] == 0) == (np.array(expected) == 0))


@given(seeds, st.floats(0, 360))
@cases(30)
def test_on_a_slanting_shore_the_land_side_is_closed_and_the_water_side_open(seed, heading):
    rng = np.random.default_rng(seed)
    lake = turned(rectangle(0, 0, 1000, 1000), heading)
    place = turned(np.array([[rng.uniform(1, 999), 0.0]]), heading)
    off = rng.uniform(1, 179)

    fetch = straight_fetch([lake], place, heading + np.array([90 - off, 90 + off]))

    assert fetch[0, 0] > 0.1
    assert fetch[1, 0] == 0.0


def test_without_a_shoreline_nothing_is_water():
    points = np.array([[0.0, 0.0]])

    assert np.isnan(straight_fetch([], points, QUARTERS)).all()
    assert not inside([], points).any()
    assert np.isnan(distance_to_shore([], points)).all()


def test_no_points_give_an_empty_table():
    assert straight_fetch([SQUARE], np.empty((0, 2)), QUARTERS).shape == (4, 0)


# -- properties --------------------------------------------------------------------------------


def wild_lake(seed):
    rng = np.random.default_rng(seed)
    rings = [wild_ring(rng, 60), wild_ring(rng, 12, 150.0, (100.0, 50.0))]
    return rings, rng.uniform(-1000, 1000, (40, 2)), rng.uniform(0, 360, 8)


def exact_fetch(rings, point, look):
    """Distance to the shore in rational arithmetic, by every edge."""
    east, north = (Fraction(float(part)) for part in point)
    towards = tuple(Fraction(float(part)) for part in look)
    nearest = None
    for corners in rings:
        places = [(Fraction(x) - east, Fraction(y) - north) for x, y in corners.tolist()]
        sides = [towards[0] * y - towards[1] * x for x, y in places]
        for a, b, left, right in zip(places, places[1:], sides, sides[1:], strict=False):
            if (left < 0) != (right < 0):
                share = left / (left - right)
                along = sum(
                    t * (p + share * (q - p)) for t, p, q in zip(towards, a, b, strict=True)
                )
                if along > 0 and (nearest is None or along < nearest):
                    nearest = along
    assert nearest is not None
    return float(nearest)


@pytest.mark.promise("waves of your own water")
@given(seeds)
@cases(5)
def test_fetch_is_that_of_rational_arithmetic_to_rounding(seed):
    rings, points, bearings = wild_lake(seed)
    points = points[inside(rings, points)][:5]
    look = np.column_stack([np.sin(np.radians(bearings)), np.cos(np.radians(bearings))])

    fetch = straight_fetch(rings, points, bearings)

    expected = [[exact_fetch(rings, point, direction) for point in points] for direction in look]
    assert fetch == pytest.approx(np.array(expected), abs=1e-8)


@given(seeds, st.floats(0, 360))
@cases(30)
def test_a_turned_lake_under_a_turned_wind_has_the_same_fetch(seed, degrees):
    rings, points, bearings = wild_lake(seed)

    expected = straight_fetch(rings, points, bearings)
    fetch = straight_fetch(
        [turned(ring, degrees) for ring in rings], turned(points, degrees), bearings + degrees
    )

    assert fetch == pytest.approx(expected, abs=1e-6, nan_ok=True)


@given(seeds)
@cases(30)
def test_an_island_never_adds_fetch(seed):
    rings, points, bearings = wild_lake(seed)

    without = straight_fetch(rings[:1], points, bearings)
    with_island = straight_fetch(rings, points, bearings)

    on_both = ~np.isnan(with_island)
    assert np.all(with_island[on_both] <= without[on_both] + 1e-9)
    assert np.all(np.isnan(with_island[np.isnan(without)]))


@given(seeds)
@cases(20)
def test_a_single_point_has_the_fetch_that_it_has_among_many(seed):
    rings, points, bearings = wild_lake(seed)

    together = straight_fetch(rings, points, bearings)
    alone = np.column_stack([straight_fetch(rings, point[None, :], bearings) for point in points])

    assert np.array_equal(alone, together, equal_nan=True)


def test_points_beyond_one_block_are_worked_like_the_first(monkeypatch):
    rings, points, bearings = wild_lake(7)
    expected = straight_fetch(rings, points, bearings)

    monkeypatch.setattr(module, "POINTS_AT_ONCE", 7)
    monkeypatch.setattr("safety_check.physics.sweep.BLOCK", 16)
    monkeypatch.setattr(module, "PAIRS_AT_ONCE", 1)

    assert np.array_equal(straight_fetch(rings, points, bearings), expected, equal_nan=True)
    assert distance_to_shore(rings, points) == pytest.approx(
        shapely.distance(shapely.MultiLineString(rings), shapely.points(points))
    )


@given(seeds)
@cases(20)
def test_inside_and_distance_are_those_of_shapely(seed):
    rings, points, _ = wild_lake(seed)
    lake = shapely.make_valid(shapely.Polygon(rings[0])).symmetric_difference(
        shapely.Polygon(rings[1])
    )

    assert np.array_equal(inside(rings, points), shapely.contains_xy(lake, *points.T))
    assert distance_to_shore(rings, points) == pytest.approx(
        shapely.distance(shapely.MultiLineString(rings), shapely.points(points))
    )


@given(seeds)
@cases(20)
def test_the_nearest_shore_point_is_on_the_shore(seed):
    rings, points, _ = wild_lake(seed)

    nearest = nearest_shore_point(rings, points)

    assert distance_to_shore(rings, nearest) == pytest.approx(0, abs=1e-9)
    assert inside(rings, nearest).all()


# -- radials -------------------------------------------------------------------------------------


# ACES User's Guide, example 3 (1992): radials in miles, wave direction and fetch as printed.
ACES_BEARINGS = np.arange(0.0, 157.0, 12.0)
ACES_RADIALS = np.array(
    [3.7, 12.3, 13.4, 12.2, 13.2, 36.0, 35.6, 28.7, 26.8, 13.0, 10.4, 10.1, 6.4, 5.7]
)


def test_radials_smoothed_give_the_fetch_of_the_handbooks_example():
    every_degree = weights_by_degree(ACES_BEARINGS) @ ACES_RADIALS

    smoothed = smoothed_fetch(every_degree, np.arange(360.0))

    assert smoothed[93] == pytest.approx(26.61, abs=0.005)  # printed to two decimals


def test_a_wide_gap_between_radials_is_unknown():
    every_degree = weights_by_degree(ACES_BEARINGS) @ ACES_RADIALS

    assert np.isfinite(every_degree[:157]).all()
    assert np.isnan(every_degree[157:]).all()


def test_ninety_degrees_between_radials_are_known_and_ninety_one_are_not():
    by_degree = weights_by_degree(np.array([0.0, 91.0, 181.0, 271.0])) @ np.ones(4)

    assert np.flatnonzero(np.isnan(by_degree)).tolist() == list(range(1, 91))
    assert by_degree[91:] == pytest.approx(1.0)


def test_radials_are_joined_across_north():
    every_degree = weights_by_degree(QUARTERS) @ np.array([100.0, 0.0, 0.0, 200.0])

    assert every_degree[[270, 315, 0, 45]].tolist() == [200.0, 150.0, 100.0, 50.0]


def test_smoothing_keeps_an_even_fetch_and_a_mean():
    radials = np.random.default_rng(3).uniform(0, 5000, (72, 6))
    bearings = np.arange(0.0, 360.0, 5.0)

    assert smoothed_fetch(np.full((72, 2), 800.0), bearings) == pytest.approx(
        np.full((72, 2), 800.0)
    )
    assert smoothed_fetch(radials, bearings).mean(axis=0) == pytest.approx(radials.mean(axis=0))


def test_smoothing_is_the_mean_of_fifteen_degrees():
    fetch = np.zeros(360)
    fetch[90] = 150.0

    smoothed = smoothed_fetch(fetch, np.arange(360.0))

    assert np.flatnonzero(smoothed > 1e-9).tolist() == list(range(83, 98))
    assert smoothed[83:98] == pytest.approx(10.0)


def test_a_width_of_one_degree_smooths_nothing():
    radials = np.random.default_rng(3).uniform(0, 5000, 72)

    assert smoothed_fetch(radials, np.arange(0.0, 360.0, 5.0), 1.0) == pytest.approx(radials)


def test_an_unknown_point_stays_unknown_and_affects_no_other():
    radials = np.full((72, 2), 500.0)
    radials[:, 0] = np.nan

    smoothed = smoothed_fetch(radials, np.arange(0.0, 360.0, 5.0))

    assert np.isnan(smoothed[:, 0]).all()
    assert smoothed[:, 1] == pytest.approx(500.0)


def test_an_unknown_radial_is_unknown_only_where_it_counts():
    radials = np.full(72, 500.0)
    radials[36] = np.nan

    unknown = np.isnan(smoothed_fetch(radials, np.arange(0.0, 360.0, 5.0)))

    assert np.flatnonzero(unknown).tolist() == [34, 35, 36, 37, 38]


@pytest.mark.parametrize("bearings", [[0.0, 10.0, 5.0], [0.0, 180.0, 360.0]])
def test_bearings_out_of_order_are_refused(bearings):
    with pytest.raises(ValueError, match="ascend"):
        weights_by_degree(np.array(bearings))

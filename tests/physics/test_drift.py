"""Paths and landfalls on shores whose answer is known, and against another geometry library."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon

from safety_check.physics.drift import drift_path, landfall
from tests.properties import cases, note, takes

HOUR = 3600.0


def ring(*corners):
    return np.array([*corners, corners[0]], dtype=float)


LAKE = ring((0, 0), (2000, 0), (2000, 1000), (0, 1000))
ISLAND = ring((1400, 400), (1600, 400), (1600, 600), (1400, 600))


def straight(start, velocity, hours=6, members=1):
    steady = np.broadcast_to(np.array(velocity, dtype=float), (members, hours, 2))
    return drift_path(np.array(start, dtype=float), steady)


def test_a_path_adds_up_its_hours():
    velocity = np.array([[[0.1, 0.0], [0.1, 0.2]], [[0.0, 0.0], [-0.1, 0.0]]])

    path = drift_path(np.array([10.0, 20.0]), velocity)

    assert path[0].tolist() == [[10, 20], [370, 20], [730, 740]]
    assert path[1].tolist() == [[10, 20], [10, 20], [-350, 20]]


def test_the_far_shore_is_met_after_distance_over_speed():
    met = landfall(straight((500, 500), (0.1, 0.0)), [LAKE])

    assert met.time[0] == pytest.approx(15_000.0)
    assert met.point[0] == pytest.approx([2000.0, 500.0])


def test_an_island_is_a_shore():
    met = landfall(straight((500, 500), (0.1, 0.0)), [LAKE, ISLAND])

    assert met.point[0] == pytest.approx([1400.0, 500.0])


def test_a_shore_beyond_the_span_is_not_reached():
    met = landfall(straight((500, 500), (0.1, 0.0), hours=3), [LAKE])

    assert np.isposinf(met.time[0])
    assert np.isnan(met.point[0]).all()


def test_no_drift_reaches_no_shore():
    assert np.isposinf(landfall(straight((500, 500), (0.0, 0.0)), [LAKE]).time[0])


def test_an_unknown_hour_before_the_shore_leaves_the_landfall_unknown_and_after_it_no_matter():
    velocity = np.full((2, 6, 2), 0.1) * [1.0, 0.0]
    velocity[0, 2] = np.nan
    velocity[1, 5] = np.nan

    met = landfall(drift_path(np.array([500.0, 500.0]), velocity), [LAKE])

    assert np.isnan(met.time[0])
    assert np.isnan(met.point[0]).all()
    assert met.time[1] == pytest.approx(15_000.0)


def test_an_unknown_first_hour_is_unknown_even_on_land():
    velocity = np.full((1, 2, 2), np.nan)

    assert np.isnan(landfall(drift_path(np.array([-50.0, 500.0]), velocity), [LAKE]).time[0])


def test_from_the_shore_an_offshore_wind_blows_across_and_an_onshore_wind_nowhere():
    launch = (0.0, 300.0)

    offshore = landfall(straight(launch, (0.2, 0.0)), [LAKE])
    onshore = landfall(straight(launch, (-0.2, 0.0)), [LAKE])

    assert offshore.point[0] == pytest.approx([2000.0, 300.0])
    assert onshore.time[0] == 0.0
    assert onshore.point[0] == pytest.approx(launch)


def test_a_start_less_than_a_metre_off_a_shore_that_one_drifts_onto_has_landed():
    onto = [landfall(straight((off, 300), (-0.2, 0.0)), [LAKE]) for off in (0.95, 1.05)]

    assert onto[0].time[0] == 0.0
    assert onto[1].time[0] == pytest.approx(1.05 / 0.2)
    assert onto[1].point[0] == pytest.approx([0.0, 300.0])


def test_a_shore_in_the_first_metre_of_a_later_hour_is_met():
    met = landfall(straight((1279.5, 500), (0.2, 0.0)), [LAKE])  # at 1999.5 m after an hour

    assert met.time[0] == pytest.approx(HOUR + 0.5 / 0.2)
    assert met.point[0] == pytest.approx([2000.0, 500.0])


def test_a_shore_at_the_very_end_of_the_span_is_reached():
    met = landfall(straight((1280, 500), (0.2, 0.0), hours=1), [LAKE])

    assert met.time[0] == HOUR
    assert met.point[0] == pytest.approx([2000.0, 500.0])


def test_a_path_through_a_corner_of_the_shore_ends_there():
    met = landfall(straight((1500, 500), (0.1, 0.1)), [LAKE])

    assert met.point[0] == pytest.approx([2000.0, 1000.0])
    assert met.time[0] == pytest.approx(5000.0)


def test_a_start_on_land_has_landed():
    assert landfall(straight((-50, 300), (0.0, 0.0)), [LAKE]).time[0] == 0.0
    assert landfall(straight((-50, 300), (0.2, 0.0)), [LAKE]).time[0] == 0.0
    assert landfall(straight((1500, 500), (0.2, 0.0)), [LAKE, ISLAND]).time[0] == 0.0


def test_a_wind_that_turns_bends_the_path_to_another_shore():
    velocity = np.array([[[0.1, 0.0], [0.1, 0.0], [0.0, 0.1], [0.0, 0.1]]])

    met = landfall(drift_path(np.array([500.0, 500.0]), velocity), [LAKE])

    assert met.point[0] == pytest.approx([1220.0, 1000.0])
    assert met.time[0] == pytest.approx(2 * HOUR + 5000.0)


@takes(ashore=0.3)
@cases(40)
@given(seed=st.integers(0, 10_000))
def test_landfalls_agree_with_another_geometry_library(seed):
    rng = np.random.default_rng(seed)
    angles = np.linspace(0, 2 * np.pi, 40)[:-1]
    radius = rng.uniform(400, 2000, angles.size)
    shore = ring(*np.stack([radius * np.cos(angles), radius * np.sin(angles)], axis=1))
    island = ring((100, 100), (250, 120), (200, 300))
    velocity = rng.normal(0, 0.1, (4, 5, 2))
    start = rng.uniform(-60, 60, 2)
    path = drift_path(start, velocity)

    met = landfall(path, [shore, island])

    note("ashore", np.isfinite(met.time).any())
    water = Polygon(shore, [island])
    for time, point, way in zip(met.time, met.point, path, strict=True):
        cut = LineString(way).intersection(water.boundary)
        if cut.is_empty:
            assert np.isposinf(time)
        else:
            # The path up to the landfall lies in the water and ends at its edge.
            whole = int(time // HOUR)
            wet = LineString([*way[: whole + 1], point])
            assert water.boundary.distance(Point(point)) < 1e-6  # metres; rounding
            assert wet.intersection(water).length == pytest.approx(wet.length, rel=1e-9)


def test_shores_far_from_a_path_change_nothing():
    rng = np.random.default_rng(4)
    turn = np.linspace(0, 2 * np.pi, 200)
    rough = (1 + 0.3 * np.sin(9 * turn))[:, None] * np.column_stack([np.sin(turn), np.cos(turn)])
    bay = np.vstack([1500 * rough[:-1], 1500 * rough[:1]])
    velocity = rng.normal(0, 0.05, (60, 6, 2))
    velocity[0, 3] = np.nan
    path = drift_path(np.zeros(2), velocity)

    met = landfall(path, [bay])

    line = shapely.LinearRing(bay)
    for number, way in enumerate(path):
        known = way[np.isfinite(way).all(axis=1)]
        crossing = shapely.LineString(known).intersection(line)
        assert np.isfinite(met.time[number]) == (not crossing.is_empty)
        if not crossing.is_empty:
            assert shapely.Point(met.point[number]).distance(crossing) < 1e-6

"""The frame of a trip: around all that it may reach, and finer than the whole water's lattice."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from safety_check.arrays import FloatArray
from safety_check.model.place import Launch, Water
from safety_check.model.plan import Plan
from safety_check.physics.fetch import inside, straight_fetch
from safety_check.waters import near_water
from safety_check.waters.near_water import FLATTEST, TALLEST, frame_of_trip, trip_water
from safety_check.waters.projection import to_degrees
from tests import scenes
from tests.invented_lake import rectangle

MILE = 1609.344
PLACE = (12.0, 47.0)


def degrees(*points: tuple[float, float]) -> FloatArray:
    return to_degrees(np.array(points, dtype=float), *PLACE)


def great_lake(length: float = 120_000.0) -> Water:
    """Return a lake whose launch lies in the middle of its west shore."""
    ring = rectangle(0.0, -length / 2, 40_000.0, length / 2)
    launch = Launch("pier", PLACE[1], PLACE[0])
    return Water("great", "Europe/Vienna", (launch,), (to_degrees(ring, *PLACE),))


def trip(water: Water, reach: float = MILE, route: FloatArray | None = None) -> Plan:
    return replace(scenes.plan(), water=water, launch=water.launches[0], reach=reach, route=route)


@pytest.fixture(scope="module")
def cache(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("cache")


def test_the_mile_that_matters_fills_the_frame_of_a_great_lake(cache: Path) -> None:
    water = trip_water(trip(great_lake()), cache)
    assert water.near is not None
    assert water.near.frame is not None
    size = water.near.frame.highest - water.near.frame.lowest
    assert 2 * MILE < size[1] < 2 * MILE * 1.4
    assert FLATTEST - 1e-9 <= size[1] / size[0] <= TALLEST + 1e-9
    assert water.whole is not None
    assert water.near.spacing < water.whole.spacing / 10


def test_every_place_within_reach_or_on_the_route_lies_in_the_frame(cache: Path) -> None:
    lake = great_lake()
    route = degrees((3000.0, 500.0), (9000.0, -4000.0))
    for plan in (trip(lake), trip(lake, route=route)):
        water = trip_water(plan, cache)
        frame = frame_of_trip(plan, water)
        assert frame is not None
        places = water.points if plan.route is None else np.array([[3000.0, 500], [9000, -4000]])
        assert (places > frame.lowest).all()
        assert (places < frame.highest).all()
        assert (frame.lowest < 0).all()
        assert (frame.highest > 0).all()


def test_the_fetch_in_the_frame_is_that_of_all_the_water(cache: Path) -> None:
    near = trip_water(trip(great_lake()), cache).near
    assert near is not None
    ring = rectangle(0.0, -60_000.0, 40_000.0, 60_000.0)
    assert inside([ring], near.points).all()
    some = slice(None, None, 97)
    # The plane is projected to the ellipsoid and back: 0.3 % over 60 km.
    expected = straight_fetch([ring], near.points[some], near.bearings)
    assert near.fetch[:, some] == pytest.approx(expected, rel=0.003, abs=30.0)


def test_a_water_that_the_trip_nearly_fills_has_no_frame(cache: Path) -> None:
    assert trip_water(trip(great_lake(2500.0), reach=40_000.0), cache).near is None


def test_the_frame_is_computed_once(cache: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = trip_water(trip(great_lake()), cache).near
    monkeypatch.delattr(near_water, "straight_fetch")
    again = trip_water(trip(great_lake()), cache).near
    assert first is not None
    assert again is not None
    assert np.array_equal(first.smoothed, again.smoothed)

"""How strong a wind a place bears: the off-wind search turned round, never on the bold side."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.physics.decay import left_after_an_hour
from safety_check.physics.fetch import smoothed_fetch, straight_fetch
from safety_check.physics.off_wind import largest_sea, smoothed_radials
from safety_check.physics.places import lattice
from safety_check.physics.shelter import exceeded, strongest_wind, winds_left
from safety_check.physics.waves import significant_height
from tests.properties import cases, note, takes

BEARINGS = np.arange(0.0, 360.0, 5.0)
BOUND = 0.25


def rough_lake(seed: int, reach: float) -> list[np.ndarray]:
    """Return a ragged lake with an island, closed rings in metres."""
    rng = np.random.default_rng(seed)
    turn = np.linspace(0, 2 * np.pi, 60)[:, None]
    around = np.hstack([np.sin(turn), np.cos(turn)])
    rough = 1 + rng.uniform(-0.5, 0.5, (60, 1))
    rough[-1] = rough[0]
    return [reach * rough * around, reach / 6 * around + [reach / 5, 0.0]]


@pytest.mark.one_in(3)
@pytest.mark.parametrize("depth", [np.inf, 4.0])
@pytest.mark.parametrize("reach", [600.0, 4000.0])
@pytest.mark.parametrize("seed", [1, 2])
def test_the_strongest_wind_is_where_the_search_reaches_the_height(seed, reach, depth):
    rings = rough_lake(seed, reach)
    points = lattice(rings, reach / 6)
    fetch = straight_fetch(rings, points, BEARINGS)
    facing = np.array([0, 31])

    strongest = strongest_wind(smoothed_fetch(fetch, BEARINGS), facing, BOUND, depth)

    radials = smoothed_radials(BEARINGS, fetch)
    for row, bearing in enumerate(BEARINGS[facing]):
        for point in np.flatnonzero(strongest[row] < 55)[::5]:
            wind = strongest[row, point] * np.array([0.98, 1.02])
            winds, towards = wind, np.full(2, bearing)
            low, high = largest_sea(winds, towards, radials[:, point], depth).height
            # 2 % of wind either way: radials every 5° against every degree
            assert low < BOUND <= high


def test_no_wind_raises_a_sea_in_a_ditch_and_an_unknown_ray_allows_no_wind():
    radials = np.full((72, 2), 2.0)
    radials[10, 1] = np.nan

    strongest = strongest_wind(radials, np.array([0, 36]), BOUND)

    assert strongest[:, 0].tolist() == [np.inf, np.inf]
    assert strongest[0, 1] == 0.0  # 50° off the wind, so it counts
    assert strongest[1, 1] == np.inf  # 130° off the wind


@pytest.mark.parametrize("bearing", [17, -17])
def test_a_long_arm_85_degrees_off_the_wind_still_counts(bearing):
    radials = np.zeros((72, 1))
    radials[bearing] = 1e5

    along, off, beyond = strongest_wind(radials, np.array([bearing, 0, -bearing // 17]), BOUND)[
        :, 0
    ]

    assert off == pytest.approx(along / np.cos(np.radians(85)))
    assert beyond == np.inf  # 90° off the wind


def test_water_without_a_length_raises_no_sea():
    assert (strongest_wind(np.zeros((72, 2)), np.array([0, 9]), BOUND) == np.inf).all()


def test_the_wind_that_raises_the_height_exceeds_the_shelter_and_60_metres_a_second_are_lawful():
    none = np.zeros(2)

    assert exceeded(np.full((72, 1), 5.0), np.array([4.99, 5.0]), none)[:, 0].tolist() == [
        False,
        True,
    ]
    assert not exceeded(np.full((72, 1), np.inf), np.array([59.0, 60.0]), none).any()


lengths = st.floats(1.0, 5e5)


@takes(less_on_longer_water=0.3, more_for_a_higher_bound=0.5)
@cases(60)
@given(lengths, lengths, st.floats(0.05, 1.0), st.floats(0.5, 50.0))
def test_longer_water_or_a_lower_bound_never_allows_more_wind(one, other, bound, depth):
    short, long = (np.full((72, 1), value) for value in sorted((one, other)))
    north = np.array([0])

    usual = strongest_wind(short, north, bound, depth)
    longer = strongest_wind(long, north, bound, depth)
    higher = strongest_wind(short, north, 1.1 * bound, depth)
    assert longer <= usual <= higher
    note("less_on_longer_water", longer < usual)
    note("more_for_a_higher_bound", usual < higher)


@takes(reached_by_some_wind=0.5)
@cases(60)
@given(lengths, st.floats(0.05, 1.0), st.floats(0.5, 50.0))
def test_the_strongest_wind_is_rounded_down(length, bound, depth):
    (strongest,) = strongest_wind(np.full((72, 1), length), np.array([0]), bound, depth)[0]

    note("reached_by_some_wind", np.isfinite(strongest))
    if np.isfinite(strongest):
        # The table's winds lie 0.3 % apart.
        assert significant_height(strongest * 0.999, length, depth) < bound


def test_what_is_not_known_counts_as_reached_and_a_calm_never_does():
    strongest = np.full((72, 1), 5.0)
    speed = np.array([4.0, np.nan, 4.0, 0.0, 0.0, 61.0, np.inf])
    direction = np.array([10.0, 10.0, np.nan, np.nan, 10.0, 10.0, 10.0])

    reached = exceeded(strongest, speed, direction)[:, 0]

    assert reached.tolist() == [False, True, True, False, False, True, True]
    assert exceeded(np.full((72, 1), np.inf), np.array([61.0]), np.array([0.0])).all()


def test_between_two_bearings_the_weaker_counts_also_across_north():
    strongest = np.full((72, 1), 9.0)
    strongest[[0, 71], 0] = 5.0, 3.0
    direction = np.array([0.0, 2.5, 360.0, 357.5, 352.0, 350.0, -357.5])

    reached = exceeded(strongest, np.full(7, 4.0), direction)[:, 0]

    assert reached.tolist() == [False, False, False, True, True, False, False]


@given(st.floats(0.5, 25.0), st.floats(100.0, 4e5), st.floats(0.5, 100.0))
@cases(60)
def test_a_reduced_wind_raises_no_lower_sea_than_what_is_left(wind, fetch, depth):
    energy = significant_height(wind, fetch, depth) ** 2

    for left in winds_left(np.array([wind]), fetch, depth, 6):
        assert significant_height(left, fetch, depth)[0] >= np.sqrt(energy) * (1 - 1e-9)
        energy = left_after_an_hour(energy, np.array(fetch))


def test_nothing_is_left_of_a_calm_and_an_unknown_wind_stays_unknown():
    left = winds_left(np.array([0.0, np.nan]), 20e3, np.inf, 3)

    assert all(value[0] == 0 and np.isnan(value[1]) for value in left)

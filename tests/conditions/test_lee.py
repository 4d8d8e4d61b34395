"""Where the lee is: a share of the water and the way to it, claimed only where it is proved."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.conditions.lee import Lee, Winds, find_lee, with_near
from safety_check.model.place import Frame, Launch, WholeWater
from safety_check.physics.fetch import smoothed_fetch, straight_fetch
from safety_check.physics.growth_through_hours import sea_through_hours
from safety_check.physics.places import lattice
from safety_check.physics.waves import equivalent_fetch
from safety_check.units import Preferences
from safety_check.waters.open_water import open_water
from tests import scenes
from tests.properties import cases, note, takes

BEARINGS = np.arange(0.0, 360.0, 5.0)
BOUND = 0.25
READS = Preferences(wave="ft", distance="mi")


def box(wide: float, high: float) -> np.ndarray:
    east, north = wide / 2, high / 2
    return np.array(
        [[-east, -north], [east, -north], [east, north], [-east, north], [-east, -north]]
    )


def whole(rings, spacing: float, launch=None, depth: float = np.inf) -> WholeWater:
    points = lattice(rings, spacing)
    fetch = straight_fetch(rings, points, BEARINGS)
    smoothed = smoothed_fetch(fetch, BEARINGS)
    at = None if launch is None else np.array(launch, dtype=float)
    return WholeWater((0.0, 45.0), spacing, points, BEARINGS, fetch, smoothed, depth, at)


def steady(speed: float, direction: float, instants: int = 3, members: int = 1) -> Winds:
    shape = (members, instants)
    return Winds(np.full(shape, speed), np.full(shape, direction), np.full(members, 1 / members))


@pytest.fixture(scope="module")
def lake() -> WholeWater:
    """Return 4 km by 12 km of water, the launch in the middle of its east shore."""
    return whole([box(4000.0, 12_000.0)], 100.0, launch=[2000.0, 0.0])


COARSE = whole([box(4000.0, 12_000.0)], 500.0)


def test_a_wind_square_on_a_straight_shore_shelters_as_far_as_the_law_says(lake):
    found = find_lee(lake, steady(8.0, 270.0), BOUND, 0.1)

    # One column of places, 100 m, and 1 % for radials that are means over 15°.
    sheltered = float(equivalent_fetch(BOUND, 8.0))
    assert found.share == pytest.approx(sheltered / 4000, abs=0.025 + 0.01)
    assert found.distance == pytest.approx(4000 - sheltered, abs=100 + 40)
    assert found.direction == pytest.approx(270.0, abs=2.0)
    assert set(lake.points[found.sheltered, 0]) < set(np.arange(-2000.0, 2000.0))


def test_a_launch_in_the_lee_is_there_already(lake):
    found = find_lee(replace(lake, launch=np.array([-2000.0, 0.0])), steady(8.0, 270.0), BOUND, 0.1)

    assert found.distance == 0.0
    assert found.words(READS).endswith("; the launch lies in it.")


def test_a_calm_shelters_all_and_a_storm_nothing(lake):
    assert find_lee(lake, steady(0.0, np.nan), BOUND, 0.1).share == 1.0
    none = find_lee(lake, steady(45.0, 270.0), 0.02, 0.1)
    assert (none.share, none.distance) == (0.0, np.inf)
    assert none.words(READS).startswith("no part of the water is sure to stay below")


@pytest.mark.parametrize("lost", ["speed", "direction"])
def test_wind_that_is_not_known_in_one_hour_leaves_the_lee_unknown(lake, lost):
    winds = steady(3.0, 270.0, members=2)
    values = getattr(winds, lost).copy()
    values[1, 2] = np.nan

    found = find_lee(lake, replace(winds, **{lost: values}), BOUND, 0.1)

    assert np.isnan(found.share)
    assert not found.sheltered.any()
    assert found.words(READS) == "not known, since the wind is not known in every hour."


def test_one_forecast_in_ten_suffices_to_spoil_a_place_and_one_in_twenty_does_not(lake):
    winds = steady(1.0, 270.0, members=20)
    windy = winds.speed.copy()
    windy[:1] = 15.0

    assert find_lee(lake, replace(winds, speed=windy), BOUND, 0.1).share == 1.0
    windy[:2] = 15.0
    assert find_lee(lake, replace(winds, speed=windy), BOUND, 0.1).share < 0.5


def test_the_wind_at_the_end_of_the_last_hour_counts(lake):
    winds = steady(1.0, 270.0)
    winds.speed[0, -1] = 15.0

    assert find_lee(lake, winds, BOUND, 0.1).share < 0.5


def test_a_wind_that_turns_leaves_no_lee_on_either_side(lake):
    winds = steady(8.0, 270.0)
    turned = replace(winds, direction=np.array([[270.0, 90.0, 90.0]]))

    assert find_lee(lake, turned, BOUND, 0.1).share < find_lee(lake, winds, BOUND, 0.1).share / 4


def test_the_hours_before_count_on_long_water_alone():
    blew = Winds(np.array([[14.0, 0.0, 0.0]]), np.full((1, 3), 270.0), np.ones(1), lead_in=1)
    short = whole([box(3000.0, 3000.0)], 150.0)
    long = whole([box(15_000.0, 15_000.0)], 500.0)

    assert find_lee(short, blew, BOUND, 0.1).share == 1.0
    assert find_lee(long, blew, BOUND, 0.1).share < 0.5


def test_unknown_hours_before_the_trip_spoil_nothing():
    long = whole([box(15_000.0, 15_000.0)], 500.0)
    winds = Winds(np.array([[np.nan, 1.0, 1.0]]), np.full((1, 3), 270.0), np.ones(1), lead_in=1)

    assert find_lee(long, winds, BOUND, 0.1).share == 1.0


@takes(sheltered_in_part=0.3)
@cases(15)
@given(st.integers(0, 10_000))
def test_no_place_is_called_sheltered_where_the_sea_through_the_hours_reaches_the_bound(seed):
    rng = np.random.default_rng(seed)
    water = whole([box(9000.0, 24_000.0)], 1500.0)
    speed = np.abs(np.cumsum(rng.normal(0, 1.5, (1, 30)), axis=1) + 5).clip(0, 11)
    direction = (np.cumsum(rng.normal(0, 15, (1, 30)), axis=1) + rng.uniform(0, 360)) % 360

    found = find_lee(water, Winds(speed, direction, np.ones(1), lead_in=24), BOUND, 0.1)

    note("sheltered_in_part", 0 < found.share < 1)
    for point in np.flatnonzero(found.sheltered)[::7]:
        sea = sea_through_hours(speed, direction, BEARINGS, water.fetch[:, point]).height
        # 2 %: radials every 5° against every degree
        assert sea[0, 24:].max() < 1.02 * BOUND


def test_a_sea_from_elsewhere_leaves_no_lee(lake):
    light = steady(2.0, 270.0)
    reach = lake.fetch.max(axis=1)
    flat, swell = (np.array([[0.05, height]]) for height in (0.05, 0.4))

    assert find_lee(lake, replace(light, sea=flat), BOUND, 0.1, reach).share == 1.0
    assert find_lee(lake, replace(light, sea=swell), BOUND, 0.1, reach).share == 0.0
    unknown = np.array([[0.05, np.nan]])
    assert find_lee(lake, replace(light, sea=unknown), BOUND, 0.1, reach).share == 0.0


def test_a_sea_that_the_wind_itself_raises_leaves_the_lee_behind_the_shore(lake):
    fresh = replace(steady(8.0, 270.0), sea=np.full((1, 2), 0.5))

    assert find_lee(lake, fresh, BOUND, 0.1, lake.fetch.max(axis=1)).share > 0.1


@takes(fewer_in_more_wind=0.2, fewer_by_the_bound=0.2)
@cases(25)
@given(st.floats(1.0, 10.0), st.floats(1.0, 10.0), st.floats(0.0, 359.9))
def test_more_wind_or_a_lower_bound_never_shelters_more(one, other, direction):
    light, strong = (
        find_lee(COARSE, steady(value, direction), BOUND, 0.1).sheltered
        for value in sorted((one, other))
    )
    strict = find_lee(COARSE, steady(min(one, other), direction), BOUND / 2, 0.1).sheltered

    assert not np.any(strong & ~light)
    assert not np.any(strict & ~light)
    note("fewer_in_more_wind", strong.sum() < light.sum())
    note("fewer_by_the_bound", strict.sum() < light.sum())


def test_a_turned_lake_in_a_turned_wind_has_the_same_lee():
    angle = np.radians(-35.0)  # clockwise, as bearings go
    turn = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    upright = whole([box(3000.0, 6000.0)], 60.0)
    turned = whole([box(3000.0, 6000.0) @ turn], 60.0)

    one = find_lee(upright, steady(8.0, 270.0), BOUND, 0.1).share
    other = find_lee(turned, steady(8.0, 305.0), BOUND, 0.1).share

    assert 0.1 < one < 0.9
    assert other == pytest.approx(one, abs=0.03)  # another lattice cuts the edge of the lee


@pytest.mark.parametrize(
    ("share", "distance", "said"),
    [
        (1.0, 0.0, "nearly all of the water stays below 0.8 ft, where caution starts."),
        (0.01, 800.0, "very little of the water stays below 0.8 ft, where caution starts;"
         " the nearest is 0.5 mi NW of the launch, in a straight line."),
        (0.42, np.nan, "about 40 % of the water stays below 0.8 ft, where caution starts."),
    ],
)  # fmt: skip
def test_the_lee_in_words(share, distance, said):
    found = Lee(np.ones(1, dtype=bool), share, BOUND, distance, 315.0)

    assert found.words(READS) == said


# -- in a verdict ----------------------------------------------------------------------------

CORNERS = np.array([[-99.64, 44.88], [-99.56, 44.88], [-99.56, 44.92], [-99.64, 44.92]])
SQUARE = np.vstack([CORNERS, CORNERS[:1]])
RAMP = Launch("ramp", 44.9, -99.5605)
RESERVOIR = replace(scenes.WATER, shoreline=(SQUARE,), launches=(RAMP,))


@pytest.fixture(scope="module")
def trip(tmp_path_factory):
    plan = replace(scenes.plan(), water=RESERVOIR, launch=RAMP)
    return plan, open_water(plan, tmp_path_factory.mktemp("cache"))


def test_a_verdict_says_where_the_lee_is(trip):
    plan, water = trip
    blowing = scenes.forecast({"wind_speed": 8.0, "wind_speed_of_gust": 9.0})

    said = scenes.verdict(blowing, plan, water).lee

    assert said.startswith("about ")
    assert said.endswith("W of the launch, in a straight line.")
    assert scenes.verdict(trip=plan, water=water).lee.startswith("nearly all of the water")


def test_a_stale_forecast_proves_no_lee(trip):
    plan, water = trip
    old = replace(scenes.FROM_A_FILE, issued=scenes.NOW - timedelta(days=20))

    said = scenes.verdict(scenes.forecast(provenance=old), plan, water).lee

    assert said == "not known, since the wind is not known in every hour."


def test_a_verdict_without_a_shoreline_has_no_sentence_on_the_lee():
    assert scenes.verdict().lee == ""


def test_observed_waves_at_the_launch_leave_no_lee(trip):
    plan, water = trip
    seen = scenes.observation("sea_surface_wave_significant_height", 1.0, at=scenes.START)

    said = scenes.verdict(trip=plan, water=water, observations=[seen], at=scenes.START).lee

    assert said.startswith("no part of the water is sure to stay below")


# -- near the trip ---------------------------------------------------------------------------


def near(water: WholeWater, frame: Frame, spacing: float) -> WholeWater:
    """Return the part of a water in a frame around its launch, its places closer together."""
    assert water.launch is not None
    fine = whole([box(4000.0, 12_000.0)], spacing)
    points = fine.points - water.launch
    some = ((points >= frame.lowest) & (points <= frame.highest)).all(axis=1)
    return replace(
        fine,
        points=points[some],
        fetch=fine.fetch[:, some],
        smoothed=fine.smoothed[:, some],
        launch=np.zeros(2),
        frame=frame,
    )


def test_the_nearest_lee_is_told_from_the_places_near_the_trip(lake):
    there = replace(COARSE, launch=np.array([-1500.0, 0.0]))
    around = near(there, Frame(-600.0, -400.0, 600.0, 400.0), 50.0)
    wind = steady(8.0, 270.0)
    rough, close = find_lee(there, wind, BOUND, 0.1), find_lee(around, wind, BOUND, 0.1)

    told = with_near(rough, there, around, close)

    fine = find_lee(replace(lake, launch=there.launch), wind, BOUND, 0.1)
    assert told.share == rough.share
    assert told.distance == pytest.approx(fine.distance, abs=100.0)
    assert told.shelter is not None
    assert told.shelter.near is not None
    assert told.shelter.near.any()
    assert np.array_equal(told.shelter.whole, rough.sheltered)


def test_without_a_lee_near_the_trip_the_nearest_lies_outside_its_frame():
    there = replace(COARSE, launch=np.array([1900.0, 0.0]))
    around = near(there, Frame(-600.0, -400.0, 100.0, 400.0), 50.0)
    wind = steady(8.0, 270.0)
    rough, close = find_lee(there, wind, BOUND, 0.1), find_lee(around, wind, BOUND, 0.1)

    told = with_near(rough, there, around, close)

    assert not close.sheltered.any()
    assert told.distance == rough.distance > 600.0


def test_a_lee_too_small_for_the_whole_waters_places_is_told_all_the_same():
    told = Lee(np.zeros(3, dtype=bool), 0.0, BOUND, 120.0, 270.0, np.ones(2, dtype=bool))

    assert told.words(READS).startswith("very little of the water stays below")
    assert "the nearest is" in told.words(READS)


def test_a_wind_that_is_not_known_shelters_no_place(lake):
    assert find_lee(lake, steady(np.nan, 270.0), BOUND, 0.1).shelter is None


# -- which winds and hours count ---------------------------------------------------------------


def places(*east: float, fetch: float = 1000.0, frame: Frame | None = None) -> WholeWater:
    """Return places in a row east of the launch, each with as much open water all round."""
    points = np.column_stack([east, np.zeros(len(east))])
    around = np.full((len(BEARINGS), len(east)), fetch)
    at = np.zeros(2)
    return WholeWater((0.0, 45.0), 10.0, points, BEARINGS, around, around, np.inf, at, frame)


def blows(*rows: list[float], weights: list[float] | None = None, lead_in: int = 0) -> Winds:
    """Return west winds by member and instant."""
    speed = np.array(rows)
    shares = np.full(len(rows), 1 / len(rows)) if weights is None else np.array(weights)
    return Winds(speed, np.full(speed.shape, 270.0), shares, lead_in)


def share(winds: Winds, tolerance: float = 0.1, water: WholeWater | None = None) -> float:
    return find_lee(places(500.0) if water is None else water, winds, BOUND, tolerance).share


def test_a_tenth_of_the_forecasts_excludes_an_hour_and_a_tenth_that_is_unknown_hides_it() -> None:
    calm = [[1.0, 1.0, 1.0]] * 9
    assert share(blows([20.0, 1.0, 1.0], *calm)) == 0.0
    assert share(blows([20.0, 1.0, 1.0], *calm), 0.11) == 1.0
    assert np.isnan(share(blows([np.nan, 1.0, 1.0], *calm)))
    assert share(blows([np.nan, 1.0, 1.0], *calm), 0.11) == 1.0


def test_forecasts_that_blow_in_different_hours_are_not_added_up() -> None:
    early, late = [20.0, 1.0, 1.0, 1.0, 1.0], [1.0, 1.0, 1.0, 1.0, 20.0]
    assert share(blows(early, late), 0.6) == 1.0
    both_ends = [1.0, 20.0, 1.0, 1.0, 1.0], [1.0, 1.0, 20.0, 1.0, 1.0]
    assert share(blows(*both_ends), 0.6) == 0.0  # of the second hour both spoil one end
    assert share(blows([20.0, 1.0], [1.0, 20.0]), 0.6) == 0.0


def test_a_single_instant_counts_by_itself() -> None:
    assert share(blows([20.0])) == 0.0
    assert share(blows([1.0])) == 1.0


def test_a_calm_without_a_direction_is_known() -> None:
    calm = replace(blows([0.0, 0.0]), direction=np.full((1, 2), np.nan))
    assert share(calm) == 1.0
    air = replace(calm, speed=np.ones((1, 2)))
    assert np.isnan(share(air))


@pytest.mark.parametrize("direction", [0.0, 272.0, 355.5, 357.6, 359.9])
def test_the_winds_between_two_bearings_are_borne_by_both(direction: float) -> None:
    wind = replace(blows([1.0, 1.0]), direction=np.full((1, 2), direction))
    assert share(wind) == 1.0


@pytest.mark.parametrize(("fetch", "found"), [(5000.0, 1.0), (5100.0, 0.0)])
def test_the_sea_of_the_hours_before_counts_on_water_longer_than_five_kilometres(
    fetch: float, found: float
) -> None:
    blew = blows([14.0, 0.0, 0.0], lead_in=1)
    assert share(blew, water=places(500.0, fetch=fetch)) == found


def test_an_unknown_wind_before_the_trip_leaves_no_sea_at_all() -> None:
    water, winds = places(500.0, fetch=20_000.0), blows([np.nan, 0.0, 0.0], lead_in=1)
    assert find_lee(water, winds, 0.001, 0.1).share == 1.0
    known = blows([14.0, 0.0, 0.0], lead_in=1)
    assert find_lee(water, known, 0.001, 0.1).share == 0.0


def test_an_expected_sea_that_reaches_the_bound_counts_and_one_below_does_not() -> None:
    light, reach = blows([1.0, 1.0, 1.0]), np.full(len(BEARINGS), 1000.0)
    for height, found in ((BOUND, 0.0), (np.nextafter(BOUND, 0), 1.0)):
        winds = replace(light, sea=np.array([[0.0, height]]))
        assert find_lee(places(500.0), winds, BOUND, 0.1, reach).share == found
    assert find_lee(places(500.0), light, BOUND, 0.1).share == 1.0


# -- the nearest lee ---------------------------------------------------------------------------


def nearest(near_east: list[float], close: list[bool], whole_east: list[float]) -> float:
    """Return how far the nearest lee is told to be, with a frame of 100 m around the launch."""
    around = places(*near_east, frame=Frame(-100.0, -100.0, 100.0, 100.0))
    rough = Lee(np.ones(len(whole_east), dtype=bool), 1.0, BOUND, 0.0, np.nan)
    fine = Lee(np.array(close), 0.5, BOUND, 0.0, np.nan)
    return with_near(rough, places(*whole_east), around, fine).distance


@pytest.mark.parametrize(
    ("near_east", "close", "whole_east", "distance"),
    [
        ([100.0, 60.0], [True, False], [150.0], 100.0),  # a place on the frame is inside it
        ([-100.0, 60.0], [True, False], [150.0], 100.0),
        ([101.0, 60.0], [True, False], [150.0], 150.0),
        ([-101.0, 60.0], [True, False], [-150.0], 150.0),
        ([60.0], [False], [100.0, -100.0, 150.0], 150.0),
        ([60.0], [False], [50.0, 101.0], 101.0),
        ([60.0], [False], [50.0], np.inf),
    ],
)
def test_inside_the_frame_the_near_places_tell_and_outside_it_the_others(
    near_east: list[float], close: list[bool], whole_east: list[float], distance: float
) -> None:
    assert nearest(near_east, close, whole_east) == distance


def test_the_places_of_a_whole_water_are_not_told_from_its_launch() -> None:
    away = np.array([1000.0, 0.0])
    around = places(60.0, frame=Frame(-100.0, -100.0, 100.0, 100.0))
    rough = Lee(np.ones(2, dtype=bool), 1.0, BOUND, 0.0, np.nan)
    nothing = Lee(np.zeros(1, dtype=bool), 0.0, BOUND, np.inf, np.nan)
    water = replace(places(1050.0, 1150.0), launch=away)  # 50 m from it, inside the frame, and 150
    assert with_near(rough, water, around, nothing).distance == 150.0


@pytest.mark.parametrize(
    ("east", "north", "distance", "direction"),
    [
        (10.0, 0.0, 0.0, np.nan),  # within a spacing: the launch itself
        (10.1, 0.0, 10.1, 90.0),
        (0.0, -50.0, 50.0, 180.0),
        (-30.0, 40.0, 50.0, 323.13),  # 360 - arctan(3 / 4)
    ],
)
def test_the_nearest_lee_has_a_distance_and_a_direction(
    east: float, north: float, distance: float, direction: float
) -> None:
    water = replace(places(0.0), points=np.array([[east, north]]))
    found = find_lee(water, blows([1.0, 1.0]), BOUND, 0.1)
    assert found.distance == pytest.approx(distance)
    assert found.direction == pytest.approx(direction, abs=0.01, nan_ok=True)


def test_without_a_launch_a_water_without_a_lee_has_no_sheltered_part() -> None:
    for part, said in ((0.0, "no part of the water"), (0.5, "about 50 % of the water")):
        found = Lee(np.zeros(1, dtype=bool), part, BOUND, np.nan, np.nan)
        assert found.words(READS).startswith(said)


@pytest.mark.parametrize(
    ("part", "said"),
    [
        *((0.9751, "nearly all"), (0.975, "nearly all"), (0.974, "about 95 %")),
        *((0.026, "about 5 %"), (0.025, "very little"), (0.0, "very little"), (0.5, "about 50 %")),
    ],
)
def test_the_share_is_told_in_twentieths_and_never_as_none_or_all(part: float, said: str) -> None:
    found = Lee(np.ones(1, dtype=bool), part, BOUND, 100.0, 90.0)
    assert found.words(READS).startswith(f"{said} of the water stays below")

"""The map's numbers: the sea of the off-wind search at every place, never below the verdict's."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.conditions.wave_map import (
    WAVES,
    _near_any,
    _raised,
    grid_of_trip,
    grid_of_water,
    map_at_hour,
    map_under_wind,
    thinner,
)
from safety_check.errors import ConfigError, PlanError
from safety_check.model.craft import Paddler
from safety_check.model.place import FetchTable, Launch, Water
from safety_check.physics.off_wind import largest_sea, smoothed_radials
from safety_check.settings.folders import Folders
from safety_check.settings.settings import Settings
from safety_check.settings.user_file import OddsTable, UserSettings
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.use_cases.wave_map import _chosen, map_trip, map_verdict, map_wind
from safety_check.waters.open_water import open_water, whole_water
from tests import scenes
from tests.properties import note, takes

SHORE = np.array([[12.0, 47.0], [12.06, 47.0], [12.06, 47.03], [12.0, 47.03], [12.0, 47.0]])
ISLAND = np.array([[12.03, 47.01], [12.04, 47.01], [12.04, 47.02], [12.03, 47.02], [12.03, 47.01]])
RAMP, COVE = Launch("ramp", 47.015, 12.0005), Launch("cove", 47.0004, 12.05)
LAKE = Water("lake", "Europe/Vienna", (RAMP, COVE), (SHORE, ISLAND), depth=8.0)


@pytest.fixture(scope="module")
def cache(tmp_path_factory):
    return tmp_path_factory.mktemp("cache")


@pytest.fixture(scope="module")
def paper(cache):
    return grid_of_water(LAKE, cache)


def own(cache, **user):
    return Settings(Folders(cache, cache, cache), UserSettings(**user))


MINE = {
    "craft": UserSettings.model_validate({"craft": {"mine": {"class": "sit-on-top-kayak"}}}).craft
}
AS_FORECAST = UserSettings(odds=OddsTable(tolerance=0.1, dressing=False))


# -- one wind --------------------------------------------------------------------------------


def test_every_place_has_the_sea_of_the_off_wind_search(paper, cache):
    shown = map_under_wind(paper, 9.0, 310.0)

    whole = whole_water(LAKE, cache)
    radials = smoothed_radials(whole.bearings, whole.fetch)
    sea = largest_sea(np.array(9.0), np.array(310.0), radials, 8.0)
    assert np.array_equal(shown.height, sea.height)
    assert shown.height.max() > 2 * np.median(shown.height) / 1.5  # it is no constant


def test_a_calm_is_flat_and_an_unknown_wind_is_not_known_anywhere(paper):
    assert not map_under_wind(paper, 0.0, np.nan).height.any()
    for speed, direction in ((np.nan, 310.0), (9.0, np.nan), (200.0, 310.0)):
        assert np.isnan(map_under_wind(paper, speed, direction).height).all()


def test_the_grid_holds_every_place_once_where_it_lies(paper):
    east = paper.on_grid(paper.whole.points[:, 0])

    known = np.isfinite(east)
    assert known.sum() == len(paper.whole.points)
    columns = paper.corner[0] + paper.whole.spacing * np.arange(east.shape[1])
    assert np.allclose(np.where(known, east - columns, 0.0), 0.0, atol=1e-6)
    north = paper.on_grid(paper.whole.points[:, 1])
    rows = paper.corner[1] + paper.whole.spacing * np.arange(north.shape[0])
    assert np.allclose(np.where(known, north - rows[:, None], 0.0), 0.0, atol=1e-6)


def test_a_thinner_grid_keeps_every_second_place_both_ways(paper):
    places = paper.whole.points
    steps = np.rint((places - places.min(axis=0)) / paper.whole.spacing)
    kept = (steps % 2 == 0).all(axis=1)
    lee = replace(paper, sheltered=places[:, 0] > 0)

    thin = thinner(lee, len(places) - 1)

    assert 0 < kept.sum() < len(places)
    assert thin.whole.points.tolist() == places[kept].tolist()
    assert thin.whole.fetch.tolist() == paper.whole.fetch[:, kept].tolist()
    assert thin.whole.smoothed.tolist() == paper.whole.smoothed[:, kept].tolist()
    assert thin.radials.tolist() == paper.radials[:, kept].tolist()
    assert thin.sheltered is not None
    assert thin.sheltered.tolist() == (places[kept, 0] > 0).tolist()
    assert thin.whole.spacing == 2 * paper.whole.spacing
    assert thinner(lee, len(places)) is lee
    assert len(thinner(paper, 10).whole.points) <= 10


def test_the_trip_is_at_the_places_within_a_spacing_of_its_own_or_else_at_the_nearest(paper):
    whole, (first, second) = paper.whole, paper.whole.points[[0, 5]]

    near = _near_any(whole, np.array([first, second]))

    apart = [min(np.hypot(*(place - one)) for one in (first, second)) for place in whole.points]
    assert near.tolist() == [bool(far <= whole.spacing) for far in apart]
    far_off = whole.points.min(axis=0) - 40 * whole.spacing
    nearest = np.hypot(*(whole.points - far_off).T)
    assert near.sum() > 2
    assert np.flatnonzero(_near_any(whole, far_off[None])).tolist() == [nearest.argmin()]


def test_the_island_is_not_water(paper):
    grid = paper.on_grid(np.zeros(len(paper.whole.points)))
    rows, columns = grid.shape

    # The island lies from 1/2 to 2/3 of the lake's width, 1/3 to 2/3 of its height.
    assert np.isnan(grid[round(rows / 2), round(columns * 7 / 12)])
    # An island of 1/18 of the bounds; the lattice may miss its edge by one cell.
    assert np.isnan(grid).mean() == pytest.approx(1 / 18, abs=0.015)


def test_a_water_without_a_shoreline_can_not_be_drawn(cache):
    table = FetchTable(np.arange(0.0, 360.0, 90.0), np.full(4, 500.0))

    with pytest.raises(ConfigError, match="no shape to draw"):
        grid_of_water(replace(LAKE, shoreline=(), fetch_table=table), cache)


# -- the hours of a verdict ------------------------------------------------------------------


@pytest.fixture(scope="module")
def trip():
    return replace(scenes.plan(), water=LAKE, launch=RAMP, reach=900.0)


@pytest.fixture(scope="module")
def checked(trip, cache):
    blowing = scenes.forecast(
        {"wind_speed": 6.0, "wind_speed_of_gust": 8.0, "wind_from_direction": 250.0},
        {"wind_speed": 7.0, "wind_speed_of_gust": 9.0, "wind_from_direction": 250.0},
    )
    plain = replace(scenes.settings(), user=AS_FORECAST)
    return scenes.verdict(blowing, trip, open_water(trip, cache), plain)


def test_each_hour_of_a_trip_has_its_map(checked, cache):
    maps = map_verdict(checked, own(cache))

    assert [one_map.time for one_map in maps] == [hour.time for hour in checked.hours]
    assert {one_map.wind_speed for one_map in maps} == {7.0}
    assert {one_map.wind_from_direction for one_map in maps} == {250.0}
    assert (maps[0].caution, maps[0].no_go) == checked.hours[0].bounds[WAVES]
    middle = map_verdict(checked, own(cache), high=False)
    assert {row.wind_speed for row in middle} == {checked.hours[0].shown["wind_speed"]}


def test_in_a_steady_wind_on_short_water_the_map_is_that_wind_s_and_agrees_with_the_table(
    checked, cache, paper
):
    (shown, *_) = map_verdict(checked, own(cache))

    assert np.array_equal(shown.height, map_under_wind(paper, 7.0, 250.0).height)
    launch = shown.grid.whole.launch
    assert launch is not None
    far = np.hypot(*(shown.grid.whole.points - launch).T)
    told = checked.hours[0].shown[f"{WAVES}_high"]
    # The verdict looks over the longest open water of all places of the reach in each direction,
    # so it is higher than any one of them, here by an eighth.
    assert told * 0.85 < shown.height[far < 900].max() <= told


def hour_with(checked, **shown):
    hour = checked.hours[0]
    return replace(hour, shown={**hour.shown, **shown})


def test_a_higher_sea_in_the_verdict_raises_all_of_the_map(checked, trip, cache):
    paper, reach = grid_of_trip(trip, cache), open_water(trip, cache)
    plain = map_at_hour(paper, checked.hours[0], reach)

    swell = map_at_hour(paper, hour_with(checked, **{f"{WAVES}_high": 0.9}), reach)

    assert (swell.height > plain.height).all()
    assert swell.height.min() > 0.8
    lower = map_at_hour(paper, hour_with(checked, **{f"{WAVES}_high": 0.01}), reach)
    assert np.array_equal(lower.height, plain.height)


def test_an_hour_whose_waves_are_not_known_has_none_on_the_map(checked, trip, cache):
    paper, reach = grid_of_trip(trip, cache), open_water(trip, cache)

    for lost in (f"{WAVES}_high", "wind_speed_high", "wind_from_direction"):
        shown = map_at_hour(paper, hour_with(checked, **{lost: np.nan}), reach)
        assert np.isnan(shown.height).all()


@takes(higher=0.2)
@given(st.floats(0.0, 3.0), st.floats(0.0, 3.0), st.floats(0.0, 3.0))
def test_a_map_is_raised_to_the_given_height_and_never_lowered(there, told, elsewhere):
    heights = np.array([there, elsewhere])

    raised = _raised(heights, there, told)

    # Squares below 1e-154 vanish: no wave that anybody sees.
    assert raised[0] == pytest.approx(max(there, told), rel=1e-9, abs=1e-12)
    assert (raised >= heights * (1 - 1e-9) - 1e-12).all()
    note("higher", raised[0] > there)


def test_a_fifth_is_added_in_proportion_and_the_rest_all_over_the_water():
    heights = np.array([1.0, 2.0])

    # By hand: twelve tenths of the own sea, and of the rest √(1.5² - 1.2²) = 0.9 everywhere.
    assert _raised(heights, 1.0, 1.1) == pytest.approx([1.1, 2.2])
    assert _raised(heights, 1.0, 1.5) == pytest.approx([1.5, (2.4**2 + 0.81) ** 0.5])
    assert _raised(heights, 1.0, 0.5) == pytest.approx([1.0, 2.0])
    assert _raised(np.array([0.0, 0.3]), 0.0, 0.4) == pytest.approx([0.4, 0.5])


def test_a_trip_with_a_route_draws_it_from_its_launch(trip, cache):
    routed = replace(trip, route=np.array([[12.01, 47.02], [12.02, 47.025]]))

    paper = grid_of_trip(routed, cache)

    assert paper.reach is None
    assert paper.route is not None
    assert np.array_equal(paper.route[0], paper.launches[0][1])
    assert len(paper.route) == 3
    assert grid_of_trip(trip, cache).reach == 900.0


# -- what is asked for -----------------------------------------------------------------------


def test_the_lee_of_one_wind_is_sought_from_the_launch_by_the_craft_s_own_limit(cache):
    kayak = own(cache, craft={"mine": {"class": "sit-on-top-kayak"}})

    mapped = map_wind(LAKE, kayak, 12.0, 250.0, launch="cove")

    assert mapped.chosen.caution == 0.2
    assert "of the launch, in a straight line" in mapped.lee
    assert len(mapped.chosen.grid.launches) == 1
    all_of_them = map_wind(LAKE, kayak, 12.0, 250.0)
    assert len(all_of_them.chosen.grid.launches) == 2
    assert "launch" not in all_of_them.lee


def test_without_a_craft_there_is_a_map_but_no_sentence_on_the_lee(cache):
    mapped = map_wind(LAKE, own(cache), 12.0, 250.0, launch="cove")

    assert mapped.lee == ""
    assert mapped.chosen.caution == np.inf


def test_a_wind_beyond_the_law_is_refused(cache):
    with pytest.raises(PlanError, match="the wave model does not cover that"):
        map_wind(LAKE, own(cache), 89.4, 250.0)


def test_the_roughest_hour_is_shown_unless_another_is_named(checked, cache):
    maps = map_verdict(checked, own(cache))
    rough = replace(maps[2], height=maps[2].height * 2)
    hours = (*maps[:2], rough, *maps[3:])

    assert _chosen(hours, checked, None) is rough
    second = (scenes.START + timedelta(hours=1, minutes=20)).isoformat()
    assert _chosen(hours, checked, second) is hours[1]
    with pytest.raises(PlanError, match="has no such hour"):
        _chosen(hours, checked, (scenes.START + timedelta(days=3)).isoformat())


def test_a_paddler_who_has_declared_nothing_gets_a_map_all_the_same(cache):
    blank = own(cache)
    assert blank.paddler == Paddler()

    mapped = map_wind(LAKE, blank, 12.0, 250.0, craft="float-tube")

    assert mapped.chosen.caution == 0.15


def test_a_trip_is_mapped_from_a_forecast_file(cache, tmp_path):
    from safety_check.waters import files
    from tests.cli import forecasts

    folders = Folders(tmp_path, tmp_path, tmp_path)
    settings = Settings(folders, AS_FORECAST.model_copy(update=MINE))
    there = Launch("ramp", 44.915, -99.5996)
    moved = replace(LAKE, shoreline=(SHORE - np.array([111.6, 2.1]),), launches=(there,))
    files.save(replace(moved, time_zone="America/Chicago"), folders.waters)
    said = forecasts.write(tmp_path, forecasts.answer(wind_speed_10m=6.0, wind_gusts_10m=8.0))
    asked = PlanRequest(water="lake", start="2026-06-13 06:00", hours=3, as_of="2026-06-12 20:00")

    mapped = map_trip(asked, settings, said)

    assert len(mapped.hours) == 4  # the hour of return included
    assert any(mapped.chosen is hour for hour in mapped.hours)
    assert mapped.chosen.wind_speed == 6.0
    assert not (tmp_path / "checks.sqlite").exists()

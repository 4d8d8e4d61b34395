"""The sea that a trip meets: the worst of the wind's own, the forecast and the observed one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from safety_check.arrays import FloatArray
from safety_check.conditions.ensemble import FROM, SEA, WIND, Ensemble, ObservedExcess
from safety_check.conditions.hour_parts import LEAD_IN, hour_ends, whole_hours
from safety_check.conditions.sea_met import (
    highest_place,
    sea_complete,
    waves_of_wind,
    waves_within,
    with_other_seas,
    worst_over_directions,
)
from safety_check.model.place import OpenWater
from safety_check.model.weather import Forecast
from safety_check.physics.waves import significant_height
from tests import invented_lake as lake
from tests import scenes

HOURS = np.arange("2026-06-13T15", "2026-06-13T18", dtype="datetime64[h]").astype("datetime64[s]")
NOW = HOURS[0]


def members(given: Forecast) -> Ensemble:
    return scenes.ensemble(scenes.briefing(given), hour_ends(HOURS))


def with_row(found: Ensemble, name: str, *values: float) -> Ensemble:
    """Return members in which the instants from the first hour on have other values."""
    changed = found.quantities[name].copy()
    changed[:, LEAD_IN:] = values
    return replace(found, quantities={**found.quantities, name: changed})


def test_a_forecast_of_waves_that_breaks_off_is_incomplete_and_one_without_waves_is_not() -> None:
    heights = np.array([[0.1, np.nan, 0.2], [np.nan, np.nan, np.nan], [0.1, 0.1, np.inf]])
    assert np.array_equal(sea_complete(heights), [[1.0, np.nan, np.nan]], equal_nan=True)
    assert sea_complete(heights[[1]]).tolist() == [[1.0, 1.0, 1.0]]
    sites = np.stack([heights, np.full((3, 3), 0.2)])
    expected = np.array([[[1.0, np.nan, np.nan]], [[1.0, 1.0, 1.0]]])
    assert np.array_equal(sea_complete(sites), expected, equal_nan=True)


def test_the_highest_sea_of_any_wave_model_counts_for_every_member() -> None:
    found = members(scenes.forecast({SEA: 0.1}, {SEA: 0.3}, {}))
    own = np.array([[0.2], [0.4], [0.0]]) * np.ones(LEAD_IN + 4)
    assert with_other_seas(found, own)[:, 0].tolist() == [0.3, 0.4, 0.3]
    heights = np.array([[[0.1], [0.5]], [[0.2], [0.3]]])  # of two sites
    sites = replace(found, quantities={SEA: heights}, seen={})
    assert with_other_seas(sites, np.zeros((2, 2, 1)))[..., 0].tolist() == [[0.5, 0.5], [0.3, 0.3]]
    without = members(scenes.forecast({}))
    assert with_other_seas(without, own[:1]).tolist() == own[:1].tolist()


def test_an_observed_sea_raises_every_member_and_fades() -> None:
    found = members(scenes.forecast({}))
    seen = replace(found, seen={SEA: (ObservedExcess(NOW, 0.6, 2 * 3600.0),)})
    raised = with_other_seas(seen, np.full((1, LEAD_IN + 4), 0.2))
    assert raised[0, LEAD_IN - 2 :] == pytest.approx([0.2, 0.6, 0.6, 0.4, 0.2, 0.2])


def from_north(direction: FloatArray) -> FloatArray:
    """Return 2 for a wind from north, 0 for one from south."""
    return 1.0 + np.cos(np.radians(direction))


def test_an_observed_direction_counts_where_it_is_worse_and_as_far_as_it_weighs() -> None:
    seen = {FROM: (ObservedExcess(NOW, 0.0, 2 * 3600.0),)}
    south = replace(members(scenes.forecast({FROM: 180.0})), seen=seen)
    assert worst_over_directions(south, from_north)[0, LEAD_IN - 2 :] == pytest.approx(
        [0.0, 2.0, 2.0, 1.0, 0.0, 0.0], abs=1e-12
    )
    slanting = with_row(south, FROM, *[120.0] * 4)  # 0.5, and half of the 1.5 above it after 1 h
    assert worst_over_directions(slanting, from_north)[0, LEAD_IN + 1] == pytest.approx(1.25)
    away = replace(south, seen={FROM: (ObservedExcess(NOW, 180.0, 2 * 3600.0),)})
    north = with_row(away, FROM, 0.0, 0.0, 0.0, 0.0)
    assert worst_over_directions(north, from_north)[0, LEAD_IN:] == pytest.approx(2.0)


def test_the_waves_of_the_wind_grow_with_the_longest_open_water_upwind() -> None:
    found = members(scenes.forecast({WIND: 8.0}))
    water = scenes.open_water(9.0)
    raised = waves_of_wind(found, np.full(len(water.bearings), 4000.0), water)
    assert raised[0, -1] == pytest.approx(float(significant_height(8.0, 4000.0, 10.0)), rel=1e-9)


# -- within a distance -------------------------------------------------------------------------


WATER = lake.open_water(4000.0, most=40)
WINDY = with_row(members(scenes.forecast({WIND: 4.0, FROM: 270.0})), WIND, 4.0, 9.0, 3.0, 6.0)


def near_part(far: float) -> OpenWater:
    """Return the water of the places near the launch alone, by a plain loop."""
    apart = max(
        min(float(np.hypot(*(one - other))) for other in WATER.points if (one != other).any())
        for one in WATER.points
    )
    some = np.array([float(np.hypot(*point)) <= far + apart for point in WATER.points])
    assert 1 < some.sum() < len(some)
    return replace(WATER, points=WATER.points[some], fetch=WATER.fetch[:, some])


def sea_on(water: OpenWater) -> FloatArray:
    return with_other_seas(WINDY, waves_of_wind(WINDY, water.fetch.max(axis=-1), water))


def test_in_an_hour_near_the_launch_only_the_places_there_count() -> None:
    within = np.array([np.inf, 300.0, np.inf])
    height, parts = sea_on(WATER), whole_hours(3)
    met = waves_within(WINDY, WATER, height, parts, within)[0]
    near = sea_on(near_part(300.0))[0, LEAD_IN:]
    whole = height[0, LEAD_IN:]
    assert met.tolist() == [max(whole[:2]), max(near[1:3]), max(whole[2:4])]
    assert met[1] < max(whole[1:3])


def test_each_distance_has_its_own_hours() -> None:
    within = np.array([300.0, 900.0, 300.0])
    met = waves_within(WINDY, WATER, sea_on(WATER), whole_hours(3), within)[0]
    close, farther = (sea_on(near_part(far))[0, LEAD_IN:] for far in (300.0, 900.0))
    assert met.tolist() == [max(close[:2]), max(farther[1:3]), max(close[2:4])]


def test_a_distance_that_takes_in_every_place_changes_nothing() -> None:
    height, parts = sea_on(WATER), whole_hours(3)
    whole, beyond = (
        waves_within(WINDY, WATER, height, parts, np.full(3, far)) for far in (np.inf, 1e6)
    )
    assert beyond.tolist() == whole.tolist()


# -- the worst place ---------------------------------------------------------------------------


def test_the_worst_place_is_the_one_with_the_most_water_upwind_in_the_worst_hour() -> None:
    # Before the trip it blows from the east, and in its worst hour from the west.
    turned = with_row(WINDY, FROM, 270.0, 270.0, 270.0, 270.0)
    before = turned.quantities[FROM].copy()
    before[:, :LEAD_IN] = 90.0
    strong = turned.quantities[WIND].copy()
    strong[:, :LEAD_IN] = 20.0
    found = replace(turned, quantities={**turned.quantities, FROM: before, WIND: strong})
    place = list(highest_place(found, waves_of_wind(found, WATER.fetch.max(axis=-1), WATER), WATER))
    assert place in WATER.points.tolist()
    assert place[0] > 3000.0


def test_without_waves_the_worst_place_is_the_launch() -> None:
    calm = members(scenes.forecast({WIND: 0.0}))
    height = np.zeros((1, LEAD_IN + 4))
    assert highest_place(calm, height, WATER) == (0.0, 0.0)
    assert highest_place(calm, np.full((1, LEAD_IN + 4), np.nan), WATER) == (0.0, 0.0)


def test_a_place_whose_open_water_is_unknown_is_not_the_worst() -> None:
    radials = WATER.radials.copy()
    radials[:, 0] = np.nan
    assert highest_place(WINDY, sea_on(WATER), replace(WATER, radials=radials))[0] > 3000.0


def test_an_unknown_hour_is_not_the_worst() -> None:
    height = sea_on(WATER)
    height[:, LEAD_IN] = np.nan
    assert highest_place(WINDY, height, WATER)[0] > 3000.0

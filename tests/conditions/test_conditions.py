"""Where weather meets physics: which row speaks for which hour, and what is not known."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from safety_check.arrays import hour_axis
from safety_check.conditions.coefficients import load_coefficients
from safety_check.conditions.conditions import (
    Conditions,
    build_conditions,
)
from safety_check.conditions.course import anywhere
from safety_check.conditions.hour_parts import hour_ends, trip_parts
from safety_check.conditions.light import light_of_trip
from safety_check.model.craft import Paddler
from safety_check.model.verdict import Severity
from safety_check.model.weather import Briefing, Forecast
from safety_check.physics.daylight import solar_elevation
from safety_check.physics.waves import significant_height
from tests import invented_lake as lake
from tests import scenes

SEA = "sea_surface_wave_significant_height"


def at_hour(given: Forecast, quantity: str, hour: str, value: float) -> Forecast:
    """Return a forecast in which one quantity has another value at one instant."""
    changed = given.quantities[quantity].copy()
    changed[:, given.time == np.datetime64(hour, "s")] = value
    return replace(given, quantities={**given.quantities, quantity: changed})


def conditions(given: Forecast, water: scenes.OpenWater = scenes.POND) -> Conditions:
    trip = scenes.plan()
    hours = hour_axis(trip.start, trip.end)
    briefing = Briefing(at=scenes.NOW, forecasts=(given,))
    members = scenes.ensemble(briefing, hour_ends(hours))
    return build_conditions(
        trip, hours, members, water, np.full(len(hours), 296.15), load_coefficients()
    )


def test_a_gust_counts_in_the_hours_before_and_after_its_row() -> None:
    given = at_hour(scenes.forecast(), "wind_speed_of_gust", "2026-06-13T17", 12.0)
    gust = conditions(given).quantities["wind_speed_of_gust"][0]
    assert gust.tolist() == [2.5, 12.0, 12.0, 2.5, 2.5, 2.5]  # the trip starts at 15:00 UTC


def test_wind_at_an_instant_counts_for_the_hour_before_and_after() -> None:
    given = at_hour(scenes.forecast(), "wind_speed", "2026-06-13T17", 7.0)
    wind = conditions(given).quantities["wind_speed"][0]
    assert wind.tolist() == [1.5, 7.0, 7.0, 1.5, 1.5, 1.5]


def test_a_gust_below_the_wind_is_raised_to_it() -> None:
    gust = conditions(scenes.forecast({"wind_speed": 6.0, "wind_speed_of_gust": 4.0}))
    assert gust.quantities["wind_speed_of_gust"].min() == 6.0


@pytest.mark.parametrize("quantity", ["wind_speed", "wind_speed_of_gust", "wind_from_direction"])
def test_what_a_row_lacks_is_not_known_and_not_nought(quantity: str) -> None:
    told = conditions(scenes.without(scenes.forecast(), quantity)).quantities
    assert np.isnan(told["wind_speed_of_gust" if "speed" in quantity else SEA]).all()


def test_waves_on_a_round_lake_are_the_growth_law_at_its_fetch() -> None:
    told = conditions(scenes.forecast({"wind_speed": 8.0}), scenes.open_water(4000.0))
    expected = float(significant_height(8.0, 4000.0, 10.0))
    assert told.quantities[SEA] == pytest.approx(np.full((1, 6), expected), rel=1e-9)


def test_a_wave_model_only_adds() -> None:
    given = scenes.forecast({SEA: 0.9}, {})
    assert conditions(given).quantities[SEA].min() == 0.9
    assert conditions(scenes.forecast({SEA: 0.0})).quantities[SEA].min() > 0.01


def test_fog_by_its_code_counts_whatever_the_visibility() -> None:
    given = scenes.forecast({"weather_code": 45.0, "visibility_in_air": 9000.0})
    assert (conditions(given).quantities["fog"] == 1).all()
    assert scenes.severity_of(given) == Severity.NO_GO
    assert np.isnan(conditions(scenes.forecast({"weather_code": 17.0})).quantities["fog"]).all()


def test_a_gap_in_a_wave_forecast_holds_the_verdict_at_marginal() -> None:
    sea = scenes.forecast({SEA: 0.05}, {})
    assert scenes.severity_of(sea) == Severity.GO
    sea.quantities[SEA][0, 41] = np.nan
    assert scenes.severity_of(sea) == Severity.MARGINAL


def test_cool_air_without_humidity_is_known_not_to_be_hot() -> None:
    cool = scenes.without(scenes.forecast({"air_temperature": 293.15}), "relative_humidity")
    assert np.isfinite(conditions(cool).quantities["heat_index"]).all()
    hot = scenes.without(scenes.forecast({"air_temperature": 303.15}), "relative_humidity")
    assert np.isnan(conditions(hot).quantities["heat_index"]).all()


def test_a_model_that_never_gives_a_quantity_does_not_count_and_is_not_missing() -> None:
    models = ["dwd_icon_seamless", "ncep_gfs_seamless"]
    given = scenes.forecast({"visibility_in_air": 50.0}, {}, models=models)
    verdict = scenes.verdict(given)
    assert verdict.severity == Severity.GO
    lost = scenes.without(given, "visibility_in_air", slice(0, 1))
    assert scenes.severity_of(lost) == Severity.GO
    assert scenes.severity_of(scenes.without(given, "visibility_in_air")) == Severity.MARGINAL


def test_an_onshore_wind_is_not_offshore_and_an_offshore_one_is() -> None:
    water = scenes.open_water(5000.0)
    lee = replace(water, fetch=np.where(water.bearings[:, None] < 180, 100.0, 5000.0))
    offshore = conditions(scenes.forecast({"wind_from_direction": 90.0}), lee)
    onshore = conditions(scenes.forecast({"wind_from_direction": 270.0}), lee)
    assert offshore.quantities["open_water_downwind"].max() == 5000.0
    assert offshore.quantities["offshore_wind_speed"].max() > 0.0
    assert onshore.quantities["open_water_downwind"].max() == 100.0
    assert onshore.quantities["offshore_wind_speed"].max() == 0.0


def test_the_darker_end_of_an_hour_counts_cut_to_the_trip() -> None:
    # Sunset at the invented place is at 02:25 UTC on 14 June.
    evening = scenes.START.replace(day=14, hour=0)
    for minutes, dark in ((140, False), (150, True)):
        trip = replace(scenes.plan(start=evening), end=evening + timedelta(minutes=minutes))
        hours = hour_axis(trip.start, trip.end)
        briefing = Briefing(at=scenes.NOW, forecasts=(scenes.forecast(),))
        members = scenes.ensemble(briefing, hour_ends(hours))
        whole = build_conditions(
            trip, hours, members, scenes.POND, np.full(len(hours), 296.15), load_coefficients()
        )
        lights = light_of_trip(trip, hours, 1800.0)
        cut = whole.in_parts(trip_parts(trip, hours, 1800.0), lights, anywhere(len(hours)))
        assert (cut.quantities["solar_elevation_angle"].min() < -0.833) == dark


# -- the paddler -------------------------------------------------------------------------------


def of_paddler(paddler: Paddler) -> dict[str, float]:
    trip = scenes.plan(paddler=paddler, hours=1)
    hours = hour_axis(trip.start, trip.end)
    members = scenes.ensemble(scenes.briefing(), hour_ends(hours))
    found = build_conditions(
        trip, hours, members, scenes.POND, np.full(len(hours), 296.15), load_coefficients()
    ).quantities
    names = ("life_jacket_worn", "alone", "company_declared", "load_over_capacity")
    return {name: float(found[name][0, 0]) for name in names}


@pytest.mark.parametrize(
    ("jacket", "worn"), [("worn", 1.0), ("carried", 0.0), ("none", 0.0), (None, np.nan)]
)
def test_only_a_life_jacket_that_is_worn_counts(jacket: str | None, worn: float) -> None:
    found = of_paddler(replace(scenes.READY, life_jacket=jacket))["life_jacket_worn"]
    assert np.array_equal(found, worn, equal_nan=True)


@pytest.mark.parametrize(
    ("company", "alone", "declared"),
    [("alone", 1.0, 1.0), ("group", 0.0, 1.0), (None, np.nan, np.nan)],
)
def test_who_says_nothing_of_company_is_neither_alone_nor_in_company(
    company: str | None, alone: float, declared: float
) -> None:
    found = of_paddler(replace(scenes.READY, company=company))
    assert np.array_equal(
        [found["alone"], found["company_declared"]], [alone, declared], equal_nan=True
    )


@pytest.mark.parametrize(("within", "over"), [(True, 0.0), (False, 1.0), (None, 0.0)])
def test_only_a_load_said_to_be_over_capacity_is(within: bool | None, over: float) -> None:
    assert of_paddler(replace(scenes.READY, within_capacity=within))["load_over_capacity"] == over


# -- the hours of other trips on the same water --------------------------------------------------


def test_the_sum_of_air_and_water_is_in_celsius_and_takes_the_colder_end_of_the_hour() -> None:
    given = at_hour(scenes.forecast(), "air_temperature", "2026-06-13T17", 285.15)
    found = conditions(given).quantities["sum_of_air_and_water_temperature"][0]
    assert found == pytest.approx([45.0, 35.0, 35.0, 45.0, 45.0, 45.0])  # 22 or 12 °C, and 23 °C


def test_an_estimated_water_has_its_quantities_at_both_ends() -> None:
    plain = conditions(scenes.forecast())
    cold, warm = np.full(6, 283.15), np.full(6, 290.15)
    both = plain.with_water(cold, warm)
    assert both.quantities["water_temperature"].max() == 283.15
    assert both.quantities["water_temperature_at_warm_end"].min() == 290.15
    assert both.warm_end(2) == 290.15
    measured = both.with_water(cold)
    assert measured.warm_end(2) is None
    assert not [name for name in measured.quantities if name.endswith("_at_warm_end")]
    assert plain.warm_end(0) is None


def test_another_craft_has_its_own_way_home_and_the_same_weather() -> None:
    plain = conditions(scenes.forecast({"wind_speed": 4.0}))
    tube = plain.with_plan(scenes.plan("float-tube"))
    assert tube.quantities["time_home"].min() > 1.5 * plain.quantities["time_home"].max()
    assert tube.way is not plain.way
    assert tube.quantities["wind_speed"].tolist() == plain.quantities["wind_speed"].tolist()
    later = plain.with_plan(scenes.plan(hours=2.5))
    assert later.way is plain.way
    for name in ("solar_elevation_angle", "time_to_dark"):
        assert later.quantities[name].tolist() == plain.quantities[name].tolist()
    assert later.quantities["way_home_share_of_trip"] == pytest.approx(
        2 * plain.quantities["way_home_share_of_trip"]
    )


def test_a_stale_forecast_is_not_in_date() -> None:
    fresh = conditions(scenes.forecast()).quantities["forecast_in_date"]
    old = replace(scenes.FROM_A_FILE, issued=scenes.NOW - timedelta(days=20))
    stale = conditions(scenes.forecast(provenance=old)).quantities["forecast_in_date"]
    assert fresh.tolist() == [[1.0]]
    assert np.isnan(stale).all()


def test_rain_of_an_hour_is_that_of_the_row_at_its_end() -> None:
    given = at_hour(scenes.forecast(), "precipitation_amount", "2026-06-13T17", 2.0)
    assert conditions(given).quantities["precipitation_amount"][0].tolist() == [0, 2, 0, 0, 0, 0]


@pytest.mark.parametrize(("code", "name"), [(95.0, "thunderstorm"), (45.0, "fog")])
def test_thunder_and_fog_count_in_the_hours_before_and_after_their_row(
    code: float, name: str
) -> None:
    given = at_hour(scenes.forecast(), "weather_code", "2026-06-13T17", code)
    assert conditions(given).quantities[name][0].tolist() == [0, 1, 1, 0, 0, 0]


def test_visibility_counts_at_the_worse_end_of_the_hour() -> None:
    given = at_hour(scenes.forecast(), "visibility_in_air", "2026-06-13T17", 800.0)
    assert conditions(given).quantities["visibility_in_air"][0].tolist() == [
        *(20_000, 800, 800, 20_000, 20_000, 20_000),
    ]  # fmt: skip


def test_the_hottest_and_the_coldest_end_of_an_hour_count_each_for_its_danger() -> None:
    given = at_hour(scenes.forecast(), "air_temperature", "2026-06-13T17", 309.15)
    heat = conditions(given).quantities["heat_index"][0]
    assert (np.flatnonzero(heat > 305.0)).tolist() == [1, 2]
    given = at_hour(scenes.forecast({"wind_speed": 6.0}), "air_temperature", "2026-06-13T17", 263.0)
    chill = conditions(given).quantities["wind_chill_temperature"][0]
    assert (np.flatnonzero(chill < 263.0)).tolist() == [1, 2]


def test_the_direction_of_an_hour_is_that_of_its_start() -> None:
    given = at_hour(scenes.forecast(), "wind_from_direction", "2026-06-13T17", 90.0)
    assert conditions(given).quantities["wind_from_direction"][0].tolist() == [
        *(270, 270, 90, 270, 270, 270),
    ]  # fmt: skip


def test_the_waves_are_the_highest_of_all_places_within_reach() -> None:
    water = lake.open_water(3000.0, most=12)
    wind = scenes.forecast({"wind_speed": 7.0})
    whole = conditions(wind, water).quantities[SEA]
    places = [
        replace(
            water,
            points=water.points[[at]],
            fetch=water.fetch[:, [at]],
            radials=water.radials[:, [at]],
        )
        for at in range(len(water.points))
    ]
    heights = np.array([conditions(wind, place).quantities[SEA] for place in places])
    assert (whole >= heights.max(axis=0) - 1e-12).all()
    assert whole.min() > 2 * heights.min()


def test_a_whole_forecast_is_complete_and_a_lost_wind_leaves_a_gap() -> None:
    found = conditions(scenes.forecast())
    assert found.shape == (1, 6)
    assert replace(found, time=np.tile(found.time, (3, 1))).shape == (3, 1, 6)
    for name in ("forecast_complete", "sea_forecast_complete"):
        assert set(found.quantities[name].ravel().tolist()) == {1.0}


def test_the_light_of_an_hour_is_that_of_its_darker_end() -> None:
    found = conditions(scenes.forecast())
    place = (scenes.LAUNCH.latitude, scenes.LAUNCH.longitude)
    ends = [
        solar_elevation(*place, found.time + hours * np.timedelta64(1, "h")) for hours in (0, 1)
    ]
    darker = np.minimum(*ends)
    assert found.quantities["solar_elevation_angle"].tolist() == [darker.tolist()]

"""What each hazard needs and when it counts, written a second time by hand."""

from __future__ import annotations

from safety_check.rules.hazards import HAZARDS
from safety_check.rules.hazards_moving import OF_MOVING_WATER

# Each name of a hazard → what it weighs, in the order of the list of findings.
WEIGHED = {
    "forecast_too_old": "forecast_in_date",
    "forecast_with_gaps": "forecast_complete",
    "sea_forecast_with_gaps": "sea_forecast_complete",
    "forecast_growing": "forecast_growth",
    "forecast_missed": "forecast_missed",
    "wind_too_strong": "wind_speed",
    "gusts_too_strong": "wind_speed_of_gust",
    "capsize_by_waves": "sea_surface_wave_significant_height",
    "no_life_jacket": "life_jacket_worn",
    "overloaded": "load_over_capacity",
    "company_not_declared": "company_declared",
    "cold_water": "water_temperature",
    "cold_air_over_cold_water": "sum_of_air_and_water_temperature",
    "dark_without_daylight": "solar_elevation_angle",
    "thunderstorm": "thunderstorm",
    "air_ready_for_storms": "atmosphere_convective_available_potential_energy",
    "fog": "visibility_in_air",
    "fog_forecast": "fog",
    "heavy_rain": "precipitation_amount",
    "cold_air": "wind_chill_temperature",
    "heat": "heat_index",
    "official_warning": "official_warning",
    "held_in_place": "share_of_hold_station_wind",
    "slow_way_home": "way_home_share_of_trip",
    "dark_is_near": "time_to_dark_once_home",
    "dusk_before_home": "time_to_dusk_once_home",
    "offshore_wind": "offshore_wind_speed",
    "too_far_to_swim": "swim_to_shore_share",
    "thunder_possible": "probability_of_thunder",
    "wind_shift": "wind_shift",
    "wind_jumps": "wind_rise",
    "pressure_falls": "pressure_fall",
    "strong_current": "sea_water_speed",
    "current_of_sea_model": "sea_water_speed_of_sea_model",
    "current_stops_craft": "current_share_of_cruise_speed",
    "wind_against_current": "wave_height_against_current",
    "waves_break_on_current": "height_of_waves_that_break_on_current",
    "ebb_at_bar": "ebb_at_bar",
    "tide_not_known": "tide_known",
    "launch_dries": "water_over_launch",
    "river_in_flood": "river_flood_category",
    "river_high_for_the_day": "river_percentile",
    "river_high_and_rising": "river_percentile_while_rising",
    "river_gauge": "river_gauge_height",
    "river_discharge": "river_discharge",
    "dam_release": "dam_release",
    "worse_before_home": "spare_time_before_worse",
}

# Where one of these is not known, the trip is MARGINAL at best, and not UNKNOWN.
NOT_REQUIRED = {
    *("sea_forecast_with_gaps", "forecast_growing", "forecast_missed", "official_warning"),
    *("cold_air_over_cold_water", "cold_air", "heat", "heavy_rain", "fog", "fog_forecast"),
    *("air_ready_for_storms", "thunder_possible", "wind_shift", "wind_jumps", "pressure_falls"),
    *("current_of_sea_model", "river_high_for_the_day", "dam_release"),
}

# What the model of a member must give for the member to count.
NEEDS = {
    "gusts_too_strong": ("wind_speed_of_gust",),
    "cold_air_over_cold_water": ("air_temperature",),
    "thunderstorm": ("weather_code",),
    "air_ready_for_storms": ("atmosphere_convective_available_potential_energy",),
    "fog": ("visibility_in_air",),
    "fog_forecast": ("weather_code",),
    "heavy_rain": ("precipitation_amount",),
    "cold_air": ("air_temperature",),
    "heat": ("air_temperature",),
    "thunder_possible": ("probability_of_thunder",),
    "pressure_falls": ("air_pressure_at_mean_sea_level",),
}

CHOSEN_BY = {
    "craft": {
        *("wind_too_strong", "gusts_too_strong", "capsize_by_waves", "offshore_wind"),
        *("wind_jumps", "strong_current", "wind_against_current"),
    },
    "wearing": {"cold_water", "cold_air_over_cold_water", "too_far_to_swim"},
    "light": {"dark_without_daylight", "dark_is_near", "dusk_before_home"},
}


def test_every_hazard_weighs_its_quantity_in_the_order_of_the_list() -> None:
    assert [(one.name, one.weighs) for one in HAZARDS] == list(WEIGHED.items())


def test_a_required_hazard_that_is_not_known_is_unknown_and_others_are_a_caution() -> None:
    assert {one.name for one in HAZARDS if not one.required} == NOT_REQUIRED


def test_a_forecast_counts_only_where_its_model_gives_what_the_hazard_needs() -> None:
    assert {one.name: one.lacking for one in HAZARDS if one.lacking} == NEEDS


def test_craft_clothing_and_light_choose_the_limits_that_depend_on_them() -> None:
    chosen = {
        by: {one.name for one in HAZARDS if one.chosen_by == by}
        for by in {one.chosen_by for one in HAZARDS} - {"any"}
    }
    assert chosen == CHOSEN_BY


def test_going_alone_lowers_the_limits_of_wind_and_gusts_only() -> None:
    lowered = {one.name for one in HAZARDS if one.lowered_by_reductions}
    assert lowered == {"wind_too_strong", "gusts_too_strong"}


def test_only_the_growth_of_a_forecast_needs_an_earlier_check() -> None:
    assert [one.name for one in HAZARDS if one.needs_past] == ["forecast_growing"]


def test_only_the_chance_of_thunder_is_left_out_where_no_model_gives_it() -> None:
    assert [one.name for one in HAZARDS if one.only_where_made] == ["thunder_possible"]


def test_still_water_has_no_tide_current_or_river() -> None:
    assert {  # what a lake without a river never has
        *("strong_current", "current_of_sea_model", "current_stops_craft"),
        *("wind_against_current", "waves_break_on_current", "ebb_at_bar", "tide_not_known"),
        *("launch_dries", "river_in_flood", "river_high_for_the_day", "river_high_and_rising"),
        *("river_gauge", "river_discharge", "dam_release"),
    } == OF_MOVING_WATER

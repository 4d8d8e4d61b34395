"""What each hazard weighs, in the few words that a line of the page has room for."""

from __future__ import annotations

from safety_check.rules.hazards import quantity_label

SHORT_NAMES = {  # of hazards whose quantity reads as a clause
    "forecast_too_old": "Forecast up to date",
    "sea_forecast_with_gaps": "Gaps in the wave forecasts",
    "thunder_possible": "Chance of thunder",
    "forecast_with_gaps": "Gaps in the wind forecasts",
    "forecast_growing": "Rise of the wind forecast",
    "forecast_missed": "Observation above the forecasts",
    "no_life_jacket": "Life jacket worn",
    "overloaded": "Load above the capacity",
    "company_not_declared": "Alone or in company",
    "cold_air_over_cold_water": "Air plus water temperature",
    "thunderstorm": "Thunder forecast",
    "fog_forecast": "Fog forecast",
    "held_in_place": "Wind, of what stops this craft",
    "slow_way_home": "Way home, of the trip time",
    "dark_is_near": "Daylight left once home",
    "dusk_before_home": "Twilight left once home",
    "too_far_to_swim": "Way to the shore, of your swim",
    "worse_before_home": "Home before it turns worse",
    "wind_shift": "Wind changes direction",
    "wind_jumps": "Wind rises",
    "pressure_falls": "Air pressure falls",
    "current_stops_craft": "Current, of your speed",
    "ebb_at_bar": "Ebb at the bar or inlet",
    "river_high_for_the_day": "River for the day of the year",
    "river_high_and_rising": "River while it rises",
}


def name_of(hazard: str, quantity: str) -> str:
    """Return what a hazard weighs in a few words.

    Examples
    --------
    >>> name_of("cold_water", "water_temperature"), name_of("wind_jumps", "wind_rise")
    ('Water temperature', 'Wind rises')
    """
    label = quantity_label(quantity)
    return SHORT_NAMES.get(hazard, label[:1].upper() + label[1:])

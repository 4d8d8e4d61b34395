"""All hazards, in the order in which they are weighed and listed."""

from __future__ import annotations

from safety_check.rules.hazard import Hazard
from safety_check.rules.hazards_forecast import FORECAST_QUALITY
from safety_check.rules.hazards_home import GETTING_HOME, WORSE_BEFORE_HOME
from safety_check.rules.hazards_moving import MOVING_WATER
from safety_check.rules.hazards_paddler import READINESS
from safety_check.rules.hazards_weather import (
    CHANCE_OF_THUNDER,
    OFFICIAL_WARNING,
    RAIN_AND_TEMPERATURE,
    THUNDER,
)
from safety_check.rules.hazards_wind import CHANGING_WIND, WIND_AND_WAVES

HAZARDS: tuple[Hazard, ...] = (
    *FORECAST_QUALITY,
    *WIND_AND_WAVES,
    *READINESS,
    *THUNDER,
    *RAIN_AND_TEMPERATURE,
    OFFICIAL_WARNING,
    *GETTING_HOME,
    CHANCE_OF_THUNDER,
    *CHANGING_WIND,
    *MOVING_WATER,
    WORSE_BEFORE_HOME,
)

_LABELS = {hazard.weighs: hazard.quantity_label for hazard in HAZARDS}


def quantity_label(quantity: str) -> str:
    """Return a quantity in everyday words.

    Examples
    --------
    >>> quantity_label("wind_speed_of_gust"), quantity_label("share_of_forecasts")
    ('gust speed', 'share of forecasts')
    """
    return _LABELS.get(quantity, quantity.replace("_", " "))

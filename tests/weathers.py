"""Weather drawn by a seed: mostly mild, at times rough in one way or another."""

from __future__ import annotations

import numpy as np

CAPE = "atmosphere_convective_available_potential_energy"
MILD = {  # least and most: a GO in company on a pond, however it changes by the hour
    "wind_speed": (0, 3),
    "wind_speed_of_gust": (0, 4),
    "wind_from_direction": (0, 359),
    "air_temperature": (288, 300),
    "relative_humidity": (0.1, 0.6),
    "precipitation_amount": (0, 2),
    "visibility_in_air": (8_000, 30_000),
    CAPE: (0, 500),
}
ROUGH = {  # each at times
    "wind_speed": (0, 20),
    "wind_speed_of_gust": (0, 20),
    "air_temperature": (260, 315),
    "relative_humidity": (0.1, 1),
    "precipitation_amount": (0, 10),
    "visibility_in_air": (100, 20_000),
    CAPE: (0, 3000),
}
OFTEN = 0.12  # of the cases for each; half of the cases are then mild throughout
WORSE = {  # which way each gets worse
    "wind_speed": +1,
    "wind_speed_of_gust": +1,
    "precipitation_amount": +1,
    "visibility_in_air": -1,
    CAPE: +1,
}


def drawn_weather(seed: int) -> dict[str, float]:
    """Return one value of each quantity of a forecast."""
    chance = np.random.default_rng(seed)
    rough = {name: ends for name, ends in ROUGH.items() if chance.random() < OFTEN}
    drawn = {name: chance.uniform(*ends) for name, ends in (MILD | rough).items()}
    codes = [0.0, 3.0, 61.0, 45.0, 95.0]  # fair, overcast, rain, fog, thunder
    return drawn | {"weather_code": chance.choice(codes, p=[0.3, 0.3, 0.3, 0.05, 0.05])}

"""The weather symbols of MET Norway as numbers of WMO code table 4677."""

from __future__ import annotations

import math

THUNDERSTORM = 95.0
STORM = "andthunder"  # the end of every symbol with a thunderstorm

# Symbol without its time of day: the code. Only numbers that the other forecasts here use too;
# sleet has none among them, so it counts as snow.
CODES = {
    "clearsky": 0,
    "fair": 1,
    "partlycloudy": 2,
    "cloudy": 3,
    "fog": 45,
    "lightrain": 61,
    "rain": 63,
    "heavyrain": 65,
    "lightsleet": 71,
    "sleet": 73,
    "heavysleet": 75,
    "lightsnow": 71,
    "snow": 73,
    "heavysnow": 75,
    "lightrainshowers": 80,
    "rainshowers": 81,
    "heavyrainshowers": 82,
    "lightsleetshowers": 85,
    "sleetshowers": 85,
    "heavysleetshowers": 86,
    "lightsnowshowers": 85,
    "snowshowers": 85,
    "heavysnowshowers": 86,
}


def weather_code(symbol: object) -> float:
    """Return the code of a symbol; NaN for an unknown one, which may stand for a danger.

    Examples
    --------
    >>> weather_code("heavyrainshowersandthunder_day"), weather_code("fair_night")
    (95.0, 1.0)
    >>> weather_code("something_day"), weather_code(None)
    (nan, nan)
    """
    if not isinstance(symbol, str):
        return math.nan
    name = symbol.partition("_")[0]
    if name.endswith(STORM):
        return THUNDERSTORM
    return float(CODES.get(name, math.nan))

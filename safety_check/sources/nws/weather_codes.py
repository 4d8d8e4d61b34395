"""The weather words of api.weather.gov as numbers of WMO code table 4677."""

from __future__ import annotations

import math

from safety_check.sources.weather_danger import danger

# Word: the code when light, moderate, heavy. Only numbers that the other forecasts here
# use too. Where that subset has none, the code of the nearest danger is used: a storm for
# hail and waterspouts, fog for whatever hides the view, freezing rain for freezing spray,
# snow grains for ice pellets.
CODES = {
    "thunderstorms": (95, 95, 95),
    "water_spouts": (95, 95, 95),
    "hail": (96, 96, 99),
    "fog": (45, 45, 45),
    "smoke": (45, 45, 45),
    "volcanic_ash": (45, 45, 45),
    "blowing_dust": (45, 45, 45),
    "blowing_sand": (45, 45, 45),
    "freezing_fog": (48, 48, 48),
    "ice_fog": (48, 48, 48),
    "drizzle": (51, 53, 55),
    "freezing_drizzle": (56, 56, 57),
    "rain": (61, 63, 65),
    "freezing_rain": (66, 66, 67),
    "freezing_spray": (66, 66, 67),
    "snow": (71, 73, 75),
    "blowing_snow": (71, 73, 75),
    "ice_crystals": (77, 77, 77),
    "sleet": (77, 77, 77),
    "rain_showers": (80, 81, 82),
    "snow_showers": (85, 85, 86),
    "frost": (0, 0, 0),
    "haze": (0, 0, 0),
}
STRENGTH = {"very_light": 0, "light": 0, "moderate": 1, "heavy": 2}
HAIL = {"small_hail": 96, "large_hail": 99}


def weather_code(words: object) -> float:
    """Return the code of the most dangerous words for an hour.

    Parameters
    ----------
    words
        The list of {coverage, weather, intensity, attributes} as received.

    Returns
    -------
    float
        0 where the service states that there is no weather; NaN where it states nothing, or uses
        an unknown word without anything worse than fog. Thunder counts however small its chance
        or coverage: its odds are a separate quantity.

    Notes
    -----
    Thunder comes before fog and fog before rain, since that is the order in which they
    endanger a small craft; the code table would put rain above fog.
    """
    if not isinstance(words, list) or not words:
        return math.nan
    codes = [_code(entry) for entry in words]
    known = [code for code in codes if not math.isnan(code)]
    worst = max(known, key=danger, default=math.nan)
    return worst if len(known) == len(codes) or worst >= min(CODES["thunderstorms"]) else math.nan


def _code(entry: object) -> float:
    if not isinstance(entry, dict) or "weather" not in entry:
        return math.nan
    word = entry["weather"]
    if word is None:
        return 0.0
    strengths = CODES.get(word) if isinstance(word, str) else None
    if strengths is None:
        return math.nan
    code = strengths[STRENGTH.get(str(entry.get("intensity")), 1)]
    attributes = entry.get("attributes")
    hail = (
        [HAIL.get(str(attribute), 0) for attribute in attributes]
        if isinstance(attributes, list)
        else []
    )
    return float(max([code, *hail]))

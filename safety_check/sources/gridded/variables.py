"""Names and units in gridded forecasts: the CF conventions, and the short names of GRIB."""

from __future__ import annotations

from collections.abc import Mapping

from safety_check.units import KILOMETRE_PER_HOUR, KNOT, MILE_PER_HOUR, ZERO_CELSIUS

EASTWARD, NORTHWARD = "eastward_wind", "northward_wind"
QUANTITIES = {
    "wind_speed": "speed",
    "wind_speed_of_gust": "speed",
    "wind_from_direction": "angle",
    "air_temperature": "temperature",
    "relative_humidity": "share",
    "precipitation_amount": "amount",
    "weather_code": "code",
    "visibility_in_air": "length",
    "air_pressure_at_mean_sea_level": "pressure",
    "atmosphere_convective_available_potential_energy": "energy",
    "probability_of_thunder": "share",
    EASTWARD: "speed",
    NORTHWARD: "speed",
}
"""CF standard name (and `weather_code`, WMO table 4677) → the kind of its unit."""

SHORT_NAMES = {
    **{name: EASTWARD for name in ("10u", "u10")},
    **{name: NORTHWARD for name in ("10v", "v10")},
    **{name: "wind_speed_of_gust" for name in ("gust", "i10fg", "fg10", "10fg")},
    **{name: "air_temperature" for name in ("2t", "t2m")},
    **{name: "relative_humidity" for name in ("2r", "r2")},
    **{name: "air_pressure_at_mean_sea_level" for name in ("msl", "prmsl")},
    **{name: "atmosphere_convective_available_potential_energy" for name in ("cape",)},
    **{name: "visibility_in_air" for name in ("vis",)},
}
"""Short names of GRIB, for files that give no standard name (ecCodes; from memory, not read)."""

UNITS: Mapping[str, Mapping[str, tuple[float, float]]] = {
    "speed": {
        **dict.fromkeys(("m s-1", "m/s", "m s**-1", "m.s-1"), (1.0, 0.0)),
        **dict.fromkeys(("km/h", "km h-1"), (KILOMETRE_PER_HOUR, 0.0)),
        **dict.fromkeys(("kt", "knot", "knots", "kn"), (KNOT, 0.0)),
        "mph": (MILE_PER_HOUR, 0.0),
    },
    "angle": dict.fromkeys(("degree", "degrees", "degree_true", "degrees_true", "°"), (1.0, 0.0)),
    "temperature": {
        **dict.fromkeys(("K", "kelvin"), (1.0, 0.0)),
        **dict.fromkeys(("degC", "celsius", "degree_Celsius", "°C"), (1.0, ZERO_CELSIUS)),
        **dict.fromkeys(("degF", "°F"), (1 / 1.8, ZERO_CELSIUS - 32 / 1.8)),
    },
    "share": {"1": (1.0, 0.0), "%": (0.01, 0.0)},
    "amount": dict.fromkeys(("kg m-2", "kg m**-2", "mm"), (1.0, 0.0)),
    "length": {"m": (1.0, 0.0), "km": (1000.0, 0.0)},
    "pressure": {"Pa": (1.0, 0.0), **dict.fromkeys(("hPa", "mbar"), (100.0, 0.0))},
    "energy": dict.fromkeys(("J kg-1", "J kg**-1", "J/kg"), (1.0, 0.0)),
    "code": dict.fromkeys(("1", "wmo code", ""), (1.0, 0.0)),
}
"""Kind → a file's unit → factor and offset to SI. In any other unit a quantity is unknown."""

"""Every shipped bound: what it is, and a value just on either side of it.

The numbers are written here a second time, so that a limit that was loosened is noticed. A changed
limit changes here too, with its reason in the changelog.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace

import numpy as np
import pytest

from safety_check.model.craft import Paddler
from safety_check.model.verdict import Severity, Verdict
from safety_check.physics.waves import significant_height
from safety_check.rules.engine import severity
from safety_check.rules.hazards import HAZARDS
from safety_check.rules.limits import bounds_after_reduction, choose_limits
from safety_check.settings.limits import load_default_limits
from tests import scenes

KAYAKS = ("sit-on-top-kayak", "pedal-kayak", "sit-inside-kayak")
SOFT = ("canoe", "inflatable-kayak")
TUBE, BOARD = ("float-tube",), ("stand-up-paddleboard",)
ROWING, SKIFF = ("rowing-boat",), ("small-motor-skiff",)
ANY = ("any",)
NONE, WETSUIT, DRYSUIT = (("wearing none",), ("wearing wetsuit",), ("wearing drysuit",))
Bounds = tuple[float | None, float | None]  # caution and no-go, in SI

HIGHER: Mapping[str, Mapping[tuple[str, ...], Bounds]] = {
    "wind_speed": {
        **{KAYAKS: (5.5, 6.9), SOFT: (4.9, 6.5), TUBE: (4.6, 4.9), BOARD: (4.5, 5.4)},
        **{ROWING: (5.2, 7.1), SKIFF: (6.7, 8.0)},
    },
    "wind_speed_of_gust": {
        **{KAYAKS: (8.0, 10.0), SOFT: (7.1, 9.4), TUBE: (6.7, 7.1), BOARD: (6.7, 8.0)},
        **{ROWING: (7.5, 10.3), SKIFF: (9.4, 11.5)},
    },
    "sea_surface_wave_significant_height": {
        **{KAYAKS: (0.2, 0.335), SOFT + BOARD: (0.2, 0.3), TUBE: (0.15, 0.3)},
        ROWING + SKIFF: (0.3, 0.5),
    },
    "wave_height_against_current": {
        **{KAYAKS: (0.2, 0.335), SOFT + BOARD: (0.2, 0.3), TUBE: (0.15, 0.3)},
        ROWING + SKIFF: (0.3, 0.5),
    },
    "offshore_wind_speed": {
        **{TUBE: (0.9, 1.6), BOARD: (1.6, 3.4), SOFT: (3.4, 4.3)},
        **{KAYAKS + ROWING: (3.4, 5.5), SKIFF: (4.3, 5.5)},
    },
    "wind_rise": {
        **{KAYAKS: (5.5, None), SOFT: (4.9, None), BOARD: (4.5, None), TUBE: (4.6, None)},
        **{ROWING: (5.2, None), SKIFF: (6.7, None)},
    },
    "sea_water_speed": {  # 1 and 2 kt; half as much for fins, twice as much for a motor
        **{KAYAKS + SOFT + BOARD + ROWING: (0.5145, 1.029), TUBE: (0.2573, 0.45)},
        SKIFF: (1.029, 2.058),
    },
    "swim_to_shore_share": {NONE: (1.0, 3.0), WETSUIT: (2.0, 8.0), DRYSUIT: (4.0, 20.0)},
    "sea_water_speed_of_sea_model": {ANY: (0.5145, None)},
    "current_share_of_cruise_speed": {ANY: (0.5, 1.0)},
    "height_of_waves_that_break_on_current": {ANY: (0.15, 0.25)},
    "ebb_at_bar": {ANY: (None, 1.0)},
    "river_flood_category": {ANY: (1.0, 2.0)},
    "river_percentile": {ANY: (0.9, None)},
    "river_percentile_while_rising": {ANY: (None, 0.95)},
    "river_gauge_height": {ANY: (None, None)},
    "river_discharge": {ANY: (None, None)},
    "dam_release": {ANY: (1.0, 3.0)},
    "thunderstorm": {ANY: (None, 1.0)},
    "probability_of_thunder": {ANY: (0.15, 0.55)},
    "atmosphere_convective_available_potential_energy": {ANY: (1000.0, None)},
    "fog": {ANY: (None, 1.0)},
    "precipitation_amount": {ANY: (4.0, None)},
    "heat_index": {ANY: (305.37, 312.59)},  # 90 and 103 °F
    "forecast_growth": {ANY: (2.5, None)},
    "forecast_missed": {ANY: (1.0, None)},
    "official_warning": {ANY: (1.0, 3.0)},
    "share_of_hold_station_wind": {ANY: (0.8, 1.0)},
    "way_home_share_of_trip": {ANY: (1.0, 4.0)},
    "wind_shift": {ANY: (45.0, None)},
    "pressure_fall": {ANY: (360.0, None)},
    "load_over_capacity": {ANY: (None, 1.0)},
}
LOWER: Mapping[str, Mapping[tuple[str, ...], Bounds]] = {
    "water_temperature": {  # 21, 15.6, 13, 10 and 5 °C
        **{NONE: (294.15, 288.75), WETSUIT: (286.15, 283.15), DRYSUIT: (278.15, None)},
    },
    "sum_of_air_and_water_temperature": {NONE: (31.11, None)},  # 120 °F in all
    "life_jacket_worn": {ANY: (None, 0.0)},
    "company_declared": {ANY: (None, None)},
    "time_to_dark_once_home": {("light no",): (1800.0, None)},
    "time_to_dusk_once_home": {("light yes",): (0.0, None), ("light yes at night",): (None, None)},
    "solar_elevation_angle": {
        ("light no",): (None, -0.833),
        ("light yes",): (-0.833, -6.0),
        ("light yes at night",): (-0.833, None),
    },
    "visibility_in_air": {ANY: (2000.0, 1000.0)},
    "wind_chill_temperature": {ANY: (273.15, 263.15)},
    "forecast_complete": {ANY: (None, None)},
    "sea_forecast_complete": {ANY: (None, None)},
    "forecast_in_date": {ANY: (None, None)},
    "spare_time_before_worse": {ANY: (0.0, None)},
    "tide_known": {ANY: (None, None)},
    "water_over_launch": {ANY: (0.3, 0.0)},
}


def every_bound() -> Iterator[tuple[str, str, bool, Bounds]]:
    for worse_high, table in ((True, HIGHER), (False, LOWER)):
        for quantity, of in table.items():
            for whom, bounds in of.items():
                yield from ((quantity, one, worse_high, bounds) for one in whom)


EVERY = list(every_bound())
NAMES = [f"{quantity} {whom}" for quantity, whom, *_ in EVERY]


def test_the_table_has_every_limit_and_none_besides() -> None:
    assert sorted((quantity, whom) for quantity, whom, *_ in EVERY) == sorted(load_default_limits())


def chosen_for(whom: str) -> tuple[str, Paddler, bool]:
    """Return craft class, paddler and whether the trip is at night, for whom a limit applies."""
    craft = whom if whom in KAYAKS + SOFT + TUBE + BOARD + ROWING + SKIFF else KAYAKS[0]
    wearing = whom.removeprefix("wearing ") if whom.startswith("wearing") else "none"
    paddler = replace(scenes.READY, wearing=wearing, light=whom != "light no")
    return craft, paddler, whom.endswith("night")


@pytest.mark.parametrize(("quantity", "whom", "worse_high", "bounds"), EVERY, ids=NAMES)
def test_a_value_counts_from_its_bound_on_and_not_before(
    quantity: str, whom: str, worse_high: bool, bounds: Bounds
) -> None:
    craft, paddler, night = chosen_for(whom)
    limits = choose_limits(
        scenes.settings().craft(craft), paddler, load_default_limits(), (), night
    )
    caution, no_go = bounds_after_reduction(limits, quantity, None)
    worse = "higher" if worse_high else "lower"

    def level(value: float) -> Severity:
        return Severity(int(severity(np.asarray(value), caution, no_go, worse)))

    milder = -math.inf if worse_high else math.inf
    before = Severity.GO
    for bound, reached in zip(bounds, (Severity.MARGINAL, Severity.NO_GO), strict=True):
        if bound is not None:
            assert level(bound) == reached
            assert level(math.nextafter(bound, milder)) == before
            before = reached
    assert level(-milder) == before


# -- the same through a whole verdict, where the forecast or the plan gives the quantity itself --

Scene = Callable[[float, str], Verdict]


def in_weather(**fixed: float) -> Callable[[str], Scene]:
    """Return a scene in which one variable of the forecast has a value, and others are fixed."""

    def of(name: str) -> Scene:
        def scene(value: float, whom: str) -> Verdict:
            craft, paddler, _ = chosen_for(whom)
            sky = scenes.forecast({"wind_speed_of_gust": 1.5, **fixed, name: value})
            return scenes.verdict(sky, scenes.plan(craft, paddler))

        return scene

    return of


def with_chance_of_thunder(value: float, _: str) -> Verdict:
    source = scenes.FROM_THE_WEATHER_SERVICE
    return scenes.verdict(scenes.forecast({"probability_of_thunder": value}, provenance=source))


def with_mean_wind(value: float, whom: str) -> Verdict:
    craft, paddler, _ = chosen_for(whom)
    sky = scenes.forecast({"wind_speed": value, "wind_speed_of_gust": value})
    return scenes.verdict(sky, scenes.plan(craft, paddler))


def with_waves(value: float, whom: str) -> Verdict:
    """Return the verdict in a wind that raises waves of a height over 2 km of water."""
    craft, paddler, _ = chosen_for(whom)
    winds = np.linspace(1.0, 20.0, 20_001)
    wind = float(np.interp(value, significant_height(winds, 2_000.0, 10.0), winds))
    sky = scenes.forecast({"wind_speed": wind, "wind_speed_of_gust": wind})
    return scenes.verdict(sky, scenes.plan(craft, paddler), scenes.open_water(2_000.0))


def in_water(value: float, whom: str) -> Verdict:
    craft, paddler, _ = chosen_for(whom)
    return scenes.verdict(trip=scenes.plan(craft, paddler, water_temperature=value))


def in_air_over_water(value: float, whom: str) -> Verdict:
    """Return the verdict where the temperatures of air and water have a sum; water of 22 °C."""
    sky = scenes.forecast({"air_temperature": value - 22.0 + 273.15})
    return scenes.verdict(sky, scenes.plan(water_temperature=295.15))


SCENES: Mapping[str, tuple[Scene, float]] = {  # and how near to the bound: as near as it reads
    "wind_speed": (with_mean_wind, 1e-6),
    "wind_speed_of_gust": (in_weather()("wind_speed_of_gust"), 1e-6),
    "sea_surface_wave_significant_height": (with_waves, 2e-3),  # the wind is interpolated
    "water_temperature": (in_water, 1e-6),
    "sum_of_air_and_water_temperature": (in_air_over_water, 1e-6),
    "visibility_in_air": (in_weather()("visibility_in_air"), 1e-6),
    "precipitation_amount": (in_weather()("precipitation_amount"), 1e-6),
    "probability_of_thunder": (with_chance_of_thunder, 1e-6),
    "wind_chill_temperature": (in_weather(wind_speed=1.0)("air_temperature"), 1e-6),
    "atmosphere_convective_available_potential_energy": (
        in_weather(precipitation_amount=0.5)("atmosphere_convective_available_potential_energy"),
        1e-6,
    ),
}
SEEN = [one for one in EVERY if one[0] in SCENES]


@pytest.mark.one_in(4)
@pytest.mark.parametrize(
    ("quantity", "whom", "worse_high", "bounds"), SEEN, ids=[f"{one[0]} {one[1]}" for one in SEEN]
)
def test_a_trip_counts_from_the_bound_on_and_not_before(
    quantity: str, whom: str, worse_high: bool, bounds: Bounds
) -> None:
    scene, near = SCENES[quantity]
    hazard = next(one.name for one in HAZARDS if one.weighs == quantity)
    milder = -near if worse_high else near

    def level(value: float) -> Severity:
        findings = scene(value, whom).findings
        return max((one.severity for one in findings if one.hazard == hazard), default=Severity.GO)

    before = Severity.GO
    for bound, reached in zip(bounds, (Severity.MARGINAL, Severity.NO_GO), strict=True):
        if bound is not None:
            assert level(bound * (1 - milder)) == reached
            assert level(bound * (1 + milder)) == before
            before = reached

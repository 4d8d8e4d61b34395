"""Signs that the weather turns within the hour, from the forecasts' own hours."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from safety_check.conditions.fronts import quantities
from safety_check.model.weather import Briefing
from tests import scenes

FIRST = 24
TIME = np.arange("2026-06-12T15", "2026-06-13T21", dtype="datetime64[h]").astype("datetime64[s]")


def turned(**at: dict[int, float]) -> dict[str, Any]:
    """Return the quantities of a calm forecast in which some instants of the trip differ."""
    other = {name: float("nan") for name in at} | {"probability_of_thunder": 0.0}
    given = scenes.forecast(other, provenance=scenes.FROM_THE_WEATHER_SERVICE)
    begins = int(np.flatnonzero(given.time == TIME[FIRST])[0])
    for name, values in at.items():
        given.quantities[name][:] = scenes.CALM.get(name, 0.0)
        for hour, value in values.items():
            given.quantities[name][:, begins + hour] = value
    briefing = Briefing(at=scenes.NOW, forecasts=(given,))
    return quantities(scenes.ensemble(briefing, TIME), FIRST)


def test_a_steady_day_shows_no_sign() -> None:
    assert all((values == 0).all() for values in turned().values())


def test_a_turn_of_the_wind_is_the_smaller_way_round() -> None:
    wind = {hour: 6.0 for hour in range(6)}
    shift = turned(wind_speed=wind, wind_from_direction={0: 350.0, 1: 20.0, 2: 200.0})
    assert shift["wind_shift"][0, :3] == pytest.approx([30.0, 180.0, 70.0])


def test_a_light_wind_may_turn_about() -> None:
    assert turned(wind_from_direction={1: 90.0})["wind_shift"].max() == 0.0
    one_end_fresh = turned(wind_from_direction={1: 90.0}, wind_speed={1: 5.2})
    assert one_end_fresh["wind_shift"].max() == 180.0


def test_a_jump_of_the_wind_counts_and_a_lull_does_not() -> None:
    rise = turned(wind_speed={1: 7.5, 2: 1.0})["wind_rise"]
    assert rise[0, :3] == pytest.approx([6.0, 0.0, 0.5])


def test_falling_pressure_is_given_over_the_three_hours_to_the_end_of_the_hour() -> None:
    steps = {hour: 101_000.0 - 130.0 * hour for hour in range(-3, 7)}
    fall = turned(air_pressure_at_mean_sea_level=steps)["pressure_fall"]
    assert fall[0, :6] == pytest.approx(390.0)


def test_rising_pressure_is_no_fall() -> None:
    steps = {hour: 101_000.0 + 130.0 * hour for hour in range(-3, 7)}
    assert turned(air_pressure_at_mean_sea_level=steps)["pressure_fall"].max() == 0.0


def test_what_a_model_does_not_give_is_not_known() -> None:
    missing = turned(
        air_pressure_at_mean_sea_level=dict.fromkeys(range(-24, 7), float("nan")),
        probability_of_thunder={1: float("nan")},
    )
    assert np.isnan(missing["pressure_fall"]).all()
    assert np.isnan(missing["probability_of_thunder"][0, :2]).all()


def test_the_chance_of_thunder_is_that_of_the_worse_end() -> None:
    chance = turned(probability_of_thunder={2: 0.4})["probability_of_thunder"]
    assert chance[0, :4].tolist() == [0.0, 0.4, 0.4, 0.0]


def test_an_unknown_wind_tells_nothing_of_turns_and_jumps() -> None:
    lost = turned(wind_speed={1: float("nan")})
    assert np.isnan(lost["wind_shift"][0, :2]).all()
    assert np.isnan(lost["wind_rise"][0, :2]).all()


def test_a_turn_counts_from_ten_knots_on_and_not_below() -> None:
    knots = 1852 / 3600  # m/s, exact
    for wind, turn in ((10 * knots, 90.0), (10 * knots - 1e-9, 0.0)):
        found = turned(
            wind_speed=dict.fromkeys(range(3), wind), wind_from_direction={1: 360.0}
        )["wind_shift"]  # fmt: skip
        assert found[0, :2].tolist() == [turn, turn]


def test_the_pressure_of_an_hour_is_compared_with_that_of_three_hours_before_its_end() -> None:
    fall = turned(air_pressure_at_mean_sea_level={-2: 102_000.0})["pressure_fall"]
    assert fall[0, :3].tolist() == [500.0, 0.0, 0.0]  # from 102,000 at -2 to 101,500 at +1


def test_the_signs_of_several_sites_are_those_of_each() -> None:
    rng = np.random.default_rng(5)
    given = scenes.forecast({}, {}, {}, provenance=scenes.FROM_THE_WEATHER_SERVICE)
    members = scenes.ensemble(Briefing(at=scenes.NOW, forecasts=(given,)), TIME)
    sites = [
        replace(
            members,
            quantities={
                "wind_speed": rng.uniform(3.0, 9.0, (3, len(TIME))),
                "wind_from_direction": rng.uniform(0.0, 360.0, (3, len(TIME))),
                "air_pressure_at_mean_sea_level": rng.uniform(1e5, 1.01e5, (3, len(TIME))),
                "probability_of_thunder": rng.uniform(0.0, 1.0, (3, len(TIME))),
            },
        )
        for _ in range(2)
    ]
    both = replace(
        members,
        quantities={
            name: np.stack([site.quantities[name] for site in sites])
            for name in sites[0].quantities
        },
    )
    for name, values in quantities(both, FIRST).items():
        for number, site in enumerate(sites):
            assert values[number].tolist() == quantities(site, FIRST)[name].tolist()

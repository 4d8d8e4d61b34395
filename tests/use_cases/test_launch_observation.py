"""What is seen at the water, in numbers: the upper end counts, a sign means at least a wind."""

from __future__ import annotations

import pytest

from safety_check.conditions.ensemble import FROM, GUST, SEA, WIND
from safety_check.errors import PlanError
from safety_check.use_cases.launch_observation import (
    MANY_WHITECAPS,
    STATES,
    WATER,
    WHITECAPS,
    LaunchObservation,
    greatest_wind,
    least_sign,
    least_wind_of,
    observed_values,
)

# config/seen.toml: the least wind of whitecaps, of many of them, and what is no longer believed.
FEW, MANY, MOST_WIND, MOST_SEA = 5.5, 8.0, 60.0, 15.0


def test_nothing_seen_is_no_value() -> None:
    assert observed_values(LaunchObservation()) == {}
    assert not LaunchObservation().anything


@pytest.mark.parametrize(
    ("seen", "quantity", "value"),
    [
        (LaunchObservation(wind="4 m/s"), WIND, 4.0),
        (LaunchObservation(wind="3 to 4 m/s"), WIND, 4.0),
        (LaunchObservation(wind="light breeze"), WIND, 3.4),  # Beaufort 2 ends there, about
        (LaunchObservation(gust="5-9 m/s"), GUST, 9.0),
        (LaunchObservation(from_direction="NW"), FROM, 315.0),
        (LaunchObservation(waves="0.2 to 0.5 m"), SEA, 0.5),
        (LaunchObservation(water_temperature="50 F"), WATER, 283.15),
        (LaunchObservation(whitecaps=True), WIND, FEW),
        (LaunchObservation(many_whitecaps=True), WIND, MANY),
        (LaunchObservation(whitecaps=True, many_whitecaps=True), WIND, MANY),
    ],
)
def test_one_thing_seen_is_one_value(seen: LaunchObservation, quantity: str, value: float) -> None:
    assert observed_values(seen) == {quantity: pytest.approx(value, abs=0.1)}
    assert seen.anything


@pytest.mark.parametrize(
    ("wind", "counted", "sign"),
    [(None, FEW, WHITECAPS), ("5.4 m/s", FEW, WHITECAPS), ("5.5 m/s", FEW, ""), ("7 m/s", 7.0, "")],
)
def test_of_a_read_wind_and_whitecaps_the_stronger_counts_and_says_which_it_was(
    wind: str | None, counted: float, sign: str
) -> None:
    seen = LaunchObservation(wind=wind, whitecaps=True)
    values = observed_values(seen)
    assert values == {WIND: counted}
    assert least_sign(WIND, values[WIND], seen) == sign


def test_only_a_wind_that_a_sign_means_is_the_least() -> None:
    seen = LaunchObservation(gust="9 m/s", many_whitecaps=True)
    assert least_sign(WIND, MANY, seen) == MANY_WHITECAPS
    assert least_sign(GUST, 9.0, seen) == ""
    assert least_sign(WIND, 4.0, LaunchObservation(wind="4 m/s")) == ""
    assert [least_wind_of(sign) for sign in ("", WHITECAPS, MANY_WHITECAPS)] == [None, FEW, MANY]


@pytest.mark.parametrize(
    ("accepted", "refused", "field"),
    [
        (LaunchObservation(wind="60 m/s"), LaunchObservation(wind="60.1 m/s"), "--wind"),
        (LaunchObservation(gust="60 m/s"), LaunchObservation(gust="60.1 m/s"), "--gust"),
        (LaunchObservation(waves="15 m"), LaunchObservation(waves="15.1 m"), "--waves"),
    ],
)
def test_what_no_launch_can_show_is_a_mistake_in_number_or_unit(
    accepted: LaunchObservation, refused: LaunchObservation, field: str
) -> None:
    assert list(observed_values(accepted).values()) in ([MOST_WIND], [MOST_SEA])
    with pytest.raises(PlanError, match="above the accepted maximum") as told:
        observed_values(refused)
    assert told.value.field == field
    assert greatest_wind() == MOST_WIND


def test_each_look_of_the_water_has_its_wind_and_they_grow() -> None:
    winds = [observed_values(LaunchObservation.of_state(state))[WIND] for state in STATES]
    assert winds == sorted(winds)
    assert winds[2:] == [FEW, MANY]
    with_water = LaunchObservation.of_state("calm", water_temperature="50 F")
    assert set(observed_values(with_water)) == {WIND, WATER}
    with pytest.raises(PlanError, match="'foam' is not one of: calm, ripples"):
        LaunchObservation.of_state("foam")

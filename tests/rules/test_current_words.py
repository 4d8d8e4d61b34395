"""How wind and current meet, and what becomes of the waves, in words."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from safety_check.conditions.case import Case
from safety_check.conditions.conditions import Conditions
from safety_check.rules.current_words import (
    AGAINST_CURRENT,
    FROM,
    STEEPNESS,
    STILL,
    WAVES,
    WIND,
    describe_against,
    times,
)
from safety_check.rules.hazards import HAZARDS
from safety_check.rules.hazards_moving import OF_MOVING_WATER
from tests import scenes
from tests.rules.test_unbounded import context

FLOWS = ("ebb of 2.0 kt", "", "flood of 1.0 kt")
MET = {WIND: 5.3, FROM: 225.0, STEEPNESS: 2.0, WAVES: 0.6, STILL: 0.4}  # 5.3 m/s is 11.9 mph


@cache
def some_conditions() -> Conditions:
    told = scenes.briefing(scenes.forecast({}, {}, {}))
    case = Case(scenes.plan(hours=2), told, scenes.POND, scenes.settings(), scenes.load_trust())
    return scenes.weighed(case).conditions


def met(changed: Mapping[str, float] = MET, hour: int = 0) -> str:
    """Return how wind and current meet in the last of three forecasts."""
    given = some_conditions()
    shape = (len(given.models), len(given.time))
    quantities = {}
    for name, value in {**MET, **changed}.items():
        quantities[name] = np.full(shape, 99.0)
        quantities[name][2, hour] = value
    told = replace(context(0.0), flow=FLOWS)
    return describe_against(told, replace(given, quantities=quantities), 2, hour)


def test_flow_wind_and_waves_are_said_in_one_clause() -> None:
    # 0.6 m is half again as high as 0.4 m.
    waves = "waves half again as high and twice as steep"
    assert met() == f"Ebb of 2.0 kt against SW 12 mph, {waves}"
    assert met(hour=2) == f"Flood of 1.0 kt against SW 12 mph, {waves}"
    assert met(hour=1) == f"Current against SW 12 mph, {waves}"


def test_what_is_not_known_of_the_wind_is_left_out() -> None:
    assert met({FROM: math.nan}).startswith("Ebb of 2.0 kt against wind of 12 mph, waves")
    assert met({WIND: math.nan}).startswith("Ebb of 2.0 kt against SW, waves")
    assert met({WIND: 0.5}).startswith("Ebb of 2.0 kt against SW 1 mph, waves")
    assert met({WIND: 0.0, FROM: 0.0}).startswith("Ebb of 2.0 kt against N 0 mph, waves")


@pytest.mark.parametrize(
    "lost", [{WAVES: math.nan}, {STILL: math.nan}, {STILL: 0.0}, {STEEPNESS: math.nan}]
)
def test_waves_that_are_not_known_or_have_nothing_to_be_compared_with_are_left_out(
    lost: dict[str, float],
) -> None:
    assert met(lost) == "Ebb of 2.0 kt against SW 12 mph"


def test_a_quantity_that_nothing_computes_is_not_known() -> None:
    told = replace(context(0.0), flow=FLOWS)
    nothing = replace(some_conditions(), quantities={WIND: np.full((1, 1), 5.3)})
    assert describe_against(told, nothing, 2, 0) == "Ebb of 2.0 kt against wind of 12 mph"


def test_each_hazard_of_moving_water_that_names_a_place_says_how_wind_and_current_meet() -> None:
    named = {hazard.name for hazard in HAZARDS if hazard.says.startswith("{where}: ")}
    assert set(AGAINST_CURRENT) == named & OF_MOVING_WATER


@pytest.mark.parametrize(
    ("ratio", "words"),
    [
        *((0.7, "just"), (1.0, "just"), (1.04, "just"), (1.05, "1.1 times"), (1.06, "1.1 times")),
        *((1.2, "1.2 times"), (1.39, "1.4 times"), (1.41, "half again"), (1.59, "half again")),
        *((1.61, "1.6 times"), (1.79, "1.8 times"), (1.81, "twice"), (2.19, "twice")),
        *((2.21, "2.2 times"), (3.0, "3.0 times")),
    ],
)
def test_a_ratio_near_a_round_one_takes_its_name(ratio: float, words: str) -> None:
    assert times(ratio) == words

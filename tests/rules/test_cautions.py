"""The cautions that stand on every report, and those that a plan calls for."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from safety_check.model.place import WaterKind
from safety_check.model.plan import Plan
from safety_check.rules.cautions import cautions_called_for, list_cautions
from tests import scenes

ABLE = replace(
    scenes.READY,
    means_to_call=True,
    sound_signal=True,
    within_capacity=True,
    self_rescue=True,
)
WARM = 299.15  # K, 26 °C: where cold does not affect breathing
STANDING = (  # SAFETY.md, "What comes first" and "What always holds"
    "not a permission",
    "Local regulations",
    "official forecasts and warnings",
    "your own judgment at the water",
    "Wear your life jacket, fastened",
    "No alcohol or drugs",
    "does not know your health",
    "ask a doctor first",
    "Tell someone where you are going and when you will be back",
    "Weather can change faster than any forecast",
    "turn back early",
)
COLD = "hold on to the boat, float"


def trip(**declared: Any) -> Plan:
    return scenes.plan(paddler=replace(ABLE, **declared))


def listed(plan: Plan, water_temperature: float = WARM) -> str:
    return " ".join(list_cautions(plan, water_temperature))


def called_for(plan: Plan, water_temperature: float = WARM) -> str:
    return " ".join(cautions_called_for(plan, water_temperature))


@pytest.mark.promise("the usual cautions", "never a permission")
@pytest.mark.parametrize("words", STANDING)
def test_what_always_holds_stands_on_every_report(words: str) -> None:
    assert words in listed(trip())


@pytest.mark.promise("the usual cautions")
@pytest.mark.parametrize(
    "words", ["Wear your life jacket, fastened", "safety-check plan", "safety-check recheck"]
)
def test_three_of_them_are_repeated_in_the_short_report(words: str) -> None:
    assert words in called_for(trip())


# Common practice: breathing begins to be affected below 25 °C.
@pytest.mark.parametrize("said", [listed, called_for])
@pytest.mark.parametrize(
    ("kelvin", "cold"), [(298.15, False), (298.14, True), (275.0, True), (float("nan"), True)]
)
def test_cold_shock_is_named_below_25_celsius_and_where_the_water_is_not_known(
    said, kelvin: float, cold: bool
) -> None:
    assert (COLD in said(trip(), kelvin)) is cold


@pytest.mark.parametrize("said", [listed, called_for])
@pytest.mark.parametrize(
    ("field", "words"),
    [
        ("means_to_call", "phone or radio"),
        ("sound_signal", "whistle or horn"),
        ("within_capacity", "the capacity on the maker's plate"),
        ("self_rescue", "climbing back aboard"),
    ],
)
@pytest.mark.parametrize("declared", [None, False])
def test_what_a_paddler_lacks_or_has_not_declared_is_named(
    said, field: str, words: str, declared: bool | None
) -> None:
    assert words not in said(trip())
    assert words in said(trip(**{field: declared}))


@pytest.mark.parametrize("said", [listed, called_for])
@pytest.mark.parametrize(
    ("mark", "words"),
    [
        ({"dam": True}, "Below a dam"),
        ({"kind": WaterKind.FLOWING}, "speed of the river"),
        ({"kind": WaterKind.TIDAL}, "A prediction knows one point"),
    ],
)
def test_water_that_moves_has_its_own(said, mark: dict, words: str) -> None:
    still = trip()
    assert words not in said(still)
    assert words in said(replace(still, water=replace(still.water, **mark)))


@pytest.mark.parametrize("said", [listed, called_for])
def test_a_motor_may_fail(said) -> None:
    skiff = replace(trip(), craft=scenes.settings().craft("small-motor-skiff"))
    assert "engine cut-off" in said(skiff)
    assert "engine cut-off" not in said(trip())


def test_the_way_this_craft_fails_the_depth_and_the_credit_of_the_shore_are_named() -> None:
    plan = trip()
    assert plan.craft.fails_by in listed(plan)
    assert "deep water is assumed" not in listed(plan)
    assert "Shoreline:" not in listed(plan)
    water = replace(plan.water, depth=None, attribution="© the makers of a map")
    unknown = listed(replace(plan, water=water))
    assert "deep water is assumed" in unknown
    assert "Shoreline: © the makers of a map." in unknown

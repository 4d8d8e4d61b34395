"""What the user says of a water's movement is stored as said, and why it may move is told."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from safety_check.errors import PlanError
from safety_check.model.place import Launch, Water, WaterKind
from safety_check.model.water_estimate import EstimateBasis
from safety_check.use_cases.water_movement import (
    MovementWords,
    propose_kind,
    read_kind,
    with_movement,
)
from tests import scenes

SLIP = Launch("slip", latitude=44.91, longitude=-99.61)
BAY = replace(scenes.WATER, kind=None, launches=(scenes.LAUNCH, SLIP))
HIGH = 2500.0  # m above the sea, higher than any tide
BY_THE_SEA = EstimateBasis("deep", None, ("sea",))  # the user says that it is connected


def told(water: Water = BAY, **said: Any) -> Water:
    return with_movement(water, MovementWords(**said))


# -- the water -----------------------------------------------------------------------------------


def test_nothing_said_changes_nothing() -> None:
    assert not MovementWords().anything
    assert told() == BAY
    marked = replace(BAY, kind=WaterKind.BOTH, bar=True, dam=True)
    assert told(marked) == marked


@pytest.mark.parametrize(
    "said",
    [{"kind": "still"}, {"bar": False}, {"dam": False}, {"launch": "ramp"}, {"dries": "none"}],
)
def test_each_word_alone_is_something_said(said: dict[str, Any]) -> None:
    assert MovementWords(**said).anything


@pytest.mark.parametrize("kind", WaterKind)
def test_a_kind_is_read_whatever_its_capitals_and_changes_only_itself(kind: WaterKind) -> None:
    assert read_kind(f" {kind.upper()}\n", "--kind") is kind
    assert told(kind=kind) == replace(BAY, kind=kind)


@pytest.mark.parametrize("said", ["", "wavy", "tidal river", "none"])
def test_another_kind_is_refused_at_its_field_with_the_kinds_there_are(said: str) -> None:
    with pytest.raises(PlanError, match="give still, tidal, flowing, both") as refused:
        read_kind(said, "movement")
    assert refused.value.field == "movement"


@pytest.mark.parametrize("mark", ["bar", "dam"])
@pytest.mark.parametrize("before", [True, False])
@pytest.mark.parametrize("said", [True, False])
def test_a_mark_is_set_and_taken_back_without_touching_the_other(
    mark: str, before: bool, said: bool
) -> None:
    water = replace(BAY, bar=before, dam=before)
    expected = {"bar": before, "dam": before, mark: said}
    found = told(water, **{mark: said})
    assert {"bar": found.bar, "dam": found.dam} == expected


# -- where a launch falls dry --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("said", "metres"),
    [
        ("0.5 m", 0.5),
        (" 1 ft ", 0.3048),
        ("0 m", 0.0),
        ("-0.2 m", -0.2),
        ("−0.2 m", -0.2),
        ("- 0.2 m", -0.2),
        ("20 m", 20.0),
        ("-20 m", -20.0),
        (" None ", None),
    ],
)
def test_only_the_named_launch_falls_dry_at_the_height_said(
    said: str, metres: float | None
) -> None:
    ramp, slip = told(replace(BAY, launches=(scenes.LAUNCH, replace(SLIP, dries=3.0))),
                      launch="slip", dries=said).launches  # fmt: skip
    assert ramp == scenes.LAUNCH
    assert slip == replace(SLIP, dries=metres)


@pytest.mark.parametrize("said", ["20.01 m", "-20.01 m", "70 ft"])
def test_no_tide_is_higher_or_lower_than_twenty_metres(said: str) -> None:
    with pytest.raises(PlanError, match="no tide is so high") as refused:
        told(launch="ramp", dries=said)
    assert refused.value.field == "--dries"


@pytest.mark.parametrize("said", ["", "half", "0.5", "3 h"])
def test_a_height_is_a_length_with_its_unit(said: str) -> None:
    with pytest.raises(PlanError) as refused:
        told(launch="ramp", dries=said)
    assert refused.value.field == "--dries"


@pytest.mark.parametrize("said", [{"launch": "ramp"}, {"dries": "0.5 m"}])
def test_a_launch_and_its_height_are_said_together(said: dict[str, Any]) -> None:
    with pytest.raises(PlanError, match="--launch and --dries belong together"):
        told(**said)


def test_a_launch_is_one_of_the_water() -> None:
    with pytest.raises(PlanError, match="'pier' is not known on Invented Lake"):
        told(launch="pier", dries="0.5 m")
    with pytest.raises(PlanError, match="name a launch of Invented Lake; a point has no place"):
        told(replace(BAY, launches=()), launch="44.9,-99.6", dries="0.5 m")


# -- why it may move -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("water", "flowing", "why"),
    [
        (replace(BAY, elevation=HIGH), False, ""),
        (replace(BAY, elevation=HIGH), True, "the map says that it flows"),
        (
            replace(BAY, elevation=HIGH, estimate=BY_THE_SEA),
            False,
            "the sea is within 10 km of a launch, so it may be tidal",
        ),
        (
            replace(BAY, elevation=HIGH, estimate=BY_THE_SEA),
            True,
            "the sea is within 10 km of a launch, so it may be tidal; the map says that it flows",
        ),
        (replace(BAY, estimate=BY_THE_SEA, launches=()), False, ""),
        (replace(BAY, estimate=BY_THE_SEA, kind=WaterKind.STILL), False, ""),  # it was said
    ],
)
def test_each_reason_is_told_and_none_is_invented(
    water: Water, flowing: bool, why: str, tmp_path: Path
) -> None:
    assert propose_kind(water, tmp_path, flowing) == why

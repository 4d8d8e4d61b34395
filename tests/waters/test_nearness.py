"""A water of which nobody said what it is counts as tidal near the sea, and only there."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from safety_check.model.place import Launch, Water, WaterKind
from safety_check.model.water_estimate import EstimateBasis
from safety_check.waters import nearness
from safety_check.waters.nearness import say_if_by_sea

COAST = Launch("ramp", 41.20, -70.60)  # open sea south of Massachusetts
PLAINS = Launch("ramp", 44.9, -99.6)
WATER = Water("Invented Water", "UTC", (COAST, PLAINS))


@pytest.mark.parametrize(
    ("place", "near"),
    [
        ((41.20, -70.60), True),
        ((37.80, -122.42), True),  # a bay that the sea reaches
        ((59.90, 10.70), True),  # the end of a fjord
        ((44.9, -99.6), False),
        ((47.52, 9.68), False),  # a lake between three countries
        ((45.0, -86.0), False),  # a Great Lake
        ((60.8, 31.5), False),  # the largest lake of Europe
    ],
)
def test_the_sea_is_told_from_large_lakes(
    tmp_path: Path, place: tuple[float, float], near: bool
) -> None:
    launch = Launch("ramp", *place)
    assert say_if_by_sea(WATER, launch, tmp_path).tidal is near


def test_a_water_whose_user_said_what_it_is_is_never_looked_up(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(nearness, "sea_is_near", lambda *_: pytest.fail("looked up"))
    for kind in WaterKind:
        said = replace(WATER, kind=kind)
        assert say_if_by_sea(said, COAST, tmp_path) == said
    assert not replace(WATER, kind=WaterKind.STILL).moves


def test_the_answer_is_looked_up_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert say_if_by_sea(WATER, COAST, tmp_path).by_sea
    monkeypatch.setattr(nearness, "sea_is_near", lambda *_: pytest.fail("looked up again"))
    assert say_if_by_sea(WATER, COAST, tmp_path).by_sea


def test_height_and_connection_count_before_the_map(tmp_path: Path) -> None:
    high = replace(WATER, elevation=80.0)
    assert not say_if_by_sea(high, COAST, tmp_path).by_sea
    connected = replace(WATER, estimate=EstimateBasis(excluded=("sea",)))
    assert say_if_by_sea(connected, PLAINS, tmp_path).by_sea


def test_what_must_be_known_follows_from_the_kind() -> None:
    tidal = {kind: replace(WATER, kind=kind).tidal for kind in WaterKind}
    flowing = {kind: replace(WATER, kind=kind).flowing for kind in WaterKind}
    assert [kind for kind in WaterKind if tidal[kind]] == [WaterKind.TIDAL, WaterKind.BOTH]
    assert [kind for kind in WaterKind if flowing[kind]] == [WaterKind.FLOWING, WaterKind.BOTH]
    assert not WATER.moves

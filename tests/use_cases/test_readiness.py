"""What is said to be missing before a GO is exactly what keeps the judgement from a GO."""

from __future__ import annotations

from dataclasses import asdict, replace
from itertools import product
from pathlib import Path
from typing import Any

import pytest

from safety_check.model.craft import Paddler
from safety_check.model.place import Water
from safety_check.model.verdict import Severity
from safety_check.settings.folders import Folders
from safety_check.settings.settings import Settings
from safety_check.settings.user_file import PaddlerTable, UserSettings
from safety_check.use_cases.readiness import find_lacks
from tests.scenes import LAUNCH, READY, WATER, plan, verdict

SAID: dict[str, tuple[Any, ...]] = {
    "life_jacket": ("worn", "carried", "none", None),
    "wearing": ("none", "wetsuit", None),
    "company": ("group", "alone", None),
    "light": (True, False, None),
    "within_capacity": (True, False, None),
    "self_rescue": (True, None),
}


def of(paddler: Paddler, tmp_path: Path) -> Settings:
    table = PaddlerTable.model_validate(asdict(paddler))
    folders = Folders(tmp_path, tmp_path, tmp_path)
    return Settings(folders, UserSettings(paddler=table))


@pytest.mark.one_in(2)
@pytest.mark.parametrize(
    ("name", "value"), [(name, value) for name, values in SAID.items() for value in values]
)
def test_a_calm_check_is_go_exactly_where_nothing_is_said_to_be_missing(
    tmp_path: Path, name: str, value: Any
) -> None:
    paddler = replace(READY, **{name: value})
    lacks = find_lacks(of(paddler, tmp_path), [WATER])
    judged = verdict(trip=plan(paddler=paddler)).severity
    assert (judged == Severity.GO) == (lacks == ()), lacks


def test_every_missing_declaration_is_named(tmp_path: Path) -> None:
    lacks = find_lacks(of(Paddler(), tmp_path), [WATER])
    assert len(lacks) == 4
    assert {lack.about for lack in lacks} == {"paddler"}


@pytest.mark.parametrize("complete", list(product([True, False], repeat=2)))
def test_one_water_that_is_complete_is_enough(tmp_path: Path, complete: tuple[bool, ...]) -> None:
    waters = [
        replace(WATER, name=f"lake {number}", launches=(LAUNCH,) if whole else ())
        for number, whole in enumerate(complete)
    ]
    lacks = find_lacks(of(READY, tmp_path), waters)
    assert len(lacks) == (0 if any(complete) else 2)
    assert [lack.says for lack in find_lacks(of(READY, tmp_path), [])] == [
        "No water has been added yet."
    ]


def test_a_water_by_the_sea_has_to_be_said_still_or_tidal(tmp_path: Path) -> None:
    # The open Atlantic is within 10 km of Cape Hatteras (35.25 N, 75.53 W).
    launch = replace(LAUNCH, latitude=35.25, longitude=-75.53)
    water = Water("sound", "America/New_York", (launch,))
    [lack] = find_lacks(of(READY, tmp_path), [water])
    assert "the sea is near" in lack.says
    assert lack.water == "sound"

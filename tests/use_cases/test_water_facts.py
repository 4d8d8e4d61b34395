"""What the user says of a water is stored as said, all of it or nothing, and can be read again."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from safety_check.errors import PlanError
from safety_check.model.place import FetchTable, Water, WaterKind
from safety_check.model.water_estimate import EstimateBasis
from safety_check.use_cases.water_facts import FactWords, set_facts
from safety_check.use_cases.water_movement import MovementWords
from safety_check.waters import files
from tests import scenes

ROUND = FetchTable(np.array([0.0, 90.0, 180.0, 270.0]), np.full(4, 300.0))
POND = replace(scenes.WATER, name="pond", kind=None, fetch_table=ROUND)
DECLARED = EstimateBasis("pond", None, ("melt",))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    files.save(POND, tmp_path)
    return tmp_path


def said(folder: Path, **words: Any) -> Water:
    """Return the water as its file says after this was said of it."""
    answered = set_facts("pond", FactWords(**words), folder)
    stored = files.load("pond", folder)
    assert files.slug(answered.name) == files.slug(stored.name)
    return stored


def refused(folder: Path, **words: Any) -> str | None:
    """Return the field of the refusal; the file is as before."""
    path = folder / "pond.geojson"
    before = path.read_bytes()
    with pytest.raises(PlanError) as told:
        set_facts("pond", FactWords(**words), folder)
    assert path.read_bytes() == before
    return told.value.field


# -- facts ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "words",
    [{"elevation": "1 m"}, {"drive": "1 h"}, {"estimate": False}, {"depth": "pond"},
     {"excluded": ()}, {"movement": MovementWords(bar=False)}],
)  # fmt: skip
def test_each_word_alone_is_something_said(words: dict[str, Any]) -> None:
    assert FactWords(**words).anything
    assert not FactWords().anything


@pytest.mark.parametrize(
    ("text", "metres"),
    [("1200 ft", 365.76), ("-50 m", -50.0), ("−50 m", -50.0), ("0 m", 0.0),
     ("-500 m", -500.0), ("9000 m", 9000.0)],
)  # fmt: skip
def test_a_surface_lies_where_water_is_on_earth(folder: Path, text: str, metres: float) -> None:
    assert said(folder, elevation=text).elevation == pytest.approx(metres)


@pytest.mark.parametrize("text", ["-500.1 m", "9000.1 m", "high", "12"])
def test_a_surface_that_no_water_has_is_refused(folder: Path, text: str) -> None:
    assert refused(folder, elevation=text) in ("elevation", "--elevation")


def test_what_is_not_said_stays(folder: Path) -> None:
    said(folder, elevation="10 m", drive="45 min", movement=MovementWords(kind="tidal"),
         estimate=True, depth="deep", excluded=["none"])  # fmt: skip
    for words in ({"elevation": "20 m"}, {"drive": "30 min"}, {}):
        found = said(folder, **words)
    assert (found.elevation, found.drive, found.kind) == (20.0, 1800.0, WaterKind.TIDAL)
    assert found.estimate == EstimateBasis("deep", None, ())


def test_one_word_that_can_not_be_used_stores_none_of_them(folder: Path) -> None:
    refused(folder, elevation="10 m", drive="45 min", movement=MovementWords(kind="wavy"))


# -- what an estimate needs ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("depth", "excluded", "basis"),
    [
        ("pond", ["none"], EstimateBasis("pond", None, ())),
        (" Not Deep ", ["dam", "sea"], EstimateBasis("not deep", None, ("dam", "sea"))),
        ("8 m", ["none", "melt"], EstimateBasis("", 8.0, ("melt",))),
        ("10 ft", [], EstimateBasis("", 3.048, ())),
        ("0.1 m", [], EstimateBasis("", 0.1, ())),
        ("11999 m", [], EstimateBasis("", 11_999.0, ())),
    ],
)
def test_an_estimate_has_a_depth_and_what_rules_it_out(
    folder: Path, depth: str, excluded: list[str], basis: EstimateBasis
) -> None:
    assert said(folder, estimate=True, depth=depth, excluded=excluded).estimate == basis


@pytest.mark.parametrize("depth", ["0 m", "12000 m", "50 km", "-8 m", "deepish", "8"])
def test_a_depth_that_no_water_has_is_refused_so_that_its_file_stays_readable(
    folder: Path, depth: str
) -> None:
    assert "depth" in (refused(folder, estimate=True, depth=depth, excluded=["none"]) or "")
    assert files.load("pond", folder).estimate is None


@pytest.mark.parametrize(
    ("words", "field"),
    [
        ({"depth": "pond"}, "estimate"),
        ({"excluded": []}, "estimate"),
        ({"estimate": False, "depth": "pond"}, "estimate"),
        ({"estimate": True, "excluded": []}, "--depth"),
        ({"estimate": True, "depth": "pond"}, "--excluded"),
        ({"estimate": True, "depth": "pond", "excluded": ["none", "tide"]}, "--excluded"),
    ],
)
def test_half_of_what_an_estimate_needs_is_refused_at_its_field(
    folder: Path, words: dict[str, Any], field: str
) -> None:
    assert refused(folder, **words) == field


@pytest.mark.parametrize(
    ("words", "basis"),
    [
        ({}, DECLARED),
        ({"estimate": True}, DECLARED),
        ({"depth": "8 m"}, EstimateBasis("", 8.0, ("melt",))),
        ({"excluded": ["none"]}, EstimateBasis("pond", None, ())),
        ({"estimate": False}, None),
    ],
)
def test_an_earlier_answer_holds_until_another_is_given(
    folder: Path, words: dict[str, Any], basis: EstimateBasis | None
) -> None:
    said(folder, estimate=True, depth="pond", excluded=["melt"])
    assert said(folder, **words).estimate == basis


def test_a_class_of_depth_replaces_a_depth(folder: Path) -> None:
    said(folder, estimate=True, depth="8 m", excluded=["none"])
    assert said(folder, depth="reservoir").estimate == EstimateBasis("reservoir", None, ())

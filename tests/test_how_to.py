"""The examples of the how-to pages build what they say."""

from __future__ import annotations

import json
import re
import sys
import tomllib
from pathlib import Path
from types import ModuleType
from typing import Any
from unittest.mock import patch

import pytest

from safety_check.model.weather import Provenance
from safety_check.rules.hazard import CHECK_AGAIN, Hazard
from safety_check.rules.hazards import HAZARDS
from safety_check.settings.crafts import CraftClass
from safety_check.settings.limits import LimitEntry
from safety_check.sources.coverage import Region
from safety_check.sources.registry import Source
from tests.sources import fakes

FOLDER = Path(__file__).parents[1] / "docs" / "how_to"


def blocks(page: str) -> list[str]:
    """Return the code blocks of a page."""
    text = (FOLDER / page).read_text(encoding="utf-8")
    return re.findall(r"^```\w*\n(.*?)^```", text, flags=re.DOTALL | re.MULTILINE)


def limits(text: str) -> list[LimitEntry]:
    """Return the limits of a block, checked as those of the program are."""
    return [LimitEntry.model_validate(one) for one in tomllib.loads(text)["limit"]]


def test_the_example_of_a_hazard_builds_and_has_its_limit() -> None:
    code, limit = blocks("add_a_hazard.md")[:2]
    (hazard,) = eval(f"({code})", {"Hazard": Hazard, "CHECK_AGAIN": CHECK_AGAIN})
    assert [hazard.weighs] == [one.quantity for one in limits(limit)]
    assert hazard.weighs not in [one.weighs for one in HAZARDS]


def test_the_example_of_a_craft_class_is_sound_and_has_every_limit() -> None:
    craft, limit = blocks("add_a_craft_class.md")[:2]
    (name,) = tomllib.loads(craft)["craft"]
    CraftClass.model_validate(tomllib.loads(craft)["craft"][name])
    needed = {hazard.weighs for hazard in HAZARDS if hazard.chosen_by == "craft"}
    assert {one.quantity for one in limits(limit)} == needed
    assert all(one.applies_to == [name] for one in limits(limit))


FETCHED = Provenance("a service", "", "", None, fakes.NOW, recorded=False)


def written(code: str, **names: object) -> ModuleType:
    """Return a block of code as a module."""
    module = ModuleType("written")
    vars(module).update(names)
    with patch.dict(sys.modules, {"written": module}):  # where pydantic looks for types
        exec(code, vars(module))
    return module


def parsed(page: str, name: str, alarmed: bool) -> Any:
    """Return what the adapter of a page understands of the answer of its own fake."""
    python = [block for block in blocks(page) if block.startswith(('"""', "def "))]
    adapter = written(python[0])
    fake = written(python[1], **vars(fakes))
    return adapter.parse(json.dumps(getattr(fake, name)(alarmed)).encode(), FETCHED)


@pytest.mark.parametrize(
    ("page", "name"), [("add_a_source.md", "meadow"), ("add_an_alert_service.md", "prairie")]
)
def test_the_row_of_an_example_source_is_sound_and_names_the_function_of_its_page(
    page: str, name: str
) -> None:
    python, row = blocks(page)[:2]
    source = Source.model_validate(tomllib.loads(row)["source"][name])
    module, _, function = source.adapter.partition(":")
    assert f"safety_check/sources/{module.replace('.', '/')}.py" in (FOLDER / page).read_text()
    assert callable(getattr(written(python), function))


def test_the_example_of_a_source_understands_its_fake() -> None:
    forecast = parsed("add_a_source.md", "meadow", True)
    assert forecast.cell == fakes.HERE
    assert forecast.quantities["wind_speed"].max() == fakes.ALARMING_WIND["wind_speed_10m"]


def test_the_example_of_an_alert_service_understands_its_fake_and_has_a_region() -> None:
    assert len(parsed("add_an_alert_service.md", "prairie", False)) == 0
    (alert,) = parsed("add_an_alert_service.md", "prairie", True)
    assert alert.event == "Prairie Wind Notice"
    region = Region.model_validate(tomllib.loads(blocks("add_an_alert_service.md")[2])["region"][0])
    assert region.holds(*fakes.HERE)

"""The examples of the how-to pages build what they say."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

from safety_check.rules.hazard import CHECK_AGAIN, Hazard
from safety_check.rules.hazards import HAZARDS
from safety_check.settings.crafts import CraftClass
from safety_check.settings.limits import LimitEntry

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

"""How much wind a local rule adds, and when and from where it holds."""

from __future__ import annotations

import pytest

from safety_check.errors import PlanError
from safety_check.use_cases.water_notes import read_rule


@pytest.mark.parametrize("said", ["0.1 m/s", "30 m/s", "2 to 30 m/s"])
def test_a_rule_adds_some_wind(said: str) -> None:
    assert read_rule("thermal", said, None, None).name == "thermal"


@pytest.mark.parametrize("said", ["0 m/s", "30.1 m/s", "2 to 31 m/s"])
def test_a_rule_adds_neither_nothing_nor_more_than_a_storm(said: str) -> None:
    with pytest.raises(PlanError, match="more than 0 and up to 30 m/s") as told:
        read_rule("thermal", said, None, None)
    assert told.value.field == "--add-wind"


@pytest.mark.parametrize("name", ["", "  ", "two\nlines", "x" * 61])
def test_a_rule_has_a_name_of_one_line(name: str) -> None:
    with pytest.raises(PlanError, match="Use one line of at most 60"):
        read_rule(name, "2 m/s", None, None)
    assert read_rule("x" * 60, "2 m/s", None, None).name == "x" * 60

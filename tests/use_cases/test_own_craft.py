"""The user's own craft: which figures are theirs, which are refused, and what goes with a craft."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from safety_check.errors import PlanError
from safety_check.settings.settings import load_settings
from safety_check.use_cases.own_craft import FIGURES, add_craft, remove_craft
from safety_check.use_cases.own_limits import LimitWords, set_limit

MILE_PER_HOUR = 1609.344 / 3600


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("SAFETY_CHECK_HOME", str(tmp_path))
    return tmp_path


def add(name: str = "red", kind: str = "canoe", default: bool = False, **figures: Any) -> None:
    add_craft(name, kind, figures, default)


def limit(craft: str) -> None:
    set_limit(LimitWords("wind", craft, None, None, "12 mph", loosen=False), load_settings())


def stored() -> dict[str, dict[str, Any]]:
    own = load_settings().user.craft
    return {name: one.model_dump(exclude_none=True, by_alias=True) for name, one in own.items()}


# -- what is stored ------------------------------------------------------------------------------


def test_a_craft_without_figures_has_those_of_its_class() -> None:
    add_craft("red", "canoe", dict.fromkeys(FIGURES), default=False)
    assert stored() == {"red": {"class": "canoe"}}
    mine, shipped = load_settings().craft("red"), load_settings().craft("canoe")
    assert (mine.length, mine.cruise_speed) == (shipped.length, shipped.cruise_speed)


def test_the_figures_of_the_user_are_stored_in_their_own_words_and_used() -> None:
    figures: dict[str, Any] = {
        "cruise_speed": "2 mph",
        "length": "12 ft",
        "beam": "30 in",
        "troll": "1-1.5 mph",
    }
    add(**figures)
    assert stored() == {"red": {"class": "canoe", **figures}}
    mine = load_settings().craft("red")
    assert mine.cruise_speed == pytest.approx(2 * MILE_PER_HOUR)
    assert mine.length == pytest.approx(12 * 0.3048)
    assert mine.beam == pytest.approx(30 * 0.0254)
    assert mine.troll == pytest.approx((MILE_PER_HOUR, 1.5 * MILE_PER_HOUR))


def test_a_craft_of_the_same_name_is_replaced_as_a_whole() -> None:
    add(length="12 ft", beam="30 in")
    add(kind="float-tube", beam="1 m")
    assert stored() == {"red": {"class": "float-tube", "beam": "1 m"}}


def test_a_word_that_is_no_figure_is_not_stored() -> None:
    add(colour="red")
    assert stored() == {"red": {"class": "canoe"}}


def test_a_check_uses_a_craft_by_default_only_where_that_was_said() -> None:
    add("red")
    assert load_settings().user.default_craft is None
    add("blue", default=True)
    add("red")
    assert load_settings().user.default_craft == "blue"


# -- what is refused -----------------------------------------------------------------------------


def refused(home: Path, match: str | None, **said: Any) -> str | None:
    """Return the field of the refusal; nothing was stored."""
    with pytest.raises(PlanError, match=match) as told:
        add(**said)
    assert not (home / "settings.toml").exists()
    return told.value.field


@pytest.mark.parametrize("name", ["", "  ", "two\nlines", " red", "red ", "a  b", "x" * 61])
def test_a_name_is_one_line_of_at_most_sixty_characters(home: Path, name: str) -> None:
    assert refused(home, "is not valid for a craft", name=name) == "name"


def test_a_long_name_is_stored_or_shown_in_part(home: Path) -> None:
    with pytest.raises(PlanError) as told:
        add("x" * 500)
    assert f"'{'x' * 120}' is not valid" in str(told.value)
    add("x" * 60)
    assert list(stored()) == ["x" * 60]


def test_a_class_is_one_that_is_shipped_and_the_nearest_is_named(home: Path) -> None:
    refused(home, "craft class 'canoo' is not known.*canoe", kind="canoo")


@pytest.mark.parametrize(
    ("figure", "most", "more"),
    [("length", "20 m", "20.01 m"), ("beam", "20 m", "20.01 m"), ("troll", "10 m/s", "10.01 m/s")],
)
def test_a_figure_is_above_zero_and_no_more_than_a_small_craft_has(
    home: Path, figure: str, most: str, more: str
) -> None:
    unit = most.split()[1]
    for said in (more, f"0 {unit}", f"-1 {unit}", "wide", "12"):
        assert refused(home, None, **{figure: said}) == figure
    for said in (most, f"0.01 {unit}"):
        add_craft("red", "canoe", {figure: said}, default=False)
        assert stored()["red"][figure] == said


@pytest.mark.parametrize(
    # A hull's drag and its drag in the air of 1.225 kg/m³ may need twice the thrust of its class:
    # (4.5 + 0.6125 * 0.5) * v² = 2 * 22 N, so v = 3.026 m/s.
    ("said", "fine"),
    [("3.02 m/s", True), ("3.04 m/s", False), ("10.01 m/s", False), ("0 m/s", False)],
)
def test_a_cruise_speed_is_one_that_a_person_can_hold(home: Path, said: str, fine: bool) -> None:
    if fine:
        add(kind="sit-on-top-kayak", cruise_speed=said)
        assert stored()["red"]["cruise_speed"] == said
    else:
        assert refused(home, None, kind="sit-on-top-kayak", cruise_speed=said) == "cruise_speed"


def test_the_refusal_of_a_cruise_speed_names_its_field_once(home: Path) -> None:
    with pytest.raises(PlanError) as told:
        add(kind="sit-on-top-kayak", cruise_speed="9 mph")
    assert str(told.value).count("cruise_speed") == 1
    assert "cruise_speed: no paddler can hold that for hours" in str(told.value)


# -- what goes with a craft ----------------------------------------------------------------------


def test_a_removed_craft_takes_its_limits_and_no_others() -> None:
    for name in ("red", "blue"):
        add(name, default=name == "blue")
        limit(name)
    remove_craft("red")
    user = load_settings().user
    assert list(user.craft) == ["blue"]
    assert [one.craft for one in user.limit] == ["blue"]
    assert user.default_craft == "blue"


def test_a_removed_craft_is_no_longer_the_default() -> None:
    add(default=True)
    remove_craft("red")
    assert load_settings().user.default_craft is None
    assert stored() == {}


def test_a_craft_that_is_not_there_is_refused_with_the_nearest_name() -> None:
    with pytest.raises(PlanError, match="you have no craft 'red'") as told:
        remove_craft("red")
    assert "craft list" in told.value.remedy
    add("red kayak")
    with pytest.raises(PlanError, match=r"you have no craft 'red kayac'.*'red kayak'"):
        remove_craft("red kayac")
    assert list(stored()) == ["red kayak"]

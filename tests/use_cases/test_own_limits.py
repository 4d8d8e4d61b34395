"""Own limits are stored for a craft and a water, judged as stored, and reset alone."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from safety_check.errors import PlanError, SafetyCheckError
from safety_check.settings.settings import Settings, load_settings
from safety_check.use_cases.own_craft import add_craft, remove_craft
from safety_check.use_cases.own_limits import LimitWords, reset_limits, set_limit
from safety_check.waters import files
from tests import scenes


def test_a_limit_for_a_craft_that_another_run_has_removed_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SAFETY_CHECK_HOME", str(tmp_path))
    add_craft("red", "canoe", {}, default=False)
    read_before = load_settings()
    remove_craft("red")
    before = (tmp_path / "settings.toml").read_bytes()
    limit = LimitWords("wind", "red", None, None, "12 mph", loosen=False)
    with pytest.raises(PlanError, match="'red' is not known"):
        set_limit(limit, read_before)
    with pytest.raises(PlanError, match="you have no craft 'red'"):
        remove_craft("red")
    assert (tmp_path / "settings.toml").read_bytes() == before


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Settings:
    """Return the settings of a home with a craft and a water."""
    monkeypatch.setenv("SAFETY_CHECK_HOME", str(tmp_path))
    add_craft("red", "canoe", {}, default=False)
    made = load_settings()
    files.save(scenes.WATER, made.folders.waters)
    return made


def stored() -> list[dict[str, object]]:
    return [one.model_dump(exclude_defaults=True) for one in load_settings().user.limit]


@pytest.mark.parametrize(
    ("word", "name"),
    [
        ("wind", "wind_speed"),
        ("gust", "wind_speed_of_gust"),
        ("gusts", "wind_speed_of_gust"),
        ("wave", "sea_surface_wave_significant_height"),
        ("waves", "sea_surface_wave_significant_height"),
        ("gauge", "river_gauge_height"),
        ("discharge", "river_discharge"),
        ("current", "sea_water_speed"),
        ("wind_speed", "wind_speed"),
    ],
)
def test_a_quantity_has_a_short_name(word: str, name: str) -> None:
    assert LimitWords(word).name == name


def test_a_limit_is_stored_with_its_full_names(own: Settings) -> None:
    said = LimitWords("wind", "red", "invented lake", "8 mph", "12 mph")
    kept = set_limit(said, own)
    assert kept == LimitWords("wind_speed", "red", "Invented Lake", "8 mph", "12 mph")
    assert stored() == [
        {"craft": "red", "water": "Invented Lake", "quantity": "wind_speed",
         "marginal": "8 mph", "no_go": "12 mph"},
    ]  # fmt: skip


def test_a_new_limit_replaces_the_one_of_the_same_craft_and_water_alone(own: Settings) -> None:
    for words in (
        LimitWords("wind", "red", None, None, "12 mph"),
        LimitWords("gust", "red", None, None, "18 mph"),
        LimitWords("wind", "red", "Invented Lake", None, "11 mph"),
        LimitWords("wind", "red", None, None, "10 mph"),
    ):
        set_limit(words, own)
    found = {(one["quantity"], one.get("water")): one["no_go"] for one in stored()}
    assert found == {
        ("wind_speed", None): "10 mph",
        ("wind_speed_of_gust", None): "18 mph",
        ("wind_speed", "Invented Lake"): "11 mph",
    }


def test_a_looser_limit_needs_the_users_word(own: Settings) -> None:
    looser = LimitWords("wind", "red", None, None, "40 mph")
    with pytest.raises(SafetyCheckError):
        set_limit(looser, own)
    assert stored() == []
    set_limit(replace(looser, loosen=True), own)
    assert stored()[0]["loosen"] is True


@pytest.mark.parametrize(
    ("said", "says"),
    [
        (LimitWords("wind", "red"), "give a caution, a no-go, or both"),
        (LimitWords("wind", None, None, "8 mph"), "whose limit"),
        (LimitWords("gauge", "red", None, None, "2 ft"), "a gauge belongs to one river"),
        (LimitWords("wind", "red", "nowhere", None, "8 mph"), "nowhere"),
    ],
)
def test_a_limit_that_cannot_be_meant_changes_nothing(
    own: Settings, said: LimitWords, says: str
) -> None:
    with pytest.raises(SafetyCheckError, match=says):
        set_limit(said, own)
    assert stored() == []


@pytest.mark.parametrize(
    ("craft", "water", "quantity", "gone", "left"),
    [
        ("red", None, None, ("wind_speed", "wind_speed_of_gust"), 1),
        ("red", None, "gusts", ("wind_speed_of_gust",), 2),
        ("red", "Invented Lake", None, ("wind_speed",), 2),
    ],
)
def test_limits_are_reset_for_the_craft_and_water_they_were_set_for(
    own: Settings,
    craft: str,
    water: str | None,
    quantity: str | None,
    gone: tuple[str, ...],
    left: int,
) -> None:
    set_limit(LimitWords("wind", "red", None, None, "12 mph"), own)
    set_limit(LimitWords("gust", "red", None, None, "18 mph"), own)
    set_limit(LimitWords("wind", "red", "Invented Lake", None, "11 mph"), own)
    assert reset_limits(craft, water, quantity) == gone
    assert len(stored()) == left


def test_a_limit_that_is_not_there_is_not_reset(own: Settings) -> None:
    set_limit(LimitWords("wind", "red", None, None, "12 mph"), own)
    for craft, quantity, says in (
        ("red", "waves", "'red' has no personal limit for sea_surface_wave"),
        ("blue", None, "'blue' has no personal limit."),
        (None, None, "whose limit"),
    ):
        with pytest.raises(PlanError, match=says):
            reset_limits(craft, None, quantity)
    assert len(stored()) == 1

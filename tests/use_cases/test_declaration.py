"""What the paddler declares is stored key by key, taken back, or refused as a whole."""

from __future__ import annotations

from pathlib import Path

import pytest

from safety_check.errors import PlanError
from safety_check.settings.settings import load_settings
from safety_check.use_cases.declaration import declare_paddler, set_contact


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("SAFETY_CHECK_HOME", str(tmp_path))
    return tmp_path


def paddler() -> dict[str, object]:
    return load_settings().user.paddler.model_dump(exclude_unset=True)


def contact() -> dict[str, object]:
    return load_settings().user.contact.model_dump(exclude_unset=True)


def test_a_declaration_changes_its_own_keys_and_none_takes_one_back() -> None:
    declare_paddler({"company": "alone", "light": False})
    assert paddler() == {"company": "alone", "light": False}  # no light is a declaration
    declare_paddler({"company": "group", "wearing": "wetsuit"})
    assert paddler() == {"company": "group", "light": False, "wearing": "wetsuit"}
    declare_paddler({"light": None, "life_jacket": None})  # the second was never declared
    assert paddler() == {"company": "group", "wearing": "wetsuit"}


def test_one_word_that_is_no_option_stores_nothing(home: Path) -> None:
    with pytest.raises(PlanError, match="crowd"):
        declare_paddler({"wearing": "wetsuit", "company": "crowd"})
    assert not (home / "settings.toml").exists()


def test_the_contact_and_the_paddler_are_stored_apart() -> None:
    declare_paddler({"company": "alone"})
    set_contact({"name": "Invented Person", "phone": "555 0100"})
    set_contact({"phone": None})
    assert contact() == {"name": "Invented Person"}
    assert paddler() == {"company": "alone"}

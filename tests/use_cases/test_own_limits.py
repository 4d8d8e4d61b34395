"""A limit is judged by the settings as they are when it is stored."""

from __future__ import annotations

from pathlib import Path

import pytest

from safety_check.errors import PlanError
from safety_check.settings.settings import load_settings
from safety_check.use_cases.own_craft import add_craft, remove_craft
from safety_check.use_cases.own_limits import LimitWords, set_limit


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

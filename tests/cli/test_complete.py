"""A shell completes the user's own waters, launches, craft and plan names."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli import forecasts
from tests.cli.conftest import Runner

CODE = "from safety_check.cli import main; main()"


@pytest.fixture
def known(ready: Runner, tmp_path: Path) -> Runner:
    """Return the runner of a user with two waters, a craft, and a named check."""
    done = ready("check", "pond", "--start", "2026-06-13T06:00", "--hours", 4, "--water-temp",
                 "74 F", "--forecast", forecasts.write(tmp_path), "--as-of", "2026-06-12T20:00",
                 "--name", "bass")  # fmt: skip
    assert done.status == 0, done.err
    return ready


def completed(home: Path, line: str, shell: str = "bash") -> list[str]:
    """Return what a shell is offered for the last word of a line."""
    words = line.split(" ")
    asked = {
        "SAFETY_CHECK_HOME": str(home),
        "_SAFETY_CHECK_COMPLETE": f"complete_{shell}",
        "COMP_WORDS": line,
        "COMP_CWORD": str(len(words) - 1),
    }
    if shell == "zsh":
        del asked["COMP_WORDS"]
        asked["_TYPER_COMPLETE_ARGS"] = line
    done = subprocess.run(
        [sys.executable, "-c", CODE], env=os.environ | asked, capture_output=True, text=True,
        check=False,
    )  # fmt: skip
    assert done.stderr == ""
    return [line for line in done.stdout.splitlines() if line]


@pytest.mark.thorough
def test_waters_launches_craft_and_plans_are_completed(home: Path, known: Runner) -> None:
    known("plan", "save", "my trip", "pond")
    for line, offered in (
        ("safety-check check p", ["pond"]),
        ("safety-check check ", [r"large\ lake", "pond", r"my\ trip"]),
        ("safety-check recheck m", [r"my\ trip"]),
        ("safety-check plan remove ", [r"my\ trip"]),
        ("safety-check water show ", [r"large\ lake", "pond"]),
        ("safety-check outlook pond la", [r"large\ lake"]),
        ("safety-check check pond --launch ", ["ramp"]),
        ("safety-check check pond --craft mi", ["mine"]),
        ("safety-check recheck --name b", ["bass"]),
        ("safety-check craft remove mi", ["mine"]),
        ("safety-check limits show --craft sit-on", ["sit-on-top-kayak"]),
    ):
        assert completed(home, line) == offered, line


@pytest.mark.thorough
def test_a_space_in_a_name_reaches_the_shell_as_one_word(home: Path, known: Runner) -> None:
    assert completed(home, 'safety-check check "la') == ["large lake"]
    assert any('"large lake"' in line for line in completed(home, "safety-check check la", "zsh"))


def test_completion_is_silent_where_a_file_can_not_be_read(home: Path, known: Runner) -> None:
    (home / "settings.toml").write_text("not = = toml", encoding="utf-8")
    assert completed(home, "safety-check check pond --craft mi") == []

"""A first check on a terminal asks the few questions that it needs, and stores the answers."""

from __future__ import annotations

import tomllib
from pathlib import Path

from tests.cli.terminal import run_on_terminal

ANSWERS = ("canoe", "1", "wetsuit", "zzz", "alone", "no")


def test_a_first_check_asks_and_stores_the_answers(tmp_path: Path) -> None:
    status, printed = run_on_terminal(tmp_path, ["check", "pond", "--reach", "1 mi"], ANSWERS)
    assert status == 2
    assert "life jacket" in printed
    assert "'zzz' is not one of the choices" in printed
    assert "water 'pond' is not known" in printed
    stored = tomllib.loads((tmp_path / "settings.toml").read_text(encoding="utf-8"))
    assert stored["craft"] == {"my craft": {"class": "canoe"}}
    assert stored["paddler"] == {
        "life_jacket": "worn",
        "wearing": "wetsuit",
        "company": "alone",
        "light": False,
    }


def test_a_check_without_a_reach_asks_for_it(tmp_path: Path) -> None:
    status, printed = run_on_terminal(tmp_path, ["check", "pond"], (*ANSWERS, "1 parsec"))
    assert status == 2
    assert "How far from the launch will you go?" in printed
    status, printed = run_on_terminal(tmp_path, ["check", "pond", "--reach", "1 mi"], ())
    assert "How far from the launch" not in printed

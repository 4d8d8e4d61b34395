"""A first check on a terminal asks the few questions that it needs, and stores the answers."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from tests.cli.terminal import run_on_terminal

ANSWERS = ("canoe, wetsuit, zzz", "worn")


@pytest.mark.promise("the strict value")
def test_a_first_check_asks_and_stores_the_answers(tmp_path: Path) -> None:
    status, printed = run_on_terminal(tmp_path, ["check", "pond", "--reach", "1 mi"], ANSWERS)
    assert status == 2
    assert "life jacket" in printed
    assert "'zzz' is not one of the choices" in printed
    assert "water: 'pond' is not known" in printed
    stored = tomllib.loads((tmp_path / "settings.toml").read_text(encoding="utf-8"))
    assert stored["craft"] == {"my craft": {"class": "canoe"}}
    assert stored["paddler"] == {
        "life_jacket": "worn",
        "wearing": "wetsuit",
        "company": "alone",
        "light": False,
    }


@pytest.mark.promise("asked once")
def test_a_check_without_a_reach_asks_for_it(tmp_path: Path) -> None:
    status, printed = run_on_terminal(tmp_path, ["check", "pond"], (*ANSWERS, "1 parsec"))
    assert status == 2
    assert "How far from the launch will you go?" in printed
    status, printed = run_on_terminal(tmp_path, ["check", "pond", "--reach", "1 mi"], ())
    assert "How far from the launch" not in printed


@pytest.mark.thorough
@pytest.mark.promise("asked once")
def test_an_unknown_water_temperature_is_asked_for_once(tmp_path: Path) -> None:
    run_on_terminal(
        tmp_path,
        [
            "water",
            "add",
            "pond",
            "--fetch",
            "N 300 m, E 300 m, S 300 m, W 300 m",
            "--launch",
            "ramp=44.9,-99.6",
        ],
        (),
    )
    asked = ["check", "pond", "--reach", "1 mi", "--warnings", "none", "--read-at", "now",
             "--forecast", "none.json", "--start", "6am tomorrow", "--hours", "4h"]  # fmt: skip
    status, printed = run_on_terminal(tmp_path, asked, (*ANSWERS, "1 parsec"))
    assert "Water temperature, measured or the newest report" in printed
    assert "--water-temp" in printed
    assert status == 2

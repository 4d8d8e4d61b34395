"""A new user is led to a first verdict: place, water, craft, four questions, when."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.cli import forecasts
from tests.cli.conftest import Runner
from tests.cli.terminal import run_on_terminal
from tests.cli.test_water_near import LAKE, answer
from tests.sources.fake_server import FakeServer, json_reply

AT_THE_SHORE = "44.8802,-99.6"
GEAR = "1, worn, group, light"


@pytest.fixture
def map_server(run: Runner) -> Iterator[FakeServer]:
    with FakeServer() as running:
        run("settings", "set", "services.overpass", running.url)
        run("settings", "set", "services.nominatim", running.url)
        running.serve("/search", json_reply([]))
        running.serve("/api/interpreter", answer(LAKE))
        yield running


def test_a_check_with_nothing_set_up_leads_to_a_verdict(
    home: Path, tmp_path: Path, map_server: FakeServer
) -> None:
    file = forecasts.write(tmp_path)
    options = ("--forecast", file, "--as-of", "2026-06-12 20:00", "--water-temp", "74 F")
    status, printed = run_on_terminal(
        home,
        ["check", *options, "--from-shore", "100 yd", "--warnings", "none", "--read-at", "now"],
        ("nowhere", AT_THE_SHORE, GEAR, "2026-06-13 09:00 for 3 h"),
    )
    assert "No water has been added yet" in printed
    remarks = [line for line in printed.splitlines() if line.startswith(("No water", "Add what"))]
    assert len(remarks) == 2
    assert all(len(line) <= 80 for line in remarks)
    assert "no lake or reservoir named 'nowhere' was found" in printed
    assert (
        "Stored: sit-on-top kayak, life jacket worn, no immersion clothing, in a group" in printed
    )
    assert "Invented Lake, launch; sit-on-top kayak; Sat 13 Jun 09:00 to 12:00" in printed
    assert status in (0, 20), printed


@pytest.mark.thorough
def test_a_second_check_asks_only_which_water_and_when(
    home: Path, tmp_path: Path, ready: Runner
) -> None:
    options = ("--forecast", forecasts.write(tmp_path), "--as-of", "2026-06-12 20:00",
               "--water-temp", "74 F", "--reach", "1 mi", "--warnings", "none", "--read-at",
               "now")  # fmt: skip
    status, printed = run_on_terminal(home, ["check", *options], ("2", "2026-06-13 09:00, 3h"))
    assert status == 0, printed
    assert "Which launch?" not in printed
    assert "pond, ramp" in printed


def test_a_program_is_asked_nothing_and_told_what_to_do(run: Runner) -> None:
    done = run("check")
    assert done.status == 2
    assert 'water add "Orvel Lake" --find' in done.err


@pytest.mark.thorough
def test_no_command_on_a_terminal_starts_the_first_check(home: Path) -> None:
    status, printed = run_on_terminal(home, [], ("",))
    assert "No water has been added yet" in printed
    assert status != 0


def test_no_command_elsewhere_prints_the_help(run: Runner) -> None:
    done = run()
    assert "Usage: safety-check" in done.out + done.err

"""A check, a re-check and an outlook of water that moves, with what the user says of it."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli import forecasts
from tests.cli.conftest import Runner
from tests.cli.terminal import run_on_terminal

TIDAL = ("water", "set", "pond", "--kind", "tidal")
SAID = ("--current", "0.5 kt from N, slack 08:00", "--high-water", "09:10")


def asked(folder: Path) -> tuple[object, ...]:
    return ("check", "pond", "--start", "2026-06-13T06:00", "--hours", 4, "--water-temp", "74 F",
            "--as-of", "2026-06-12T20:00", "--forecast", forecasts.write(folder))  # fmt: skip


def test_a_tidal_water_is_unknown_until_tide_and_current_are_entered(
    ready: Runner, tmp_path: Path
) -> None:
    assert ready(*asked(tmp_path)).status == 0
    ready(*TIDAL)
    unknown = ready(*asked(tmp_path), "--full")
    assert unknown.status == 40
    assert "--current" in unknown.out
    done = ready(*asked(tmp_path), *SAID)
    assert done.status == 0, done.out
    strong = ready(*asked(tmp_path), "--current", "2.5 kt from N, slack 11:30", *SAID[2:])
    assert strong.status == 30


def test_what_was_entered_counts_in_the_recheck_until_it_is_said_anew(
    ready: Runner, tmp_path: Path
) -> None:
    ready(*TIDAL)
    ready(*asked(tmp_path), *SAID)
    again = ("recheck", "--offline", "--as-of", "2026-06-13T05:50")
    assert ready(*again).status == 0
    assert ready(*again, "--current", "2.5 kt from N, slack 11:30").status == 30


def test_entries_on_still_water_and_unreadable_ones_are_refused(
    ready: Runner, tmp_path: Path
) -> None:
    still = ready(*asked(tmp_path), *SAID)
    assert still.status == 2
    assert "--kind tidal" in still.err
    ready(*TIDAL)
    bad = ready(*asked(tmp_path), "--current", "fast")
    assert bad.status == 2
    assert len(bad.err.strip().splitlines()) == 1


def test_a_river_is_judged_by_a_limit_of_its_own(ready: Runner, tmp_path: Path) -> None:
    ready("water", "set", "pond", "--kind", "flowing")
    said = ("--gauge", "2.1 ft falling")
    assert ready(*asked(tmp_path), *said).status == 40
    assert ready("limits", "set", "gauge", "--craft", "canoe", "--no-go", "3 ft").status == 2
    limit = ("limits", "set", "gauge", "--water", "pond", "--no-go", "3 ft")
    assert ready(*limit).status == 0
    assert ready(*asked(tmp_path), *said).status == 0
    high = ready(*asked(tmp_path), "--gauge", "3.5 ft falling")
    assert high.status == 30
    assert "The gauge stands at 3.5 ft" in high.out


@pytest.mark.parametrize(("said", "status"), [("none", 0), ("08:00", 30), (None, 20)])
def test_below_a_dam_the_release_is_asked_for(
    ready: Runner, tmp_path: Path, said: str | None, status: int
) -> None:
    ready("water", "set", "pond", "--kind", "flowing", "--dam")
    ready("limits", "set", "gauge", "--water", "pond", "--no-go", "3 ft")
    release = () if said is None else ("--release", said)
    assert ready(*asked(tmp_path), "--gauge", "2 ft steady", *release).status == status


@pytest.mark.thorough
def test_a_terminal_asks_for_the_release_of_a_dam(
    ready: Runner, home: Path, tmp_path: Path
) -> None:
    ready("water", "set", "pond", "--kind", "flowing", "--dam")
    ready("limits", "set", "gauge", "--water", "pond", "--no-go", "3 ft")
    options = (*asked(tmp_path), "--gauge", "2 ft steady", "--reach", "0.2 mi")
    status, printed = run_on_terminal(
        home, (*options, "--warnings", "none", "--read-at", "now"), ["08:00"]
    )
    assert "When does the dam upstream release water" in printed
    assert status == 30, printed


def test_an_outlook_of_a_tidal_water_takes_the_same_words(ready: Runner, tmp_path: Path) -> None:
    ready(*TIDAL)
    look = ("outlook", "pond", "--days", 2, "--water-temp", "74 F", "--as-of", "2026-06-12T20:00",
            "--forecast", forecasts.write(tmp_path), "--json")  # fmt: skip
    assert ready(*look).status == 0
    done = ready(*look, "--current", "0.3 kt from N, slack 22:00", "--high-water", "22:10")
    assert done.status == 0, done.err

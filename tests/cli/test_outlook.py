"""The coming days at one water in order, at several the best first."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli import forecasts
from tests.cli.conftest import Runner

MORNING = "2026-06-12T05:00"
COMMON = ("--water-temp", "74 F", "--as-of", MORNING)


@pytest.fixture
def calm(tmp_path: Path) -> Path:
    return forecasts.write(tmp_path)


@pytest.fixture
def windy(tmp_path: Path) -> Path:
    path = tmp_path / "windy.json"
    said = forecasts.answer(wind_speed_10m=9.0, wind_gusts_10m=13.0)
    path.write_text(json.dumps(said), encoding="utf-8")
    return path


def test_each_day_has_its_window_and_the_best_stands_first(ready: Runner, calm: Path) -> None:
    done = ready("outlook", "pond", "--days", 3, "--forecast", calm, *COMMON)
    assert done.status == 0, done.err
    first = done.out.splitlines()[0]
    assert first == "GO: the best is Fri 12 Jun, 06:00-21:00, pond, ramp; sit-on-top kayak"
    assert [line.split()[:3] for line in done.out.splitlines()[4:7]] == [
        ["Fri", "12", "Jun"],
        ["Sat", "13", "Jun"],
        ["Sun", "14", "Jun"],
    ]


def test_of_several_waters_the_best_day_comes_first(ready: Runner, calm: Path, windy: Path) -> None:
    done = ready("outlook", "large lake", "pond", "--days", 2, "--forecast", windy, "--forecast",
                 calm, "--json", *COMMON)  # fmt: skip
    ranked = [(entry["water"], entry["verdict"]) for entry in done.json["best_first"]]
    assert ranked == [
        ("pond", "GO"),
        ("pond", "GO"),
        ("large lake", "NO-GO"),
        ("large lake", "NO-GO"),
    ]
    assert [water["place"]["water"] for water in done.json["waters"]] == ["large lake", "pond"]


def test_a_launch_stands_behind_its_water(ready: Runner, calm: Path) -> None:
    done = ready("outlook", "pond:ramp", "--forecast", calm, "--json", *COMMON)
    assert done.json["waters"][0]["place"]["launch"] == "ramp"
    wrong = ready("outlook", "pond:pier", "--forecast", calm, *COMMON)
    assert wrong.status == 2
    assert "pier" in wrong.err


def test_a_day_that_forbids_says_why_and_has_no_window(ready: Runner, windy: Path) -> None:
    done = ready("outlook", "pond", "--days", 1, "--forecast", windy, "--json", *COMMON)
    day = done.json["waters"][0]["days"][0]
    assert (day["verdict"], day["window"], day["go"]) == ("NO-GO", None, 0.0)
    assert day["because"]["hazard"] in ("wind_too_strong", "gusts_too_strong")
    told = ready("outlook", "pond", "--days", 1, "--forecast", windy, *COMMON)
    assert told.out.startswith("No day ahead has 4 h")
    assert told.status == 0


def test_days_beyond_the_forecast_are_unknown_and_said_so(ready: Runner, calm: Path) -> None:
    done = ready("outlook", "pond", "--days", 5, "--forecast", calm, *COMMON)
    day = next(line for line in done.out.splitlines() if "Tue 16 Jun" in line)
    assert "UNKNOWN" in day
    assert "not known" in done.out


def test_a_water_temperature_that_nobody_knows_is_told_with_its_mend(
    ready: Runner, calm: Path
) -> None:
    done = ready("outlook", "pond", "--forecast", calm, "--as-of", MORNING)
    assert "--water-temp" in done.out
    assert "UNKNOWN" in done.out


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("pond", "--days", 0), "--days"),
        (("pond", "--days", 99), "--days"),
        (("pond", "--hours", 0), "--hours"),
        (("pond", "--hours", 25), "--hours"),
        (("nowhere",), "nowhere"),
    ],
)
def test_what_can_not_be_meant_is_refused(
    ready: Runner, calm: Path, arguments: tuple[object, ...], told: str
) -> None:
    done = ready("outlook", *arguments, "--forecast", calm, *COMMON)
    assert done.status == 2
    assert told in done.err


def test_files_and_waters_must_pair(ready: Runner, calm: Path, windy: Path) -> None:
    done = ready("outlook", "pond", "--forecast", calm, "--forecast", windy, *COMMON)
    assert done.status == 2
    assert "2 files for 1 waters" in done.err


def test_a_file_that_can_not_be_read_is_a_failure(ready: Runner, tmp_path: Path) -> None:
    done = ready("outlook", "pond", "--forecast", tmp_path / "none.json", *COMMON)
    assert done.status == 1


def test_no_line_is_wider_than_a_terminal(ready: Runner, calm: Path, windy: Path) -> None:
    done = ready("outlook", "large lake", "pond", "--forecast", windy, "--forecast", calm, *COMMON)
    assert max(map(len, done.out.splitlines())) <= 80


def test_a_narrow_terminal_gets_a_list_in_which_nothing_is_cut(
    ready: Runner, calm: Path, windy: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = ("large lake", "pond", "--forecast", windy, "--forecast", calm)
    monkeypatch.setattr("safety_check.report.layout.terminal_width", lambda: 40)
    for waters in (asked, ("pond", "--forecast", windy)):
        told = ready("outlook", *waters, *COMMON).out
        assert max(map(len, told.splitlines())) <= 40
        assert "Sat 13 Jun" in " ".join(told.split())
        assert "verdict NO-GO" in " ".join(told.split())
        assert "  " not in " ".join(line.strip(" -") for line in told.splitlines() if line)


def test_two_launches_of_one_water_are_told_apart(ready: Runner, calm: Path) -> None:
    at = "44.9,-99.6"
    done = ready("outlook", "pond:ramp", f"pond:{at}", "--days", 1, "--forecast", calm, *COMMON)
    assert "pond, ramp" in done.out
    assert at in done.out

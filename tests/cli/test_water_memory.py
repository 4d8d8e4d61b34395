"""A water temperature that was entered, logged or seen is used again, with its age."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli import forecasts
from tests.cli.conftest import Runner

LATER = ("--as-of", "2026-06-13 06:00", "--start", "2026-06-13 09:00", "--hours", "4")
EARLIER = ("--as-of", "2026-06-12 09:00", "--start", "2026-06-12 10:00", "--hours", "4")


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return forecasts.write(tmp_path)


def test_a_temperature_that_was_entered_yesterday_is_said_with_its_age(
    ready: Runner, file: Path
) -> None:
    unknown = ready("check", "pond", "--forecast", file, *LATER)
    assert unknown.status == 40
    assert ready("check", "pond", "--forecast", file, *EARLIER, "--water-temp", "74 F").status == 0
    done = ready("check", "pond", "--forecast", file, *LATER)
    said = " ".join(done.out.split())
    assert "Water 74 °F, your own eyes, 21 h old, counts as 68" in said
    told = ready("check", "pond", "--forecast", file, *LATER, "--json").json
    kept = told["water_temperature"]
    assert kept["at"] == "2026-06-12T14:00:00Z"
    assert kept["value"] < kept["measured"] == pytest.approx(296.483, abs=1e-3)  # 74 °F
    other = ready("check", "large lake", "--forecast", file, *LATER)
    assert other.status == 40


def test_a_temperature_of_the_trip_log_is_remembered(ready: Runner, file: Path) -> None:
    ready("trip", "log", "pond", "--began", "2026-06-12 10:00", "--water-temp", "74 F",
          "--craft", "mine")  # fmt: skip
    told = ready("check", "pond", "--forecast", file, *LATER, "--json").json
    assert told["water_temperature"]["at"] == "2026-06-12T15:00:00Z"


def test_a_recheck_says_the_stored_temperature_again_and_repeats_to_the_digit(
    ready: Runner, file: Path
) -> None:
    ready("check", "pond", "--forecast", file, *EARLIER, "--water-temp", "74 F")
    ready("check", "pond", "--forecast", file, *LATER)
    assert ready("history", "repeat", "2", "--json").json["same"] is True
    seen = ready("recheck", "--forecast", file, "--as-of", "2026-06-13 08:50", "--water-temp",
                 "60 F", "--json")  # fmt: skip
    assert seen.json["water_temperature"]["measured"] is None

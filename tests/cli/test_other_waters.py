"""Another of the user's waters as an alternative: with its drive time, judged by itself."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import Any

import pytest

from tests.cli import forecasts
from tests.cli.conftest import Runner

AS_OF = ("--as-of", "2026-06-12T20:00")
TIMES = ("--start", "2026-06-13T06:00", "--hours", 4)
POND, BAY = "small pond", "N 100 m, E 100 m, S 100 m, W 100 m"


@pytest.fixture
def asked(ready: Runner, tmp_path: Path) -> tuple[object, ...]:
    """Return a check that is NO-GO by the waves of a large lake, with a pond to go to."""
    windy = forecasts.write(tmp_path, forecasts.answer(wind_speed_10m=6.0, wind_gusts_10m=8.0))
    ready("water", "add", POND, "--fetch", BAY, "--launch", "slip=44.91,-99.61")
    # the pond's own temperature, as it was measured the day before
    ready("check", POND, *TIMES, "--water-temp", "76 F", "--forecast", windy, *AS_OF)
    return ("check", "large lake", *TIMES, "--water-temp", "74 F", "--forecast", windy, *AS_OF)


def offered(run: Runner, asked: tuple[object, ...]) -> list[dict[str, Any]]:
    done = run(*asked, "--json")
    assert done.status in (20, 30), done.out + done.err
    return [one for one in done.json["alternatives"] if one["kind"] == "water"]


@pytest.mark.thorough
def test_a_water_is_offered_once_its_drive_is_known_and_its_check_gives_its_verdict(
    ready: Runner, asked: tuple[object, ...]
) -> None:
    assert offered(ready, asked) == []
    ready("water", "set", POND, "--drive", "45 min")
    one = offered(ready, asked)[0]
    assert one["water"] == POND
    assert one["verdict"] == "MARGINAL"  # nobody said that there are no warnings there
    there = ready("check", *shlex.split(one["option"]), *TIMES, "--forecast", asked[-3], *AS_OF,
                  "--warnings", "none", "--read-at", "now", "--json").json  # fmt: skip
    assert there["verdict"] in ("GO", "MARGINAL")
    text = " ".join(ready(*asked).out.split())
    assert f"MARGINAL on {POND}, slip (45 min to drive)" in text


def test_a_water_too_far_to_drive_before_the_start_is_not_offered(
    ready: Runner, asked: tuple[object, ...]
) -> None:
    ready("water", "set", POND, "--drive", "11 h")
    assert offered(ready, asked) == []


def test_the_entered_temperature_is_not_taken_to_another_water(
    ready: Runner, asked: tuple[object, ...], home: Path
) -> None:
    ready("water", "set", "pond", "--drive", "20 min")  # nobody measured this one
    assert offered(ready, asked) == []


def test_a_damaged_file_of_another_water_costs_nothing(
    ready: Runner, asked: tuple[object, ...], home: Path
) -> None:
    ready("water", "set", POND, "--drive", "45 min")
    (home / "waters" / "pond.geojson").write_text("{", encoding="utf-8")
    assert [one["water"] for one in offered(ready, asked)] == [POND]

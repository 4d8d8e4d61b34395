"""A route on the command line: checked, told, and refused with a clear paragraph."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from safety_check.waters.files import save
from tests import invented_lake as lake
from tests.cli.conftest import Run, Runner
from tests.cli.forecasts import answer

LANDMARKS = lake.words((900.0, 800.0), (2600.0, 800.0))


@pytest.fixture
def asked(ready: Runner, home: Path, tmp_path: Path) -> Runner:
    """Return a runner of one check on the invented lake, from a file."""
    save(lake.WATER, home / "waters")
    forecast = tmp_path / "forecast.json"
    forecast.write_text(json.dumps(answer()))

    def check(*more: object) -> Run:
        return ready(
            "check", lake.WATER.name, "--craft", "mine", "--start", "2026-06-13T10:00",
            "--hours", 5, "--forecast", forecast, "--water-temp", "75 F",
            "--as-of", "2026-06-12T20:00", *more,
        )  # fmt: skip

    return check


def test_the_way_home_along_a_route_is_told(asked: Runner) -> None:
    done = asked("--route", LANDMARKS, "--json")
    assert done.status in (0, 20), done.err
    home = done.json["advice"]["getting_home"]
    assert home["route"] is True
    assert [round(leg["length"]) for leg in home["legs"]] == pytest.approx([1700, 1204], abs=6)
    assert home["turn_back"] < home["home_by"]


def test_a_person_reads_when_to_turn_back(asked: Runner) -> None:
    assert "turn back by" in asked("--route", LANDMARKS).out
    done = asked("--route", LANDMARKS, "--full")
    assert "Turn back by" in done.out
    assert "Back along the route" in done.out


@pytest.mark.parametrize(
    ("route", "says"),
    [
        (lake.words((2600.0, 0.0)), "crosses land"),
        (lake.words((-900.0, 0.0)), "from the water"),
        ("here and there", "is not a point"),
        ("nowhere.geojson", "cannot be read"),
    ],
)
def test_a_route_that_can_t_be_is_one_clear_paragraph(asked: Runner, route: str, says: str) -> None:
    done = asked("--route", route)
    assert done.status in (1, 2)
    assert says in done.err
    assert not done.out
    assert len(done.err.strip().splitlines()) == 1


def test_a_route_keeps_its_water_and_not_all_within_reach(asked: Runner) -> None:
    near = lake.words((60.0, 500.0), (60.0, 1500.0))
    done = asked("--route", near, "--json")
    assert done.json["advice"]["in_the_water"]["from_shore"] == pytest.approx(60.0, abs=1.0)
    assert done.json["trip"]["reach"] == pytest.approx(1501.2, abs=1.0)

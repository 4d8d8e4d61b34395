"""Local rules and the drive of a water: stored in its file, shown, counted, removed."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli import forecasts
from tests.cli.conftest import Runner

NAME = "any wind funnels in the morning"
RULE = ("water", "rule", "pond", "--name", NAME, "--add-wind", "20 mph", "--hours", "6:00-noon")


def asked(folder: Path) -> tuple[object, ...]:
    return ("check", "pond", "--start", "2026-06-13T06:00", "--hours", 4, "--water-temp", "74 F",
            "--as-of", "2026-06-12T20:00", "--forecast", forecasts.write(folder))  # fmt: skip


def test_a_rule_counts_in_text_json_and_page_until_it_is_removed(
    ready: Runner, tmp_path: Path
) -> None:
    check = asked(tmp_path)
    assert ready(*check).status == 0
    assert ready(*RULE).out.splitlines()[0] == f"Added {NAME!r}."
    told = ready(*check, "--full")
    assert told.status == 30
    text = " ".join(told.out.split())
    assert f'The wind includes up to 20 mph by your rule "{NAME}".' in text
    assert f'"{NAME}": 20 mph more wind and gusts, 06:00-12:00, any wind. It counts' in text
    item = ready(*check, "--json").json["local_rules"][0]
    assert item["name"] == NAME
    assert item["hours"] == [360, 720]
    assert item["counted"][0] == "2026-06-13T11:00:00Z"
    page = tmp_path / "out.html"
    ready("page", *check[1:], "--out", page)
    assert "Your rules for this water" in page.read_text(encoding="utf-8")
    assert ready("water", "rule", "pond", "--remove", NAME.upper()).status == 0
    assert ready(*check).status == 0


def test_a_rule_learnt_after_the_check_counts_in_the_recheck(ready: Runner, tmp_path: Path) -> None:
    assert ready(*asked(tmp_path)).status == 0
    ready(*RULE)
    assert ready("recheck", "--offline", "--as-of", "2026-06-13T05:50").status == 30


def test_what_was_declared_stays_when_the_water_is_added_again(ready: Runner) -> None:
    ready(*RULE)
    declared = ("--drive", "45 min", "--elevation", "120 m", "--estimate", "--depth", "pond",
                "--excluded", "none")  # fmt: skip
    assert ready("water", "set", "pond", *declared).status == 0
    before = ready("water", "show", "pond", "--json").json["properties"]
    again = ready("water", "add", "pond", "--fetch", "N 200 m, E 200 m, S 200 m, W 200 m",
                  "--launch", "ramp=44.9,-99.6")  # fmt: skip
    assert again.out.startswith("Replaced")
    shown = ready("water", "show", "pond").out
    assert NAME in shown
    assert "drive: 45 min" in shown
    kept = ready("water", "show", "pond", "--json").json["properties"]
    assert {name: kept[name] for name in ("elevation_m", "estimate")} == {
        name: before[name] for name in ("elevation_m", "estimate")
    }
    assert ready(*RULE).out.startswith("Replaced")
    assert ready("water", "show", "pond").out.count("rule") == 1


def test_a_compass_point_reaches_halfway_to_its_neighbours(ready: Runner) -> None:
    said = ("water", "rule", "pond", "--name", "west", "--add-wind", "5 mph", "--from")
    assert "(213.75, 326.25)" in _sector(ready, *said, "SW-NW")
    assert "(258.75, 281.25)" in _sector(ready, *said, "W")
    assert "(200.0, 310.0)" in _sector(ready, *said, "200–310")


def _sector(ready: Runner, *arguments: str) -> str:
    assert ready(*arguments).status == 0
    kept = ready("water", "show", "pond", "--json").json["properties"]["rules"]
    return str(tuple(kept[-1]["sector"]))


@pytest.mark.one_in(2)
@pytest.mark.parametrize(
    ("options", "told"),
    [
        (("--name", "x"), "give both --name and --add-wind"),
        (("--add-wind", "5 mph"), "give both --name and --add-wind"),
        (("--name", "x", "--add-wind", "0 mph"), "never takes any away"),
        (("--name", "x", "--add-wind", "-5 mph"), "negative"),
        (("--name", "x", "--add-wind", "5"), "unit"),
        (("--name", "x", "--add-wind", "5 mph", "--hours", "noon"), "span of the day"),
        (("--name", "x", "--add-wind", "5 mph", "--hours", "sat 6:00-7:00"), "names a day"),
        (("--name", "x", "--add-wind", "5 mph", "--from", "up"), "--from"),
        (("--remove", "x"), "has no rule 'x'"),
        (("--remove", "x", "--name", "y"), "takes no other option"),
    ],
)
def test_what_is_no_rule_is_refused_and_nothing_changes(
    ready: Runner, options: tuple[str, ...], told: str
) -> None:
    before = ready("water", "show", "pond", "--json").out
    done = ready("water", "rule", "pond", *options)
    assert done.status in (1, 2)
    assert told in done.err
    assert ready("water", "show", "pond", "--json").out == before


@pytest.mark.parametrize("spoilt", [{"wind_added": -3}, {"hours": [0, 2000]}, {"sector": ["W", 1]}])
def test_a_damaged_rule_is_an_error_and_never_lost(
    ready: Runner, home: Path, tmp_path: Path, spoilt: dict[str, object]
) -> None:
    ready(*RULE)
    file = home / "waters" / "pond.geojson"
    said = json.loads(file.read_text(encoding="utf-8"))
    said["properties"]["rules"][0] |= spoilt
    file.write_text(json.dumps(said), encoding="utf-8")
    done = ready(*asked(tmp_path))
    assert done.status == 1
    assert "pond.geojson" in done.err

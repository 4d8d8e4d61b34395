"""The whole round on the invented sample, from which day to the log, as docs/round.md tells it."""

from __future__ import annotations

import json
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from docs.round import BLOCK, COMMAND, STORY, spoken, told
from safety_check.cli import main
from safety_check.use_cases.watch import Clock

ROOT = Path(__file__).parents[1]


@pytest.fixture(autouse=True)
def _in_the_checkout(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)


@pytest.mark.thorough
def test_the_story_says_what_the_program_says() -> None:
    story = STORY.read_text(encoding="utf-8")
    assert told(story) == story, "docs/round.md is stale. Print it anew: python -m docs.round"


def test_the_story_goes_all_the_way_round() -> None:
    blocks = [found["lines"] for found in BLOCK.finditer(STORY.read_text(encoding="utf-8"))]
    commands = [command.split()[2] for block in blocks for command in COMMAND.findall(block)]
    round_ = [
        one_command
        for one_command in commands
        if one_command not in ("paddler", "craft", "water", "settings")
    ]
    assert list(dict.fromkeys(round_)) == [
        *("outlook", "check", "plan", "watch", "recheck", "trip", "history"),
    ]


class Round:
    """Runs commands in one home; the clock of a watch passes by sleeping."""

    def __init__(
        self, home: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        monkeypatch.setenv("SAFETY_CHECK_HOME", str(home))
        monkeypatch.setenv("COLUMNS", "80")
        self._patch, self._heard = monkeypatch, capsys

    def __call__(self, *arguments: object) -> tuple[int, str]:
        self._patch.setattr("sys.argv", ["safety-check", *map(str, arguments)])
        with pytest.raises(SystemExit) as leaving:
            main()
        heard = self._heard.readouterr()
        assert heard.err == ""
        return int(leaving.value.code or 0), heard.out

    def clock(self, start: str) -> None:
        moments = [datetime.fromisoformat(start)]

        def sleep(seconds: float) -> None:
            moments.append(moments.pop() + timedelta(seconds=seconds))

        self._patch.setattr(
            "safety_check.use_cases.watch.system_clock", lambda: Clock(lambda: moments[0], sleep)
        )


@pytest.fixture
def paddler(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Round:
    """Return the round of a paddler who has declared all, with the invented arm of a bay."""
    run = Round(tmp_path / "home", monkeypatch, capsys)
    run("paddler", "set", "--life-jacket", "worn", "--wearing", "none", "--company", "group",
        "--light", "yes")  # fmt: skip
    run("craft", "add", "mine", "--class", "canoe", "--cruise", "3 mph")
    run("water", "add", "Marrowick Arm", "--file", "config/sample/marrowick_arm.geojson", "--kind",
        "tidal")  # fmt: skip
    for key in ("name", "phone", "emergency_name", "emergency_phone", "vehicle", "colours"):
        run("settings", "set", f"contact.{key}", "x")
    return run


STATUS = {"GO": 0, "MARGINAL": 20}
FILE = ("--forecast", "config/sample/forecast.json")
TABLES = ("--current", "0.4 kt from NE, slack sat 09:40, slack sat 15:50",
          "--high-water", "low sat 09:20, sat 15:30")  # fmt: skip
NEAR = ("--reach", "1/2 mi", "--from-shore", "100 yd", "--water-temp", "72 F", *TABLES)


@pytest.mark.thorough
def test_a_round_from_the_outlook_to_the_trip_log_holds_together(paddler: Round) -> None:
    evening = ("--as-of", "2026-06-12T20:30")
    status, said = paddler("outlook", "Marrowick Arm:saltings steps", "--days", 2, "--hours", 1,
                          *NEAR, *FILE, *evening, "--json")  # fmt: skip
    best = json.loads(said)["best_first"][0]
    assert status == 0
    assert best["window"] is not None
    expected = STATUS[best["verdict"]]

    status, said = paddler("check", "Marrowick Arm", "--launch", "saltings steps", "--start",
                          best["start"], "--end", best["end"], *NEAR, *FILE, *evening, "--name",
                          "arm", "--json")  # fmt: skip
    assert status == expected
    assert json.loads(said)["verdict"] == best["verdict"]

    status, said = paddler("plan", "--name", "arm")
    assert status == 0
    assert f"last check     {best['verdict']}" in said

    launch = datetime.fromisoformat(best["start"])
    paddler.clock((launch - timedelta(minutes=90)).isoformat())
    status, said = paddler("watch", "--name", "arm", *FILE, "--json")
    assert status == expected
    assert len(said.splitlines()) == 4

    at_the_ramp = (launch + timedelta(minutes=5)).isoformat()
    status, said = paddler("recheck", "--name", "arm", "--offline", "--as-of", at_the_ramp,
                          "--wind", "3 mph", "--json")  # fmt: skip
    assert status == expected
    assert json.loads(said)["since"]["before"] == best["verdict"]

    status, said = paddler("trip", "log", "--wind", "9 mph", "--waves", "0.5 ft", "--comfort", 4)
    assert status == 0
    assert "Marrowick Arm, saltings steps" in said

    status, said = paddler("trip", "list", "--json")
    trip = json.loads(said)[-1]
    assert trip["water"] == "Marrowick Arm"
    status, said = paddler("history", "list", "--json")
    assert trip["check"] == json.loads(said)[0]["id"]

    status, said = paddler("limits", "suggest", "--craft", "mine")
    assert status == 0


@pytest.mark.thorough
def test_what_blows_at_the_ramp_ends_the_round_there(paddler: Round) -> None:
    paddler("check", "Marrowick Arm", "--launch", "saltings steps", "--start", "2026-06-13T10:00",
           "--hours", 1, *NEAR, *FILE, "--as-of", "2026-06-12T20:30")  # fmt: skip
    status, said = paddler("recheck", "--offline", "--as-of", "2026-06-13T09:55", "--wind",
                          "20 mph", "--whitecaps")  # fmt: skip
    assert status == 30
    assert said.startswith("NO-GO, was ")


def test_a_command_of_the_story_that_fails_says_so(tmp_path: Path) -> None:
    assert "not known" in " ".join(spoken('$ safety-check check "nowhere"\n', tmp_path, ""))

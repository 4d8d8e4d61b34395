"""A clean home for each test of the command line, and a way to run it."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from safety_check.cli import main


@dataclass(frozen=True)
class Run:
    """What a run of the command line left behind."""

    status: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        """What it printed, as JSON."""
        return json.loads(self.out)


Runner = Callable[..., Run]


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return the folder of all that is the user's."""
    where = tmp_path / "home"
    monkeypatch.setenv("SAFETY_CHECK_HOME", str(where))
    return where


@pytest.fixture
def run(home: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Runner:
    """Return a function that runs the command line in this process."""
    monkeypatch.setenv("COLUMNS", "80")

    def command(*arguments: object) -> Run:
        monkeypatch.setattr("sys.argv", ["safety-check", *map(str, arguments)])
        with pytest.raises(SystemExit) as leaving:
            main()
        captured = capsys.readouterr()
        code = leaving.value.code
        return Run(code if isinstance(code, int) else 0, captured.out, captured.err)

    return command


WITH_WARNINGS = ("check", "outlook", "page", "plan")


def reads_warnings(run: Runner) -> Runner:
    """Return a runner for a user who has just read that no official warning is in force."""

    def command(*arguments: object) -> Run:
        from_file = "--forecast" in arguments and "--warnings" not in arguments
        if arguments and arguments[0] in WITH_WARNINGS and from_file:
            arguments = (*arguments, "--warnings", "none", "--read-at", "now")
        return run(*arguments)

    return command


@pytest.fixture
def ready(run: Runner) -> Runner:
    """Return the runner of a user who has declared all, with a pond and a large lake."""
    run = reads_warnings(run)
    run("paddler", "set", "--life-jacket", "worn", "--wearing", "none", "--company", "group",
        "--light", "yes")  # fmt: skip
    run("craft", "add", "mine", "--class", "sit-on-top-kayak")
    run("settings", "set", "odds.dressing", "false")  # what a file says is what is weighed
    for name, sectors in (
        ("pond", "N 300 m, E 300 m, S 300 m, W 300 m"),
        ("large lake", "N 12 km, E 12 km, S 12 km, W 12 km"),
    ):
        run("water", "add", name, "--fetch", sectors, "--launch", "ramp=44.9,-99.6")
    return run

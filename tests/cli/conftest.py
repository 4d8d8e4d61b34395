"""A clean home for each test of the command line, and a way to run it."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import typer
from typer.main import get_command

from safety_check.cli import app, main
from safety_check.waters import files
from safety_check.waters.nearness import say_if_by_sea


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


@pytest.fixture(scope="session", autouse=True)
def _build_each_command_once() -> Iterator[None]:
    """Let typer read the options of each command once, not anew in each of many runs."""
    built = cache(app.build_app)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(app, "build_app", lambda names=app.ALL: built(tuple(names)))
        patch.setattr(typer.main, "get_command", cache(get_command))
        yield


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


def _fetches(distance: str) -> str:
    return ", ".join(f"{sector} {distance}" for sector in "NESW")


RAMP = ("--launch", "ramp=44.9,-99.6")
DECLARED = (
    ("paddler", "set", "--life-jacket", "worn", "--wearing", "none", "--company", "group",
     "--light", "yes"),
    ("craft", "add", "mine", "--class", "sit-on-top-kayak"),
    ("settings", "set", "odds.dressing", "false"),  # what a file says is what is weighed
    ("water", "add", "pond", "--fetch", _fetches("300 m"), *RAMP),
    ("water", "add", "large lake", "--fetch", _fetches("12 km"), *RAMP),
)  # fmt: skip


def run_at(home: Path, *arguments: object) -> int:
    """Run the command line in a home, for a fixture of many tests, and return its status."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("SAFETY_CHECK_HOME", str(home))
        patch.setattr("sys.argv", ["safety-check", *map(str, arguments)])
        with pytest.raises(SystemExit) as leaving:
            main()
    code = leaving.value.code
    return code if isinstance(code, int) else 0


@pytest.fixture(scope="session")
def declared_home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the home of a user who has declared all, for each test to copy."""
    home = tmp_path_factory.mktemp("declared") / "home"
    for arguments in DECLARED:
        assert run_at(home, *arguments) == 0
    pond = files.load("pond", home / "waters")
    say_if_by_sea(pond, pond.launches[0], home / "cache")  # stored, as by the first check
    return home


@pytest.fixture
def ready(run: Runner, home: Path, declared_home: Path) -> Runner:
    """Return the runner of a user who has declared all, with a pond and a large lake."""
    shutil.copytree(declared_home, home)
    return reads_warnings(run)


def point_at(home: Path, addresses: Mapping[str, str]) -> None:
    """Let the program of a home ask its services at these addresses, as `settings set` does."""
    lines = ["", "[services]", *(f'{name} = "{address}"' for name, address in addresses.items())]
    with (home / "settings.toml").open("a", encoding="utf-8") as file:
        file.write("\n".join([*lines, ""]))

"""The app holds the command that is called, or all of them where none is."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest
import typer

from safety_check.cli.app import ALL, COMMANDS, app_for, build_app
from tests.cli.conftest import Runner


def held(app: typer.Typer) -> set[str]:
    return set(typer.main.get_command(app).commands)  # type: ignore[attr-defined]


@pytest.mark.one_in(4)
@pytest.mark.parametrize("name", ALL)
def test_a_called_command_is_the_only_one_held_and_is_the_same_as_among_all(name: str) -> None:
    app = app_for([name, "--json"])

    assert held(app) == {name}
    alone = typer.main.get_command(app).commands[name]  # type: ignore[attr-defined]
    among_all = typer.main.get_command(build_app()).commands[name]  # type: ignore[attr-defined]
    assert [param.name for param in alone.params] == [param.name for param in among_all.params]
    assert alone.help == among_all.help


@pytest.mark.parametrize("arguments", [[], ["--help"], ["--version"], ["chekc"], ["", "check"]])
def test_without_a_known_command_first_all_are_held(arguments: list[str]) -> None:
    assert held(app_for(arguments)) == set(ALL)


def test_a_check_imports_no_module_of_another_command() -> None:
    code = """
import sys
from safety_check.cli.app import app_for
app_for(["check"])
print(*[name for name in sys.modules if name.startswith("safety_check.cli.")])
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    others = {f"safety_check.cli.{name}" for name in ALL} - {"safety_check.cli.check"}
    assert not others & set(done.stdout.split())
    assert COMMANDS["schema"] == "check"  # it shares the module


@pytest.mark.parametrize(
    ("arguments", "part"),
    [
        (("check", "--json", "--hurs", "3"), "No such option: --hurs"),
        (("check", "--json", "--craft"), "requires an argument"),
        (("chekc", "--json"), "No such command 'chekc'"),
        (("check", "--json", "--life-jacket", "maybe"), "'maybe' is not one of"),
        (("history", "show", "x", "--json"), "valid integer"),
        (("outlook", "--json"), "Missing argument"),
    ],
)
def test_a_wrong_command_line_is_json_for_a_program(
    run: Runner, arguments: tuple[str, ...], part: str
) -> None:
    done = run(*arguments)

    assert (done.status, done.out) == (2, "")
    error = json.loads(done.err)["error"]
    assert error["exit_status"] == 2
    assert part in error["message"]


def test_help_and_a_verdict_keep_their_status_beside_json(run: Runner) -> None:
    assert run("check", "--sample", "--json").status == 30
    helped = run("check", "--json", "--help")
    assert helped.status == 0
    assert "Usage: safety-check check" in helped.out

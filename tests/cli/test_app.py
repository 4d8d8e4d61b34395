"""The app holds the command that is called, or all of them where none is."""

from __future__ import annotations

import subprocess
import sys

import pytest
import typer

from safety_check.cli.app import ALL, COMMANDS, app_for, build_app


def held(app: typer.Typer) -> set[str]:
    return set(typer.main.get_command(app).commands)  # type: ignore[attr-defined]


@pytest.mark.parametrize("name", ALL)
def test_a_called_command_is_the_only_one_held_and_is_the_same_as_among_all(name: str) -> None:
    app = app_for([name, "--json"])

    assert held(app) == {name}
    alone = typer.main.get_command(app).commands[name]  # type: ignore[attr-defined]
    among_all = typer.main.get_command(build_app()).commands[name]  # type: ignore[attr-defined]
    assert [each.name for each in alone.params] == [each.name for each in among_all.params]
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

"""Every JSON output follows its schema, and every command that prints JSON is tried."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import typer

from safety_check.cli.app import build_app
from safety_check.report.schemas import KINDS, schema_of
from tests.cli.conftest import Runner
from tests.cli.test_credits import FORECAST, OUT, TRIP, WARM, checked, checked_home

__all__ = ["checked", "checked_home"]

CHECK = ("orvel", *TRIP, *WARM, "--forecast", FORECAST)
TRIES: dict[str, list[tuple[str, tuple[str, ...]]]] = {
    "check": [("report", CHECK)],
    "page": [("report", (*CHECK, "--out", OUT))],
    "recheck": [("recheck", ("--forecast", FORECAST, "--as-of", "2026-06-13 08:00"))],
    "outlook": [("outlook", ("orvel", "--as-of", TRIP[-1], *WARM, "--forecast", FORECAST))],
    "plan write": [("plan", ("--last",)), ("plan", (*CHECK[:-2],))],
    "plan list": [("plan-list", ())],
    "history list": [("history-list", ())],
    "history show": [("report", ("1",))],
    "history repeat": [("history-repeat", ("1",))],
    "limits show": [("limits", ())],
    "limits suggest": [("suggestions", ())],
    "craft list": [("craft-list", ())],
    "craft show": [("craft", ("mine",))],
    "paddler show": [("paddler", ())],
    "settings show": [("settings", ())],
    "trip list": [("trips", ())],
    "trip export": [("trips", ())],
    "water list": [("water-list", ())],
    "water show": [("water", ("orvel",))],
    "water map": [
        ("water-map", ("orvel", "--wind", "12 mph", "--from", "NW", "--out", OUT)),
        ("water-map", ("orvel", *TRIP, "--forecast", FORECAST, "--out", OUT)),
    ],
}
ELSEWHERE = {"watch", "pack", "climate"}  # tried where a clock and services stand ready


def commands(command: Any, path: str = "") -> dict[str, Any]:
    """Return every command by its path."""
    if not hasattr(command, "commands"):
        return {path: command}
    found: dict[str, Any] = {}
    for name, one_command in command.commands.items():
        found |= commands(one_command, f"{path} {name}".strip())
    return found


def test_every_command_with_json_is_tried() -> None:
    with_json = {
        path
        for path, command in commands(typer.main.get_command(build_app())).items()
        if any("--json" in parameter.opts for parameter in command.params)
    }
    assert with_json == TRIES.keys() | ELSEWHERE
    tried = {name for tries in TRIES.values() for name, _ in tries}
    assert tried | ELSEWHERE == KINDS.keys()


@pytest.mark.one_in(10)
@pytest.mark.parametrize("command", TRIES)
def test_what_a_command_prints_follows_its_schema(
    checked: Runner, tmp_path: Path, command: str
) -> None:
    checked("trip", "log", "--water", "orvel", "--began", "2026-06-10 09:00", "--wind", "9 mph",
            "--comfort", "4")  # fmt: skip
    places = {FORECAST: tmp_path / "forecast.json", OUT: tmp_path / "written"}
    for name, arguments in TRIES[command]:
        done = checked(*command.split(), *(places.get(part, part) for part in arguments), "--json")
        assert done.out, done.err
        schema = checked("schema", name).json
        assert schema == schema_of(name)
        jsonschema.validate(json.loads(done.out), schema)  # checks the schema, too


def test_each_schema_has_its_own_identifier() -> None:
    found = [schema_of(name)["$id"] for name in KINDS]
    assert found == [f"urn:safety-check:schema:{name}:1" for name in KINDS]


def test_an_unknown_output_is_named_with_those_that_are_known(run: Runner) -> None:
    done = run("schema", "reprot")
    assert done.status == 2
    assert "report" in done.err
    assert "history-list" in " ".join(done.err.split())

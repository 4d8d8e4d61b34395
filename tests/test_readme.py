"""The README's tables are the program's, and its first use works when it is run."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from docs.make import contexts
from safety_check.errors import ConfigError, DataError, PlanError, SourceError
from safety_check.report.exit_status import EXIT_STATUS
from tests.cli import forecasts
from tests.cli.terminal import run_on_terminal
from tests.cli.test_water_named import named
from tests.cli.test_water_near import LAKE, answer
from tests.sources.fake_server import FakeServer, json_reply

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
STATUS = {level.name.replace("_", "-"): number for level, number in EXIT_STATUS.items()}


def _rows(heading: str) -> list[list[str]]:
    """Return the cells of the README's table that starts with a heading."""
    body = README.split(f"\n| {heading} |", 1)[1].split("\n\n", 1)[0].splitlines()[2:]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in body]


@pytest.mark.promise("the exit status")
def test_the_table_of_exit_statuses_is_the_program_s() -> None:
    table = {int(status): meaning for status, meaning in _rows("status")}
    verdicts = {number: word for word, number in STATUS.items()}
    assert {number: table.get(number) for number in verdicts} == verdicts
    failures = {item.exit_status for item in (ConfigError, DataError, SourceError)}
    assert [number for number in table if table[number].startswith("failure")] == list(failures)
    usage = [number for number in table if table[number].startswith("usage")]
    assert usage == [PlanError.exit_status]
    assert table.keys() == verdicts.keys() | failures | set(usage)


def test_the_table_of_commands_names_every_command_and_none_besides() -> None:
    named = set()
    for cell, _ in _rows("command"):
        first, *others = cell.strip("`").split(", ")
        group = first.rpartition(" ")[0]
        named |= {f"safety-check {first}"} | {f"safety-check {group} {other}" for other in others}
    named = {f"{name} write" if name == "safety-check plan" else name for name in named}
    commands = {
        context.command_path for context in contexts() if not hasattr(context.command, "commands")
    }
    assert sorted(commands - named) == [], "the README's table of commands lacks these"
    assert sorted(named - commands) == [], "the README's table of commands names what is none"


ORVEL = "Orvel Lake"

# -- the first use, run ------------------------------------------------------------------------

STAND_IN = """\
#!/bin/sh
if [ "$1" = check ]; then set -- "$@" --forecast "$FORECAST" --as-of 2026-06-12T06:00; fi
exec "$PYTHON" -c "from safety_check.cli import main; main()" "$@"
"""


@pytest.fixture
def map_server() -> Iterator[FakeServer]:
    with FakeServer() as running:
        running.serve("/search", json_reply([named(name="Orvel Lake")]))
        running.serve("/api/interpreter", answer(LAKE | {"tags": LAKE["tags"] | {"name": ORVEL}}))
        yield running


@pytest.fixture
def new_user(tmp_path: Path, map_server: FakeServer) -> dict[str, str]:
    """Return the environment of a new user; a file and a server stand in for the services."""
    if shutil.which("sh") is None:
        pytest.skip("system: no shell here, and the examples are written for one")
    program = tmp_path / "bin" / "safety-check"
    program.parent.mkdir()
    program.write_text(STAND_IN, encoding="utf-8")
    program.chmod(0o755)
    home = tmp_path / "home"
    home.mkdir()
    (home / "settings.toml").write_text(
        f'[services]\noverpass = "{map_server.url}"\nnominatim = "{map_server.url}"\n',
        encoding="utf-8",
    )
    return os.environ | {
        "PATH": f"{program.parent}{os.pathsep}{os.environ['PATH']}",
        "PYTHON": sys.executable,
        "PYTHONPATH": str(ROOT),
        "FORECAST": str(forecasts.write(tmp_path)),
        "SAFETY_CHECK_HOME": str(home),
    }


def _run(line: str, folder: Path, environment: dict[str, str]) -> tuple[int, list[str], str]:
    """Return the status of a line that a shell runs, the lines it printed, and its errors."""
    done = subprocess.run(
        line, shell=True, cwd=folder, env=environment, capture_output=True, text=True, check=False
    )
    return done.returncode, done.stdout.splitlines(), f"{line}\n{done.stderr}"


def test_the_first_use_leads_to_a_verdict_and_prints_go_only_for_a_go(
    tmp_path: Path, new_user: dict[str, str]
) -> None:
    section = README.split("## First use", 1)[1].split("\n## ", 1)[0]
    fenced = re.findall(r"^```(\w*)\n(.+?)^```$", section, re.DOTALL | re.MULTILINE)
    blocks = [block for kind, block in fenced if not kind]  # "console" asks questions
    lines = [line for block in blocks for line in block.replace("\\\n", " ").splitlines()]
    assert sum(line.startswith("safety-check check ") for line in lines) == 2
    for line in lines:
        status, said, trouble = _run(line, tmp_path, new_user)
        if line.startswith("safety-check check "):
            # Water of 58 °F and no immersion clothing.
            assert status == STATUS["NO-GO"], trouble
            assert said[0].startswith("NO-GO")
            assert "go" not in said
        else:
            assert status == 0, trouble

    # Light wind, warm water, daylight, and nobody warns: the same trip near the shore is a GO.
    warm = (
        'safety-check check "Orvel Lake" --start "sat 7:00" --hours 4 --water-temp "75 F"'
        ' --from-shore "150 yd" --warnings none --read-at now'
    )
    status, said, trouble = _run(f"{warm} && echo go", tmp_path, new_user)
    assert status == STATUS["GO"], trouble
    assert (said[0].split(":")[0], said[-1]) == ("GO", "go")


@pytest.mark.thorough
def test_the_questions_of_the_first_use_are_asked_word_by_word_and_lead_to_a_verdict(
    new_user: dict[str, str],
) -> None:
    section = README.split("## First use", 1)[1].split("\n## ", 1)[0]
    shown = section.split("```console\n", 1)[1].split("```", 1)[0].splitlines()[2:]
    asked, answers = zip(*(line.rsplit(": ", 1) for line in shown), strict=True)
    assert len(asked) == 5
    home = Path(new_user["SAFETY_CHECK_HOME"])
    options = ("--forecast", new_user["FORECAST"], "--as-of", "2026-06-12T06:00", "--warnings",
               "none", "--read-at", "now")  # fmt: skip
    status, printed = run_on_terminal(home, ["check", *options], answers)
    assert status == STATUS["NO-GO"], printed  # water of 58 °F and no immersion clothing
    assert "Orvel Lake, ramp; sit-on-top kayak; Sat 13 Jun 06:00 to 11:00" in printed
    assert [question for question in asked if f"{question}: " not in printed] == []


def test_the_short_story_says_nothing_that_the_whole_round_does_not() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    story = readme.split("## An example in short")[1].split("## What the page")[0]
    told = [block.strip("\n") for block in story.split("```")[1::2]]
    whole = (ROOT / "docs" / "round.md").read_text(encoding="utf-8").splitlines()
    lines = [line for block in told for line in block.splitlines()]
    assert len(lines) > 5
    assert [line for line in lines if line not in whole] == []


def test_every_picture_is_there() -> None:

    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    pictures = re.findall(r"docs/pictures/[\w-]+\.png", readme)
    assert pictures
    assert all((ROOT / picture).exists() for picture in pictures)

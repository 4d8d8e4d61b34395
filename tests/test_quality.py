"""Lint, format, types and import contracts pass, and `--help` loads little."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from tests.everyday import EVERYDAY

ROOT = Path(__file__).parents[1]
TOOLS = Path(sys.executable).parent

# Of benchmarks and tests, too, in a thorough look: it takes twice as long.
TYPED = ["safety_check"] if EVERYDAY else []

CHECKS = {
    "lint": ["ruff", "check", "."],
    "format": ["ruff", "format", "--check", "."],
    "types": ["mypy", *TYPED],
    "import contracts": ["lint-imports"],
}


@pytest.mark.parametrize("name", CHECKS)
def test_a_check_of_the_code_passes(name: str) -> None:
    command, *rest = CHECKS[name]
    done = subprocess.run(
        [str(TOOLS / command), *rest], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr


HEAVY = (
    *("numpy", "astral", "rich", "pydantic", "httpx", "stamina", "shapely", "pyproj"),
    *("jinja2", "tomlkit", "tzfpy", "starlette", "uvicorn"),
)


def _loaded_by(*arguments: str) -> set[str]:
    """Return the top-level modules that a fresh process has loaded when it leaves."""
    code = (
        "import sys, atexit\n"
        "atexit.register(lambda: print(*sorted(sys.modules), file=sys.stderr))\n"
        f"sys.argv = ['safety-check', *{list(arguments)!r}]\n"
        "from safety_check.cli import main\n"
        "main()\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=False
    )
    assert done.stdout, done.stderr
    return set(done.stderr.split())


@pytest.mark.parametrize("arguments", [("--help",), ("--version",), ("check", "--help")])
def test_help_loads_nothing_that_only_a_command_needs(arguments: tuple[str, ...]) -> None:
    allowed = {"pydantic"} if "check" in arguments else set()  # typer's own, for parameters
    assert not _loaded_by(*arguments) & (set(HEAVY) - allowed)


def test_the_sample_as_json_loads_nothing_that_it_does_not_use() -> None:
    never = {"httpx", "stamina", "rich.table", "jinja2", "tomlkit", "tzfpy", "starlette"}
    assert not _loaded_by("check", "--sample", "--json") & never

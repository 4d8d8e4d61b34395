"""Every library that the program imports is named in pyproject.toml."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from collections.abc import Iterator
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]


def imported() -> Iterator[tuple[str, Path]]:
    """Yield the top-level name of each import of the package, and the file that has it."""
    for path in (ROOT / "safety_check").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                yield from ((alias.name.partition(".")[0], path) for alias in node.names)
            elif isinstance(node, ast.ImportFrom) and node.level == 0:
                yield str(node.module).partition(".")[0], path


def named() -> set[str]:
    """Return the libraries of pyproject.toml, those of its extras included."""
    extras = PROJECT["optional-dependencies"].values()
    lines = [*PROJECT["dependencies"], *(line for extra in extras for line in extra)]
    return {normal(re.split(r"[^\w.-]", line)[0]) for line in lines}


def provided(library: str) -> set[str]:
    """Return the top-level names that a library has; its own where it is not installed."""
    try:
        files = distribution(library).files or ()
    except PackageNotFoundError:
        return {library}
    return {file.parts[0].removesuffix(".py") for file in files}


def normal(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).casefold()


@pytest.mark.thorough
def test_every_imported_library_is_named() -> None:
    known = {name for library in named() for name in provided(library)}
    own = {"safety_check", "docs"}
    missing = {
        (name, path.name)
        for name, path in imported()
        if name not in sys.stdlib_module_names | known | own
    }
    assert missing == set()


def test_every_named_library_is_locked() -> None:
    locked = (ROOT / "requirements.lock").read_text(encoding="utf-8")
    pinned = {normal(name) for name in re.findall(r"^([\w.-]+)==", locked, re.MULTILINE)}
    extras = {normal("apprise")}  # for notices only; installed by whoever wants them
    assert named() - pinned <= extras

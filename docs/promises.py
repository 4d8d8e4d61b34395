"""Say which tests hold each promise of README.md and SAFETY.md: `docs/promises.md`.

`docs/promises.toml` quotes the promises; a test names what it holds with
`@pytest.mark.promise("name")`.
"""

from __future__ import annotations

import ast
import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from docs.markdown import table, wrapped

ROOT = Path(__file__).parents[1]
DOCUMENTS = ("README.md", "SAFETY.md")
PROMISING = re.compile(
    r"\b(never|always|cannot|nothing|only|refused|must be known|at best|never milder)\b", re.I
)
WORDS = """\
Each row is a promise of README.md or SAFETY.md, in its own words, with the tests that hold it. A
test names what it holds by a mark, and a promise without a test fails. An outside source is one
that we did not make: a table, a record, another program. A figure is one that a benchmark reached,
with its numbers as in benchmarks/README.md."""


@dataclass(frozen=True)
class Promise:
    """What the documents promise, and what stands behind it beside tests.

    Parameters
    ----------
    name
        What the marks of tests say.
    said
        The sentences that promise it, as README.md or SAFETY.md has them.
    outside
        Which source outside the project it was held against; empty where there is none.
    figure, command
        What a benchmark reached, as benchmarks/README.md says it, and how to run it; or empty.
    """

    name: str
    said: tuple[str, ...]
    outside: str = ""
    figure: str = ""
    command: str = ""


def promises() -> tuple[Promise, ...]:
    """Return the promises in the order of the documents."""
    return tuple(Promise(**one | {"said": tuple(one["said"])}) for one in _file()["promise"])


def advice() -> tuple[str, ...]:
    """Return sentences that sound like a promise and are advice, or say what is not known."""
    return tuple(_file()["advice"])


@cache
def _file() -> Mapping[str, Any]:
    return tomllib.loads((ROOT / "docs/promises.toml").read_text(encoding="utf-8"))


@cache
def held_by_tests() -> Mapping[str, tuple[str, ...]]:
    """Return for each promise that tests name, these tests as "tests/file.py::test_name"."""
    held: dict[str, list[str]] = {}
    for path in sorted((ROOT / "tests").rglob("test_*.py")):
        place = path.relative_to(ROOT).as_posix()
        for test, name in _marks(ast.parse(path.read_text(encoding="utf-8"))):
            held.setdefault(name, []).append(f"{place}::{test}")
    return {name: tuple(tests) for name, tests in held.items()}


def _marks(tree: ast.Module) -> Iterator[tuple[str, str]]:
    """Yield each test of a file with each promise that its marks name."""
    for node in tree.body:
        if isinstance(node, ast.FunctionDef):
            for mark in node.decorator_list:
                if isinstance(mark, ast.Call) and ast.unparse(mark.func) == "pytest.mark.promise":
                    for name in mark.args:
                        yield node.name, ast.literal_eval(name)


def sentences(document: str) -> tuple[str, ...]:
    """Return the sentences of a document in plain text, without its examples.

    Parameters
    ----------
    document
        Markdown.
    """
    text = re.sub(r"```.*?```|<!--.*?-->", "", document, flags=re.DOTALL)
    text = re.sub(r"\[([^]]*)\]\([^)]*\)", r"\1", text.replace("**", ""))
    blocks = re.split(r"\n\s*\n|\n(?=- |\| |#)", text)
    return tuple(
        sentence
        for block in blocks
        for sentence in re.split(r"(?<=[.!?]) (?=[A-Z`])", " ".join(block.split()).lstrip("-# "))
    )


def page() -> str:
    """Return the table of promises."""
    held = held_by_tests()
    rows = [
        (
            " ".join(promise.said),
            "<br>".join(_shown(test) for test in held.get(promise.name, ())),
            promise.outside or "–",
            f"{promise.figure} (`{promise.command}`)" if promise.figure else "–",
        )
        for promise in promises()
    ]
    return "\n".join(
        (
            "# Promises and what holds them\n",
            wrapped(
                "Printed by `python -m docs.make` from `docs/promises.toml` and marks of tests."
            ),
            wrapped(WORDS),
            table(("promise", "tests", "outside source", "figure"), rows),
        )
    )


def _shown(test: str) -> str:
    place, name = test.split("::")
    return f"[{name.removeprefix('test_').replace('_', ' ')}](../{place})"

"""The glossary is the code's: its names exist, and old names are gone."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterable, Iterator
from pathlib import Path

import pytest

from docs import architecture

ROOT = Path(__file__).parents[1]
GLOSSARY = (ROOT / "docs" / "glossary.md").read_text(encoding="utf-8")
ROWS = [
    [cell.strip() for cell in line.strip("|").split(" | ")]
    for line in GLOSSARY.splitlines()
    if line.startswith("| ") and not line.startswith(("| word", "| ---"))
]
FOLDERS = ("safety_check", "benchmarks", "docs", "tests")
MODULES = [path for folder in FOLDERS for path in sorted((ROOT / folder).rglob("*.py"))]
DOCUMENTS = [*sorted(ROOT.glob("*.md")), *sorted((ROOT / "docs").rglob("*.md"))]

# Names of the first version, and metaphors for things that have a plain name.
OLD_WORDS = {
    *("futures", "blind_to", "dressing", "dressings", "manners", "walls", "rooms"),
    *("house", "housekeeping", "mend", "mends", "mended", "voice", "voices", "desk"),
}
KEPT = {
    "dressing",  # the name of a table and of a setting in the user's own files
    "dressings",
    "mend",  # a field of the report's JSON, which programs read
}


def identifiers(nodes: Iterable[ast.AST]) -> Iterator[str]:
    """Yield every name that some code gives to a class, function, argument, field or variable."""
    for node in nodes:
        match node:
            case ast.ClassDef() | ast.FunctionDef() | ast.AsyncFunctionDef():
                yield node.name
            case ast.arg():
                yield node.arg
            case ast.Name(ctx=ast.Store()):
                yield node.id
            case ast.Attribute(ctx=ast.Store()):
                yield node.attr


@pytest.mark.thorough
def test_each_term_has_a_meaning_and_a_name_that_the_code_uses() -> None:
    names, texts = set(), set()
    for path in sorted((ROOT / "safety_check").rglob("*.py")):
        nodes = list(ast.walk(ast.parse(path.read_text(encoding="utf-8"))))
        names |= set(identifiers(nodes))
        texts |= {
            node.value
            for node in nodes
            if isinstance(node, ast.Constant) and isinstance(node.value, str)
        }
    for word, meaning, named in ROWS:
        assert len(meaning.split()) >= 4, word
        assert re.findall(r"`(\w+)`", named), word
        for name in re.findall(r"`(\w+)`", named):
            assert name in names, f"{word}: no {name}"
        for name in re.findall(r"`(\w+)`", meaning):
            assert name in names | texts, f"{word}: no {name}"


def test_each_term_is_explained_once() -> None:
    words = [row[0] for row in ROWS]
    assert len(words) == len(set(words)) > 40


@pytest.mark.thorough
def test_no_identifier_uses_an_old_word() -> None:
    old_words = OLD_WORDS - KEPT
    anywhere = re.compile("|".join(old_words), re.IGNORECASE)
    for path in MODULES:
        text = path.read_text(encoding="utf-8")
        for name in identifiers(ast.walk(ast.parse(text))) if anywhere.search(text) else ():
            parts = {part.lower() for part in re.findall(r"[A-Za-z][a-z]*|[A-Z]+(?![a-z])", name)}
            assert not ({name.lower()} | parts) & old_words, f"{path.name}: {name}"


@pytest.mark.parametrize("path", DOCUMENTS, ids=lambda path: path.name)
def test_no_document_uses_an_old_word(path: Path) -> None:
    words = set(re.findall(r"\w+", path.read_text(encoding="utf-8").lower()))
    assert not words & (OLD_WORDS - KEPT)


def test_the_architecture_page_shows_the_contract() -> None:
    stored = architecture.PAGE.read_text(encoding="utf-8")
    assert stored == architecture.page(), "stale: run python -m docs.architecture"


def test_the_architecture_page_has_each_layer_in_order_and_each_contract() -> None:
    layers = [
        name
        for contract in architecture.read_contracts()
        for layer in contract.get("layers", ())
        for name in layer.split(" | ")
    ]
    drawn = re.findall(r"^│ (\w+) ", architecture.page(), re.MULTILINE)
    assert drawn == layers
    for contract in architecture.read_contracts():
        if contract["type"] == "forbidden":
            assert contract["name"] in architecture.page()

"""The structure command counts what is there, in an invented checkout and in this one."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from benchmarks import structure

ROOT = Path(__file__).parents[2]
CONTRACT = """\
[[tool.importlinter.contracts]]
name = "Data flows one way"
type = "layers"
containers = ["safety_check"]
layers = ["cli", "rules | store", "physics"]

[[tool.importlinter.contracts]]
name = "Another"
type = "forbidden"
"""
BODY = """\
def {name}(first, second):
    \"\"\"{name} in its own words.\"\"\"
    total = first + second
    total *= 2
    total -= 1   # a remark
    if total > 3:
        total = 3
    return total / 2
"""
PHYSICS = """\
FACTOR = _scale(2)


def used(x):
    return helper(x) * FACTOR


def helper(x):
    return x


def _scale(x):
    return through_a_constant(x)


def through_a_constant(x):
    return x


def only_tests_call_this(x):
    return helper(x)
"""
FILES = {
    "safety_check/__init__.py": "",
    "safety_check/units.py": BODY.format(name="one"),
    "safety_check/errors.py": BODY.format(name="two").replace("   # a remark", "\n"),
    "safety_check/cli/__init__.py": "",
    "safety_check/cli/check.py": (
        "from safety_check.physics.waves import used as other\n"
        "import numpy as np\n"
        "def seven(self, a, b, c, d, e, f, *, g): used(a)\n"
        "def six(self, a, b, c, d, e, *, f): pass\n"
        "@app.command()\ndef decorated(a, b, c, d, e, f, g): pass\n"
        "def listed(a, b, c, d, e, f, g): pass\n"
    ),
    "safety_check/cli/app.py": 'COMMANDS = {"listed": "check"}\n',
    "safety_check/physics/__init__.py": "",
    "safety_check/physics/waves.py": PHYSICS,
    "pyproject.toml": CONTRACT,
}


@pytest.fixture
def checkout(tmp_path: Path) -> Path:
    for name, text in FILES.items():
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return tmp_path


def test_each_figure_of_an_invented_checkout_is_counted(checkout: Path) -> None:
    found = structure.figures(checkout)

    assert found["modules_at_top_level"] == ["cli", "errors.py", "physics", "units.py"]
    assert found["layers"] == ["cli", "rules | store", "physics"]
    assert found["files"] == 8
    assert found["import_aliases"] == ["check.py: used as other"]
    wide = ["check.py: decorated (7)", "check.py: listed (7)"]
    assert found["functions_with_more_than_six_parameters"] == ["check.py: seven (7)", *wide]
    assert found["of_these_commands"] == wide
    assert found["physics_functions_without_product_callers"] == ["waves.only_tests_call_this"]


def test_a_block_counts_as_a_duplicate_whatever_its_layout_and_docstring(checkout: Path) -> None:
    # The first lines, with the functions' names, differ; the six lines of the bodies do not.
    assert structure.figures(checkout)["duplicated_blocks"] == ["units.py: total = first + second"]


def test_a_checkout_is_given_by_its_path_and_its_items_are_listed(
    checkout: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("sys.argv", ["structure", str(checkout), "--list"])
    structure.main()
    printed = capsys.readouterr().out.splitlines()
    assert "layers: 3" in printed
    assert "  check.py: used as other" in printed


@pytest.mark.thorough
def test_in_this_checkout_nothing_is_unused_renamed_wide_or_called_each() -> None:
    modules = structure.read_modules(ROOT / structure.PACKAGE)
    trees = {path: ast.parse(text) for path, text in modules.items()}
    assert structure.unused_physics(trees) == []
    assert structure.aliases(trees) == []
    commands = structure.wide_functions(structure.commands(trees))
    assert structure.wide_functions(trees) == commands, "pass a type that holds several values"
    called_each = [
        f"{path.name}:{node.lineno}"
        for path, tree in trees.items()
        for node in structure.nodes_of(tree)
        if isinstance(node, ast.Name) and node.id == "each"
    ]
    assert called_each == [], "give it the name of the thing that it holds"

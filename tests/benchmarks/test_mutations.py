"""Changes are made where they should be, and a test that notices one is told from none."""

from __future__ import annotations

import ast
import gc
import importlib.util
import subprocess
import sys
from collections.abc import Callable
from functools import cache
from pathlib import Path
from types import ModuleType

import pytest

from benchmarks.mutations import noticed
from benchmarks.mutations.at_import import KILLED, NO_CHANGE, SURVIVED
from benchmarks.mutations.equivalent import Equivalent, equivalent_changes, source_line
from benchmarks.mutations.live_code import put_in
from benchmarks.mutations.mutants import Mutant, changed_tree, mutants_of

ROOT = Path(__file__).parents[2]
SOURCE = '''"""A module."""
from functools import cache

LIMIT = 3
NAMES = {"near": 1.0, "far": (2, 5)}


@cache
def is_far(metres: float, most: float = 100.0) -> bool:
    """Return whether it is far: not 5."""
    return metres >= most


def outer(values):
    def least():
        return min(values) + 1
    return least()


def named(value):
    if not isinstance(value, int):
        raise TypeError(f"{value + 1} is wrong")
    return [one for one in range(value) if one and True]
'''


@pytest.fixture
def module(tmp_path: Path) -> ModuleType:
    path = tmp_path / "example.py"
    path.write_text(SOURCE, encoding="utf-8")
    spec = importlib.util.spec_from_file_location("example", path)
    assert spec
    assert spec.loader
    made = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(made)
    return made


def of(module: ModuleType) -> dict[tuple[str, str], Mutant]:
    return {(one.before, one.after): one for one in mutants_of(Path(str(module.__file__)))}


def test_only_what_runs_in_a_function_or_stands_in_a_table_is_changed(module: ModuleType) -> None:
    in_tables = {change for change, one in of(module).items() if one.at_import}
    assert in_tables == {
        ("3", "4"),
        ("1.0", "1.2"),
        ("2", "3"),
        ("5", "6"),
        ("(2, 5)", "(2,)"),
        ("(2, 5)", "(5,)"),
        ("{'near': 1.0, 'far': (2, 5)}", "{'near': 1.0}"),
        ("{'near': 1.0, 'far': (2, 5)}", "{'far': (2, 5)}"),
    }
    assert set(of(module)) - in_tables == {
        ("metres >= most", "metres > most"),
        ("min(values) + 1", "min(values) - 1"),
        ("min", "max"),
        ("1", "2"),
        ("not isinstance(value, int)", "isinstance(value, int)"),
        ("one and True", "one or True"),
        ("True", "False"),
    }


@pytest.mark.parametrize(
    ("change", "call", "before", "after"),
    [
        (("metres >= most", "metres > most"), lambda m: m.is_far(100.0), True, False),
        (("min", "max"), lambda m: m.outer([4, 6]), 5, 7),
        (("min(values) + 1", "min(values) - 1"), lambda m: m.outer([4, 6]), 5, 3),
        (("one and True", "one or True"), lambda m: m.named(2), [1], [0, 1]),
    ],
)
def test_a_change_reaches_the_loaded_function(
    module: ModuleType, change: tuple[str, str], call: Callable, before: object, after: object
) -> None:
    kept = module.is_far
    assert call(module) == before
    module.is_far.cache_clear()
    gc.freeze()  # as after the collection of tests
    assert put_in(of(module)[change]) == 1
    assert call(module) == after
    assert module.is_far is kept


def test_a_change_of_a_file_that_is_not_loaded_changes_nothing(tmp_path: Path) -> None:
    path = tmp_path / "never_loaded.py"
    path.write_text(SOURCE, encoding="utf-8")
    assert put_in(mutants_of(path)[0]) == 0


@cache
def dumped(path: Path) -> str:
    return ast.dump(ast.parse(path.read_text(encoding="utf-8")))


@pytest.mark.thorough
@pytest.mark.parametrize("name", ["rules/hazards_wind.py", "rules/engine.py", "physics/waves.py"])
def test_every_change_makes_other_code_that_compiles(name: str) -> None:
    path = ROOT / "safety_check" / name
    for mutant in mutants_of(path):
        tree = changed_tree(mutant)
        assert ast.dump(tree) != dumped(path)
        compile(tree, str(path), "exec")


def test_a_change_of_a_table_is_there_when_it_is_imported(tmp_path: Path) -> None:
    (tmp_path / "example.py").write_text(SOURCE, encoding="utf-8")
    changed = next(
        one for one in mutants_of(tmp_path / "example.py") if (one.before, one.after) == ("3", "4")
    )
    code = (
        "from benchmarks.mutations.at_import import change_when_imported\n"
        "from benchmarks.mutations.mutants import mutants_of\n"
        "from pathlib import Path; import sys\n"
        "path, number = Path(sys.argv[1]), int(sys.argv[2])\n"
        "change_when_imported(mutants_of(path)[number]); sys.path.insert(0, str(path.parent))\n"
        "import example; print(example.LIMIT, example.NAMES)"
    )
    command = [sys.executable, "-c", code, str(changed.path), str(changed.number)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout == "4 {'near': 1.0, 'far': (2, 5)}\n"


@cache
def changes_of(file: str) -> list[Mutant]:
    return mutants_of(ROOT / file)


@pytest.mark.one_in(4)
@pytest.mark.parametrize("entry", equivalent_changes(), ids=lambda one: f"{one.file} {one.before}")
def test_a_change_that_is_called_equivalent_is_there_and_on_one_line(entry: Equivalent) -> None:
    meant = {source_line(one) for one in changes_of(entry.file) if entry.means(one)}
    assert len(meant) == 1, f"{entry} means {sorted(meant)}"
    assert len(entry.because.split()) > 3


def run(module: str, tests: str, sample: int) -> list[str]:
    command = [sys.executable, "-m", "benchmarks.mutations", "--modules", module]
    done = subprocess.run(
        [*command, "--tests", tests, "--sample", str(sample), "--seed", "4"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout.splitlines()


@pytest.mark.parametrize(
    ("module", "folder"),
    [("sources/ndbc/buoys.py", "tests/sources/ndbc/"), ("rules/engine.py", "tests/rules/")],
)
def test_tests_of_the_same_folder_come_first(module: str, folder: str) -> None:
    assert noticed.tests_beside(noticed.PRODUCT / module) == folder


@pytest.mark.thorough
def test_tests_of_a_module_notice_what_tests_of_another_do_not() -> None:
    *_, last = run("physics/trolling.py", "physics/test_trolling.py", 8)
    assert float(last.removeprefix("noticed: ")) >= 0.5
    *lines, last = run("physics/trolling.py", "physics/test_swim.py", 4)
    assert float(last.removeprefix("noticed: ")) == 0.0
    assert any(line.startswith("not run: safety_check/physics/trolling.py:") for line in lines)


@pytest.mark.thorough
@pytest.mark.parametrize("change", [("120.0", "144.0"), None])
def test_a_test_that_reads_a_table_notices_that_it_changed(
    change: tuple[str, str] | None, tmp_path: Path
) -> None:
    path = ROOT / "safety_check/physics/swim.py"
    numbers = {(one.before, one.after): one.number for one in mutants_of(path)}
    names = tmp_path / "names.txt"
    of_table = "test_warm_water_leaves_the_least_time_of_the_search_and_rescue_table[70-120]"
    names.write_text(f"tests/physics/test_swim.py::{of_table}", encoding="utf-8")
    number = numbers[change] if change else NO_CHANGE
    command = [sys.executable, "-m", "benchmarks.mutations.at_import"]
    done = subprocess.run([*command, str(path), str(number), str(names)], cwd=ROOT, check=False)
    assert done.returncode == (KILLED if change else SURVIVED)

"""What is left out of the everyday run, and that every promise is held in it all the same."""

from __future__ import annotations

import ast
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from docs.promises import held_by_tests
from tests.everyday import left_out

ROOT = Path(__file__).parents[1]


@dataclass(frozen=True)
class Item:
    """A test as pytest collects it."""

    nodeid: str
    marks: Mapping[str, Any] = field(default_factory=dict, hash=False)

    def get_closest_marker(self, name: str) -> Any:
        return self.marks.get(name)


def cases(name: str, number: int, **marks: Any) -> list[Any]:
    return [Item(f"{name}[{place}]", marks) for place in range(number)]


@pytest.mark.parametrize(
    ("number", "one_in", "kept"), [(1, 4, 1), (4, 4, 1), (5, 4, 2), (9, 3, 3), (3, 1, 3)]
)
def test_one_in_so_many_cases_is_kept_and_never_none(number, one_in, kept):
    mark = pytest.mark.one_in(one_in).mark
    found = cases("one", number, one_in=mark)
    assert len(set(found) - left_out(found)) == kept
    assert left_out(found[::-1]) == left_out(found)


def test_the_cases_that_are_kept_do_not_stand_side_by_side():
    # Of two services with twenty faults each, both must be met: by order only one would be.
    found = cases("one", 40, one_in=pytest.mark.one_in(4).mark)
    kept = [found.index(one) for one in set(found) - left_out(found)]
    assert min(kept) < 20 <= max(kept)


def test_a_thorough_test_is_left_out_with_all_its_cases_and_others_stay():
    long, short = cases("long", 3, thorough=pytest.mark.thorough.mark), cases("short", 3)
    assert left_out([*long, *short]) == set(long)


def test_every_promise_is_held_by_a_test_of_every_day():
    only_thorough = [
        promise
        for promise, tests in held_by_tests().items()
        if all(_is_thorough(*test.split("::")) for test in tests)
    ]
    assert not only_thorough


def _is_thorough(file: str, name: str) -> bool:
    (test,) = (
        node
        for node in ast.parse((ROOT / file).read_text(encoding="utf-8")).body
        if isinstance(node, ast.FunctionDef) and node.name == name
    )
    return any("thorough" in ast.unparse(mark) for mark in test.decorator_list)

"""Each promise of README.md and SAFETY.md is held by a test, and each test names a promise."""

from __future__ import annotations

import importlib.util
import re
from pathlib import Path

import pytest

from docs.promises import (
    DOCUMENTS,
    PROMISING,
    Promise,
    advice,
    held_by_tests,
    promises,
    sentences,
)

ROOT = Path(__file__).parents[1]
SENTENCES = [
    sentence
    for name in DOCUMENTS
    for sentence in sentences((ROOT / name).read_text(encoding="utf-8"))
]
NUMBER = re.compile(r"\d+(?:[,.]\d+)*(?:e-?\d+)?")


@pytest.mark.parametrize("promise", promises(), ids=lambda one: one.name)
def test_a_promise_is_in_the_documents_and_a_test_holds_it(promise: Promise) -> None:
    assert held_by_tests().get(promise.name), "no test has its mark"
    for said in promise.said:
        assert any(said in sentence for sentence in SENTENCES), said


def test_every_mark_names_a_promise() -> None:
    assert set(held_by_tests()) <= {promise.name for promise in promises()}


def test_a_sentence_that_sounds_like_a_promise_is_one_or_is_advice() -> None:
    known = [*advice(), *(said for promise in promises() for said in promise.said)]
    forgotten = [
        sentence
        for sentence in SENTENCES
        if PROMISING.search(sentence) and not any(one in sentence for one in known)
    ]
    assert not forgotten


def test_no_advice_has_gone_from_the_documents() -> None:
    assert not [one for one in advice() if not any(one in said for said in SENTENCES)]


@pytest.mark.parametrize(
    "promise", [one for one in promises() if one.figure], ids=lambda one: one.name
)
def test_a_figure_is_one_that_its_benchmark_reached(promise: Promise) -> None:
    module = promise.command.split()[2]
    assert importlib.util.find_spec(module), module
    sections = (ROOT / "benchmarks/README.md").read_text(encoding="utf-8").split("\n## ")
    (reached,) = (one for one in sections if re.match(rf".*\n\n`python -m {module}\b", one))
    assert set(NUMBER.findall(promise.figure)) <= set(NUMBER.findall(reached))

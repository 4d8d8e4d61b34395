"""Bodies with faults are fed to every parser, and what cannot be believed is noticed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

import numpy as np
import pytest

from benchmarks.campaign import fuzz
from benchmarks.campaign.parsers import Parser
from safety_check.errors import DataError, SafetyCheckError
from tests.recordings import shared_folder


@dataclass(frozen=True)
class Answer:
    wind_speed: np.ndarray
    said: str = ""
    at: datetime = datetime(2026, 6, 1, tzinfo=UTC)


HOURS = np.array(["2026-06-01T00", "2026-06-01T01"], dtype="datetime64[h]")
NO_ZONE = datetime(2026, 6, 1)  # noqa: DTZ001, what is looked for
CALM = np.array([np.nan, 3.0])


@pytest.mark.parametrize(
    ("answer", "wrong"),
    [
        (Answer(CALM), ""),
        (Answer(np.array([3.0, np.inf])), "it.wind_speed: inf"),
        (Answer(np.array([-1.0])), "it.wind_speed: -1.0"),
        ({"flow": 10**30}, "it.flow: 1000000"),
        (Answer(CALM, said="\x1b[2J"), "it.said: text that does not print"),
        (Answer(CALM, at=NO_ZONE), "it.at: a time without a zone"),
        ({"time": HOURS}, ""),
        ({"time": HOURS[::-1]}, "it.time: times out of order"),
        ([Answer(CALM), Answer(np.array([900.0]))], "it[1].wind_speed: 900.0"),
    ],
)
def test_what_cannot_be_believed_is_named_with_its_place(answer: Any, wrong: str) -> None:
    found = list(fuzz.absurd(answer))
    assert bool(found) == bool(wrong)
    assert all(one.startswith(wrong) for one in found)


def refuses(body: bytes) -> object:
    raise DataError("no forecast")


def breaks(body: bytes) -> object:
    raise KeyError("hourly")


def never_ends(body: bytes) -> object:
    while True:
        try:
            breaks(body)
        except Exception:  # noqa: BLE001, a parser that catches all
            continue


@pytest.mark.parametrize(
    ("read", "failure"), [(refuses, ""), (breaks, "KeyError('hourly')"), (never_ends, "no end")]
)
def test_only_an_error_of_the_program_s_own_is_no_failure(
    read: Any, failure: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(fuzz, "LONGEST", 0.1)
    one = fuzz.SpoiledBody(Parser("a parser", (), read), "made", b"", "flip")
    monkeypatch.setattr(fuzz, "spoiled_body", lambda seed, number: one)
    shared_folder("recorded")
    tries, failures = fuzz.run(60.0, 1, 1)
    assert tries == 1
    assert [failure in said for said in failures] == ([True] if failure else [])


@pytest.mark.parametrize("parser", fuzz.PARSERS, ids=lambda one: one.name)
def test_every_parser_reads_one_of_its_bodies_before_it_is_spoiled(parser: Parser) -> None:
    shared_folder("recorded")
    answers = []
    for _, body in parser.bodies():
        try:
            answers.append(parser.read(body))
        except SafetyCheckError:
            continue
    assert answers
    assert not [wrong for answer in answers for wrong in fuzz.absurd(answer)]


@pytest.mark.thorough
def test_some_bodies_with_faults_do_no_harm_and_are_the_same_each_time() -> None:
    shared_folder("recorded")
    assert fuzz.spoiled_body(7, 3) == fuzz.spoiled_body(7, 3)
    assert fuzz.spoiled_body(7, 3).body != fuzz.spoiled_body(8, 3).body
    assert fuzz.run(60.0, 20261127, 150) == (150, [])

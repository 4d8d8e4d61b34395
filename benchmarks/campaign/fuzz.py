"""Recorded answers and the user's words with random faults, fed to every parser.

A parser must give an answer that can be believed, or an error of the program's own: never another
exception, no time without a zone, no value beyond what nature has, no hours out of order, no text
that could command a terminal, and an end within a few seconds.
"""

from __future__ import annotations

import math
import random
import signal
import time
import traceback
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from datetime import datetime
from functools import cache
from types import FrameType
from typing import Any, NamedTuple

import numpy as np

from benchmarks.campaign.own_words import WORDS
from benchmarks.campaign.parsers import ANSWERS, Parser
from benchmarks.campaign.spoil import spoil
from safety_check.errors import SafetyCheckError
from safety_check.sources.open_meteo.variables import RANGES
from tests.recordings import SHARED

PARSERS = (*ANSWERS, *WORDS)
LONGEST = 10.0  # s of processor time for one body; the largest takes a tenth
GREATEST = 1e15  # of any number in SI units that an answer can mean
LARGEST = 400_000  # bytes; larger recordings would leave few tries for the others


class TooLongError(BaseException):
    """A parser has not come to an end; no parser can catch it with its own errors."""


def run(seconds: float, seed: int, tries: int) -> tuple[int, list[str]]:
    """Return how many bodies were tried and what failed; try number n is the same for any seconds.

    Raises
    ------
    SystemExit
        Where there are no recordings beside the checkout.
    """
    if not SHARED.exists():
        raise SystemExit("fuzz needs the recorded answers in ../shared beside the checkout")
    until = time.monotonic() + seconds
    failures: list[str] = []
    for number in range(tries):
        if time.monotonic() > until:
            return number, failures
        one = spoiled_body(seed, number)
        trouble = _tried(one.parser, one.body)
        if trouble:
            which = f"{one.name}, spoiled_body({seed}, {number})"
            failures.append(f"{one.parser.name}: {which}, {one.how}: {trouble}")
    return tries, failures


class SpoiledBody(NamedTuple):
    """A body for a parser, the name of what was recorded, and how it was spoiled."""

    parser: Parser
    name: str
    body: bytes
    how: str


def spoiled_body(seed: int, number: int) -> SpoiledBody:
    """Return the body of one try; the same each time, so that a failure can be looked at."""
    bodies = recorded_bodies()
    parser, name, body = bodies[number % len(bodies)]
    return SpoiledBody(parser, name, *spoil(body, random.Random(f"{seed} {number}")))


@cache
def recorded_bodies() -> list[tuple[Parser, str, bytes]]:
    """Return each parser with each body that it reads."""
    every = [(parser, *body) for parser in PARSERS for body in parser.bodies()]
    return [one for one in every if len(one[2]) <= LARGEST]


def _tried(parser: Parser, body: bytes) -> str:
    """Return what is wrong with what a parser makes of a body, or nothing."""
    before = signal.signal(signal.SIGVTALRM, _stop)
    signal.setitimer(signal.ITIMER_VIRTUAL, LONGEST, LONGEST)
    try:
        return "; ".join(_first(absurd(parser.read(body)), 2))
    except SafetyCheckError as refused:
        return "; ".join(_first(_wrong_text(str(refused), "its error"), 1))
    except (Exception, TooLongError) as trouble:  # noqa: BLE001, any other is what is looked for
        (*_, last) = traceback.extract_tb(trouble.__traceback__)
        return f"{trouble!r} at {last.filename}:{last.lineno}"
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0.0)
        signal.signal(signal.SIGVTALRM, before)


def _stop(number: int, frame: FrameType | None) -> None:
    raise TooLongError(f"no end after {LONGEST:g} s")


def _first(found: Iterator[str], number: int) -> list[str]:
    return [one for _, one in zip(range(number), found, strict=False)]


def absurd(value: Any, where: str = "it") -> Iterator[str]:
    """Yield what cannot be believed of an answer, looked at down to each value."""
    for kind, look in LOOKS:
        if isinstance(value, kind):
            yield from look(value, where)
            return
    if is_dataclass(value):
        for field in fields(value):
            yield from absurd(getattr(value, field.name), f"{where}.{field.name}")


def _wrong_time(value: datetime, where: str) -> Iterator[str]:
    if value.tzinfo is None:
        yield f"{where}: a time without a zone"


def _wrong_text(text: str, where: str) -> Iterator[str]:
    if any(not (letter.isprintable() or letter == "\n") for letter in text):
        yield f"{where}: text that does not print, {text[:60]!r}"


def _wrong_number(value: float, where: str) -> Iterator[str]:
    low, high = RANGES.get(where.rpartition(".")[2], (-math.inf, math.inf))
    if abs(value) > GREATEST or value < low or value > high:
        yield f"{where}: {value}"


def _wrong_array(values: np.ndarray, where: str) -> Iterator[str]:
    if values.dtype.kind == "M" and not (np.diff(values) > np.timedelta64(0)).all():
        yield f"{where}: times out of order"
    known = values[~np.isnan(values)] if values.dtype.kind == "f" else np.zeros(0)
    if known.size:
        for extreme in (known.min(), known.max()):
            yield from _wrong_number(float(extreme), where)


def _wrong_entry(entries: Mapping[Any, Any], where: str) -> Iterator[str]:
    for key, inner in entries.items():
        yield from absurd(inner, f"{where}.{key}")


def _wrong_member(members: Iterable[Any], where: str) -> Iterator[str]:
    for place, inner in enumerate(members):
        yield from absurd(inner, f"{where}[{place}]")


LOOKS: tuple[tuple[type | tuple[type, ...], Callable[[Any, str], Iterator[str]]], ...] = (
    (datetime, _wrong_time),
    (str, _wrong_text),
    ((float, int), _wrong_number),
    (np.ndarray, _wrong_array),
    (Mapping, _wrong_entry),
    ((list, tuple, set, frozenset), _wrong_member),
)

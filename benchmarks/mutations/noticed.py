"""A pytest plugin that runs the tests of a line against a change, each change in a process."""

from __future__ import annotations

import json
import os
import resource
import signal
import sys
import tempfile
import time
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from types import FrameType
from typing import Any

import pytest
from _pytest.runner import runtestprotocol

from benchmarks.mutations.at_import import NO_CHANGE, run_in_its_place
from benchmarks.mutations.live_code import put_in
from benchmarks.mutations.mutants import Mutant

PRODUCT = Path(__file__).parents[2] / "safety_check"
AT_ONCE = os.cpu_count() or 1
SURVIVED, KILLED, NOT_LOADED = 0, 1, 2
LAST = 5.0  # s of processor time; at least so long may the tests of one change take
START = 10.0  # s of processor time, to import everything anew and collect the tests
WAITS = 20.0  # on a busy machine a process gets a share of its core; some tests only wait


@dataclass
class Tests:
    """What one run of the tests showed.

    Parameters
    ----------
    seconds
        Test → how long it takes.
    lines
        Path and line, as "path:line" → the tests that run it.
    """

    seconds: dict[str, float] = field(default_factory=dict)
    lines: dict[str, list[str]] = field(default_factory=dict)


class Plugin:
    """Replaces pytest's loop: first records which tests run which lines, then tries the changes."""

    def __init__(self, mutants: Sequence[Mutant], longest: float, until: float) -> None:
        self.mutants, self.longest, self.until = mutants, longest, until
        self.result: dict[Mutant, str] = {}

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Record, then try each change."""
        items = {item.nodeid: item for item in session.items}
        tests = record(list(items.values()), {str(one.path) for one in self.mutants})
        sys.stderr.write(f"{len(tests.seconds)} tests recorded\n")
        unchanged = _unchanged(self.mutants)
        waiting = [*unchanged, *self.mutants]
        running: dict[int, tuple[Mutant, float]] = {}
        while waiting or running:
            while waiting and len(running) < AT_ONCE and time.monotonic() < self.until:
                mutant = waiting.pop(0)
                chosen = self._chosen(tests, mutant)
                if not chosen:
                    self.result[mutant] = "not run"
                    continue
                allowed = max(LAST, 5 * sum(tests.seconds[name] for name in chosen))
                child = _forked(mutant, [items[name] for name in chosen], allowed)
                running[child] = mutant, time.monotonic() + WAITS * allowed
            if time.monotonic() >= self.until:
                waiting = []
            self._gather(running)
        for one in unchanged:
            if self.result.pop(one, "survived") == "killed":
                raise pytest.UsageError(f"tests of {one.path.parent.name} fail without a change")
        return True

    def _chosen(self, tests: Tests, mutant: Mutant) -> list[str]:
        """Return the tests of a line, the fastest first, up to the longest time.

        Any test can show a change of a table; those of its own package come first.
        """
        found = tests.lines.get(f"{mutant.path}:{mutant.line}", [])
        if mutant.at_import:
            found = list(tests.seconds)
        package = tests_beside(mutant.path)
        chosen: list[str] = []
        spent = 0.0
        for name in sorted(found, key=lambda one: (package not in one, tests.seconds[one])):
            spent += tests.seconds[name]
            if chosen and spent > self.longest:
                break
            chosen.append(name)
        return chosen

    def _gather(self, running: dict[int, tuple[Mutant, float]]) -> None:
        for child, (mutant, deadline) in list(running.items()):
            ended, status = os.waitpid(child, os.WNOHANG)
            if ended:
                code = os.waitstatus_to_exitcode(status)
                words = {SURVIVED: "survived", NOT_LOADED: "not loaded"}
                self.result[mutant] = words.get(code, "killed")
            elif time.monotonic() > deadline:
                os.kill(child, signal.SIGKILL)
                os.waitpid(child, 0)
                self.result[mutant] = "killed"  # it waits for ever
            else:
                continue
            del running[child]
        time.sleep(0.01)


def tests_beside(path: Path) -> str:
    """Return the folder of a module's own tests, as their names begin."""
    return f"tests/{path.parent.relative_to(PRODUCT).as_posix()}/"


def _unchanged(mutants: Iterable[Mutant]) -> list[Mutant]:
    """Return no change for each package whose tables change: its tests must pass with it."""
    of_package = {one.path.parent: one for one in mutants if one.at_import}
    return [replace(one, number=NO_CHANGE) for one in of_package.values()]


def _forked(mutant: Mutant, items: Sequence[pytest.Item], seconds: float) -> int:
    """Start a process that makes the change and runs tests until one fails; return its number.

    The system ends it after some seconds of processor time.
    """
    child = os.fork()
    if child:
        return child
    _silence()
    most = round(seconds + START)
    resource.setrlimit(resource.RLIMIT_CPU, (most, most))
    if mutant.at_import:
        run_in_its_place(mutant, [item.nodeid for item in items])
    status = KILLED  # also where the change breaks pytest itself
    try:
        status = (KILLED if _fails(items) else SURVIVED) if put_in(mutant) else NOT_LOADED
    finally:
        os._exit(status)


def _fails(items: Iterable[pytest.Item]) -> bool:
    return any(
        report.failed
        for item in items
        for report in runtestprotocol(item, nextitem=None, log=False)
    )


def record(items: Sequence[pytest.Item], paths: set[str]) -> Tests:
    """Run every test once, in as many processes as there are cores; return what they showed.

    A test that fails or skips without a change is left out.
    """
    folder = Path(tempfile.mkdtemp())
    children = []
    for part in range(AT_ONCE):
        child = os.fork()
        if not child:
            _silence()
            try:
                seen = list(_recorded(items[part::AT_ONCE], paths))
                (folder / f"{part}.json").write_text(json.dumps(seen), encoding="utf-8")
            finally:
                os._exit(0)
        children.append(child)
    for child in children:
        os.waitpid(child, 0)
    tests = Tests()
    for path in folder.iterdir():
        for name, seconds, lines in json.loads(path.read_text(encoding="utf-8")):
            tests.seconds[name] = seconds
            for line in lines:
                tests.lines.setdefault(line, []).append(name)
    return tests


def _recorded(
    items: Iterable[pytest.Item], paths: set[str]
) -> Iterator[tuple[str, float, list[str]]]:
    for item in items:
        lines: set[str] = set()

        def of_line(frame: FrameType, event: str, _: Any, lines: set[str] = lines) -> Any:
            lines.add(f"{frame.f_code.co_filename}:{frame.f_lineno}")
            return sys.gettrace() and of_line

        def of_call(frame: FrameType, event: str, _: Any, of_line: Any = of_line) -> Any:
            return of_line if frame.f_code.co_filename in paths else None

        began = time.monotonic()
        sys.settrace(of_call)
        try:
            reports = runtestprotocol(item, nextitem=None, log=False)
        finally:
            sys.settrace(None)
        if all(report.passed for report in reports):
            yield item.nodeid, time.monotonic() - began, sorted(lines)


def _silence() -> None:
    nothing = os.open(os.devnull, os.O_RDWR)
    for stream in (0, 1, 2):
        os.dup2(nothing, stream)

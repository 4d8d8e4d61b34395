"""What holds for every test."""

from __future__ import annotations

import gc
import os
from collections.abc import Generator
from pathlib import Path

import pytest

from tests.everyday import EVERYDAY, left_out
from tests.properties import load_profile
from tests.skips import pytest_sessionfinish, pytest_terminal_summary

__all__ = ["pytest_sessionfinish", "pytest_terminal_summary"]

TESTS = Path(__file__).parent

load_profile()


def pytest_xdist_auto_num_workers() -> int:
    """Run one worker more than there are cores: tests wait for sockets, disks and processes."""
    return (os.cpu_count() or 1) + 1


def pytest_configure(config: pytest.Config) -> None:
    """Have each worker begin at another folder, so that no two compile the same test at once."""
    worker = getattr(config, "workerinput", None)
    whole = [arg for arg in config.args if config.invocation_params.dir / arg == TESTS]
    if worker and whole:
        parts = sorted(part for part in TESTS.iterdir() if part.is_dir() or part.match("test_*.py"))
        first = len(parts) * int(worker["workerid"][2:]) // worker["workercount"]
        others = [arg for arg in config.args if arg not in whole]
        config.args = [*map(str, (*parts[first:], *parts[:first])), *others]


@pytest.hookimpl(wrapper=True)
def pytest_collect_file() -> Generator[None, list[pytest.Collector], list[pytest.Collector]]:
    """Look for tests only, not for examples in docstrings: those are in the package."""
    return [one for one in (yield) if isinstance(one, pytest.Module)]


@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Generator[None]:
    """Collect without looking for garbage: what was collected stays, and is looked at no more."""
    gc.disable()
    yield
    gc.enable()
    gc.freeze()


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out what is not for every day, and put the tests in one order in all workers.

    The check of the types is first: it takes longest, and no worker should end with it.
    """
    if EVERYDAY:
        out = left_out(items)
        config.hook.pytest_deselected(items=list(out))
        items[:] = [item for item in items if item not in out]
    items.sort(key=lambda item: ("tests/test_quality.py" not in item.nodeid, str(item.path)))

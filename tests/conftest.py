"""What holds for every test."""

from __future__ import annotations

import os

import pytest

from tests.everyday import EVERYDAY, left_out
from tests.properties import load_profile
from tests.skips import pytest_sessionfinish, pytest_terminal_summary

__all__ = ["pytest_sessionfinish", "pytest_terminal_summary"]

load_profile()


def pytest_xdist_auto_num_workers() -> int:
    """Run one worker more than there are cores: tests wait for sockets, disks and processes."""
    return (os.cpu_count() or 1) + 1


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out what is not for every day, and run the check of the types first.

    It takes longest, and no worker should end with it.
    """
    if EVERYDAY:
        out = left_out(items)
        config.hook.pytest_deselected(items=list(out))
        items[:] = [item for item in items if item not in out]
    items.sort(key=lambda item: "tests/test_quality.py" not in item.nodeid)

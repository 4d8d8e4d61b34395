"""What holds for every test."""

from __future__ import annotations

import pytest

from tests.properties import load_profile
from tests.skips import pytest_sessionfinish, pytest_terminal_summary

__all__ = ["pytest_sessionfinish", "pytest_terminal_summary"]

load_profile()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Run the check of the types first: it takes longest, and no worker should end with it."""
    items.sort(key=lambda item: "tests/test_quality.py" not in item.nodeid)

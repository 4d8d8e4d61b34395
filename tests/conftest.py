"""What holds for every test."""

from __future__ import annotations

from tests.properties import load_profile
from tests.skips import pytest_sessionfinish, pytest_terminal_summary

__all__ = ["pytest_sessionfinish", "pytest_terminal_summary"]

load_profile()

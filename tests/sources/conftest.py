"""One server of fakes for all tests of a file."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.sources.fakes import SAYS, Services


@pytest.fixture(scope="module")
def running() -> Iterator[Services]:
    with Services() as services:
        yield services


@pytest.fixture
def services(running: Services) -> Iterator[Services]:
    """Return the running server, with its answers reset after each test."""
    yield running
    running.moved.clear()
    for name in SAYS:
        running.say(name)

"""A live page for each module of tests."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

pytest.importorskip("starlette", reason="the live page needs the extra web")
pytest.importorskip("uvicorn", reason="the live page needs the extra web")

from tests.live import Live, at_home, running


@pytest.fixture(scope="module")
def live(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Live]:
    """Return the invented scenario, live, with a home of its own."""
    with at_home(tmp_path_factory.mktemp("home")), running() as made:
        yield made

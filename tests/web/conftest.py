"""A live page for each module of tests."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

pytest.importorskip("starlette", reason="the live page needs the extra web")
pytest.importorskip("uvicorn", reason="the live page needs the extra web")

from safety_check.conditions.wave_map import grid_near_trip, thinner
from safety_check.use_cases import wave_map
from tests.live import Live, at_home, running

FEW = 60  # places of a map


@pytest.fixture(scope="module", autouse=True)
def coarse_maps() -> Iterator[None]:
    """Draw maps of few places and hours: what a live page does with its map needs no more."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(wave_map, "grid_near_trip", lambda *trip: thinner(grid_near_trip(*trip), FEW))
        patch.setattr(wave_map, "MOST_MAPS", 0)
        yield


@pytest.fixture(scope="module")
def live(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Live]:
    """Return the invented scenario, live, with a home of its own."""
    with at_home(tmp_path_factory.mktemp("home")), running() as made:
        yield made

"""A request looks for no module in vain: a library that is absent would be searched each time."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Sequence
from importlib.machinery import ModuleSpec
from pathlib import Path
from types import ModuleType

import pytest

from tests.sources.fakes import Services
from tests.sources.gathering import briefing


class Noting:
    """Notes each module that is searched for, and finds none."""

    def __init__(self) -> None:
        self.searched: Counter[str] = Counter()

    def find_spec(
        self, name: str, path: Sequence[str] | None = None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        self.searched[name] += 1
        return None


def test_a_gather_searches_for_no_module_twice(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    noting = Noting()
    monkeypatch.setattr(sys, "meta_path", [noting, *sys.meta_path])
    with Services() as services:
        briefing(services, tmp_path)
        assert services.server.asked

    assert [name for name, times in noting.searched.items() if times > 1] == []

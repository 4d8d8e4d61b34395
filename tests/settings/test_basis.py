"""What a shipped value may call itself: published means that the source states the number."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

FILES = sorted((Path(__file__).parents[2] / "config").glob("*.toml"))
DOUBT = ("memory", "not read", "judgement", "ours", "second-hand", "common practice", "no source")


def tables(value: Any) -> Iterator[dict[str, Any]]:
    """Yield every table of a file that states a basis."""
    if isinstance(value, dict):
        if "basis" in value:
            yield value
        for inner in value.values():
            yield from tables(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from tables(inner)


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.name)
def test_a_published_value_is_in_its_source(file: Path) -> None:
    for table in tables(tomllib.loads(file.read_text(encoding="utf-8"))):
        if table["basis"] == "published":
            said = f"{table.get('source', '')} {table.get('title', '')}".casefold()
            assert not [word for word in DOUBT if word in said], table
